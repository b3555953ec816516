//! The walls against what plastic and press allow.

use crate::analysis::Setup;
use crate::mesh::samples::Samples;
use crate::part::surface_statistics::{self, Bad, Extreme};
use crate::part::thickness::{self, Thickness};
use crate::process::part_limits::{self, WallLimits};
use crate::process::plastic::Unknown;
use crate::units;

/// Walls against their limits.
pub struct Walls {
    /// Of every sample.
    pub thickness: Thickness,
    /// For this plastic on this class of press.
    pub limits: Result<WallLimits, Unknown>,
    /// Too thin, worst first.
    pub thin: Vec<Extreme>,
    /// Too thick, worst first.
    pub thick: Vec<Extreme>,
}

/// Walls against what this plastic stands on this press.
pub(super) fn judge(thickness: Thickness, samples: &Samples, setup: &Setup) -> Walls {
    let limits = part_limits::wall(&setup.plastic, setup.press.class());
    let beyond = |values: &[Option<f64>], bad: Bad| {
        let least_area = thickness::LEAST_REGION * bad.limit().powi(2);
        surface_statistics::extremes(samples, values, bad, least_area)
    };
    let (thin, thick) = limits.as_ref().map_or_else(
        |_| (Vec::new(), Vec::new()),
        |limits| {
            let thin =
                beyond(&thickness.of_walls(), Bad::Below(units::in_mm(limits.low)));
            let thick =
                beyond(&thickness.of_lumps(), Bad::Above(units::in_mm(limits.high)));
            (thin, thick)
        },
    );
    Walls { thickness, limits, thin, thick }
}
