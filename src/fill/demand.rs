//! The least ram pressure that fills the part.
//!
//! The same filling is tried at one pressure after another: first on coarse cells, by
//! doubling and halving until one fills and one is short, then between them; last on the
//! fine cells near what the coarse ones said. Without a skin every pressure fills, if
//! slowly, and there is no least one.
//!
//! **Band**: a melt that is thicker by a factor at every rate needs a ram stronger by
//! that factor, exactly, as long as the feed is thicker by the same (then every speed is
//! the same). What another melt temperature changes is tried on the coarse cells.

use super::cells::Cells;
use super::flow::Drive;
use super::front::{self, Case, FillError, Prepared};
use super::melt::Melt;

/// Pressures are told apart by this factor on the coarse cells.
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
pub enum Least {
    /// Any: nothing freezes.
    Any,
    /// This, and the least and the greatest that the doubt leaves; the last is infinite
    /// where a colder melt fills at no pressure tried.
    Pressure {
        /// Best estimate, Pa.
        pa: f64,
        /// With the doubt, Pa.
        band_pa: [f64; 2],
    },
    /// None up to 64 times what the ram has.
    None,
}

/// Searches the least pressure for `case`, from `drive.pressure_pa` on. `coarse` is the
/// same part in cells of about twice the edge.
///
/// # Errors
///
/// [`FillError`] as in [`front::fill`].
pub fn least(
    case: &Case<'_>,
    coarse: &Cells,
    drive: &Drive<'_>,
    doubt: Doubt,
) -> Result<Least, FillError> {
    let rough = Case { cells: coarse, ..*case };
    let prepared = Prepared::of(&rough, drive.pressure_pa)?;
    if !prepared.skin.freezes() {
        return Ok(Least::Any);
    }
    let Some(guess) = search(&rough, &prepared, drive, drive.pressure_pa) else {
        return Ok(Least::None);
    };
    let ratio = |kelvin: f64| -> Result<f64, FillError> {
        let is_known = kelvin.abs() > 0.0;
        if is_known { Ok(warmer(&rough, drive, guess, kelvin)? / guess) } else { Ok(1.0) }
    };
    let (pa, (hot, cold)) = rayon::join(
        || confirm(case, drive, guess),
        || rayon::join(|| ratio(doubt.kelvin), || ratio(-doubt.kelvin)),
    );
    let (Some(pa), ratios) = (pa?, [hot?, cold?]) else { return Ok(Least::None) };
    let factor = doubt.viscosity.max(1.0);
    let [low, high] = [ratios[0].min(ratios[1]), ratios[0].max(ratios[1])];
    let band_pa = [pa * low.min(1.0) / factor, pa * high.max(1.0) * factor];
    Ok(Least::Pressure { pa, band_pa })
}

/// The least pressure for a melt that is `kelvin` hotter; infinite where none fills.
fn warmer(
    case: &Case<'_>,
    drive: &Drive<'_>,
    guess: f64,
    kelvin: f64,
) -> Result<f64, FillError> {
    use crate::units::{Quantity, Temperature};
    let temperature = Temperature::from_si(case.melt.temperature.si() + kelvin);
    let melt = Melt { temperature, ..*case.melt };
    let case = Case { melt: &melt, ..*case };
    let prepared = Prepared::of(&case, drive.pressure_pa)?;
    Ok(search(&case, &prepared, drive, guess).unwrap_or(f64::INFINITY))
}

fn fills(
    case: &Case<'_>,
    prepared: &Prepared,
    drive: &Drive<'_>,
    pressure_pa: f64,
) -> bool {
    let filling =
        front::run(&prepared.cavity(case.cells), &Drive { pressure_pa, ..*drive });
    filling.filled >= (1.0 - front::FULL) * filling.reachable
}

/// The least pressure on the coarse cells, told to [`APART`]: brackets it from `start`,
/// then halves.
fn search(
    case: &Case<'_>,
    prepared: &Prepared,
    drive: &Drive<'_>,
    start: f64,
) -> Option<f64> {
    let is_enough = |pressure: f64| fills(case, prepared, drive, pressure);
    let [mut short, mut enough] = bracket(start, start, FIRST, is_enough)?;
    while enough / short > APART {
        let middle = (enough * short).sqrt();
        if is_enough(middle) { enough = middle } else { short = middle }
    }
    Some((enough * short).sqrt())
}

/// The least pressure on the fine cells, near `guess`.
fn confirm(
    case: &Case<'_>,
    drive: &Drive<'_>,
    guess: f64,
) -> Result<Option<f64>, FillError> {
    let prepared = Prepared::of(case, drive.pressure_pa)?;
    let is_enough = |pressure: f64| fills(case, &prepared, drive, pressure);
    let found = bracket(guess, drive.pressure_pa, NEAR, is_enough);
    // Between the two, nearer to neither.
    Ok(found.map(|[short, enough]| (short * enough).sqrt()))
}

/// A pressure that is short and one that is enough, from `start` by ever larger steps.
/// `None` where nothing up to [`FARTHEST`] times `base` is enough; the same pressure twice
/// where all down to that part of `base` are.
fn bracket(
    start: f64,
    base: f64,
    mut step: f64,
    is_enough: impl Fn(f64) -> bool,
) -> Option<[f64; 2]> {
    let (mut tried, down) = (start, is_enough(start));
    loop {
        let next = if down { tried / step } else { tried * step };
        if next / base > FARTHEST {
            return None;
        }
        if base / next > FARTHEST {
            return Some([tried, tried]);
        }
        if is_enough(next) != down {
            return Some(if down { [next, tried] } else { [tried, next] });
        }
        tried = next;
        step *= step;
    }
}
