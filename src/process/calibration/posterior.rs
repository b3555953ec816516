//! What is known of the factors: a normal distribution, before shots and after them.
//!
//! Bayesian least squares: the prior is the tool's own bands, taken for nine cases of ten
//! (1.645 standard deviations); each shot is one equation with noise. The equations bend a
//! little, so they are straightened about the best estimate again and again (Gauss–Newton),
//! and the covariance is that of the straight ones there (Laplace).

use nalgebra::{SMatrix, SVector};

use super::{CONTACT, FACTORS, MELT, MOLD, PRESSURE, Response};

/// Values of all factors.
pub type Values = SVector<f64, FACTORS>;
/// Their covariance.
pub type Covariance = SMatrix<f64, FACTORS, FACTORS>;

/// Nine in ten of a normal distribution lie within so many standard deviations.
pub const NINE_IN_TEN: f64 = 1.645;

/// The least pressure that fills a part is worked out to this, as a logarithm: a solver of another
/// kind differs by up to 11 % (two standard deviations).
pub const MODEL: f64 = 0.055;

/// Heat transfer to the mold may be off by this factor either way: 1000 to 6000 W/(m² K), the
/// range of the tool.
const CONTACT_FACTOR: f64 = 2.449_489_742_783_178;

/// How sure the factors are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knowledge {
    /// Best estimate.
    pub mean: Values,
    /// Covariance.
    pub covariance: Covariance,
}

/// By how much things may be off before any shot, in nine cases of ten.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubts {
    /// The viscosity of the bag, by this factor.
    pub viscosity: f64,
    /// The pressure of the press, by this factor.
    pub supply: f64,
    /// The mold, K.
    pub mold_kelvin: f64,
    /// The melt, K.
    pub melt_kelvin: f64,
}

impl Knowledge {
    /// Before any shot.
    pub fn prior(doubts: &Doubts) -> Self {
        let mut ends = Values::zeros();
        ends[PRESSURE] = doubts.viscosity.ln().hypot(doubts.supply.ln());
        ends[CONTACT] = CONTACT_FACTOR.ln();
        ends[MOLD] = doubts.mold_kelvin;
        ends[MELT] = doubts.melt_kelvin;
        let deviations = ends / NINE_IN_TEN;
        let variances = deviations.component_mul(&deviations);
        Self { mean: Values::zeros(), covariance: Covariance::from_diagonal(&variances) }
    }

    /// Standard deviation of one factor.
    pub fn deviation(&self, factor: usize) -> f64 {
        self.covariance[(factor, factor)].max(0.0).sqrt()
    }

    /// Correlation of two factors, −1 to 1.
    pub fn correlation(&self, one: usize, other: usize) -> f64 {
        let scale = self.deviation(one) * self.deviation(other);
        if scale > 0.0 { self.covariance[(one, other)] / scale } else { 0.0 }
    }

    /// Standard deviation of what follows the factors by `slopes`, the model's own doubt
    /// included.
    pub fn spread(&self, slopes: &Values) -> f64 {
        let variance = (slopes.transpose() * self.covariance * slopes)[(0, 0)];
        variance.max(0.0).sqrt().hypot(MODEL)
    }
}

/// What one shot says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// Logarithm of the pressure it was pushed with over the one worked out for its share.
    pub excess: f64,
    /// How the pressure follows contact, mold and melt; that of bag and press is one to one.
    pub responses: [Response; FACTORS - 1],
    /// Standard deviation of `excess`, without the model's.
    pub noise: f64,
    /// Whether the part was full: then the pressure was enough, and perhaps more than that.
    pub is_full: bool,
}

impl Observation {
    /// What the factors make of the excess.
    pub fn predicted(&self, at: &Values) -> f64 {
        let bent = self.responses.iter().zip(at.iter().skip(1));
        at[PRESSURE] + bent.map(|(response, x)| response.at(*x)).sum::<f64>()
    }

    /// How it follows each of them there.
    pub fn slopes(&self, at: &Values) -> Values {
        let mut slopes = Values::zeros();
        slopes[PRESSURE] = 1.0;
        for (factor, response) in (1..).zip(&self.responses) {
            slopes[factor] = response.slope_at(at[factor]);
        }
        slopes
    }
}

/// Rounds of straightening; the equations bend little, and a handful settles them.
const ROUNDS: usize = 25;

/// What is known after the shots.
pub fn update(prior: &Knowledge, shots: &[Observation]) -> Knowledge {
    let inverse = prior.covariance.try_inverse().unwrap_or_else(Covariance::zeros);
    let mut known = *prior;
    for _ in 0..ROUNDS {
        let at = known.mean;
        let mut precision = inverse;
        let mut pull = inverse * prior.mean;
        for shot in shots {
            // What pushed more than enough says nothing.
            if shot.is_full && shot.excess >= shot.predicted(&at) {
                continue;
            }
            let slopes = shot.slopes(&at);
            let weight = shot.noise.hypot(MODEL).powi(-2);
            let straight = shot.excess - shot.predicted(&at) + slopes.dot(&at);
            precision += weight * slopes * slopes.transpose();
            pull += weight * straight * slopes;
        }
        let Some(covariance) = precision.try_inverse() else { return known };
        known = Knowledge { mean: covariance * pull, covariance };
    }
    known
}

/// A shot this far from what all shots together say contradicts the model: three standard
/// deviations, one shot in 370.
pub const CONTRADICTS: f64 = 3.0;

/// Of `shots` those that contradict what all others and the prior say, each with how many standard
/// deviations it is off. The worst is found first and left out before the others are looked at:
/// one wrong shot makes right ones look wrong.
pub fn contradictions(prior: &Knowledge, shots: &[Observation]) -> Vec<(usize, f64)> {
    let mut left: Vec<usize> = (0..shots.len()).collect();
    let mut found = Vec::new();
    while left.len() > 1 {
        let off = |index: usize| {
            let others = left.iter().filter(|other| **other != index);
            let others: Vec<Observation> = others.map(|other| shots[*other]).collect();
            off(prior, &others, &shots[index])
        };
        let all = left.iter().map(|index| (*index, off(*index)));
        let worst = all.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let Some(worst) = worst.filter(|(_, off)| off.abs() > CONTRADICTS) else { break };
        left.retain(|index| *index != worst.0);
        found.push(worst);
    }
    found
}

/// How many standard deviations a shot is off what `others` and the prior say.
fn off(prior: &Knowledge, others: &[Observation], shot: &Observation) -> f64 {
    let known = update(prior, others);
    let spread = known.spread(&shot.slopes(&known.mean)).hypot(shot.noise);
    let miss = shot.excess - shot.predicted(&known.mean);
    // A full shot that was pushed with more than enough is right.
    let miss = if shot.is_full { miss.min(0.0) } else { miss };
    miss / spread
}

#[cfg(test)]
mod tests {
    use super::{Doubts, Knowledge, MODEL, Observation, contradictions, update};
    use crate::process::calibration::{CONTACT, FACTORS, PRESSURE, Response};

    const DOUBTS: Doubts =
        Doubts { viscosity: 1.5, supply: 1.15, mold_kelvin: 10.0, melt_kelvin: 10.0 };

    fn shot(excess: f64, contact: f64) -> Observation {
        let slope = |slope: f64| Response { slope, bend: 0.0 };
        let responses = [slope(contact), slope(0.0), slope(0.0)];
        Observation { excess, responses, noise: 0.02, is_full: false }
    }

    /// Two strips, one hardly cooled through its contact and one that is: two equations for two
    /// unknowns. By hand with N = σ²: the precision is [[1/P + 2/N, (a+b)/N], [(a+b)/N, 1/C +
    /// (a²+b²)/N]], its inverse by Cramer's rule the covariance.
    #[test]
    fn two_strips_by_cramers_rule() {
        let prior = Knowledge::prior(&DOUBTS);
        let [p, c] = [PRESSURE, CONTACT].map(|it| prior.covariance[(it, it)]);
        let noise = 0.02_f64.powi(2) + MODEL * MODEL;
        let ([a, b], [x, y]) = ([0.05, 0.4], [0.30, 0.16]);
        let known = update(&prior, &[shot(x, a), shot(y, b)]);
        let [pp, pc, cc] =
            [1.0 / p + 2.0 / noise, (a + b) / noise, 1.0 / c + (a * a + b * b) / noise];
        let [u, v] = [(x + y) / noise, (a * x + b * y) / noise];
        let determinant = pp * cc - pc * pc;
        let near = |seen: f64, by_hand: f64| {
            assert!((seen - by_hand).abs() < 1e-9, "{seen} {by_hand}");
        };
        near(known.mean[PRESSURE], (cc * u - pc * v) / determinant);
        near(known.mean[CONTACT], (pp * v - pc * u) / determinant);
        near(known.covariance[(PRESSURE, PRESSURE)], cc / determinant);
        near(known.covariance[(CONTACT, CONTACT)], pp / determinant);
        near(known.covariance[(PRESSURE, CONTACT)], -pc / determinant);
        // Nothing was learned of what does not count.
        near(known.deviation(2), prior.deviation(2));
        near(known.mean[2], 0.0);
    }

    /// Two like strips tell the sum and not its parts: what is known of each is bound to the other.
    #[test]
    fn like_strips_cannot_tell_the_factors_apart() {
        let prior = Knowledge::prior(&DOUBTS);
        let like = update(&prior, &[shot(0.2, 0.5), shot(0.2, 0.5)]);
        let unlike = update(&prior, &[shot(0.2, 0.05), shot(0.2, 0.95)]);
        assert!(like.correlation(PRESSURE, CONTACT) < -0.9);
        assert!(unlike.deviation(CONTACT) < like.deviation(CONTACT));
    }

    #[test]
    fn a_full_shot_only_says_that_it_was_enough() {
        let prior = Knowledge::prior(&DOUBTS);
        let full = |excess: f64| Observation { is_full: true, ..shot(excess, 0.1) };
        assert_eq!(update(&prior, &[full(0.5)]).mean, prior.mean);
        assert!(update(&prior, &[full(-0.3)]).mean[PRESSURE] < -0.1);
    }

    #[test]
    fn a_shot_that_contradicts_the_others_is_found() {
        let prior = Knowledge::prior(&DOUBTS);
        let mut shots =
            vec![shot(0.2, 0.1), shot(0.22, 0.2), shot(0.18, 0.15), shot(0.2, 0.1)];
        assert_eq!(contradictions(&prior, &shots), Vec::new());
        shots.push(shot(0.75, 0.15));
        let found = contradictions(&prior, &shots);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].0 == 4 && found[0].1 > 3.0);
        assert_eq!(FACTORS, 4);
    }
}
