//! The least ram pressure that fills the part.
//!
//! The same filling is tried at one pressure after another: first on coarse cells, by
//! doubling and halving until one fills and one is short, then between them; last on the
//! fine cells near what the coarse ones said. Without a frozen layer every pressure
//! fills, if slowly, and there is no least one.
//!
//! **Band**: a melt that is thicker by a factor at every rate needs a ram stronger by
//! that factor, exactly, as long as the feed is thicker by the same (then every speed is
//! the same). What another melt temperature changes is tried on the coarse cells.

use super::front;
use super::melt::Melt;
use crate::fill::flow_step::Drive;
use crate::fill::prepared::{FillError, MeltTables, PreparedCavity};
use crate::numeric::{bisect_to_ratio, geometric_mean};
use crate::units::{Quantity, Temperature};

/// Pressures are distinguished by this factor on the coarse cells.
const APART: f64 = 1.03;

/// First step by which the coarse cells look for the other side of the limit.
const FIRST: f64 = 1.25;

/// First step by which the fine cells look for the other side of the limit.
const NEAR: f64 = 1.08;

/// From the pressure available the search goes up and down by this factor at most.
const FARTHEST: f64 = 64.0;

/// How sure the inputs are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// The melt may be thicker or thinner by this factor, from 1 up.
    pub viscosity: f64,
    /// The melt may be hotter or colder by this, K.
    pub kelvin: f64,
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
    search_with_band(rough, melt, drive, doubt, |near| confirm(fine, melt, near))
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
    if !melt.frozen_layer().freezes() {
        return Ok(RequiredPressure::Any);
    }
    let Some(guess) = least_of(rough, melt, drive)? else {
        return Ok(RequiredPressure::None);
    };
    let near = Drive { pressure_pa: guess, ..*drive };
    let ratio = |kelvin: f64| -> Result<f64, FillError> {
        if kelvin.abs() <= 0.0 {
            return Ok(1.0);
        }
        let temperature = Temperature::from_si(melt.temperature.si() + kelvin);
        let warmer = Melt { temperature, ..*melt };
        Ok(least_of(rough, &warmer, &near)?.map_or(f64::INFINITY, |pa| pa / guess))
    };
    let (pa, (hot, cold)) = rayon::join(
        || confirm(&near),
        || rayon::join(|| ratio(doubt.kelvin), || ratio(-doubt.kelvin)),
    );
    let (Some(pa), ratios) = (pa?, [hot?, cold?]) else {
        return Ok(RequiredPressure::None);
    };
    let factor = doubt.viscosity.max(1.0);
    let [low, high] = [ratios[0].min(ratios[1]), ratios[0].max(ratios[1])];
    let band_pa = [pa * low.min(1.0) / factor, pa * high.max(1.0) * factor];
    Ok(RequiredPressure::Pressure { pa, band_pa, rough_pa: guess })
}

/// The least pressure that fills `prepared` itself, to within [`APART`]: brackets it from
/// `drive.pressure_pa`, then halves. `None` where none up to 64 times that does.
///
/// # Errors
///
/// [`FillError`] when the melt does not flow at its temperature.
pub fn least_of(
    prepared: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
) -> Result<Option<f64>, FillError> {
    let tables = MeltTables::at_pressure(melt, drive.pressure_pa)?;
    let is_enough = |pressure: f64| fills(prepared, &tables, drive, pressure);
    let found = bracket(drive.pressure_pa, FIRST, is_enough);
    Ok(found.map(|bracket| {
        geometric_mean(bisect_to_ratio(bracket, APART, |pressure| !is_enough(pressure)))
    }))
}

fn fills(
    prepared: &PreparedCavity<'_>,
    tables: &MeltTables,
    drive: &Drive<'_>,
    pressure_pa: f64,
) -> bool {
    front::run(&prepared.cavity(tables), &Drive { pressure_pa, ..*drive }).is_full()
}

/// The least pressure on the fine cells, near `drive.pressure_pa`.
fn confirm(
    fine: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
) -> Result<Option<f64>, FillError> {
    let tables = MeltTables::at_pressure(melt, drive.pressure_pa)?;
    let is_enough = |pressure: f64| fills(fine, &tables, drive, pressure);
    let found = bracket(drive.pressure_pa, NEAR, is_enough);
    // Between the two, nearer to neither.
    Ok(found.map(geometric_mean))
}

/// A pressure that is short and one that is enough, from `start` by ever larger steps.
/// `None` where nothing up to [`FARTHEST`] times `start` is enough; the same pressure twice
/// where all down to that part of it are.
fn bracket(
    start: f64,
    mut step: f64,
    is_enough: impl Fn(f64) -> bool,
) -> Option<[f64; 2]> {
    let (mut tried, down) = (start, is_enough(start));
    loop {
        let next = if down { tried / step } else { tried * step };
        if next / start > FARTHEST {
            return None;
        }
        if start / next > FARTHEST {
            return Some([tried, tried]);
        }
        if is_enough(next) != down {
            return Some(if down { [next, tried] } else { [tried, next] });
        }
        tried = next;
        step *= step;
    }
}
