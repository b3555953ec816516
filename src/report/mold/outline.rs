//! What every readable form of a mold says, in its order.

use crate::part::halves::Role;
use crate::report::blocks::Table;
use crate::report::milling;
use crate::report::mold::bench_tables::{Lengths, drill, row, sheet, table};
use crate::report::mold::test_piece;
use crate::schema::mold::test_piece::TestPieceSheet;
use crate::schema::mold::{HalfSheet, MoldCheck, MoldReport};
use crate::units::format;

/// One heading and what stands below it.
pub(crate) struct MoldSection {
    /// The heading.
    pub(crate) title: &'static str,
    /// What is to be known before the tables.
    pub(crate) lead: &'static str,
    /// Tables; one without a title stands right below the heading.
    pub(crate) tables: Vec<Table>,
}

/// So many places that no cutter reaches get a number in the picture.
pub(crate) const MOST_NUMBERED: usize = 9;

/// What is to be minded at the mill.
pub(crate) const CAUTIONS: [&str; 4] = [
    "Spindle and chips: guard the mill, wear eye protection, clamp the plate before the spindle turns, \
     and keep hands, hair and gloves away from it.",
    "Break every edge that hands touch, but not the edge of the cavity at the parting line.",
    "Prove the program in air or in wax first: one flipped axis mirrors the part.",
    "This is a calculation, not an approval: local codes and licensed practice come first.",
];

const WHERE: &str = "Places are seen on the parting face of each half, from the datum: the corner of \
     the block that the plans mark. On the + half, which is the mirror image, x runs to \
     the left and is negative. Numbers are those of the plans.";

const AROUND_THE_PART: &str = "STEP files in millimeters, in the pose of the part: flat faces are planes, drilled \
     holes cylinders of their true diameter where their rims cross flat faces only. Curved faces of the part \
     stay the facets of its STL, and so do the runner and what meets it. --milling-pose lays each half as on \
     the mill. cavity_levels.dxf and core_levels.dxf hold every level floor on a layer named by its depth, \
     and holes, feed and vents on theirs, seen on the parting face from the datum.";

const ON_THE_MILL: &str = "STEP files in millimeters. Each half lies as on the mill, in STL and 3MF too: parting \
     face up, the datum of the drill table at 0, 0, 0; part and feed keep the pose of the part. Flat faces are \
     planes, drilled holes cylinders of their true diameter where their rims cross flat faces only. Curved \
     faces of the part stay the facets of its STL, and so do the runner and what meets it. cavity_levels.dxf \
     and core_levels.dxf hold every level floor on a layer named by its depth, and holes, feed and vents on \
     theirs, from the same datum.";

/// The headings of the sheets, each of which begins a page on paper.
pub(crate) const SHEETS: [&str; 2] =
    ["Sheet for the cavity half", "Sheet for the core half"];

const BY_THE_SHEET: &str = "In this order, with what is clamped checked before the spindle turns. Depths and steps \
     are a beginning for aluminum on a small router: less where the cutter sings or chips weld on. Rows \
     are those of the drill table.";

const PROGRAMS: &str = "G-code (ISO 6983, RS-274), one file a tool, in the order of the sheets: absolute, in millimeters, G0 and \
     G1 only, from zero G54 as the head of each file says. Before a hole or slot the tool comes down at a feed of 300 mm/min, \
     so that you can stop it where metal was left. Below the half there has to be something that may be cut. Each was run over \
     a model of flat stock and cut nothing of the finished half deeper than 0.03 mm; none ran on a machine, and none knows clamps, \
     screws, chuck or tool length. Read it, run it above the work first, wear eye protection, stay at the stop. Speeds and \
     feeds are judgment; the maker of your machine, of the tool and local codes come first.";

/// The heading of what is drilled.
pub(crate) const DRILL: &str = "To drill, ream and mill besides the part";

/// The sections after the summary.
pub(crate) fn sections(report: &MoldReport) -> Vec<MoldSection> {
    let lengths = Lengths(report.shown_units);
    let rows = report.bill.iter().map(|item| {
        vec![
            item.count.to_string(),
            item.item.clone(),
            item.size.clone(),
            item.purpose.clone(),
        ]
    });
    let mut sections: Vec<MoldSection> =
        report.test_piece.iter().map(of_test_piece).collect();
    sections.extend([
        MoldSection {
            title: "Checks",
            lead: "",
            tables: vec![table(
                "",
                &["Check", "Value", "Limit", "Holds"],
                report.checks.iter().map(check).collect(),
            )],
        },
        MoldSection {
            title: "To buy",
            lead: "",
            tables: vec![table("", &["Count", "Item", "Size", "For"], rows.collect())],
        },
        MoldSection { title: DRILL, lead: WHERE, tables: drill(report, lengths) },
    ]);
    sections.extend(cutters(report));
    sections.extend(report.sheets.iter().map(|it| of_half(it, lengths)));
    sections.extend(programs(report));
    sections.push(for_cad(report));
    sections
}

fn of_half(of: &HalfSheet, lengths: Lengths) -> MoldSection {
    let title = match of.half {
        Role::Cavity => SHEETS[0],
        Role::Core => SHEETS[1],
    };
    MoldSection { title, lead: BY_THE_SHEET, tables: sheet(of, lengths) }
}

fn of_test_piece(sheet: &TestPieceSheet) -> MoldSection {
    let tables = test_piece::tables(sheet);
    MoldSection { title: test_piece::TITLE, lead: test_piece::LEAD, tables }
}

/// What the mold is, in a table.
pub(crate) fn summary(report: &MoldReport) -> Table {
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
    let several = (report.cavities > 1).then(|| {
        row("Cavities", format!("{} alike, each turned about the sprue", report.cavities))
    });
    let gate = gate(report).map(|line| row("Gate", line));
    let gate = several.into_iter().chain(gate);
    let rows = rows.into_iter().chain(gate).collect();
    table("", &["What", "Value"], rows)
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

/// A gate that was moved by more than this is said, mm.
const MOVED_MM: f64 = 0.1;

/// Where the gate is, and how far from where it was wanted.
pub(crate) fn gate(report: &MoldReport) -> Option<String> {
    let feed = report.feed.as_ref()?;
    let at = format::point(feed.gate_mm);
    Some(match feed.gate_moved_mm.filter(|moved| *moved > MOVED_MM) {
        Some(moved) => format!(
            "at {at} of the grown part, moved by {} from where it was wanted",
            format::quantity(moved, "mm")
        ),
        None => format!("at {at} of the grown part"),
    })
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

/// The checks that do not hold, each with what was measured and what it may be.
pub(crate) fn failed(report: &MoldReport) -> Vec<String> {
    let failed = report.checks.iter().filter(|check| check.ok == Some(false));
    failed
        .map(|it| {
            let limit = it.limit.map_or_else(String::new, |limit| {
                format!(", limit {}", format::quantity(limit, &it.unit))
            });
            format!("{}: {}{limit}", it.name, format::maybe(it.value, &it.unit))
        })
        .collect()
}

/// The programs for the mill, with what has to be set up for each.
fn programs(report: &MoldReport) -> Option<MoldSection> {
    let programs = report.programs.as_ref()?;
    let rows = programs.iter().map(|it| {
        let mut notes = it.left_out.clone();
        notes.extend(it.notes.iter().cloned());
        vec![
            it.file.clone(),
            it.up.to_owned(),
            it.tool.clone(),
            format!("{:.0}", it.stick_out_mm.ceil()),
            format!("{:.0}", it.spindle_rpm),
            format!("{:.1}", it.rapid_height_mm),
            format!("{:.2}", it.lowest_mm),
            format::number(it.below_half_mm),
            milling::minutes(it.time_min),
            notes.join("; "),
        ]
    });
    let columns = [
        "File",
        "Face up",
        "Tool",
        "Stick-out mm",
        "Turns a minute",
        "Rapid z mm",
        "Lowest z mm",
        "Below the half mm",
        "Time",
        "Mind",
    ];
    Some(MoldSection {
        title: "Programs for the mill",
        lead: PROGRAMS,
        tables: vec![table("", &columns, rows.collect())],
    })
}

/// The solids for CAD and CAM.
fn for_cad(report: &MoldReport) -> MoldSection {
    let rows = report.step_files.iter().map(|it| {
        let holes = match (it.round_holes, it.true_round_holes) {
            (0, _) => String::new(),
            (all, round) => format!("{round} of {all}"),
        };
        let left_out = |why: &String| format!("left out: {why}; take the STL");
        let faces = it.faces.map_or_else(String::new, |count| count.to_string());
        vec![it.file.clone(), it.left_out.as_ref().map_or(faces, left_out), holes]
    });
    MoldSection {
        title: "For CAD and CAM",
        lead: if report.pose == "milling" { ON_THE_MILL } else { AROUND_THE_PART },
        tables: vec![table(
            "",
            &["File", "Faces", "Round holes that are cylinders or cones"],
            rows.collect(),
        )],
    }
}

/// What the cutters do and what they leave.
fn cutters(report: &MoldReport) -> Option<MoldSection> {
    let uses = report.cutters.as_ref()?;
    let standing = report.unreached.as_ref()?;
    let left = |volume: f64| format::volume(Some(volume));
    let rows = vec![
        row("Left in the cavity half", left(standing.cavity_mm3)),
        row("Left in the core half", left(standing.core_mm3)),
        row("Thickest metal left", format::quantity(standing.worst_mm, "mm")),
        row("Both halves", milling::both_halves(standing.time_min, uses)),
    ];
    let mut tables = vec![table("", &["What", "Value"], rows)];
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
        tables.push(one);
    }
    tables.extend(milling::cutters(uses));
    Some(MoldSection { title: "To mill", lead: "", tables })
}
