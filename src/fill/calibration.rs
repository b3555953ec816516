//! How a part answers to what nobody can know: at which pressure each share of it fills, and
//! how that follows the contact with the mold and the heat of mold and melt.
//!
//! The part is filled a few dozen times, once; every shot of it is then a look into these
//! tables, so that a calibration takes no more fillings however many shots there are.

use rayon::prelude::*;

use super::drive::Drive;
use super::front;
use super::melt::Melt;
use super::prepared::{FillError, PreparedCavity};
use super::required_pressure::{self, APART};
use crate::process::calibration::posterior::{NINE_IN_TEN, Observation, Values};
use crate::process::calibration::{FACTORS, PRESSURE, Response};

/// Pressures of a table, each this share of the one before, from the one that fills all on.
const STEP: f64 = 0.8;
/// How many of them.
const STEPS: i32 = 11;

/// How far contact (as a logarithm), mold and melt (K) are moved to see what follows: as far as
/// they may be off.
const MOVES: [f64; FACTORS - 1] = [0.9, 10.0, 10.0];

/// At which pressure each share of a part fills.
#[derive(Clone, Debug)]
struct SharePressures {
    /// Logarithms of share and of pressure in Pa, rising; the last is all of it.
    points: Vec<[f64; 2]>,
}

impl SharePressures {
    /// Fills the part at one pressure after another; `None` where none fills it.
    fn measure(
        prepared: &PreparedCavity<'_>,
        melt: &Melt,
        drive: &Drive<'_>,
    ) -> Result<Option<Self>, FillError> {
        let Some(all) = required_pressure::least_of(prepared, melt, drive, APART)? else {
            return Ok(None);
        };
        let mut points = vec![[0.0, all.ln()]];
        for step in 1..=STEPS {
            let pressure_pa = all * STEP.powi(step);
            let run =
                front::fill_again(prepared, melt, &Drive { pressure_pa, ..*drive })?;
            let share = run.filled.ln();
            // Less pressure fills less.
            if points.last().is_some_and(|last| share < last[0] - 1e-6)
                && share.is_finite()
            {
                points.push([share, pressure_pa.ln()]);
            }
        }
        points.reverse();
        Ok(Some(Self { points }))
    }

    /// Logarithm of the pressure for the logarithm of a share, and its slope; `None` for less than
    /// the least that was looked at.
    fn at(&self, share: f64) -> Option<[f64; 2]> {
        let share = share.min(0.0);
        let pair = self.points.windows(2).find(|pair| share <= pair[1][0])?;
        let ([x, y], [far_x, far_y]) = (pair[0], pair[1]);
        if share < x - 1e-9 {
            return None;
        }
        let slope = (far_y - y) / (far_x - x);
        Some([y + slope * (share - x), slope])
    }

    /// The least share that was looked at.
    fn least(&self) -> f64 {
        self.points.first().map_or(1.0, |point| point[0].exp())
    }
}

/// A part that answers.
#[derive(Clone, Debug)]
pub struct AnsweringPart {
    usual: SharePressures,
    /// Of contact, mold and melt: moved down and up.
    moved: [[SharePressures; 2]; FACTORS - 1],
}

/// What a shot filled, and how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShortShot {
    /// Melt pressure, Pa.
    pub pressure_pa: f64,
    /// Share of the part that was full, 1 for all.
    pub share: f64,
    /// Standard deviation of that share, as a share of it.
    pub share_noise: f64,
    /// How much warmer than usual the mold was measured, K.
    pub mold_k: f64,
    /// How much hotter than usual the melt was measured, K.
    pub melt_k: f64,
}

impl AnsweringPart {
    /// Fills `prepared` at many pressures, as usual and with each thing moved; `None` where no
    /// pressure fills it.
    ///
    /// # Errors
    ///
    /// [`FillError`] when the melt does not flow.
    pub fn measure(
        prepared: &PreparedCavity<'_>,
        melt: &Melt,
        drive: &Drive<'_>,
    ) -> Result<Option<Self>, FillError> {
        let mut melts = vec![*melt];
        for (factor, by) in MOVES.into_iter().enumerate() {
            melts.extend([-by, by].map(|by| moved(melt, factor, by)));
        }
        let measured: Result<Vec<_>, FillError> = melts
            .par_iter()
            .map(|melt| SharePressures::measure(prepared, melt, drive))
            .collect();
        let measured: Option<Vec<SharePressures>> = measured?.into_iter().collect();
        let Some(Ok([usual, a, b, c, d, e, f])) =
            measured.map(<[SharePressures; 1 + 2 * (FACTORS - 1)]>::try_from)
        else {
            return Ok(None);
        };
        Ok(Some(Self { usual, moved: [[a, b], [c, d], [e, f]] }))
    }

    /// The least share that says anything.
    pub fn least_share(&self) -> f64 {
        let moved = self.moved.iter().flatten().map(SharePressures::least);
        moved.fold(self.usual.least(), f64::max)
    }

    /// Melt pressure that fills a share as usual, Pa; `None` for less than the least share.
    pub fn pressure_pa(&self, share: f64) -> Option<f64> {
        self.usual.at(share.ln()).map(|[pressure, _]| pressure.exp())
    }

    /// What a shot says; `None` where it filled less than the least share.
    pub fn observe(&self, shot: &ShortShot) -> Option<Observation> {
        let share = shot.share.ln();
        let [usual, slope] = self.usual.at(share)?;
        let responses = self.responses(share)?;
        // Measured heat is no doubt: it is taken off, and what is left is the thermometer's.
        let [_, mold, melt] = responses;
        let known = mold.at(shot.mold_k) + melt.at(shot.melt_k);
        let about = |response: Response, x: f64| Response {
            slope: response.slope_at(x),
            bend: response.bend,
        };
        let responses =
            [responses[0], about(mold, shot.mold_k), about(melt, shot.melt_k)];
        let is_full = shot.share >= 1.0;
        Some(Observation {
            excess: shot.pressure_pa.ln() - usual - known,
            responses,
            noise: if is_full { 0.0 } else { slope * shot.share_noise },
            is_full,
        })
    }

    /// How the pressure that fills all of it follows the factors.
    pub fn slopes(&self, share: f64, at: &Values) -> Option<Values> {
        let responses = self.responses(share.ln())?;
        let mut slopes = Values::zeros();
        slopes[PRESSURE] = 1.0;
        for (factor, response) in (1..).zip(responses) {
            slopes[factor] = response.slope_at(at[factor]);
        }
        Some(slopes)
    }

    /// Logarithm of the pressure that fills a share with these factors, Pa, best estimate and the
    /// ends of nine cases in ten.
    pub fn predicted(
        &self,
        share: f64,
        known: &crate::process::calibration::posterior::Knowledge,
    ) -> Option<[f64; 3]> {
        let [usual, _] = self.usual.at(share.ln())?;
        let responses = self.responses(share.ln())?;
        let bent = responses.iter().zip(known.mean.iter().skip(1));
        let by: f64 = bent.map(|(response, x)| response.at(*x)).sum();
        let middle = usual + known.mean[PRESSURE] + by;
        let wide = NINE_IN_TEN * known.spread(&self.slopes(share, &known.mean)?);
        Some([middle - wide, middle, middle + wide])
    }

    /// The same part where every pressure is so many times as much.
    #[must_use]
    pub fn scaled(mut self, times: f64) -> Self {
        let tables =
            std::iter::once(&mut self.usual).chain(self.moved.iter_mut().flatten());
        for table in tables {
            table.points.iter_mut().for_each(|point| point[1] += times.ln());
        }
        self
    }

    /// How much a share's noise counts in pressure, both as logarithms.
    pub fn steepness(&self, share: f64) -> Option<f64> {
        self.usual.at(share.ln()).map(|[_, slope]| slope)
    }

    fn responses(&self, share: f64) -> Option<[Response; FACTORS - 1]> {
        let [usual, _] = self.usual.at(share)?;
        let mut responses = [Response::default(); FACTORS - 1];
        for ((response, [down, up]), by) in
            responses.iter_mut().zip(&self.moved).zip(MOVES)
        {
            let [down, up] = [down.at(share)?[0] - usual, up.at(share)?[0] - usual];
            *response = Response::through([-by, down], [by, up]);
        }
        Some(responses)
    }
}

/// `melt` with the factor after pressure moved.
fn moved(melt: &Melt, factor: usize, by: f64) -> Melt {
    match factor {
        0 => melt.shifted(by.exp(), 0.0, 0.0),
        1 => melt.shifted(1.0, by, 0.0),
        _ => melt.shifted(1.0, 0.0, by),
    }
}
