//! One cause that a symptom may have, how strongly the numbers point to it, and their order.
//!
//! **Strength** counts in doubts: the logarithm of what a number is over what it may be, over
//! the logarithm of the factor by which either may be off. 0 is right at the limit, 1 as far
//! beyond it as the doubt reaches. A cause below [`EXCLUDED`] is left out by its number.

use serde::Serialize;

use super::bench::Outcome;
use super::change::Change;

/// The doubts of the tool are taken to hold in nine cases of ten; what takes more than 1.5
/// times as much (2.5 standard deviations) is excluded.
pub const EXCLUDED: f64 = -1.5;
/// Beyond so many doubts nothing is more certain.
const MOST: f64 = 4.0;
/// A cause on which nothing is known: less likely than one at its limit.
const OPEN: f64 = -0.4;

/// What the numbers say of a cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// The number is beyond its limit.
    Likely,
    /// Within it, and within what is in doubt.
    Possible,
    /// A number that decides is not known.
    Unknown,
    /// The number excludes it.
    Excluded,
}

/// One cause.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Cause {
    /// Its name for programs, such as `mold_cold`.
    pub id: &'static str,
    /// What it is.
    pub title: String,
    /// How strongly the numbers point to it, in doubts.
    pub strength: f64,
    /// What they say.
    pub standing: Standing,
    /// The numbers.
    pub evidence: String,
    /// What to look at, to be sure.
    pub look: String,
    /// The one change to try next.
    pub change: String,
    /// What the model says of that change; why it says nothing where it does not.
    pub then: String,
    /// The same change for the model.
    #[serde(skip)]
    pub effect: Option<Change>,
    /// What the model says of the shot if this is the cause; that of the shot as it was said to
    /// be where `None`.
    #[serde(skip)]
    pub supposed: Option<Outcome>,
}

impl Cause {
    /// A cause, before anything is known of it.
    pub fn new(id: &'static str, title: impl Into<String>) -> Self {
        Self {
            id,
            title: title.into(),
            strength: OPEN,
            standing: Standing::Unknown,
            evidence: String::new(),
            look: String::new(),
            change: String::new(),
            then: String::new(),
            effect: None,
            supposed: None,
        }
    }

    /// Judged by `load`, which may be as much as `limit`; either may be off by the factor
    /// `doubt`, above 1.
    #[must_use]
    pub fn judged(self, load: f64, limit: f64, doubt: f64) -> Self {
        let over = (load / limit).ln() / doubt.max(1.01).ln();
        // Nothing over nothing says nothing.
        if over.is_nan() { self } else { self.of_strength(over) }
    }

    /// Of this strength.
    #[must_use]
    pub fn of_strength(mut self, strength: f64) -> Self {
        self.strength = strength.clamp(-MOST, MOST);
        self.standing = match self.strength {
            it if it >= 0.0 => Standing::Likely,
            it if it >= EXCLUDED => Standing::Possible,
            _ => Standing::Excluded,
        };
        self
    }

    /// No stronger than this: what every good part has too explains no single bad one.
    #[must_use]
    pub fn at_most(self, strength: f64) -> Self {
        let own = self.strength.min(strength);
        self.of_strength(own)
    }

    /// Excluded for a reason that has no degrees.
    #[must_use]
    pub fn excluded(self) -> Self {
        self.of_strength(-MOST)
    }

    /// With the numbers in words.
    #[must_use]
    pub fn because(mut self, evidence: impl Into<String>) -> Self {
        self.evidence = evidence.into();
        self
    }

    /// With what to look at.
    #[must_use]
    pub fn look(mut self, look: impl Into<String>) -> Self {
        self.look = look.into();
        self
    }

    /// With what the model says of the shot if this is the cause.
    #[must_use]
    pub fn supposing(mut self, outcome: &Outcome) -> Self {
        self.supposed = Some(outcome.clone());
        self
    }

    /// With what its numbers say of the change.
    #[must_use]
    pub fn then(mut self, then: impl Into<String>) -> Self {
        self.then = then.into();
        self
    }

    /// With the change to try, and what the model can follow of it.
    #[must_use]
    pub fn change(mut self, change: impl Into<String>, effect: Option<Change>) -> Self {
        self.change = change.into();
        self.effect = effect;
        self
    }
}

/// Puts the likeliest first and the excluded last; of causes as strong as each other the order
/// in which they were listed, cheap changes first, stays.
pub fn rank(causes: &mut [Cause]) {
    causes.sort_by(|a, b| {
        let is_out = |cause: &Cause| cause.standing == Standing::Excluded;
        is_out(a).cmp(&is_out(b)).then(b.strength.total_cmp(&a.strength))
    });
}

#[cfg(test)]
mod tests {
    use super::{Cause, Standing, rank};

    #[test]
    fn strength_counts_doubts_beyond_the_limit() {
        let judged = |load: f64| Cause::new("any", "any").judged(load, 2.0, 1.5);
        for (load, strength, standing) in [
            (2.0, 0.0, Standing::Likely),
            (3.0, 1.0, Standing::Likely),
            (2.0 / 1.5, -1.0, Standing::Possible),
            (2.0 / 1.5_f64.powi(2), -2.0, Standing::Excluded),
            (f64::INFINITY, 4.0, Standing::Likely),
            (0.0, -4.0, Standing::Excluded),
        ] {
            let cause = judged(load);
            assert!((cause.strength - strength).abs() < 1e-9, "{load}: {cause:?}");
            assert_eq!(cause.standing, standing, "{load}");
        }
        assert_eq!(judged(f64::NAN).standing, Standing::Unknown);
    }

    #[test]
    fn the_likeliest_leads_and_the_excluded_come_last() {
        let of = |id, strength: f64| Cause::new(id, id).of_strength(strength);
        let mut all = [
            of("out", -2.0),
            of("first", 1.0),
            Cause::new("open", "open"),
            of("near", -0.1),
        ];
        rank(&mut all);
        let order: Vec<&str> = all.iter().map(|cause| cause.id).collect();
        assert_eq!(order, ["first", "near", "open", "out"]);
    }
}
