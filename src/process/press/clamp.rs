//! What holds the mold closed, by its kind.

use serde::Deserialize;

use super::file_error::{PressError, positive, positive_maybe, wrong};
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates;
use crate::units::{self, Force, Length, Quantity};

/// What holds the mold closed: exactly one kind.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clamp {
    /// Bolts through the mold.
    pub bolts: Option<Bolts>,
    /// A vise, by its force.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub vise: Option<Force>,
    /// C-clamps, each by its force and its place.
    #[serde(default)]
    pub c_clamps: Vec<PointClamp>,
    /// Toggle clamps, each by its force and its place.
    #[serde(default)]
    pub toggles: Vec<PointClamp>,
    /// Anything else, by its force; of C-clamps and toggles the sum, worked out when the file is
    /// read.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub force: Option<Force>,
    /// Width of the jaws of a vise, along the longer edge of the mold; as wide as the mold if
    /// not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub jaw: Option<Length>,
    /// Where a vise or force squeezes, from the middle of the mold, along its longer and its
    /// shorter edge; in the middle if not given. Of several clamps where their forces balance.
    #[serde(default, deserialize_with = "mold_plates::pair")]
    pub off_middle: Option<[Length; 2]>,
}

/// A clamp that squeezes at one place.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PointClamp {
    /// What it squeezes with, where that is known.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub force: Option<Force>,
    /// What it is sold for: the rated load of a C-clamp, the holding capacity of a toggle.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub rating: Option<Force>,
    /// Where it squeezes, from the middle of the mold, along its longer and its shorter edge.
    #[serde(default, deserialize_with = "mold_plates::pair")]
    pub at: Option<[Length; 2]>,
}

/// What a hand surely puts on a C-clamp, over its rating: it is turned to 60 %, and misses that
/// by up to 40 % (common practice).
pub const C_CLAMP_SHARE: f64 = 0.6 * (1.0 - 0.4);
/// What a toggle presses with, over its holding capacity: the capacity is what it withstands, and a
/// hand closes it with about half of that (a maker's rule).
pub const TOGGLE_SHARE: f64 = 0.5;
/// Farther from the middle of a mold nothing squeezes it.
const MOST_OFF_M: f64 = 1.0;
/// More clamps than this do not fit around a small mold.
const MOST_CLAMPS: usize = 24;
const TABLE: &str = "clamp";

impl Clamp {
    /// What holds the halves, such as "4 bolts M8 of class 8.8".
    pub fn in_words(&self) -> String {
        let several = |clamps: &[PointClamp], one: &str, rule: &str| {
            let plural = if clamps.len() == 1 { "" } else { "s" };
            let is_rated = clamps.iter().any(|clamp| clamp.rating.is_some());
            let rule = if is_rated { rule } else { "" };
            format!("{} {one}{plural}{rule}", clamps.len())
        };
        match self {
            Self { bolts: Some(bolts), .. } => format!(
                "{} bolts {}, at the low end of their preload",
                bolts.count,
                bolts.in_words()
            ),
            Self { vise: Some(_), .. } => "vise".to_owned(),
            Self { c_clamps, .. } if !c_clamps.is_empty() => {
                several(c_clamps, "C-clamp", ", at what a hand surely turns them to")
            }
            Self { toggles, .. } if !toggles.is_empty() => several(
                toggles,
                "toggle clamp",
                ", at half of what they are sold to hold",
            ),
            Self { .. } => "as stated".to_owned(),
        }
    }

    /// Writes the sum of single clamps as the force, and where they balance as its place.
    ///
    /// # Errors
    ///
    /// A clamp without a force, or two kinds at once.
    pub(super) fn settle(&mut self) -> Result<(), PressError> {
        let (clamps, share, kind) = match (&*self.c_clamps, &*self.toggles) {
            ([], []) => return Ok(()),
            (clamps, []) => (clamps, C_CLAMP_SHARE, "c_clamps"),
            ([], clamps) => (clamps, TOGGLE_SHARE, "toggles"),
            _ => return Err(wrong(TABLE, ONE_KIND)),
        };
        if self.bolts.is_some() || self.vise.is_some() || self.force.is_some() {
            return Err(wrong(TABLE, ONE_KIND));
        }
        if self.off_middle.is_some() {
            let problem =
                format!("off_middle: give at = [\"30 mm\", \"0 mm\"] to each of {kind}");
            return Err(wrong(TABLE, problem));
        }
        let placed = clamps.iter().filter(|clamp| clamp.at.is_some()).count();
        if placed != 0 && placed != clamps.len() || clamps.len() > MOST_CLAMPS {
            let problem = format!(
                "{kind}: at most {MOST_CLAMPS}, and give at to each of them or to none"
            );
            return Err(wrong(TABLE, problem));
        }
        let mut sum = Force::default();
        let mut moments = [0.0; 2];
        for clamp in clamps {
            let force = clamp.force(share, kind)?;
            sum += force;
            let at = clamp.at.unwrap_or_default().map(Length::si);
            moments = [0, 1].map(|axis| moments[axis] + force.si() * at[axis]);
        }
        self.force = Some(sum);
        let balanced = || moments.map(|moment| Length::from_si(moment / sum.si()));
        self.off_middle = (placed > 0).then(balanced);
        Ok(())
    }

    /// The first thing that cannot be.
    ///
    /// # Errors
    ///
    /// By table and key.
    pub(super) fn check(&self) -> Result<(), PressError> {
        match (&self.bolts, self.vise, self.force) {
            (Some(bolts), None, None) => Ok(bolts.low_preload().map(|_| ())?),
            (None, Some(vise), None) => positive(TABLE, "vise", vise),
            (None, None, Some(force)) => positive(TABLE, "force", force),
            _ => Err(wrong(TABLE, ONE_KIND)),
        }?;
        if self.bolts.is_some() && (self.jaw.is_some() || self.off_middle.is_some()) {
            let problem = "jaw and off_middle are of a vise or a force: bolts have bolt_spacing in [mold]";
            return Err(wrong(TABLE, problem));
        }
        let far = |length: &Length| length.si().abs() > MOST_OFF_M;
        if self.off_middle.is_some_and(|off| off.iter().any(far)) {
            return Err(wrong(TABLE, "off_middle: write two lengths of at most 1 m"));
        }
        positive_maybe(TABLE, "jaw", self.jaw)
    }
}

const ONE_KIND: &str = "give exactly one of bolts, vise, c_clamps, toggles and force";

impl PointClamp {
    /// What it surely squeezes with: its force, or this share of its rating.
    fn force(&self, share: f64, kind: &'static str) -> Result<Force, PressError> {
        let (key, given, share) = match (self.force, self.rating) {
            (Some(force), None) => ("force", force, 1.0),
            (None, Some(rating)) => ("rating", rating, share),
            _ => {
                let problem = format!("{kind}: give each either its force or its rating");
                return Err(wrong(TABLE, problem));
            }
        };
        positive(TABLE, key, given)?;
        Ok(given * share)
    }
}

#[cfg(test)]
mod tests {
    use super::Clamp;
    use crate::units::{Quantity, from_toml, in_mm};

    fn clamp(text: &str) -> Result<Clamp, String> {
        let mut clamp: Clamp = from_toml(text).unwrap();
        clamp.settle().and_then(|()| clamp.check()).map_err(|error| error.to_string())?;
        Ok(clamp)
    }

    /// By hand: 36 % of 10 kN and 2 kN, 40 mm to one side and 40 to the other, balance
    /// (3.6 − 2)/5.6 · 40 mm off the middle; two toggles of 500 lbf press with one times 500.
    #[test]
    fn clamps_add_up_where_they_balance() {
        let two = clamp(
            "[[c_clamps]]\nrating = '10 kN'\nat = ['40 mm', '0 mm']\n\
             [[c_clamps]]\nforce = '2 kN'\nat = ['-40 mm', '10 mm']",
        )
        .unwrap();
        assert!((two.force.unwrap().si() - 5600.0).abs() < 1e-9);
        let [along, across] = two.off_middle.unwrap().map(in_mm);
        assert!((along - 1.6 / 5.6 * 40.0).abs() < 1e-9, "{along}");
        assert!((across - 2.0 / 5.6 * 10.0).abs() < 1e-9, "{across}");
        assert!(two.in_words().starts_with("2 C-clamps, at what a hand"));
        let toggles = "[[toggles]]\nrating = '500 lbf'\n[[toggles]]\nrating = '500 lbf'";
        let toggles = clamp(toggles).unwrap();
        assert!((toggles.force.unwrap().si() - 2224.11).abs() < 0.01);
        assert_eq!(toggles.off_middle, None);
    }

    #[test]
    fn refuses_clamps_that_say_too_little_or_too_much() {
        for (text, part) in [
            ("[[c_clamps]]\n", "either its force or its rating"),
            ("vise = '9 kN'\n[[c_clamps]]\nforce = '1 kN'", "exactly one of"),
            (
                "[[c_clamps]]\nforce = '1 kN'\n[[toggles]]\nforce = '1 kN'",
                "exactly one of",
            ),
            ("[[toggles]]\nforce = '0 kN'", "force: write more than nothing"),
            (
                "off_middle = ['1 mm', '0 mm']\n[[toggles]]\nforce = '1 kN'",
                "to each of toggles",
            ),
            (
                "[[toggles]]\nforce = '1 kN'\n[[toggles]]\nforce = '1 kN'\nat = ['1 mm', '2 mm']",
                "to each of them or to none",
            ),
        ] {
            let error = clamp(text).unwrap_err();
            assert!(error.contains(part), "{error}");
        }
    }
}
