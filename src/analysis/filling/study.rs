//! What is asked of a filling that is done.

use super::FillingStudy;
use crate::fill::pressure_watch::{Around, PressureWatch};
use crate::fill::required_pressure::RequiredPressure;
use crate::geom::Point;
use crate::part::standing_metal::{Form, StandingMetal};
use crate::process::evaluation::{KnownFilling, RequiredBand};
use crate::process::feed::layout::FeedLayout;
use crate::units::{Pressure, Quantity, Time, VolumeRate};

/// The metal that the filling watches.
pub(super) fn watches(standing: &[StandingMetal]) -> Vec<PressureWatch> {
    let watch = |it: &StandingMetal| PressureWatch {
        beside: it.beside.clone(),
        around: if it.form == Form::Pin { Around::Pin } else { Around::Fin },
    };
    standing.iter().map(watch).collect()
}

impl FillingStudy {
    /// What clamp, feed and cycle ask of it; `None` where no pressure is known to fill.
    pub fn known(&self) -> Option<KnownFilling> {
        let RequiredPressure::Pressure { pa, band_pa, .. } = self.least else {
            return None;
        };
        let time = self.run.time_s.max(f64::MIN_POSITIVE);
        let filled = self.run.filled * self.cells.total_mm3() * 1e-9;
        let [best, expected, worst] = [band_pa[0], pa, band_pa[1]].map(Pressure::from_si);
        Some(KnownFilling {
            time: Time::from_si(time),
            flow: VolumeRate::from_si(filled / time),
            required: RequiredBand { best, expected, worst },
        })
    }

    /// Melt pressure that fills through another layout of the feed.
    pub fn needed_through(&self, layout: FeedLayout) -> Option<Pressure> {
        let mut tried = self.alternatives.iter();
        let found = tried.find(|alternative| alternative.layout == layout)?;
        found.needed_pa.map(Pressure::from_si)
    }

    /// Pressure there is over the least that fills, as in `run`'s drive.
    pub fn margin(&self, available_pa: f64) -> Option<f64> {
        match self.least {
            RequiredPressure::Pressure { pa, .. } => Some(available_pa / pa),
            _ => None,
        }
    }

    /// The same from the worst to the best case.
    pub fn margin_band(&self, available_pa: f64) -> Option<[f64; 2]> {
        match self.least {
            RequiredPressure::Pressure { band_pa: [low, high], .. } => {
                Some([available_pa / high, available_pa / low])
            }
            _ => None,
        }
    }

    /// When the front came by `at`, s; `None` where it never did.
    pub fn arrival_s(&self, at: &Point) -> Option<f64> {
        self.run.arrival_s.get(self.cells.nearest(at)).copied().flatten()
    }

    /// Where the melt came to rest last: of what it reached, the cell farthest from being
    /// early that lies beside an empty one; `None` when it fills.
    pub fn stuck_at(&self) -> Option<Point> {
        let arrival = &self.run.arrival_s;
        let beside = self.cells.links.iter().filter_map(|link| {
            let [low, high] = [link.low, link.high].map(|cell| cell as usize);
            match (arrival[low], arrival[high]) {
                (Some(time), None) => Some((time, low)),
                (None, Some(time)) => Some((time, high)),
                _ => None,
            }
        });
        let last = beside.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        last.filter(|_| !self.run.fills).map(|(_, cell)| self.cells.middle(cell))
    }
}
