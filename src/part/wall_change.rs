//! The same part with other walls, on the same plan.

/// How every wall is changed, and how much plastic the part then takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallChange {
    /// So many times as thick,
    pub times: f64,
    /// and then no thinner than this, mm,
    pub least_mm: f64,
    /// nor thicker than this, mm.
    pub most_mm: f64,
    /// So many times as much plastic; 1 where that is not known.
    pub volume: f64,
}

impl Default for WallChange {
    fn default() -> Self {
        Self { times: 1.0, least_mm: 0.0, most_mm: f64::INFINITY, volume: 1.0 }
    }
}

impl WallChange {
    /// All walls `factor` times as thick, and as much plastic.
    pub fn by(factor: f64) -> Self {
        Self { times: factor, volume: factor, ..Self::default() }
    }

    /// Every wall at least so thick; the plastic is not counted.
    pub fn at_least(least_mm: f64) -> Self {
        Self { least_mm, ..Self::default() }
    }

    /// A wall of `wall_mm` after the change, mm.
    pub fn apply(&self, wall_mm: f64) -> f64 {
        (self.times * wall_mm).max(self.least_mm).min(self.most_mm)
    }
}
