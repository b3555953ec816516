//! One shot of a log, whichever form the log has.

use serde::Deserialize;

use crate::units::{self, FileError, Length, Mass, Quantity, Ratio, Temperature};

/// One shot of a log.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LoggedShot {
    /// File of the part, beside the log.
    pub part: String,
    /// What the press was set to, in what is set at its drive.
    pub set: String,
    /// The melt as measured.
    #[serde(deserialize_with = "units::given_maybe")]
    pub melt: Option<Temperature>,
    /// The mold as measured.
    #[serde(deserialize_with = "units::given_maybe")]
    pub mold: Option<Temperature>,
    /// What the part weighed, its sprue and runner cut off.
    #[serde(deserialize_with = "units::given_maybe")]
    pub grams: Option<Mass>,
    /// Share of the part that was full.
    #[serde(deserialize_with = "units::given_maybe")]
    pub filled: Option<Ratio>,
    /// Length of way from the gate that was full.
    #[serde(deserialize_with = "units::given_maybe")]
    pub reached: Option<Length>,
    /// Whether all of it was full.
    pub full: bool,
    /// Whether it flashed.
    pub flash: bool,
    /// Anything else.
    pub remark: String,
    /// Where it stands in the log, from 1.
    #[serde(skip)]
    pub line: usize,
}

/// How far a shot filled its part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Filled {
    /// All of it.
    Full,
    /// So much of its weight.
    Weighed(Mass),
    /// So much of its volume, as somebody judged.
    Share(f64),
    /// So far from the gate.
    Reached(Length),
}

impl LoggedShot {
    /// How far it filled its part.
    pub fn how_far(&self) -> Option<Filled> {
        if self.full {
            return Some(Filled::Full);
        }
        let weighed = self.grams.map(Filled::Weighed);
        let reached = self.reached.map(Filled::Reached);
        let share = self.filled.map(|share| Filled::Share(share.si()));
        weighed.or(reached).or(share)
    }

    /// The first thing that cannot be, with its line and key.
    ///
    /// # Errors
    ///
    /// Where something is missing, or is no such value.
    pub(super) fn check(&self) -> Result<(), FileError> {
        let wrong = |key: &str, problem: &str| {
            Err(FileError {
                line: self.line,
                key: key.to_owned(),
                problem: problem.to_owned(),
            })
        };
        if self.part.is_empty() {
            return wrong("part", "is missing: the name of the part's STL file");
        }
        if self.set.is_empty() {
            return wrong(
                "set",
                "is missing: what the press was set to, such as \"4 bar\"",
            );
        }
        let stated =
            [self.grams.is_some(), self.filled.is_some(), self.reached.is_some()];
        let stated = stated.iter().filter(|it| **it).count();
        match (self.full, stated) {
            (false, 0) => {
                return wrong(
                    "grams",
                    "how far it filled is missing: grams, filled, reached or full",
                );
            }
            (false, 1) | (true, _) => {}
            (false, _) => return wrong("grams", "give one of grams, filled and reached"),
        }
        if self.grams.is_some_and(|it| !(1e-6..=10.0).contains(&it.si())) {
            return wrong("grams", "no part weighs that; write for example \"3.1 g\"");
        }
        if self.filled.is_some_and(|it| !(0.02..=1.0).contains(&it.si())) {
            return wrong(
                "filled",
                "is 2 % to 100 %; leave the shot out where less was full",
            );
        }
        if self.reached.is_some_and(|it| !(1e-3..=5.0).contains(&it.si())) {
            return wrong("reached", "no way is that long; write for example \"62 mm\"");
        }
        Ok(())
    }
}
