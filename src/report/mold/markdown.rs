//! `mold.md`: the mold for a reader at the bench.

use crate::part::halves::{Half, Role};
use crate::report::markdown::escaped;
use crate::report::milling;
use crate::schema::mold::{Hole, MoldCheck, MoldReport};
use crate::units::format;

/// `report` as Markdown.
pub(crate) fn markdown(report: &MoldReport) -> String {
    let mut text = format!("# Mold for {}\n\n", escaped(&report.file));
    text += &summary(report);
    text += "## Checks\n\n";
    let rows = report.checks.iter().map(check).collect();
    text += &table(&["Check", "Value", "Limit", "Holds"], rows);
    text += "## To buy\n\n";
    let rows = report.bill.iter().map(|item| {
        vec![
            item.count.to_string(),
            item.item.clone(),
            item.size.clone(),
            item.purpose.clone(),
        ]
    });
    text += &table(&["Count", "Item", "Size", "For"], rows.collect());
    text += "## To drill, ream and mill besides the part\n\n";
    text += "Places are seen on the parting face of each half, from the datum: the corner of \
             the block that the plans mark. On the + half, which is the mirror image, x runs to \
             the left and is negative. Numbers are those of the plans.\n\n";
    for role in Role::BOTH {
        let own: Vec<Vec<String>> =
            report.drill.iter().filter(|hole| hole.half == role).map(hole).collect();
        if !own.is_empty() {
            text += &format!(
                "### {} half{}\n\n",
                format::capitalized(role.as_str()),
                mirrored(report, role)
            );
            text += &table(
                &["No.", "What", "x mm", "y mm", "to x, y", "Ø or width", "Depth", "How"],
                own,
            );
        }
    }
    text += &cutters(report);
    text += "## Assumptions\n\n";
    for line in &report.assumptions {
        text += &format!("- {}\n", escaped(line));
    }
    text += "\n## Before you cut\n\n";
    for line in CAUTIONS {
        text += &format!("- {line}\n");
    }
    text + &format!("\n{} {}\n", report.tool.name, report.tool.version)
}

/// What the cutters do and what they leave.
fn cutters(report: &MoldReport) -> String {
    let (Some(uses), Some(standing)) = (&report.cutters, &report.unreached) else {
        return String::new();
    };
    let mut text = "## To mill\n\n".to_owned();
    let left = |volume: f64| format::volume(Some(volume));
    let rows = vec![
        row("Left in the cavity half", left(standing.cavity_mm3)),
        row("Left in the core half", left(standing.core_mm3)),
        row("Thickest metal left", format::quantity(standing.worst_mm, "mm")),
        row("Both halves", milling::minutes(standing.time_min)),
    ];
    text += &table(&["What", "Value"], rows);
    for mut one in milling::unreached(&standing.places) {
        // As in the picture.
        one.columns.insert(0, "No.");
        for column in one.columns.iter_mut().filter(|column| **column == "Where") {
            *column = "Where on the part";
        }
        let last = standing.places.len();
        for (number, row) in (1..).zip(&mut one.rows) {
            let is_place = number <= last.min(MOST_NUMBERED);
            row.insert(0, if is_place { number.to_string() } else { String::new() });
        }
        text += &format!("### {}\n\n{}", one.title, table(&one.columns, one.rows));
    }
    for one in milling::cutters(uses) {
        text += &format!("### {}\n\n{}", one.title, table(&one.columns, one.rows));
    }
    text
}

/// So many places that no cutter reaches get a number in the picture.
pub(crate) const MOST_NUMBERED: usize = 9;

const CAUTIONS: [&str; 4] = [
    "Spindle and chips: guard the mill, wear eye protection, clamp the plate before the spindle turns, \
     and keep hands, hair and gloves away from it.",
    "Break every edge that hands touch, but not the edge of the cavity at the parting line.",
    "Prove the program in air or in wax first: one flipped axis mirrors the part.",
    "This is a calculation, not an approval: local codes and licensed practice come first.",
];

fn summary(report: &MoldReport) -> String {
    let [x, y, z] = report.size_mm.map(format::number);
    let rows = vec![
        row("Block", format!("{x} × {y} × {z} mm, two plates of {}", report.alloy)),
        row(
            "Part grows by",
            format!("{} about {}", grows(report), format::point(report.scale_about_mm)),
        ),
        row("Opens along", format::direction(report.pull)),
        row("Core half", format!("on the {} side; it keeps the part", report.core_side)),
        row("Parting", parting(report)),
        row("Datum", format::point(report.axes.datum_mm)),
    ];
    table(&["What", "Value"], rows)
}

/// How much larger the cavity is than the part.
pub(crate) fn grows(report: &MoldReport) -> String {
    let [x, y, z] = report.scale_axes;
    if (x - y).abs().max((y - z).abs()) < 1e-9 {
        format!("{x:.5}")
    } else {
        format!("{x:.5}, {y:.5} and {z:.5} along x, y and z of the part")
    }
}

/// How the halves meet.
pub(crate) fn parting(report: &MoldReport) -> String {
    let parting = &report.parting;
    let shape = if parting.flat {
        "flat".to_owned()
    } else {
        format!("stepped, {} high", format::quantity(parting.rise_mm, "mm"))
    };
    format!("{shape}, {} shut-offs", parting.shut_offs)
}

fn row(name: &str, value: String) -> Vec<String> {
    vec![name.to_owned(), value]
}

fn check(check: &MoldCheck) -> Vec<String> {
    let holds = match check.ok {
        Some(true) => "yes",
        Some(false) => "NO",
        None => "not known",
    };
    let number = |value: Option<f64>| match value {
        Some(value) if value.abs() < 1e-3 && value.abs() > 0.0 => {
            format!("{value:.1e} {}", check.unit)
        }
        value => format::maybe(value, &check.unit),
    };
    vec![check.name.clone(), number(check.value), number(check.limit), holds.to_owned()]
}

fn hole(hole: &Hole) -> Vec<String> {
    let place = |value: f64| format!("{value:.2}");
    vec![
        hole.number.to_string(),
        hole.kind.to_string(),
        place(hole.x_mm),
        place(hole.y_mm),
        hole.end_mm.map_or_else(String::new, |[x, y]| format!("{x:.2}, {y:.2}")),
        place(hole.width_mm),
        if hole.through { "through".to_owned() } else { format::number(hole.depth_mm) },
        hole.how.clone(),
    ]
}

fn mirrored(report: &MoldReport, role: Role) -> &'static str {
    if role.half(report.core_side) == Half::Plus {
        " (mirrored: x to the left)"
    } else {
        ""
    }
}

fn table(columns: &[&str], rows: Vec<Vec<String>>) -> String {
    let head = columns.iter().map(|column| (*column).to_owned()).collect();
    let mut lines = vec![head, vec!["---".to_owned(); columns.len()]];
    lines.extend(
        rows.into_iter().map(|row| row.iter().map(|cell| escaped(cell)).collect()),
    );
    let text: String =
        lines.iter().map(|line| format!("| {} |\n", line.join(" | "))).collect();
    text + "\n"
}
