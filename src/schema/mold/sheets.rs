//! One sheet for each half: what it is milled from, how it is held, what is done in which order.

use crate::analysis::mold::MoldDesign;
use crate::mold::build::Mold;
use crate::mold::cut_feature::Kind;
use crate::mold::inserts::{Insert, Shape};
use crate::mold::operations::{self, Operation, Plan, SAWN_MM, Up};
use crate::part::halves::{Half, Role};
use crate::schema::mold::{HalfSheet, MillStep, SheetLine, drill, programs};
use crate::units::format::{four_digits, three_digits};

/// A small vise opens so far, mm (common practice: a 4 inch vise).
const VISE_OPENS_MM: f64 = 100.0;
/// Jaws hold over at least so much, mm, and stay so far below what is cut at the edges (judgment).
const LEAST_GRIP_MM: f64 = 6.0;
const BELOW_CUTS_MM: f64 = 3.0;
/// The head of a screw and its washer are at most so many times as wide as its hole.
const HEAD: f64 = 2.0;

/// The sheets of both halves, the cavity half first.
pub(crate) fn sheets(tooled: &MoldDesign) -> Vec<HalfSheet> {
    Role::BOTH.map(|role| sheet(tooled, role)).into()
}

fn sheet(tooled: &MoldDesign, role: Role) -> HalfSheet {
    let mold = &tooled.mold;
    let half = role.half(mold.core);
    let cutting = tooled.cutting.as_ref().ok();
    let cutting = cutting.map(|it| (&it.milled, &it.list.cutters[..]));
    let plan = operations::plan(mold, half, cutting);
    let made = tooled.programs.as_ref();
    let step = |at: usize, operation: &Operation| MillStep {
        up: programs::face(operation.up),
        what: operation.what.clone(),
        tool: operation.tool.clone(),
        depth_mm: operation.depth,
        pass_mm: operation.pass,
        side_step_mm: operation.side_step,
        feed_mm_min: operation.feed,
        time_min: operation.minutes,
        rows: drill::rows(mold, half, &operation.cuts),
        program: programs::file(made, half, at),
        no_program: programs::without(made, half, at, operation.work),
    };
    let [x, y, _] = mold.layout.block.map(|[low, high]| high - low);
    HalfSheet {
        half: role,
        stock_mm: plan.stock,
        size_mm: [x, y, plan.thickness],
        time_min: plan.operations.iter().map(|it| it.minutes).sum(),
        setup: [
            vec![line("Stock", stock(&plan, [x, y]))],
            inserts(mold, half),
            vec![
                line("First, outer face up", first(mold, half)),
                line("Then turned over, parting face up", turned_over(half)),
                line("Held", held(mold, half, &plan)),
                line("Datum", datum(half)),
                line("Heights", heights(mold, half, &plan)),
            ],
        ]
        .concat(),
        steps: plan.operations.iter().enumerate().map(|(at, it)| step(at, it)).collect(),
    }
}

fn line(name: &str, text: String) -> SheetLine {
    SheetLine { name: name.to_owned(), text }
}

fn stock(plan: &Plan, [x, y]: [f64; 2]) -> String {
    let [long, wide, thick] = plan.stock.map(four_digits);
    let extra = plan.stock[2] - plan.thickness;
    let faces = if extra > 0.05 {
        format!(
            "{} mm more thickness, {} mm faced off the outer side, the rest off the parting side",
            four_digits(extra),
            four_digits(plan.outer_facing)
        )
    } else {
        "no more thickness: take flat plate (cast tooling plate), or a thicker bar and face both sides"
            .to_owned()
    };
    format!(
        "{long} x {wide} x {thick} mm for {} x {} x {} mm: {} mm more on each edge from sawing, {faces}",
        four_digits(x),
        four_digits(y),
        four_digits(plan.thickness),
        four_digits(SAWN_MM)
    )
}

/// How the inserts of a half are made.
fn inserts(mold: &Mold, half: Half) -> Vec<SheetLine> {
    let own = mold.insert_names().into_iter().zip(&mold.inserts);
    let own = own.filter(|(_, insert)| insert.half == half);
    let text = |(name, insert): (String, &Insert)| {
        let (bar, size) = insert.bar();
        let (count, thread) = insert.screws;
        let section = match insert.shape {
            Shape::Round { diameter } => {
                format!("turn it to Ø {}", four_digits(diameter))
            }
            Shape::Bar { edges: [x, y] } => format!(
                "mill it to {} x {} mm with corners R {}",
                four_digits(x),
                four_digits(y),
                three_digits(insert.shape.corner())
            ),
        };
        let screws = if count == 1 { "one screw" } else { "two screws" };
        line(
            "Insert",
            format!(
                "{name}.stl from {bar} {size}: {section}, face the foot, tap it for {screws} {thread}, screw it {} mm deep into its pocket; then mill it in place, {} mm above the parting face",
                four_digits(insert.depth),
                four_digits(insert.height)
            ),
        )
    };
    own.map(text).collect()
}

fn first(mold: &Mold, half: Half) -> String {
    let has_seat = mold
        .layout
        .cuts
        .iter()
        .any(|cut| cut.half == half && cut.kind == Kind::Seat && cut.end.is_none());
    let seat = if has_seat {
        "; the nozzle's counterbore too: seen from this side x has the other sign"
    } else {
        ""
    };
    format!("face it and mill the edges square in one clamping{seat}")
}

fn turned_over(half: Half) -> String {
    let corner = if half == Half::Plus { "right" } else { "left" };
    format!(
        "turn it about y, push the edges that meet at the datum (lower {corner}) against the stops, and leave it clamped until it is done"
    )
}

/// The vise where one holds it, else the bolt holes.
fn held(mold: &Mold, half: Half, plan: &Plan) -> String {
    let [x, y, _] = mold.layout.block.map(|[low, high]| high - low);
    let grip = mold.layout.thickness(half) - plan.edge_depth - BELOW_CUTS_MM;
    let narrow = x.min(y);
    if narrow <= VISE_OPENS_MM && grip >= LEAST_GRIP_MM {
        let axis = if y <= x { "y" } else { "x" };
        return format!(
            "in a vise, jaws on the edges across {axis} ({} mm), on parallels so that the jaws end at least {} mm below the height of the parting; through holes must miss the parallels",
            four_digits(narrow),
            four_digits(plan.edge_depth + BELOW_CUTS_MM)
        );
    }
    let why = if narrow > VISE_OPENS_MM {
        format!("wider than a small vise opens ({} mm)", four_digits(VISE_OPENS_MM))
    } else {
        "too thin for jaws below what is cut at its edges".to_owned()
    };
    let bolts: Vec<usize> = (0..mold.layout.cuts.len())
        .filter(|&at| {
            let cut = &mold.layout.cuts[at];
            cut.half == half && matches!(cut.kind, Kind::Clearance | Kind::Tap)
        })
        .collect();
    let Some(first) = bolts.first().map(|&at| &mold.layout.cuts[at]) else {
        return format!(
            "{why}: with toe clamps on the rim, at least two at a time, off the part, feed and dowels; move them one by one for what lies below"
        );
    };
    let numbers = drill::numbers(&drill::rows(mold, half, &bolts));
    let how = match first.kind {
        Kind::Tap => "drill and tap them first and screw the plate down from below through a flat sub-plate".to_owned(),
        _ => format!(
            "drill them first and screw the plate to a flat sub-plate through them; keep the edge of every cutter {} mm off their middles, and face before the screws are in",
            four_digits(HEAD * first.width / 2.0)
        ),
    };
    format!(
        "{why}: by the bolt holes, rows {numbers} of the drill table, which lie outside the part: {how}"
    )
}

fn datum(half: Half) -> String {
    let side = match half {
        Half::Plus => "lower right corner, so x runs to the left and is negative",
        Half::Minus => "lower left corner, x to the right",
    };
    format!("{side}, y up; z is 0 at the height of the parting there")
}

fn heights(mold: &Mold, half: Half, plan: &Plan) -> String {
    let signed = |value: f64| format!("{:.2}", value + 0.0);
    format!(
        "top of the finished half z {}, lowest floor of the part z {}, outer face z {}; rapid moves at z {} or higher",
        signed(plan.above),
        signed(-plan.below),
        signed(-mold.layout.thickness(half)),
        signed(plan.rapid_height(Up::Parting))
    )
}
