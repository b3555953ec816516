//! The section about a test piece: its steps, the shots to make, and what to write down.

use crate::report::blocks::Table;
use crate::schema::mold::test_piece::TestPieceSheet;
use crate::units::format::{self, number};

/// The heading.
pub(super) const TITLE: &str = "Shots to make";

/// What is done with it.
pub(super) const LEAD: &str = "The strip shows how far the melt flows. The press and the mold are warm and in rhythm \
     first. One shot at each setting below, the gentlest first, is made twice; throw away shots whose rhythm was \
     broken. Lines cross one side of the strip every 5 mm, and all of it every 20 mm: count them from the gate to the \
     end of the melt and write one line a shot into shots.toml, with test-piece.toml beside it: \
     { part = \"test piece\", set = \"…\", melt = \"…\", mold = \"…\", reached = \"… mm\" }. Melt and mold are written \
     as measured. Then run \"goodshot calibrate shots.toml\" with the same press and plastic: it says which shot to \
     make next, and writes what every later check uses. Keep clear of the nozzle and wear eye protection: short \
     shots spit when the nozzle is drawn off.";

/// Its tables.
pub(super) fn tables(sheet: &TestPieceSheet) -> Vec<Table> {
    let steps = sheet.steps.iter().map(|step| {
        vec![
            format::quantity(step.wall_mm, "mm"),
            format::quantity(step.from_mm, "mm"),
            format::quantity(step.to_mm, "mm"),
        ]
    });
    let shots = sheet.shots.iter().map(|shot| {
        vec![
            shot.set_to.clone(),
            format!("{} mm", number(shot.reaches_mm)),
            format::quantity(shot.wall_mm, "mm"),
        ]
    });
    let table = |title: &str, columns: [&'static str; 3], rows: Vec<Vec<String>>| Table {
        title: title.to_owned(),
        columns: columns.to_vec(),
        rows,
    };
    let sure = if sheet.surely_fills {
        "the press surely fills all of it"
    } else {
        "this press does not surely fill all of it"
    };
    let title = format!(
        "Strip, {} wide and {} long; {sure}",
        format::quantity(sheet.width_mm, "mm"),
        format::quantity(sheet.length_mm, "mm"),
    );
    let mut tables =
        vec![table(&title, ["Wall", "From the gate", "To"], steps.collect())];
    if !sheet.shots.is_empty() {
        let columns = ["Set the press to", "Should reach, uncalibrated", "Wall there"];
        tables.push(table("", columns, shots.collect()));
    }
    tables
}
