//! A log of shots as a table: names and units in its first line, one shot a line after it.

use super::logged_shot::LoggedShot;
use crate::units::{FileError, Quantity, read};

/// Columns that a table may have, in any order.
const COLUMNS: [&str; 10] = [
    "part", "set", "melt", "mold", "grams", "filled", "reached", "full", "flash",
    "remark",
];

/// Reads the table.
///
/// # Errors
///
/// The first thing that is wrong, with its line and column.
pub(super) fn parse(text: &str) -> Result<Vec<LoggedShot>, FileError> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let broken = |error: &csv::Error| {
        let line = error.position().map_or(1, csv::Position::line);
        let problem = format!("the table cannot be read: {error}").replace('\n', " ");
        FileError {
            line: usize::try_from(line).unwrap_or(1),
            key: String::new(),
            problem,
        }
    };
    let head = reader.headers().map_err(|error| broken(&error))?.clone();
    let columns: Vec<(String, String)> = head.iter().map(column).collect();
    for (name, _) in &columns {
        if !COLUMNS.contains(&name.as_str()) {
            let problem = format!("no such column: write {}", COLUMNS.join(", "));
            return Err(FileError { line: 1, key: name.clone(), problem });
        }
    }
    let mut shots = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| broken(&error))?;
        let line = record.position().map_or(1, csv::Position::line);
        let line = usize::try_from(line).unwrap_or(1);
        let mut shot = LoggedShot { line, ..LoggedShot::default() };
        for ((name, unit), cell) in columns.iter().zip(record.iter()) {
            let put = put(&mut shot, name, unit, cell);
            put.map_err(|problem| FileError { line, key: name.clone(), problem })?;
        }
        shots.push(shot);
    }
    Ok(shots)
}

/// `melt [C]` as name and unit.
fn column(head: &str) -> (String, String) {
    let (name, unit) = head.split_once('[').unwrap_or((head, ""));
    let unit = unit.trim_end().trim_end_matches(']').trim();
    (name.trim().to_lowercase(), unit.to_owned())
}

fn put(shot: &mut LoggedShot, name: &str, unit: &str, cell: &str) -> Result<(), String> {
    if cell.is_empty() {
        return Ok(());
    }
    match name {
        "part" => cell.clone_into(&mut shot.part),
        "set" => shot.set = with_unit(cell, unit),
        "melt" => shot.melt = Some(quantity(cell, unit)?),
        "mold" => shot.mold = Some(quantity(cell, unit)?),
        "grams" => shot.grams = Some(quantity(cell, unit)?),
        "filled" => shot.filled = Some(quantity(cell, unit)?),
        "reached" => shot.reached = Some(quantity(cell, unit)?),
        "full" => shot.full = yes(cell)?,
        "flash" => shot.flash = yes(cell)?,
        _ => cell.clone_into(&mut shot.remark),
    }
    Ok(())
}

/// The cell with the unit of its column, unless it has its own.
fn with_unit(cell: &str, unit: &str) -> String {
    if cell.parse::<f64>().is_ok() { format!("{cell} {unit}") } else { cell.to_owned() }
}

fn quantity<Q: Quantity>(cell: &str, unit: &str) -> Result<Q, String> {
    read(&with_unit(cell, unit)).map_err(|error| error.to_string())
}

fn yes(cell: &str) -> Result<bool, String> {
    match cell.to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" => Ok(true),
        "no" | "n" | "false" | "0" => Ok(false),
        _ => Err(format!("{cell:?} is neither yes nor no")),
    }
}
