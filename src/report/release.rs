//! What a readable report says of the pull and the parting.

use crate::geom::{Direction, Frame};
use crate::report::blocks::{Section, Table, table};
use crate::schema::{Alternative, Parting, Report};
use crate::units::format;

/// The section on the pull.
pub(crate) fn section(report: &Report) -> Section {
    let pull = &report.pull;
    let how = if pull.given { "as asked" } else { "chosen" };
    let parting = &report.parting;
    Section {
        title: "Pull and parting",
        rows: vec![
            ("Pull", format!("{} ({how})", format::direction(pull.direction))),
            ("Core side", pull.core_side.sign().to_owned()),
            ("Height along the pull", format::quantity(pull.height_mm, "mm")),
            ("Projected area", format::area(Some(pull.projected_area_mm2))),
            ("Parting", lie(parting)),
            ("Parting loops", format::count(parting.loops)),
            ("Parting length", format::maybe(parting.length_mm, "mm")),
            ("Parting rise", format::maybe(parting.rise_mm, "mm")),
            ("Shut-offs", shut_offs(parting)),
            ("Drawing", drawing(pull.direction)),
        ],
        tables: pull_tables(report),
        notes: vec![NOTE.to_owned()],
    }
}

/// What the table of directions does not say by itself.
const NOTE: &str = "The lower score is the better pull: what is trapped first, then walls \
    with too little draft, then the rise of the parting, height, and projected area against \
    the clamp. Upright walls do not count, for draft can be added to them. What is trapped \
    along a direction that no face of the part suggests counts ten times: a tilted mold has \
    to free the part to be worth it.";

/// Which of the directions it is.
fn mark(report: &Report, other: &Alternative) -> &'static str {
    let same = other.direction.iter().zip(report.pull.direction);
    let along: f64 = same.map(|(a, b)| a * b).sum();
    match (along.abs() > 1.0 - 1e-6, other.tied) {
        (true, _) => " (used)",
        (_, true) => " (as good)",
        _ => "",
    }
}

/// An angle to a tenth of a degree.
fn degrees(angle: f64) -> String {
    format!("{:.1}°", angle + 0.0)
}

/// How many shut-offs there are, and how many of them are stepped.
fn shut_offs(parting: &Parting) -> String {
    let stepped = parting.shut_off_list.iter().filter(|it| it.rise_mm > 0.0).count();
    match stepped {
        0 => format::count(parting.shut_offs),
        _ => format!("{}, {stepped} of them stepped", format::count(parting.shut_offs)),
    }
}

/// How the drawing of the parting lies in the part.
fn drawing(pull: [f64; 3]) -> String {
    let Some(pull) = Direction::new(pull.into()) else {
        return format::NOT_KNOWN.to_owned();
    };
    let frame = Frame::along(pull);
    let [x, y] = [frame.right, frame.up].map(|axis| format::direction(axis.into()));
    format!("parting.dxf: its x runs along {x}, its y along {y}, from the part's origin")
}

/// How the parting lies, in words.
fn lie(parting: &Parting) -> String {
    match (parting.flat, parting.height_mm) {
        (Some(true), Some(height)) => {
            format!("flat, at {} along the pull", format::quantity(height, "mm"))
        }
        (Some(true), None) => "flat".to_owned(),
        (Some(false), _) => "stepped".to_owned(),
        (None, _) => format::NOT_KNOWN.to_owned(),
    }
}

fn pull_tables(report: &Report) -> Vec<Table> {
    let others = report.pull.alternatives.iter().map(|other| {
        vec![
            format!("{}{}", format::direction(other.direction), mark(report, other)),
            format::number(other.score),
            format::volume(Some(other.undercut_volume_mm3)),
            format::maybe(other.undercut_depth_mm, "mm"),
            format::area(Some(other.short_area_mm2)),
            format::maybe(other.parting_rise_mm, "mm"),
            format::quantity(other.height_mm, "mm"),
            format::area(Some(other.projected_area_mm2)),
        ]
    });
    let shut_offs = report.parting.shut_off_list.iter().map(|it| {
        vec![
            format::area(Some(it.area_mm2)),
            if it.angle_deg >= 89.95 {
                "butt".to_owned()
            } else {
                format!("slide at {}", degrees(it.angle_deg))
            },
            format::maybe((it.rise_mm > 0.0).then_some(it.rise_mm), "mm"),
            degrees(it.wall_deg),
            format::quantity(it.height_mm, "mm"),
            format::point(it.at_mm),
        ]
    });
    let shut_offs = table(
        "Shut-offs: holes where metal meets metal",
        &["Area", "Halves meet", "Rise", "Draft beside", "Height", "Where"],
        shut_offs.collect(),
    );
    let others = table(
        "Directions that were weighed",
        &[
            "Pull",
            "Score",
            "Trapped volume",
            "Trapped depth",
            "Drafted, but too little",
            "Parting rise",
            "Height",
            "Projected area",
        ],
        others.collect(),
    );
    [shut_offs, others].concat()
}
