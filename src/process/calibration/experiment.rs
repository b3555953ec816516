//! Which shot would tell most: the one after which the needed pressure of the part is expected
//! to be known best. The covariance after a shot does not hang on what comes out of it, so it
//! is known before.

use super::posterior::{Covariance, Knowledge, MODEL, Values};

/// A shot that could be made next.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate<T> {
    /// What it is.
    pub what: T,
    /// How its pressure follows the factors.
    pub slopes: Values,
    /// Standard deviation of its noise.
    pub noise: f64,
}

/// The candidate after which what follows `wanted` is known best, and how wide it is then and was
/// before, as standard deviations; `None` without candidates.
pub fn best<'a, T>(
    known: &Knowledge,
    wanted: &Values,
    candidates: &'a [Candidate<T>],
) -> Option<(&'a Candidate<T>, [f64; 2])> {
    let before = known.spread(wanted);
    let after = |candidate: &Candidate<T>| after(known, candidate).spread(wanted);
    let tried = candidates.iter().map(|candidate| (candidate, after(candidate)));
    let best = tried.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((best.0, [best.1, before]))
}

/// What is known after it: Σ − Σg gᵀΣ / (gᵀΣg + σ²).
fn after<T>(known: &Knowledge, candidate: &Candidate<T>) -> Knowledge {
    let covariance = known.covariance;
    let along: Values = covariance * candidate.slopes;
    let total = candidate.slopes.dot(&along) + candidate.noise.hypot(MODEL).powi(2);
    let covariance: Covariance = covariance - along * along.transpose() / total;
    Knowledge { covariance, ..*known }
}

#[cfg(test)]
mod tests {
    use super::{Candidate, after, best};
    use crate::process::calibration::posterior::{
        Doubts, Knowledge, Observation, Values, update,
    };
    use crate::process::calibration::{CONTACT, PRESSURE, Response};

    fn prior() -> Knowledge {
        Knowledge::prior(&Doubts {
            viscosity: 1.5,
            supply: 1.15,
            mold_kelvin: 10.0,
            melt_kelvin: 10.0,
        })
    }

    fn slopes(contact: f64) -> Values {
        let mut slopes = Values::zeros();
        slopes[PRESSURE] = 1.0;
        slopes[CONTACT] = contact;
        slopes
    }

    /// What is predicted of a shot is what is known once it was made.
    #[test]
    fn the_covariance_after_a_shot_is_known_before() {
        let candidate = Candidate { what: (), slopes: slopes(0.3), noise: 0.03 };
        let predicted = after(&prior(), &candidate);
        let responses = [
            Response { slope: 0.3, bend: 0.0 },
            Response::default(),
            Response::default(),
        ];
        let made = Observation { excess: 0.1, responses, noise: 0.03, is_full: false };
        let known = update(&prior(), &[made]);
        assert!((predicted.covariance - known.covariance).norm() < 1e-12);
    }

    /// A thin part hangs on the contact: a thin strip says more of it than a thick one.
    #[test]
    fn the_shot_most_like_the_part_tells_most() {
        let candidates = [0.05, 0.4, 0.8].map(|contact| Candidate {
            what: contact,
            slopes: slopes(contact),
            noise: 0.03,
        });
        let (first, [then, now]) = best(&prior(), &slopes(0.45), &candidates).unwrap();
        assert!((first.what - 0.4).abs() < 1e-12 && then < now);
        assert!(best::<f64>(&prior(), &slopes(0.4), &[]).is_none());
    }
}
