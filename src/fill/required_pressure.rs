//! The least ram pressure that fills the part.
//!
//! The same filling is tried at one pressure after another: first on coarse cells, up and down
//! until one fills and one is short, then between them, both by how much of the part the short
//! one fills; last on the fine cells near what the coarse ones said. Without a frozen layer
//! every pressure fills, if slowly, and there is no least one.
//!
//! **Band**: what the inputs may be off by is independent of each other, so the logarithms
//! of what each changes add as squares. A melt that is thicker by a factor at every rate
//! needs a ram stronger by about that factor; what the heat of melt and mold and the
//! contact between them change is tried on the coarse cells.

use rayon::prelude::*;

use super::front;
use super::melt::Melt;
use crate::fill::drive::Drive;
use crate::fill::melt_tables::MeltTables;
use crate::fill::prepared::{FillError, PreparedCavity};
use crate::numeric::geometric_mean;
use crate::process::calibration::posterior::{
    Covariance, Knowledge, NINE_IN_TEN, Values,
};
use crate::process::calibration::{CONTACT, MELT, MOLD, PRESSURE};
use crate::units::{Quantity, Temperature};

/// Pressures are distinguished by this factor on the coarse cells.
pub const APART: f64 = 1.03;

/// To be compared with another, a pressure is known to this factor: of a band, in which the
/// parts add as squares, that is a hundredth.
pub const COMPARED_APART: f64 = 1.06;

/// First step by which the coarse cells look for the other side of the limit.
const FIRST: f64 = 1.25;

/// First step by which a pressure that is compared with another is looked for.
const COMPARED: f64 = 1.12;

/// First step by which the fine cells look for the other side of the limit.
const NEAR: f64 = 1.08;

/// Pressures are distinguished by this factor on the fine cells.
const FINE_APART: f64 = 1.05;

/// From the pressure available the search goes up and down by this factor at most.
const FARTHEST: f64 = 64.0;

/// How sure the inputs are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// The melt may be thicker or thinner by this factor, from 1 up.
    pub viscosity: f64,
    /// The melt may be hotter or colder by this, K.
    pub kelvin: f64,
    /// The mold may be hotter or colder by this, K.
    pub mold_kelvin: f64,
    /// Heat transfer to the mold may be as little and as much as this, W/(m² K); as it is
    /// where `None`.
    pub contact_w_m2_k: Option<[f64; 2]>,
    /// The ram may have less or more than it is said to by this factor, from 1 up.
    pub supply: f64,
    /// What shots left of all this; it then stands in place of the others.
    pub known: Option<Covariance>,
}

/// So far the contact is moved to see what follows, where shots have said what it is: a
/// logarithm.
const CONTACT_STEP: f64 = 0.5;

impl Doubt {
    /// No doubt at all.
    pub const NONE: Self = Self {
        viscosity: 1.0,
        kelvin: 0.0,
        mold_kelvin: 0.0,
        contact_w_m2_k: None,
        supply: 1.0,
        known: None,
    };

    /// The melts that are tried, each with its opposite.
    fn pairs(&self, melt: &Melt) -> Vec<[Melt; 2]> {
        let warmer = |kelvin: f64| {
            let temperature = Temperature::from_si(melt.temperature.si() + kelvin);
            Melt { temperature, ..*melt }
        };
        let mold = |kelvin: f64| Melt {
            mold: Temperature::from_si(melt.mold.si() + kelvin),
            ..*melt
        };
        let mut pairs = Vec::new();
        if self.kelvin > 0.0 {
            pairs.push([-self.kelvin, self.kelvin].map(warmer));
        }
        if self.mold_kelvin > 0.0 {
            pairs.push([-self.mold_kelvin, self.mold_kelvin].map(mold));
        }
        if self.known.is_some() {
            let by = [-CONTACT_STEP, CONTACT_STEP].map(f64::exp);
            pairs.push(by.map(|by| melt.shifted(by, 0.0, 0.0)));
        } else if let Some(range) = self.contact_w_m2_k {
            pairs.push(range.map(|contact_w_m2_k| Melt { contact_w_m2_k, ..*melt }));
        }
        pairs
    }

    /// The ends of the band around 1, by what came of [`Self::pairs`].
    fn band(&self, tried: &[[f64; 2]]) -> [f64; 2] {
        let factor = |factor: f64| [factor.max(1.0).recip(), factor.max(1.0)];
        let all = || {
            let others = [factor(self.viscosity), factor(self.supply)];
            combine(tried.iter().copied().chain(others))
        };
        let (Some(covariance), [melt, mold, contact]) = (self.known, tried) else {
            return all();
        };
        let steps = [self.kelvin, self.mold_kelvin, CONTACT_STEP];
        let mut slopes = Values::zeros();
        slopes[PRESSURE] = 1.0;
        let factors = [MELT, MOLD, CONTACT].into_iter().zip([melt, mold, contact]);
        for ((factor, ends), step) in factors.zip(steps) {
            slopes[factor] = slope(*ends, step);
        }
        let known = Knowledge { mean: Values::zeros(), covariance };
        let wide = NINE_IN_TEN * known.spread(&slopes);
        [(-wide).exp(), wide.exp()]
    }
}

/// Slope of the logarithm between what comes of a step down and a step up; where one of them
/// fills at no pressure, that of the other.
fn slope([down, up]: [f64; 2], step: f64) -> f64 {
    match (down.is_finite(), up.is_finite()) {
        (true, true) => (up / down).ln() / (2.0 * step),
        (true, false) => -down.ln() / step,
        (false, true) => up.ln() / step,
        (false, false) => 0.0,
    }
}

/// The least pressure at the ram that fills, Pa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RequiredPressure {
    /// Any: nothing freezes.
    Any,
    /// This, and the least and the greatest that the doubt leaves; the last is infinite
    /// where a colder melt fills at no pressure tried.
    Pressure {
        /// Best estimate, Pa.
        pa: f64,
        /// With the doubt, Pa.
        band_pa: [f64; 2],
        /// What the coarse cells alone say, Pa: to be compared with other answers of theirs.
        rough_pa: f64,
    },
    /// None up to 64 times what the ram has.
    None,
}

impl RequiredPressure {
    /// What the coarse cells alone ask for over what the fine ones do; 1 where there is no
    /// least pressure.
    pub fn rough_over_fine(&self) -> f64 {
        match self {
            Self::Pressure { pa, rough_pa, .. } => rough_pa / pa,
            Self::Any | Self::None => 1.0,
        }
    }
}

/// Searches the least pressure for `fine`, from `drive.pressure_pa` on. `rough` is the
/// same part in cells of about twice the edge.
///
/// # Errors
///
/// [`FillError`] as in [`front::fill`].
pub fn least(
    fine: &PreparedCavity<'_>,
    rough: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
    doubt: Doubt,
) -> Result<RequiredPressure, FillError> {
    search_with_band(rough, melt, drive, doubt, |near| {
        Search::new(fine, melt, near).map(|search| search.least(NEAR, FINE_APART))
    })
}

/// What `rough` alone says.
///
/// # Errors
///
/// As [`least`].
pub fn least_roughly(
    rough: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
    doubt: Doubt,
) -> Result<RequiredPressure, FillError> {
    search_with_band(rough, melt, drive, doubt, |near| Ok(Some(near.pressure_pa)))
}

/// The search on coarse cells; `confirm` says what the answer near theirs is.
fn search_with_band(
    rough: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
    doubt: Doubt,
    confirm: impl FnOnce(&Drive<'_>) -> Result<Option<f64>, FillError> + Send,
) -> Result<RequiredPressure, FillError> {
    if !melt.freezes() {
        return Ok(RequiredPressure::Any);
    }
    let Some(guess) = least_of(rough, melt, drive, APART)? else {
        return Ok(RequiredPressure::None);
    };
    let near = Drive { pressure_pa: guess, ..*drive };
    let ratio = |other: &Melt| -> Result<f64, FillError> {
        let search = Search::new(rough, other, &near)?;
        Ok(search.least(COMPARED, COMPARED_APART).map_or(f64::INFINITY, |pa| pa / guess))
    };
    let tried = || -> Result<Vec<[f64; 2]>, FillError> {
        let pairs = doubt.pairs(melt).into_par_iter();
        pairs.map(|[a, b]| Ok([ratio(&a)?, ratio(&b)?])).collect()
    };
    let (pa, tried) = rayon::join(|| confirm(&near), tried);
    let (Some(pa), tried) = (pa?, tried?) else {
        return Ok(RequiredPressure::None);
    };
    let band = doubt.band(&tried);
    let band_pa = band.map(|end| pa * end);
    Ok(RequiredPressure::Pressure { pa, band_pa, rough_pa: guess })
}

/// The ends of a band of independent factors: their logarithms add as squares.
fn combine(pairs: impl Iterator<Item = [f64; 2]>) -> [f64; 2] {
    let [mut low, mut high] = [0.0, 0.0];
    for [a, b] in pairs {
        low += a.min(b).min(1.0).ln().powi(2);
        high += a.max(b).max(1.0).ln().powi(2);
    }
    [(-low.sqrt()).exp(), high.sqrt().exp()]
}

/// The least pressure that fills `prepared` itself, to within the factor `apart`: brackets it
/// from `drive.pressure_pa`, then narrows that. `None` where none up to 64 times that does.
///
/// # Errors
///
/// [`FillError`] when the melt does not flow at its temperature.
pub fn least_of(
    prepared: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
    apart: f64,
) -> Result<Option<f64>, FillError> {
    Search::new(prepared, melt, drive).map(|search| search.least(FIRST, apart))
}

/// Fillings of one part at one pressure after another.
struct Search<'a> {
    prepared: &'a PreparedCavity<'a>,
    tables: MeltTables,
    drive: &'a Drive<'a>,
}

/// A pressure that was tried, and the share of the part that it filled.
#[derive(Clone, Copy)]
struct Tried {
    pa: f64,
    filled: f64,
    is_full: bool,
}

/// How much of a part fills grows with the pressure to about this power: between 1/(1 + n) of
/// a strip and twice that of a disc, for the n of melts.
const REACH: f64 = 1.2;

/// Trials that go by what a short one predicts.
const PREDICTED_TRIALS: usize = 3;

/// Where a short one fills more than this share, a corner freezes off, and how much more
/// pressure that takes cannot be predicted.
const MOST_PREDICTABLE: f64 = 0.97;

/// So much more than predicted is tried first.
const FIRST_EXCESS: f64 = 1.03;

impl Tried {
    /// The pressure that fills, Pa, by how much of the part this one does.
    fn predicted(self) -> f64 {
        self.pa * self.filled.clamp(0.1, 1.0).powf(-REACH.recip())
    }
}

impl<'a> Search<'a> {
    fn new(
        prepared: &'a PreparedCavity<'a>,
        melt: &Melt,
        drive: &'a Drive<'a>,
    ) -> Result<Self, FillError> {
        let tables = MeltTables::at_pressure(melt, drive.pressure_pa)?;
        Ok(Self { prepared, tables, drive })
    }

    /// The least pressure, looked for from that of the drive by steps from `first` on, to within
    /// `apart`.
    fn least(&self, first: f64, apart: f64) -> Option<f64> {
        let bracket = self.bracket(self.drive.pressure_pa, first)?;
        Some(self.within(bracket, apart))
    }

    fn fill(&self, pressure_pa: f64) -> Tried {
        let drive = Drive { pressure_pa, ..*self.drive };
        let filling = front::run(&self.prepared.cavity(&self.tables), &drive, &[]);
        let filled = filling.filled / filling.reachable;
        Tried { pa: pressure_pa, filled, is_full: filling.is_full() }
    }

    /// The least pressure between one that is short and one that is enough: narrowed until they
    /// are `apart` from each other, and from there by how little the short one lacks. The first
    /// trials are on both sides of what the short one predicts; should that be wrong, halves
    /// follow.
    fn within(&self, [mut short, mut enough]: [Tried; 2], apart: f64) -> f64 {
        let side = apart.powf(0.45);
        let mut trials = 0;
        while enough.pa / short.pa > apart * (1.0 + 1e-9) {
            let [above, below] = [short.predicted() * side, short.predicted() / side];
            let is_predicted =
                trials < PREDICTED_TRIALS && short.filled < MOST_PREDICTABLE;
            trials += 1;
            let pa = if is_predicted && above < enough.pa {
                above
            } else if is_predicted && below > short.pa && below < enough.pa {
                below
            } else {
                geometric_mean([short.pa, enough.pa])
            };
            let tried = self.fill(pa);
            *(if tried.is_full { &mut enough } else { &mut short }) = tried;
        }
        if short.is_full {
            return short.pa;
        }
        short.predicted().clamp(short.pa, enough.pa)
    }

    /// A pressure that is short and one that is enough, from `start` by ever larger steps.
    /// `None` where nothing up to [`FARTHEST`] times `start` is enough; the same pressure twice
    /// where all down to that part of it are.
    fn bracket(&self, start: f64, mut step: f64) -> Option<[Tried; 2]> {
        let mut tried = self.fill(start);
        let down = tried.is_full;
        let mut after = FIRST_EXCESS;
        // The first two steps are alike: what is near is looked for nearby.
        let mut longer = step;
        loop {
            let next = if down {
                tried.pa / step
            } else {
                (tried.predicted() * after)
                    .clamp(tried.pa * after, tried.pa * step * step)
            };
            let farthest = start * FARTHEST;
            if tried.pa >= farthest {
                return None;
            }
            let next = next.min(farthest);
            if start / next > FARTHEST {
                return Some([tried, tried]);
            }
            let other = self.fill(next);
            if other.is_full != down {
                return Some(if down { [other, tried] } else { [tried, other] });
            }
            tried = other;
            after *= after;
            (step, longer) = (longer, longer * longer);
        }
    }
}
