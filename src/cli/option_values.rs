//! What is typed as the value of an option, read into settings.

use crate::cli::memory::Bytes;
use crate::fill::cells::Resolution;
use crate::geom::{Direction, Point, Vector};
use crate::mold::milling::outcome::CellSize;
use crate::process::evaluation::Dimension;
use crate::process::plastic::cavity_sizes::Kind;
use crate::process::sourced::Range;
use crate::settings::FileUnit;
use crate::units::us_words::ShownUnits;
use crate::units::{self, Length, Quantity, Ratio, Temperature, Time};

/// More would take hours.
const MOST_CELLS: usize = 2_000_000;

/// A text that is none of what was asked for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{given:?} is no {what}: write {example}")]
pub(super) struct NotUnderstood {
    given: String,
    what: &'static str,
    example: &'static str,
}

/// With less memory nothing is checked, bytes.
const LEAST_MEMORY: f64 = 100e6;

/// Nobody holds, cools or dries longer than this: a week, s.
const MOST_S: f64 = 7.0 * 86_400.0;

/// Reads a time at the press, such as "25 s", "10 min" or "3 h".
///
/// # Errors
/// When it is none, or longer than a week.
pub(super) fn time(text: &str) -> Result<Time, String> {
    let otherwise =
        "write a time of up to a week, such as \"25 s\", \"10 min\" or \"3 h\"";
    units::read_if(text, |it: Time| (0.0..=MOST_S).contains(&it.si()), otherwise)
}

/// Reads how much memory may be taken, such as "2 GB" or "512 MiB".
///
/// # Errors
/// When it is none, or less than any check takes.
pub(super) fn memory(text: &str) -> Result<Bytes, String> {
    let otherwise = "a check takes at least 100 MB of memory: write for example \"2 GB\"";
    units::read_if(text, |it: Bytes| it.si() >= LEAST_MEMORY, otherwise)
}

/// Reads the unit of a file's numbers: `mm`, `cm`, `m` or `in`.
///
/// # Errors
/// When the text is no unit of a file.
pub(super) fn file_unit(text: &str) -> Result<FileUnit, NotUnderstood> {
    match text.trim().to_lowercase().as_str() {
        "mm" => Ok(FileUnit::Millimeter),
        "cm" => Ok(FileUnit::Centimeter),
        "m" => Ok(FileUnit::Meter),
        "in" | "inch" => Ok(FileUnit::Inch),
        _ => Err(NotUnderstood {
            given: text.to_owned(),
            what: "unit",
            example: "mm, cm, m or in",
        }),
    }
}

/// Reads the units that people read: `mm` or `in`.
///
/// # Errors
/// When it is neither.
pub(super) fn shown_units(text: &str) -> Result<ShownUnits, NotUnderstood> {
    match text.trim().to_lowercase().as_str() {
        "mm" | "metric" => Ok(ShownUnits::Metric),
        "in" | "inch" => Ok(ShownUnits::UsCustomary),
        _ => Err(NotUnderstood {
            given: text.to_owned(),
            what: "units",
            example: "mm or in",
        }),
    }
}

/// Reads a pull direction: `+z`, `-x`, `y`, or three numbers such as `0,0.5,1`.
///
/// # Errors
/// When the text is neither, or the three numbers have no direction.
pub(super) fn pull(text: &str) -> Result<Direction, NotUnderstood> {
    let wrong = || NotUnderstood {
        given: text.to_owned(),
        what: "pull direction",
        example: "+z, -x or three numbers such as 0,0.5,1",
    };
    let plain = text.trim().to_lowercase();
    let (turned, axis) = match plain.strip_prefix('-') {
        Some(axis) => (true, axis),
        None => (false, plain.strip_prefix('+').unwrap_or(&plain)),
    };
    let named = match axis {
        "x" => Some(Direction::X),
        "y" => Some(Direction::Y),
        "z" => Some(Direction::Z),
        _ => None,
    };
    if let Some(direction) = named {
        return Ok(if turned { direction.reversed() } else { direction });
    }
    let along = three_numbers(&plain).and_then(|at| Direction::new(Vector::from(at)));
    along.ok_or_else(wrong)
}

/// Three numbers apart by commas or blanks; `None` when they are not three, or endless.
fn three_numbers(text: &str) -> Option<[f64; 3]> {
    let parts = text.split([',', ' ']).filter(|part| !part.is_empty());
    let numbers: Option<Vec<f64>> = parts
        .map(|part| part.parse().ok().filter(|number: &f64| number.is_finite()))
        .collect();
    numbers?.try_into().ok()
}

/// Reads a length of the part and what forms it: "48 mm" between outer walls, "8 mm inside"
/// for a hole or the inside of walls, "30 mm between" from hole to hole; and the axis that it
/// lies along, as in "8 mm inside along x".
///
/// # Errors
/// When the text is no length, or no length that a part has.
pub(super) fn dimension(text: &str) -> Result<Dimension, String> {
    let (plain, along) = match text.trim().rsplit_once(" along ") {
        Some((rest, name)) => (rest.trim_end(), Some(axis(name)?)),
        None => (text.trim(), None),
    };
    let kinds = [
        ("inside", Kind::Inside),
        ("between", Kind::Between),
        ("outside", Kind::Outside),
    ];
    let named = kinds.iter().find_map(|(word, kind)| {
        plain.strip_suffix(word).map(|rest| (rest.trim_end(), *kind))
    });
    let (length, kind) = named.unwrap_or((plain, Kind::Outside));
    let length: Length = units::read(length).map_err(|error| error.to_string())?;
    if units::in_mm(length) > 0.0 {
        Ok(Dimension { length, kind, along })
    } else {
        Err("a dimension is more than nothing, such as \"48 mm\"".to_owned())
    }
}

/// The axis of the part that a user names.
fn axis(name: &str) -> Result<usize, String> {
    let wanted = name.trim().to_lowercase();
    let found = ["x", "y", "z"].iter().position(|axis| *axis == wanted);
    found.ok_or_else(|| format!("{name:?} is no axis of the part: write x, y or z"))
}

/// More shrinks no plastic (foamed and unfilled PE come to 4 %, common practice).
const MOST_SHRINKAGE: f64 = 0.2;

/// Reads the shrinkage along one axis of the part: "x: 1.8 %", or a band as in
/// "x: 1.6 % to 2 %".
///
/// # Errors
/// When the text is no axis and share, or no plastic shrinks so.
pub(super) fn shrink_along(text: &str) -> Result<(usize, Range<Ratio>), String> {
    let (name, band) = text.split_once(':').ok_or_else(|| {
        format!("{text:?} is no shrinkage along an axis: write as in \"x: 1.8 %\"")
    })?;
    let axis = axis(name)?;
    let share =
        |text: &str| units::read::<Ratio>(text).map_err(|error| error.to_string());
    let (low, high, typical) = match band.split_once(" to ") {
        Some((low, high)) => (share(low)?, share(high)?, None),
        None => (share(band)?, share(band)?, Some(share(band)?)),
    };
    if 0.0 <= low.si() && low <= high && high.si() <= MOST_SHRINKAGE {
        Ok((axis, Range { low, high, typical }))
    } else {
        Err(format!("{text:?}: shrinkage is a share of 0 to 20 %, the lower end first"))
    }
}

/// Reads a temperature: "240 C" or "464 F". Whether a plastic can be molded so is seen when
/// the plastic is known.
///
/// # Errors
/// When the text is no temperature.
pub(super) fn temperature(text: &str) -> Result<Temperature, String> {
    let otherwise = "a temperature is above absolute zero, -273.15 C";
    units::read_if(text, |it: Temperature| it.si() > 0.0, otherwise)
}

/// Reads a point of the part: three numbers in mm, such as `12,0,4.5`.
///
/// # Errors
/// When the text is not three numbers.
pub(super) fn point(text: &str) -> Result<Point, NotUnderstood> {
    three_numbers(text).map(Point::from).ok_or_else(|| NotUnderstood {
        given: text.to_owned(),
        what: "point",
        example: "three numbers in mm, such as 12,0,4.5",
    })
}

/// Reads how fine the part is cut into cells: their number, or their edge as a length.
///
/// # Errors
/// When the text is neither, or there would be no cell or far too many.
pub(super) fn cells(text: &str) -> Result<Resolution, String> {
    let wrong = || {
        format!(
            "cells are a number of them, 100 to {MOST_CELLS}, or an edge such as \"0.8 mm\""
        )
    };
    if let Ok(count) = text.trim().parse::<usize>() {
        let is_sound = (100..=MOST_CELLS).contains(&count);
        return is_sound.then_some(Resolution::Budget(count)).ok_or_else(wrong);
    }
    let edge: Length = units::read(text).map_err(|_| wrong())?;
    let edge_mm = units::in_mm(edge);
    let is_sound = (0.02..=100.0).contains(&edge_mm);
    is_sound.then_some(Resolution::EdgeMm(edge_mm)).ok_or_else(wrong)
}

/// Reads how fine the halves are looked at for the cutters.
///
/// # Errors
/// When the text is no length, or no cell that helps.
pub(super) fn mill_cell(text: &str) -> Result<CellSize, String> {
    let is_sound = |edge: Length| (0.01..=5.0).contains(&units::in_mm(edge));
    let otherwise = "a cell for the cutters is 0.01 mm to 5 mm wide";
    Ok(CellSize::Edge(units::in_mm(units::read_if(text, is_sound, otherwise)?)))
}

#[cfg(test)]
mod tests {
    use super::{cells, dimension, file_unit, point, pull, shrink_along, temperature};
    use crate::fill::cells::Resolution;
    use crate::geom::{Direction, Point, Vector};
    use crate::process::plastic::cavity_sizes::Kind;
    use crate::settings::FileUnit;
    use crate::units::{self, Quantity};

    #[test]
    fn a_dimension_says_what_forms_it() {
        for (text, length, kind) in [
            ("48 mm", 48.0, Kind::Outside),
            ("8 mm inside", 8.0, Kind::Inside),
            ("1 in between", 25.4, Kind::Between),
            ("3 cm outside", 30.0, Kind::Outside),
        ] {
            let seen = dimension(text).unwrap();
            assert!((units::in_mm(seen.length) - length).abs() < 1e-9, "{text}");
            assert_eq!(seen.kind, kind, "{text}");
        }
        for bad in ["48", "0 mm", "-1 mm", "inside", "48 mm across"] {
            assert!(dimension(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn an_axis_has_its_own_shrinkage_and_its_own_lengths() {
        let (axis, band) = shrink_along("y: 1.6 % to 2 %").unwrap();
        assert_eq!((axis, band.typical), (1, None));
        assert!(
            (band.low.si() - 0.016).abs() < 1e-12
                && (band.high.si() - 0.02).abs() < 1e-12
        );
        let (axis, band) = shrink_along("Z: 0.8 %").unwrap();
        assert_eq!((axis, band.typical), (2, Some(band.low)));
        for bad in
            ["1.8 %", "w: 1 %", "x: 2 % to 1 %", "x: 30 %", "x: -1 %", "x: 1.8", "x:"]
        {
            assert!(shrink_along(bad).is_err(), "{bad}");
        }
        let seen = dimension("8 mm inside along x").unwrap();
        assert_eq!((seen.kind, seen.along), (Kind::Inside, Some(0)));
        assert_eq!(dimension("48 mm").unwrap().along, None);
        assert!(dimension("8 mm along w").is_err());
    }

    #[test]
    fn a_pull_is_an_axis_or_three_numbers() {
        assert_eq!(pull("+z").unwrap(), Direction::Z);
        assert_eq!(pull(" -X ").unwrap(), Direction::X.reversed());
        let slanted = Direction::new(Vector::new(0.0, 3.0, -4.0)).unwrap();
        assert_eq!(pull("0, 3, -4").unwrap(), slanted);
        for bad in ["", "up", "0,0,0", "1,2", "1,2,nan", "--z", "1,2,3,4"] {
            let error = pull(bad).unwrap_err().to_string();
            assert!(error.contains("+z"), "{error}");
        }
    }

    #[test]
    fn a_gate_is_a_point_and_cells_a_number_or_an_edge() {
        assert_eq!(point("1, -2.5,0"), Ok(Point::new(1.0, -2.5, 0.0)));
        for bad in ["1,2", "1,2,x", "1,2,inf", "", "1,2,3,4"] {
            assert!(point(bad).unwrap_err().to_string().contains("12,0,4.5"), "{bad}");
        }
        assert_eq!(cells("20000"), Ok(Resolution::Budget(20_000)));
        assert_eq!(cells("0.5 mm"), Ok(Resolution::EdgeMm(0.5)));
        for bad in ["0", "0 mm", "-1 mm", "3000000000", "fine", "0.5"] {
            assert!(cells(bad).unwrap_err().contains("0.8 mm"), "{bad}");
        }
    }

    #[test]
    fn a_temperature_has_a_unit() {
        for text in ["240 C", "464 F", "513.15 K"] {
            assert!((units::in_celsius(temperature(text).unwrap()) - 240.0).abs() < 1e-9);
        }
        for bad in ["240", "-300 C", "hot", "", "1e999 C"] {
            assert!(temperature(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_unit_is_named() {
        assert_eq!(file_unit("IN"), Ok(FileUnit::Inch));
        assert!(file_unit("feet").unwrap_err().to_string().contains("mm, cm, m or in"));
    }
}
