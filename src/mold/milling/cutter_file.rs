//! From the text of a cutters file to a checked list.

use serde::Deserialize;

use super::cutter::{Cutter, Kind};
use crate::units::{
    Angle, FileError, Length, Quantity, Velocity, from_mm, from_toml, given, given_maybe,
    in_mm,
};

/// The cutters at hand, and the holder that they share.
#[derive(Clone, Debug, PartialEq)]
pub struct CutterList {
    /// What the user calls the list.
    pub name: String,
    /// The widest first; of a size the flat before the ball.
    pub cutters: Vec<Cutter>,
}

/// Why a list of cutters could not be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CutterError {
    /// The file is not as it should be.
    #[error("{0}; \"goodshot cutters --template\" shows a whole file")]
    File(FileError),
    /// A value that no cutter has.
    #[error("cutter {number} ({name}): {problem}")]
    Value {
        /// Which one of the file, from 1.
        number: usize,
        /// What it is called there.
        name: String,
        /// What is wrong, and what to write.
        problem: String,
    },
    /// There is none.
    #[error("the list holds no cutter: write at least one [[cutter]]")]
    Empty,
}

// Without a source: the message above holds the inner text already.
impl From<FileError> for CutterError {
    fn from(error: FileError) -> Self {
        Self::File(error)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    name: String,
    #[serde(deserialize_with = "given")]
    holder: Length,
    #[serde(default)]
    cutter: Vec<WrittenCutter>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenCutter {
    #[serde(default)]
    name: Option<String>,
    kind: Kind,
    #[serde(deserialize_with = "given")]
    diameter: Length,
    #[serde(default, deserialize_with = "given_maybe")]
    corner_radius: Option<Length>,
    #[serde(default, deserialize_with = "given_maybe")]
    taper: Option<Angle>,
    #[serde(deserialize_with = "given")]
    flute: Length,
    #[serde(default, deserialize_with = "given_maybe")]
    reach: Option<Length>,
    #[serde(deserialize_with = "given")]
    shank: Length,
    #[serde(deserialize_with = "given")]
    stickout: Length,
    #[serde(default, deserialize_with = "given_maybe")]
    holder: Option<Length>,
    #[serde(default, deserialize_with = "given_maybe")]
    feed: Option<Velocity>,
}

/// No router turns a wider one: a slip in a unit.
const WIDEST_MM: f64 = 100.0;
/// No spindle of such a mill holds anything longer or wider: a slip in a unit.
const LONGEST_MM: f64 = 500.0;

impl CutterList {
    /// Reads a cutters file.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong, by line and key or by cutter.
    pub fn parse(text: &str) -> Result<Self, CutterError> {
        let written: Written = from_toml(text)?;
        let holder = in_mm(written.holder);
        let cutters = written.cutter.into_iter().enumerate();
        let mut cutters: Vec<Cutter> =
            cutters
                .map(|(index, cutter)| {
                    checked(cutter, holder).map_err(|(name, problem)| {
                        CutterError::Value { number: index + 1, name, problem }
                    })
                })
                .collect::<Result<_, _>>()?;
        if cutters.is_empty() {
            return Err(CutterError::Empty);
        }
        cutters.sort_by(|a, b| {
            b.diameter.total_cmp(&a.diameter).then(a.corner.total_cmp(&b.corner))
        });
        Ok(Self { name: written.name, cutters })
    }

    /// The built-in list: what a small router is likely to have.
    ///
    /// # Errors
    ///
    /// None in practice: the file is part of the program and a test reads it.
    pub fn builtin() -> Result<Self, CutterError> {
        Self::parse(include_str!("cutters.toml"))
    }

    /// A commented cutters file, ready to be changed.
    pub fn template() -> &'static str {
        include_str!("cutters-template.toml")
    }

    /// Diameters of the ball cutters: runners are as wide as one of them.
    pub fn runner_cutters(&self) -> Vec<Length> {
        let balls = self.cutters.iter().filter(|cutter| cutter.kind == Kind::Ball);
        balls.map(|cutter| from_mm(cutter.diameter)).collect()
    }
}

fn checked(from: WrittenCutter, holder: f64) -> Result<Cutter, (String, String)> {
    let diameter = in_mm(from.diameter);
    let plain = Cutter {
        name: String::new(),
        kind: from.kind,
        diameter,
        corner: match from.kind {
            Kind::Ball => diameter / 2.0,
            _ => from.corner_radius.map_or(0.0, in_mm),
        },
        taper: from.taper.map_or(0.0, Quantity::si),
        flute: in_mm(from.flute),
        reach: in_mm(from.reach.unwrap_or(from.flute)),
        shank: in_mm(from.shank),
        stickout: in_mm(from.stickout),
        holder: from.holder.map_or(holder, in_mm),
        feed: from.feed.map(|feed| feed.si() * 1e3),
    };
    let name = from.name.unwrap_or_else(|| plain.describe());
    let problem = problem(&plain, [from.corner_radius.is_some(), from.taper.is_some()]);
    match problem {
        Some(problem) => Err((name, problem.to_owned())),
        None => Ok(Cutter { name, ..plain }),
    }
}

/// What no such cutter is like.
fn problem(of: &Cutter, [has_corner, has_taper]: [bool; 2]) -> Option<&'static str> {
    let positive = [of.diameter, of.flute, of.reach, of.shank, of.stickout, of.holder];
    let corner_fits = (0.0..=of.radius() * (1.0 + 1e-9)).contains(&of.corner);
    let wrong = [
        (
            positive.iter().any(|&length| length <= 0.0),
            "every length must be more than nothing, as in \"3 mm\"",
        ),
        (
            of.diameter > WIDEST_MM,
            "diameter: no mill turns one that wide; is the unit right?",
        ),
        (
            positive.iter().any(|&length| length > LONGEST_MM),
            "no cutter, shank or holder measures more than 500 mm; is the unit right?",
        ),
        (
            of.kind == Kind::Flat && has_corner,
            "corner_radius: a flat has none; write kind = \"bull\"",
        ),
        (
            of.kind == Kind::Ball && has_corner,
            "corner_radius: that of a ball is half its diameter; leave it out",
        ),
        (
            of.kind == Kind::Bull && !has_corner,
            "corner_radius: a bull nose needs one, as in \"0.5 mm\"",
        ),
        (!corner_fits, "corner_radius: from nothing to half the diameter"),
        (
            (of.kind == Kind::Tapered) != has_taper,
            "taper: the angle of a side to the axis, as in \"5 deg\", for a tapered one only",
        ),
        (
            has_taper && !(0.1_f64.to_radians()..=1.3).contains(&of.taper),
            "taper: from 0.1 deg to 74 deg",
        ),
        (of.flute > of.reach, "reach: not shorter than the flute"),
        (of.reach > of.stickout, "stickout: not shorter than the reach"),
        (of.holder < of.shank, "holder: not narrower than the shank"),
        (of.feed.is_some_and(|feed| feed <= 0.0), "feed: more than nothing"),
    ];
    wrong.into_iter().find_map(|(is, problem)| is.then_some(problem))
}

#[cfg(test)]
mod tests {
    use super::CutterList;
    use crate::mold::milling::cutter::Kind;
    use crate::units::in_mm;

    #[test]
    fn the_built_in_list_and_the_template_are_valid() {
        let builtin = CutterList::builtin().unwrap();
        let sizes: Vec<f64> = builtin.cutters.iter().map(|it| it.diameter).collect();
        assert!(sizes.is_sorted_by(|a, b| a >= b), "{sizes:?}");
        assert!(sizes.len() >= 8 && sizes.contains(&0.5), "{sizes:?}");
        let runners: Vec<f64> = builtin.runner_cutters().into_iter().map(in_mm).collect();
        assert_eq!(runners.len(), 2);
        assert!((runners[0] - 6.0).abs() < 1e-9 && (runners[1] - 3.0).abs() < 1e-9);
        let template = CutterList::parse(CutterList::template()).unwrap();
        for kind in [Kind::Flat, Kind::Ball, Kind::Bull, Kind::Tapered] {
            assert!(template.cutters.iter().any(|it| it.kind == kind), "{kind:?}");
        }
    }

    #[test]
    fn refuses_by_line_key_or_cutter() {
        let good = CutterList::template();
        for (from, to, part) in [
            ("diameter = \"6 mm\"", "diameter = 6", "line 11, diameter"),
            ("kind = \"flat\"", "kind = \"round\"", "kind"),
            ("diameter = \"6 mm\"", "diameter = \"0 mm\"", "cutter 1"),
            ("diameter = \"6 mm\"", "diameter = \"6 m\"", "unit right"),
            ("holder = \"25 mm\"", "", "\"holder\" is missing"),
            (
                "corner_radius = \"0.5 mm\"",
                "corner_radius = \"3 mm\"",
                "half the diameter",
            ),
            ("corner_radius = \"0.5 mm\"", "", "bull nose needs one"),
            ("taper = \"5 deg\"", "", "for a tapered one"),
            ("stickout = \"30 mm\"", "stickout = \"3 mm\"", "not shorter than the reach"),
            ("flute", "flutes", "flutes"),
        ] {
            assert!(good.contains(from), "{from}");
            let error = CutterList::parse(&good.replacen(from, to, 1)).unwrap_err();
            let error = error.to_string();
            assert!(error.contains(part) && !error.contains('\n'), "{error}");
        }
        let none = CutterList::parse("name = 'n'\nholder = '20 mm'").unwrap_err();
        assert!(none.to_string().contains("no cutter"));
    }
}
