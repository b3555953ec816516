//! From cuts to the drill table and the bill.
//!
//! Both halves share one datum: a corner of the block. Seen on the parting face of the −
//! half it lies at the lower left, x to the right; on that of the + half, which is
//! mirrored, at the lower right, so that its x are negative. y runs up on both.

use crate::mold::bolt_holes::{LENGTHS_MM, length_in_words};
use crate::mold::build::Mold;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::dowels::is_standard;
use crate::mold::inserts::Insert;
use crate::part::halves::Half;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::bought_steel::pin_name;
use crate::process::clamping::thread::Standard;
use crate::schema::mold::{Hole, Item};
use crate::units::format::four_digits;
use crate::units::from_mm;

/// A place of the mold as seen on the parting face of `half`, from the datum.
pub(crate) fn seen(mold: &Mold, half: Half, at: [f64; 2]) -> [f64; 2] {
    let [x, y, _] = mold.layout.block;
    let right = at[0] - x[0];
    [if half == Half::Plus { -right } else { right } + 0.0, at[1] - y[0]]
}

/// The cuts in the order of the table: the cavity half first, then by kind; a runner stands
/// in both halves, and so does a sprue in the parting line.
pub(crate) fn in_order(mold: &Mold) -> Vec<(Half, &Cut)> {
    let mut all: Vec<(Half, &Cut)> = Vec::new();
    for cut in &mold.layout.cuts {
        all.push((cut.half, cut));
        if cut.in_both {
            all.push((cut.half.other(), cut));
        }
    }
    all.sort_by_key(|(half, cut)| (*half == mold.core, cut.kind));
    all
}

/// The outline of a slot, seen along the pull, within the block; `None` for a round hole.
pub(crate) fn outline(mold: &Mold, cut: &Cut) -> Option<Vec<[f64; 2]>> {
    let [x, y, _] = mold.layout.block;
    if cut.kind == Kind::Pry {
        let bounds = cut.solid.bounds();
        let [low, high] = [bounds.min, bounds.max];
        return Some(vec![
            [low.x, low.y],
            [high.x, low.y],
            [high.x, high.y],
            [low.x, high.y],
        ]);
    }
    let end = cut.end?;
    let [dx, dy] = [end[0] - cut.at[0], end[1] - cut.at[1]];
    let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
    let way = [dx / length, dy / length];
    let side = [-way[1] * cut.width / 2.0, way[0] * cut.width / 2.0];
    // What leads to the wall of the block opens it over the whole width, however slanted.
    let is_open = [x, y]
        .iter()
        .zip(end)
        .any(|([low, high], at)| at <= low + 1e-6 || at >= high - 1e-6);
    let more = if is_open { cut.width } else { 0.0 };
    let end = [end[0] + way[0] * more, end[1] + way[1] * more];
    let corner =
        |at: [f64; 2], sign: f64| [at[0] + sign * side[0], at[1] + sign * side[1]];
    let mut corners = vec![
        corner(cut.at, 1.0),
        corner(end, 1.0),
        corner(end, -1.0),
        corner(cut.at, -1.0),
    ];
    for (axis, [low, high]) in [x, y].into_iter().enumerate() {
        corners = clipped(&corners, axis, low, 1.0);
        corners = clipped(&corners, axis, high, -1.0);
    }
    Some(corners)
}

/// What of a convex outline lies on one side of a line across `axis` (Sutherland and Hodgman 1974).
fn clipped(corners: &[[f64; 2]], axis: usize, at: f64, sign: f64) -> Vec<[f64; 2]> {
    let depth = |corner: &[f64; 2]| (corner[axis] - at) * sign;
    let mut kept = Vec::with_capacity(corners.len() + 1);
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let [from, to] = [depth(a), depth(b)];
        if from >= 0.0 {
            kept.push(*a);
        }
        if (from >= 0.0) != (to >= 0.0) {
            let share = from / (from - to);
            kept.push([0, 1].map(|i| a[i] + (b[i] - a[i]) * share));
        }
    }
    kept
}

/// The drill table.
pub(crate) fn holes(mold: &Mold) -> Vec<Hole> {
    in_order(mold)
        .into_iter()
        .zip(1..)
        .map(|((half, cut), number)| {
            let [x_mm, y_mm] = seen(mold, half, cut.at);
            Hole {
                number,
                half: half.role(mold.core),
                kind: cut.kind,
                x_mm,
                y_mm,
                end_mm: cut.end.map(|end| seen(mold, half, end)),
                width_mm: cut.width,
                depth_mm: cut.depth,
                through: cut.through,
                how: cut.note.clone(),
            }
        })
        .collect()
}

/// What to buy for the mold.
pub(crate) fn bill(mold: &Mold, bolts: Option<&Bolts>) -> Vec<Item> {
    let cavity = mold.core.other();
    let mut bill = vec![plate(mold, cavity), plate(mold, mold.core)];
    let of = |kind: Kind| mold.layout.cuts.iter().filter(move |cut| cut.kind == kind);
    if let Some(bolts) = bolts {
        bill.extend(screws(mold, bolts, of(Kind::Tap).count()));
    }
    if let Some(fast) = of(Kind::DowelFast).next() {
        let slides = of(Kind::DowelSlides).next().map_or(0.0, |cut| cut.depth);
        let most = fast.depth + slides - 1.0;
        let length = LENGTHS_MM.iter().rev().find(|length| **length <= most);
        bill.push(Item {
            count: of(Kind::DowelFast).count() as u32,
            item: if is_standard(fast.width) {
                format!("dowel {} m6", four_digits(fast.width))
            } else {
                format!("dowel of {} mm", four_digits(fast.width))
            },
            size: length.map_or_else(String::new, |l| format!("{l:.0} mm long")),
            purpose: "lines up the halves".to_owned(),
        });
    }
    if let Some(pin) = of(Kind::Pin).next() {
        let longest = of(Kind::Pin).map(|cut| cut.depth).fold(0.0, f64::max);
        bill.push(Item {
            count: of(Kind::Pin).count() as u32,
            item: format!("ejector pin {}", four_digits(pin.width)),
            size: format!("longer than {} mm by plate and stroke", four_digits(longest)),
            purpose: "pushes the part off the core".to_owned(),
        });
    }
    if let Some(puller) = of(Kind::Puller).next() {
        bill.push(Item {
            count: 1,
            item: format!("ejector pin {}", four_digits(puller.width)),
            size: format!("longer than {} mm by plate", four_digits(puller.depth)),
            purpose: "draws the sprue, with a Z filed into its tip".to_owned(),
        });
    }
    bill.extend(core_pins(mold));
    bill.extend(inserts(mold));
    bill
}

/// The bought pins that stand for cores, alike ones together.
fn core_pins(mold: &Mold) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for pin in &mold.layout.core_pins {
        let name = pin_name(from_mm(pin.diameter));
        let item = format!("{name} {}", four_digits(pin.diameter));
        let size = format!("{} mm long", four_digits(pin.length));
        match items.iter_mut().find(|it| it.item == item && it.size == size) {
            Some(alike) => alike.count += 1,
            None => items.push(Item {
                count: 1,
                item,
                size,
                purpose: "stands for a core that is too thin to mill or would bend"
                    .to_owned(),
            }),
        }
    }
    items
}

/// The bars of the inserts, and their screws.
fn inserts(mold: &Mold) -> Vec<Item> {
    let item = |insert: &Insert| {
        let (bar, size) = insert.bar();
        let (count, thread) = insert.screws;
        let metal = mold.layout.plates.alloy.metal().name;
        let role = insert.half.role(mold.core);
        [
            Item {
                count: 1,
                item: format!("{bar} of aluminum {metal}"),
                size: format!("{size}; saw it a little longer"),
                purpose: format!("insert of the {role} half"),
            },
            Item {
                count: count as u32,
                item: format!("socket head screw {thread}"),
                size: format!("{} mm long", four_digits(insert.screw_length)),
                purpose: "draws the insert into its pocket".to_owned(),
            },
        ]
    };
    mold.inserts.iter().flat_map(item).collect()
}

/// The bar that a half is milled from.
fn plate(mold: &Mold, half: Half) -> Item {
    let [x, y, _] = mold.layout.block.map(|[low, high]| high - low);
    let stock = mold.stock(half);
    let out = stock - mold.layout.thickness(half);
    let stands = if out > 0.1 {
        format!(", which stands {} mm out of its parting face", four_digits(out))
    } else {
        String::new()
    };
    Item {
        count: 1,
        item: format!("plate of aluminum {}", mold.layout.plates.alloy.metal().name),
        size: format!(
            "{:.0} x {:.0} x {} mm",
            x.max(y).ceil(),
            x.min(y).ceil(),
            four_digits(mold.layout.plates.bars.at_least(stock))
        ),
        purpose: format!(
            "{} half, milled to {} mm{stands}",
            half.role(mold.core),
            four_digits(stock)
        ),
    }
}

/// The screws by their lengths; of `all`, those that no shelf has come last.
fn screws(mold: &Mold, bolts: &Bolts, all: usize) -> Vec<Item> {
    let item = |count: usize, size: String| Item {
        count: count as u32,
        item: format!("screw {}", bolts.in_words()),
        size,
        purpose: "closes the mold, with a washer".to_owned(),
    };
    let lengths = &mold.layout.screws;
    let thread = bolts.thread().ok();
    let standard = thread.map_or(Standard::Iso, |thread| thread.standard);
    let alike = lengths.chunk_by(|a, b| (a - b).abs() < 1e-9);
    let mut items: Vec<Item> = alike
        .map(|alike| (alike.len(), alike.first().copied().unwrap_or_default()))
        .map(|(count, length)| {
            item(count, format!("{} long", length_in_words(standard, length)))
        })
        .collect();
    let long = all.saturating_sub(lengths.len());
    if long > 0 {
        let size = "longer than those of the shelf: threaded rod and nut".to_owned();
        items.push(item(long, size));
    }
    items
}

/// Numbers of the drill table for these cuts of the layout.
pub(crate) fn rows(mold: &Mold, half: Half, cuts: &[usize]) -> Vec<usize> {
    let wanted = |of: Half, cut: &Cut| {
        let own = cuts.iter().filter_map(|&at| mold.layout.cuts.get(at));
        of == half && own.into_iter().any(|it| std::ptr::eq(it, cut))
    };
    let table = in_order(mold).into_iter().zip(1..);
    table.filter(|((of, cut), _)| wanted(*of, cut)).map(|(_, number)| number).collect()
}

/// Numbers as ranges: 1–4, 7.
pub(crate) fn numbers(rows: &[usize]) -> String {
    let runs = rows.chunk_by(|a, b| a + 1 == *b).map(|run| match run {
        [one] => one.to_string(),
        [first, .., last] => format!("{first}–{last}"),
        [] => String::new(),
    });
    runs.collect::<Vec<String>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::numbers;

    #[test]
    fn rows_are_written_as_ranges() {
        assert_eq!(numbers(&[1, 2, 3, 7, 9, 10]), "1–3, 7, 9–10");
        assert_eq!(numbers(&[]), "");
    }
}
