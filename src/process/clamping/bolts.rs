//! How hard a bolt holds: preload from torque or from a share of its proof load, less the
//! scatter of tightening by hand.
//!
//! The low end counts: a joint whose bolts may hold 15 kN or 9 kN holds 9 kN.

use serde::Deserialize;

use super::bolt_strength::{class_in_words, strength};
use super::thread::{Standard, Strength, Thread};
use crate::units::format::{shortened, three_digits};
use crate::units::{self, Force, Quantity, Ratio, Torque};

/// K in T = K · F · d. Common practice: 0.15 oiled, 0.20 as delivered, 0.30 dry.
pub const NUT_FACTOR: f64 = 0.2;
/// How far the preload of a hand-tightened bolt may lie below the wanted one. Common
/// practice: ±30 %; the largest is then 1.86 times the smallest, where the VDI 2230
/// tables take 1.8 for a torque wrench.
pub const PRELOAD_SCATTER: f64 = 0.3;

/// Share of the proof load that a bolt is tightened to at the most where it is opened again
/// (common practice).
const USUAL_SHARE: f64 = 0.75;
/// No mold has more bolts.
const MOST_BOLTS: u32 = 100;

/// The bolts that close the mold, all alike.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bolts {
    /// How many.
    pub count: u32,
    /// "M8", or "M8x1" for a fine thread; "1/4-20" of the unified series.
    pub size: String,
    /// Property class, "8.8"; grade of a thread of the unified series, "grade 5".
    #[serde(alias = "grade")]
    pub class: String,
    /// Tightening torque of each.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub torque: Option<Torque>,
    /// Wanted preload as a share of the proof load, when no torque is known.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub preload: Option<Ratio>,
    /// How far the preload may lie below the wanted one; [`PRELOAD_SCATTER`] if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub scatter: Option<Ratio>,
}

/// Why bolts say nothing about a force.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BoltError {
    /// A size that is not in the table.
    #[error(
        "unknown bolt size \"{0}\": write M3 to M16 (\"M8\"), with its pitch (\"M8x1\"), or in inches \
         6-32 to 5/8-11 (\"1/4-20\")"
    )]
    Size(String),
    /// A property class that is not in the table.
    #[error(
        "unknown property class \"{0}\": write 4.6, 5.8, 6.8, 8.8, 10.9, 12.9, A2-50 or A2-70"
    )]
    Class(String),
    /// A grade that bolts of the unified series do not come in.
    #[error(
        "unknown grade \"{0}\" of a bolt in inches: write grade 2, grade 5, grade 8 (SAE J429) or A574 \
         (socket head, to 1/2 in)"
    )]
    Grade(String),
    /// Neither torque nor preload, or both.
    #[error("give either torque = \"24 N m\" or preload = \"70 %\" of the proof load")]
    HowTight,
    /// A torque or preload that stretches the bolt for good.
    #[error("{seen} is beyond the proof load of {bolt}; up to {usual} is usual")]
    TooTight {
        /// The key and its value.
        seen: String,
        /// Size and class.
        bolt: String,
        /// What such a bolt is tightened to at the most.
        usual: String,
    },
    /// A number outside what it can be.
    #[error("{0}")]
    Value(&'static str),
}

impl Bolts {
    /// The force that all bolts together hold for sure.
    ///
    /// # Errors
    ///
    /// When size or class is unknown, or it is not said how tight they are.
    pub fn low_preload(&self) -> Result<Force, BoltError> {
        let scatter = self.scatter();
        if !(0.0..1.0).contains(&scatter) {
            return Err(BoltError::Value(
                "scatter: write a share from 0 to 99 %; 25 to 35 % is usual with a torque wrench",
            ));
        }
        if self.count == 0 {
            return Err(BoltError::Value("count: at least one bolt; 4 to 8 are usual"));
        }
        if self.count > MOST_BOLTS {
            return Err(BoltError::Value(
                "count: no mold has more than 100 bolts; 4 to 8 are usual",
            ));
        }
        Ok(self.preload()? * f64::from(self.count) * (1.0 - scatter))
    }

    /// The force with which all bolts together may squeeze at the most.
    ///
    /// # Errors
    ///
    /// As [`Bolts::preload`].
    pub fn high_preload(&self) -> Result<Force, BoltError> {
        Ok(self.preload()? * f64::from(self.count) * (1.0 + self.scatter()))
    }

    /// The wanted preload of one bolt.
    ///
    /// # Errors
    ///
    /// As [`Bolts::low_preload`].
    pub fn preload(&self) -> Result<Force, BoltError> {
        let thread = self.thread()?;
        let proof = thread.stress_area() * self.strength()?.proof;
        let force = match (self.torque, self.preload) {
            (Some(torque), None) => {
                // T = K F d; the quotient of torque and length is a force.
                Force::from_si(torque.si() / (NUT_FACTOR * thread.diameter.si()))
            }
            (None, Some(share)) => proof * share,
            _ => return Err(BoltError::HowTight),
        };
        if force.si() <= 0.0 {
            return Err(BoltError::Value("torque or preload: write more than nothing"));
        }
        if force > proof {
            return Err(self.too_tight(proof, &thread));
        }
        Ok(force)
    }

    fn too_tight(&self, proof: Force, thread: &Thread) -> BoltError {
        let usual = proof.si() * USUAL_SHARE;
        let (seen, usual) = match (self.torque, self.preload) {
            (Some(torque), _) => {
                let usual = NUT_FACTOR * usual * thread.diameter.si();
                let [seen, usual] = [torque.si(), usual].map(three_digits);
                (format!("torque: {seen} N m"), format!("{usual} N m"))
            }
            (None, share) => {
                let seen = three_digits(1e2 * share.map_or(0.0, Quantity::si));
                (format!("preload: {seen} %"), format!("{:.0} %", 1e2 * USUAL_SHARE))
            }
        };
        BoltError::TooTight { seen, bolt: self.in_words(), usual }
    }

    /// Their thread.
    ///
    /// # Errors
    ///
    /// When the size is unknown.
    pub fn thread(&self) -> Result<Thread, BoltError> {
        Thread::read(&self.size)
            .ok_or_else(|| BoltError::Size(shortened(&self.size).into_owned()))
    }

    /// What their class stands.
    ///
    /// # Errors
    ///
    /// When the class is unknown.
    pub fn strength(&self) -> Result<Strength, BoltError> {
        let thread = self.thread()?;
        let seen = || shortened(&self.class).into_owned();
        strength(&self.class, &thread).ok_or_else(|| match thread.standard {
            Standard::Iso => BoltError::Class(seen()),
            Standard::Unified => BoltError::Grade(seen()),
        })
    }

    /// Size and class as "M8 of class 8.8".
    pub fn in_words(&self) -> String {
        let class = class_in_words(&self.class, self.thread().ok().as_ref());
        format!("{} of {class}", self.size)
    }

    /// How far the preload may lie below the wanted one.
    pub fn scatter(&self) -> f64 {
        self.scatter.map_or(PRELOAD_SCATTER, Quantity::si)
    }
}

#[cfg(test)]
mod tests {
    use super::{BoltError, Bolts};
    use crate::units::{Quantity, Ratio, Torque};

    fn bolts(size: &str, preload: f64) -> Bolts {
        Bolts {
            count: 1,
            size: size.to_owned(),
            class: "8.8".to_owned(),
            torque: None,
            preload: Some(Ratio::from_si(preload)),
            scatter: None,
        }
    }

    /// Common practice, class 8.8 at 70 % of proof with T = 0.2 F d: M5 5.8 kN, 5.8 N m;
    /// M6 8.2, 9.8; M8 14.9, 24; M10 23.5, 47.
    #[test]
    fn preloads_and_torques_of_the_workshop_table() {
        for (size, kn, nm) in
            [("M5", 5.8, 5.8), ("M6", 8.2, 9.8), ("M8", 14.9, 24.0), ("M10", 23.5, 47.0)]
        {
            let by_share = bolts(size, 0.7).preload().unwrap().si() / 1e3;
            assert!((by_share - kn).abs() < 0.06, "{size}: {by_share}");
            let mut by_torque = bolts(size, 0.7);
            (by_torque.preload, by_torque.torque) = (None, Some(Torque::from_si(nm)));
            let by_torque = by_torque.preload().unwrap().si() / 1e3;
            assert!((by_torque / kn - 1.0).abs() < 0.02, "{size}: {by_torque}");
        }
    }

    /// Jindal, Machine Design, Ex. 9-5: K 0.2, d 14 mm, 0.75 · 650 · 115 N → 156.97 N m.
    #[test]
    fn torque_over_diameter_is_the_textbooks_preload() {
        let mut m14 = bolts("M14", 0.0);
        m14.class = "10.9".to_owned();
        (m14.preload, m14.torque) = (None, Some(Torque::from_si(156.97)));
        assert!((m14.preload().unwrap().si() - 0.75 * 650.0 * 115.0).abs() < 5.0);
    }

    /// VDI 2230 tables divide by 1.8 from the largest to the smallest preload.
    #[test]
    fn the_low_preload_is_within_the_scatter_of_a_torque_wrench() {
        let bolts = bolts("M8", 0.7);
        let share = bolts.low_preload().unwrap().si() / bolts.preload().unwrap().si();
        assert!((share - 0.7).abs() < 1e-12);
        assert!(((2.0 - share) / share / 1.8 - 1.0).abs() < 0.05);
    }

    #[test]
    fn refuses_what_is_no_bolt() {
        for size in ["8", "M7", "M8x2", "", "Mx", "M-8", "M8xNaN"] {
            assert!(
                matches!(bolts(size, 0.7).preload(), Err(BoltError::Size(_))),
                "{size}"
            );
        }
        assert!(bolts("M8", 1.2).preload().is_err());
        assert!(bolts("M8", -0.2).preload().is_err());
        let mut other = bolts("M8", 0.7);
        other.class = "cheese".to_owned();
        assert!(matches!(other.preload(), Err(BoltError::Class(_))));
        other.preload = None;
        other.class = "8.8".to_owned();
        assert_eq!(other.preload(), Err(BoltError::HowTight));
        other.preload = Some(Ratio::from_si(0.7));
        other.count = 0;
        assert!(other.low_preload().is_err());
    }
}
