//! A log of shots: what was set, what came out, one line a shot.
//!
//! As TOML, each shot on one line, or as a table with commas whose head gives names and units:
//!
//! ```toml
//! shots = [
//!     { part = "strip.stl", set = "4 bar", melt = "230 C", mold = "35 C", reached = "62 mm" },
//!     { part = "strip.stl", set = "5 bar", grams = "3.1 g", remark = "third of the session" },
//! ]
//! ```
//!
//! ```text
//! part,set [bar],melt [C],mold [C],grams [g],full,flash,remark
//! strip.stl,4,230,35,2.6,no,no,
//! ```

use serde::Deserialize;

use super::log_table;
pub use super::logged_shot::{Filled, LoggedShot};
use crate::units::{self, FileError};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    shots: Vec<toml::Spanned<LoggedShot>>,
}

/// No log has more shots.
pub const MOST_SHOTS: usize = 200;

/// Reads a log: TOML, or a table where its first line has commas and no equals sign.
///
/// # Errors
///
/// The first thing that is wrong, with its line and key.
pub fn parse(text: &str) -> Result<Vec<LoggedShot>, FileError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().map(str::trim).find(|line| !line.is_empty());
    let is_table = first.is_some_and(|line| line.contains(',') && !line.contains('='));
    let shots = if is_table { log_table::parse(text)? } else { of_toml(text)? };
    if shots.is_empty() || shots.len() > MOST_SHOTS {
        let problem =
            format!("a log has 1 to {MOST_SHOTS} shots, this one {}", shots.len());
        return Err(FileError { line: 1, key: "shots".to_owned(), problem });
    }
    shots.iter().try_for_each(LoggedShot::check)?;
    Ok(shots)
}

fn of_toml(text: &str) -> Result<Vec<LoggedShot>, FileError> {
    let file: File = units::from_toml(text)?;
    let line =
        |start: usize| text.get(..start).unwrap_or_default().matches('\n').count() + 1;
    let numbered = |shot: toml::Spanned<LoggedShot>| {
        let line = line(shot.span().start);
        LoggedShot { line, ..shot.into_inner() }
    };
    Ok(file.shots.into_iter().map(numbered).collect())
}

#[cfg(test)]
mod tests {
    use super::{Filled, parse};
    use crate::units::{Quantity, in_celsius, in_grams, in_mm};

    const TOML: &str = "shots = [\n  { part = 'a.stl', set = '4 bar', melt = '230 C', mold = '95 F', reached = '62 mm' },\n  { part = 'a.stl', set = '5 bar', grams = '3.1 g', flash = true, remark = 'third' },\n  { part = 'b.stl', set = '60 psi', full = true },\n]\n";
    const TABLE: &str = "part,set [bar],melt [C],mold [F],reached [mm],grams [g],flash,full,remark\n\
        a.stl,4,230,95,62,,no,no,\na.stl,5,,,,3.1,yes,,third\nb.stl,60 psi,,,,,,yes,\n";

    /// The same three shots in both forms.
    #[test]
    fn a_log_is_read_as_toml_and_as_a_table() {
        let [toml, mut table] = [TOML, TABLE].map(|text| parse(text).unwrap());
        assert_eq!(toml.len(), 3);
        assert_eq!(toml.iter().map(|it| it.line).collect::<Vec<_>>(), [2, 3, 4]);
        assert_eq!(table.iter().map(|it| it.line).collect::<Vec<_>>(), [2, 3, 4]);
        table.iter_mut().zip(&toml).for_each(|(it, other)| it.set.clone_from(&other.set));
        assert_eq!(toml, table);
        assert!((in_celsius(toml[0].mold.unwrap()) - 35.0).abs() < 1e-9);
        assert!(
            matches!(toml[0].how_far(), Some(Filled::Reached(way)) if (in_mm(way) - 62.0).abs() < 1e-9)
        );
        assert!(
            matches!(toml[1].how_far(), Some(Filled::Weighed(it)) if (in_grams(it) - 3.1).abs() < 1e-9)
        );
        assert_eq!(toml[2].how_far(), Some(Filled::Full));
        assert_eq!(parse(TABLE).unwrap()[0].set, "4 bar");
        assert_eq!(parse(TABLE).unwrap()[2].set, "60 psi");
        assert!(toml[1].grams.unwrap().si() > 0.0);
    }

    #[test]
    fn what_is_wrong_is_named_by_line_and_key() {
        let toml = |from: &str, to: &str| parse(&TOML.replace(from, to)).unwrap_err();
        let table = |from: &str, to: &str| parse(&TABLE.replace(from, to)).unwrap_err();
        for (error, line, key) in [
            (toml("grams = '3.1 g'", "grams = 3.1"), 3, "{ part"),
            (toml("grams = '3.1 g', ", ""), 3, "grams"),
            (toml("grams = '3.1 g'", "grams = '3.1 g', filled = '50 %'"), 3, "grams"),
            (toml("'62 mm'", "'62 m'"), 2, "reached"),
            (toml("part = 'b.stl', ", ""), 4, "part"),
            (table("a.stl,4", ",4"), 2, "part"),
            (table(",62,", ",62 kg,"), 2, "reached"),
            (table("melt [C]", "melt [bar]"), 2, "melt"),
            (table("grams [g]", "weight [g]"), 1, "weight"),
            (table("yes,,third", "perhaps,,third"), 3, "flash"),
        ] {
            assert_eq!((error.line, error.key.as_str()), (line, key), "{error}");
            assert!(!error.to_string().contains('\n'));
        }
        assert!(parse("shots = []").is_err() && parse("").is_err());
    }
}
