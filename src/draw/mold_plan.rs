//! `maps/plan_cavity.png`, `maps/plan_core.png`: the parting face of a half with everything
//! that is cut into it, numbered as in the drill table, with its datum and its measures.

use crate::draw::atlas::{MARGIN, SHEET_WIDTH};
use crate::draw::canvas::{Canvas, Fonts, Pen, Spot, Type};
use crate::draw::legend::SOFT;
use crate::draw::map::{self, MapError};
use crate::draw::palette::{INK, Rgb, WHITE};
use crate::geom::Point;
use crate::mold::brep::Brep;
use crate::mold::build::Mold;
use crate::mold::cut_feature::{Cut, Kind};
use crate::part::halves::Half;
use crate::schema::mold::drill;
use crate::units::format;

/// Room above the plan for the title, and beside it for measures.
const ABOVE: f32 = 150.0;
const BESIDE: f32 = 110.0;
/// The plan is at most this wide and high.
const PLAN: [f32; 2] = [980.0, 900.0];
/// Room for the list at the right.
const LIST: f32 = 420.0;
/// A number that stands farther off its cut gets a line to it.
const NEAR: f32 = 8.0;
/// A row of it.
const ROW: f32 = 24.0;

/// Faces that turn by more meet in an edge that is drawn, radians: 25°.
const SHARP: f64 = 0.44;
/// Its color.
const EDGE: Rgb = [150, 158, 165];

/// Okabe–Ito colors, one a kind; each kind is named in the list as well.
const FEED: Rgb = [213, 94, 0];
const BOLT: Rgb = [0, 114, 178];
const DOWEL: Rgb = [204, 121, 167];
const PIN: Rgb = [0, 158, 115];
const VENT: Rgb = [86, 180, 233];

/// Draws the plan of `half`.
pub(crate) fn png(
    mold: &Mold,
    half: Half,
    faces: Option<&Brep>,
    part: &str,
) -> Result<Vec<u8>, MapError> {
    let [x, y, _] = mold.layout.block;
    let size = [x[1] - x[0], y[1] - y[0]];
    let scale = (f64::from(PLAN[0]) / size[0]).min(f64::from(PLAN[1]) / size[1]);
    let high = (size[1] * scale) as f32;
    let cuts: Vec<(usize, &Cut)> = drill::in_order(mold)
        .into_iter()
        .zip(1..)
        .filter(|((of, _), _)| *of == half)
        .map(|((_, cut), number)| (number, cut))
        .collect();
    let rows = groups(&cuts).len() as f32 + 3.0;
    let height = (ABOVE + high + BESIDE).max(ABOVE + ROW * rows + BESIDE);
    let mut canvas = Canvas::new(SHEET_WIDTH, height as usize, Fonts::load()?);
    let left = BESIDE + MARGIN as f32;
    // The mirrored half has its datum at the lower right.
    let start = if half == Half::Plus { left + (size[0] * scale) as f32 } else { left };
    let sheet = Sheet { mold, half, scale, zero: [start, ABOVE + high] };
    title(&mut canvas, mold, half, part);
    sheet.part(&mut canvas, faces);
    sheet.outline(&mut canvas);
    for (_, cut) in &cuts {
        sheet.cut(&mut canvas, cut);
    }
    for (number, cut) in &cuts {
        sheet.number(&mut canvas, *number, cut);
    }
    sheet.measures(&mut canvas, size);
    let at = [left + PLAN[0].min((size[0] * scale) as f32) + 60.0, ABOVE];
    list(&mut canvas, at, &cuts);
    map::encode(&canvas)
}

fn title(canvas: &mut Canvas, mold: &Mold, half: Half, part: &str) {
    let left = MARGIN as f32;
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let name = canvas.fonts().fit(Type::bold(30.0), part, room);
    canvas.text([left, 48.0], Type::bold(30.0), &name, INK);
    let mirrored = if half == Half::Plus {
        "Mirror image: x runs to the left from the datum"
    } else {
        "x runs to the right from the datum"
    };
    let what = format!(
        "Parting face of the {} half, seen from above it. {mirrored}. Measures in mm; numbers as in drill.csv.",
        half.role(mold.core)
    );
    canvas.text([left, 84.0], Type::regular(19.0), &what, SOFT);
}

struct Sheet<'a> {
    mold: &'a Mold,
    half: Half,
    /// Pixels per millimeter.
    scale: f64,
    /// Where the datum lies.
    zero: Spot,
}

impl Sheet<'_> {
    fn spot(&self, at: [f64; 2]) -> Spot {
        let [x, y] = drill::seen(self.mold, self.half, at);
        [self.zero[0] + (x * self.scale) as f32, self.zero[1] - (y * self.scale) as f32]
    }

    fn long(&self, mm: f64) -> f32 {
        (mm * self.scale) as f32
    }

    fn ring(&self, canvas: &mut Canvas, corners: &[[f64; 2]], pen: Pen) {
        for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            let [from, to] = [self.spot(*from), self.spot(*to)];
            canvas.line(from, to, pen);
        }
    }

    fn outline(&self, canvas: &mut Canvas) {
        let [x, y, _] = self.mold.layout.block;
        let corners = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
        self.ring(canvas, &corners, Pen { color: INK, width: 3.0 });
        let datum = self.spot([x[0], y[0]]);
        let pen = Pen { color: INK, width: 2.0 };
        canvas.ring(datum, 12.0, pen);
        canvas.line([datum[0] - 20.0, datum[1]], [datum[0] + 20.0, datum[1]], pen);
        canvas.line([datum[0], datum[1] - 20.0], [datum[0], datum[1] + 20.0], pen);
        canvas.text_about(
            [datum[0], datum[1] + 42.0],
            Type::bold(16.0),
            "datum 0, 0",
            INK,
        );
    }

    /// The line around the part and its holes, and every sharp edge of the half: ribs, bosses, steps.
    fn part(&self, canvas: &mut Canvas, faces: Option<&Brep>) {
        let thin = Pen { color: EDGE, width: 1.2 };
        for [from, to] in faces.iter().flat_map(|faces| faces.sharp_edges(SHARP)) {
            let [from, to] = [from, to].map(|at| self.spot([at.x, at.y]));
            canvas.line(from, to, thin);
        }
        let flat = |ring: &Vec<Point>| -> Vec<[f64; 2]> {
            ring.iter().map(|point| [point.x, point.y]).collect()
        };
        for ring in self.mold.outer.iter().chain(&self.mold.inner) {
            self.ring(canvas, &flat(ring), Pen { color: INK, width: 1.8 });
        }
    }

    fn cut(&self, canvas: &mut Canvas, cut: &Cut) {
        let pen = Pen { color: color(cut.kind), width: 2.4 };
        if let Some(corners) = drill::outline(self.mold, cut) {
            self.ring(canvas, &corners, pen);
        } else {
            let middle = self.spot(cut.at);
            let radius = self.long(cut.width / 2.0);
            canvas.ring(middle, radius, pen);
            let cross = radius + 7.0;
            let thin = Pen { color: INK, width: 1.0 };
            canvas.line(
                [middle[0] - cross, middle[1]],
                [middle[0] + cross, middle[1]],
                thin,
            );
            canvas.line(
                [middle[0], middle[1] - cross],
                [middle[0], middle[1] + cross],
                thin,
            );
        }
    }

    /// The number beside its cut, where the paper is still white.
    fn number(&self, canvas: &mut Canvas, number: usize, cut: &Cut) {
        let text = number.to_string();
        let wide = canvas.fonts().width(Type::bold(16.0), &text);
        let places = self.beside(cut, wide);
        let free = places.iter().find(|at| is_free(canvas, **at, wide));
        let Some(at) = free.or(places.first()) else { return };
        let middle = [at[0] + wide / 2.0, at[1] - 6.0];
        self.leader(canvas, middle, wide, cut);
        canvas.text(*at, Type::bold(16.0), &text, color(cut.kind));
    }

    /// A line from a number that stands off its cut to the cut.
    fn leader(&self, canvas: &mut Canvas, middle: Spot, wide: f32, cut: &Cut) {
        let from = self.spot(cut.at);
        let (on, radius) = match (cut.kind, cut.end) {
            (Kind::Pry, _) => return,
            (_, None) => (from, self.long(cut.width / 2.0)),
            (_, Some(end)) => {
                let to = self.spot(end);
                let way = [to[0] - from[0], to[1] - from[1]];
                let square = (way[0] * way[0] + way[1] * way[1]).max(1.0);
                let off = [middle[0] - from[0], middle[1] - from[1]];
                let share =
                    ((off[0] * way[0] + off[1] * way[1]) / square).clamp(0.0, 1.0);
                let on = [from[0] + way[0] * share, from[1] + way[1] * share];
                (on, self.long(cut.width / 2.0))
            }
        };
        let way = [middle[0] - on[0], middle[1] - on[1]];
        let far = way[0].hypot(way[1]);
        let clear = wide.max(14.0) / 2.0 + 4.0;
        if far - radius - clear > NEAR {
            let spot =
                |off: f32| [on[0] + way[0] / far * off, on[1] + way[1] / far * off];
            let pen = Pen { color: color(cut.kind), width: 1.0 };
            canvas.line(spot(radius), spot(far - clear), pen);
        }
    }

    /// Where a text so wide may stand beside a cut, best first: on a slot or beside it, around
    /// a hole.
    fn beside(&self, cut: &Cut, wide: f32) -> Vec<Spot> {
        let about = |[x, y]: Spot| [x - wide / 2.0, y + 6.0];
        if cut.kind == Kind::Pry {
            let middle = cut.solid.bounds().center();
            return vec![about(self.spot([middle.x, middle.y]))];
        }
        let radius = self.long(cut.width / 2.0);
        let Some(end) = cut.end else {
            let middle = self.spot(cut.at);
            let around = [[1.0_f32, -1.0], [1.0, 1.0], [-1.0, -1.0], [-1.0, 1.0]];
            let rings =
                [0.0_f32, 8.0, 18.0, 32.0].map(|more| radius * 0.71 + 14.0 + more);
            return rings
                .iter()
                .flat_map(|off| around.map(|[x, y]| [x * off, y * off]))
                .map(|[x, y]| about([middle[0] + x, middle[1] + y]))
                .collect();
        };
        let [from, to] = [self.spot(cut.at), self.spot(end)];
        let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
        let length = dx.hypot(dy).max(1.0);
        let across = [-dy / length, dx / length];
        let offs = [0.0, 1.0, -1.0, 1.4, -1.4, 2.0, -2.0];
        offs.iter()
            .flat_map(|off| {
                [0.5, 0.3, 0.7, 0.1, 0.9, -0.3, 1.3].map(|share| (off, share))
            })
            .map(|(off, share)| {
                let off = off * (radius + 14.0);
                about([
                    from[0] + dx * share + across[0] * off,
                    from[1] + dy * share + across[1] * off,
                ])
            })
            .collect()
    }

    fn measures(&self, canvas: &mut Canvas, size: [f64; 2]) {
        let [x, y, _] = self.mold.layout.block;
        let pen = Pen { color: SOFT, width: 1.4 };
        let [from, to] = [[x[0], y[1]], [x[1], y[1]]].map(|at| self.spot(at));
        let up = from[1] - 26.0;
        canvas.line([from[0], up], [to[0], up], pen);
        for end in [from[0], to[0]] {
            canvas.line([end, up - 8.0], [end, up + 8.0], pen);
        }
        let middle = f32::midpoint(from[0], to[0]);
        canvas.text_about(
            [middle, up - 8.0],
            Type::regular(18.0),
            &format::number(size[0]),
            INK,
        );
        let far = if self.half == Half::Plus { x[1] } else { x[0] };
        let [low, high] = [[far, y[0]], [far, y[1]]].map(|at| self.spot(at));
        let left = low[0] - 30.0;
        canvas.line([left, low[1]], [left, high[1]], pen);
        for end in [low[1], high[1]] {
            canvas.line([left - 8.0, end], [left + 8.0, end], pen);
        }
        let middle = f32::midpoint(low[1], high[1]);
        canvas.text_about(
            [left - 36.0, middle + 6.0],
            Type::regular(18.0),
            &format::number(size[1]),
            INK,
        );
    }
}

/// Whether nothing is drawn yet where a text so wide would stand.
fn is_free(canvas: &Canvas, [left, base]: Spot, wide: f32) -> bool {
    let columns = (left - 3.0).max(0.0) as usize..(left + wide + 3.0).max(0.0) as usize;
    let rows = (base - 15.0).max(0.0) as usize..(base + 4.0).max(0.0) as usize;
    rows.into_iter().all(|row| {
        columns.clone().all(|column| {
            let at = (row * canvas.width + column) * 3;
            canvas.pixels.get(at..at + 3) == Some(&WHITE[..])
        })
    })
}

fn color(kind: Kind) -> Rgb {
    match kind {
        Kind::Sprue | Kind::Seat | Kind::Well | Kind::Runner | Kind::Gate => FEED,
        Kind::Clearance | Kind::Tap => BOLT,
        Kind::DowelFast | Kind::DowelSlides => DOWEL,
        Kind::Pin | Kind::PinRelief | Kind::Puller | Kind::CorePin | Kind::CoreSeat => {
            PIN
        }
        Kind::Vent | Kind::Relief => VENT,
        Kind::Pry | Kind::Insert | Kind::InsertScrew => INK,
    }
}

/// Cuts that are alike, with their numbers.
fn groups<'a>(cuts: &[(usize, &'a Cut)]) -> Vec<(&'a Cut, Vec<usize>)> {
    let mut groups: Vec<(&Cut, Vec<usize>)> = Vec::new();
    for (number, cut) in cuts {
        match groups.last_mut() {
            Some((of, numbers))
                if of.kind == cut.kind && (of.width - cut.width).abs() < 1e-6 =>
            {
                numbers.push(*number);
            }
            _ => groups.push((*cut, vec![*number])),
        }
    }
    groups
}

fn list(canvas: &mut Canvas, [left, top]: Spot, cuts: &[(usize, &Cut)]) {
    canvas.text([left, top + 14.0], Type::bold(18.0), "Cut besides the part", INK);
    let mut y = top + 14.0;
    for (cut, numbers) in groups(cuts) {
        y += ROW;
        let first = numbers.first().copied().unwrap_or_default();
        let last = numbers.last().copied().unwrap_or_default();
        let range =
            if first == last { format!("{first}") } else { format!("{first}–{last}") };
        canvas.text([left, y], Type::bold(16.0), &range, color(cut.kind));
        let depth = if cut.through {
            "through".to_owned()
        } else {
            format!("{} deep", format::number(cut.depth))
        };
        let round = if cut.end.is_some() || cut.kind == Kind::Pry { "" } else { "Ø " };
        let text =
            format!("{} {round}{}, {depth}", cut.kind.name(), format::number(cut.width));
        let text = canvas.fonts().fit(Type::regular(16.0), &text, LIST - 66.0);
        canvas.text([left + 66.0, y], Type::regular(16.0), &text, INK);
    }
}
