//! Which pressure fills, holds and is there, and how to begin.

use serde::{Deserialize, Serialize};

/// Which melt pressure fills, which one everything holds, and which one the press has;
/// `null` where it is not known.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PressureWindow {
    /// Melt pressure that fills with all that is in doubt in its favor, MPa.
    pub fills_best_mpa: Option<f64>,
    /// Melt pressure that is expected to fill, MPa.
    pub fills_expected_mpa: Option<f64>,
    /// Melt pressure that fills with all that is in doubt against it, MPa; `null` also where
    /// no pressure tried is enough.
    pub fills_worst_mpa: Option<f64>,
    /// What limits the pressure, the least first; empty where nothing is known to.
    pub limits: Vec<PressureLimit>,
    /// Melt pressure that the press has after the stated losses, MPa.
    pub has_mpa: Option<f64>,
    /// What the press is set to for that, such as "7 bar at the regulator".
    pub has_setting: Option<String>,
    /// The most to push with, MPa: what surely holds, and no more than the press has.
    pub most_mpa: Option<f64>,
    /// What to set for that.
    pub most_setting: Option<String>,
    /// The pressure to begin with, MPa: it fills in the worst case, if that is held.
    pub begin_mpa: Option<f64>,
    /// What to set for that.
    pub begin_setting: Option<String>,
    /// What fills and what holds, in words.
    pub range: String,
    /// What the press has and what to push with, in words.
    pub advice: String,
}

/// Up to which melt pressure something holds.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PressureLimit {
    /// `clamp`, `plates against flash`, `nozzle seat` or `standing metal`.
    pub by: String,
    /// Up to here surely, MPa: with the margin wanted of a clamp, with a gap in which the
    /// plastic stays, with melt under the whole seat.
    pub surely_mpa: f64,
    /// Beyond this surely not, MPa; `null` where no pressure tried is too much.
    pub at_most_mpa: Option<f64>,
}

/// How to make the first shots; `null` where a number is not known.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FirstShots {
    /// Melt temperature to begin with, °C.
    pub melt_c: Option<f64>,
    /// Mold temperature to begin with, °C.
    pub mold_c: Option<f64>,
    /// What the mold has before the first shot when nobody warms it, °C.
    pub mold_start_c: Option<f64>,
    /// How many shots then meet a mold colder than its range; `null` where it never gets so
    /// warm, or its warming is not known.
    pub cold_shots: Option<usize>,
    /// Melt pressure to begin with, MPa.
    pub pressure_mpa: Option<f64>,
    /// What to set for that.
    pub setting: Option<String>,
    /// What to set for that in a barrel that is soaked through, where no granule bed takes
    /// pressure; `null` where the press file states no such loss.
    pub soaked_setting: Option<String>,
    /// How long to hold, s.
    pub hold_s: Option<f64>,
    /// How long to cool from the end of filling, s.
    pub cool_s: Option<f64>,
    /// What to change first.
    pub changes: Vec<FirstShotChange>,
}

/// What to change when the first parts show this.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FirstShotChange {
    /// What the part shows: `short`, `flashed`, `sunk` or `burnt`.
    pub seen: String,
    /// What to change, in this order.
    pub change: String,
}
