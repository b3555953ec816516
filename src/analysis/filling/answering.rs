//! The part as it answers to the four things that shots can tell: its coarse cells, brought to
//! what the fine ones say.

use super::doubt::{KELVIN_DOUBT, MOLD_KELVIN_DOUBT, SUPPLY_DOUBT, viscosity_doubt};
use super::{FillingStudy, NotFilled};
use crate::analysis::Analysis;
use crate::fill::calibration::AnsweringPart;
use crate::fill::drive::Drive;
use crate::fill::feed_channels;
use crate::fill::feed_table::FeedTable;
use crate::fill::gate::Gate;
use crate::fill::prepared::{Case, PreparedCavity};
use crate::process::calibration::posterior::{Doubts, Knowledge};
use crate::process::plastic::Plastic;
use crate::units::Quantity;

/// What is known of the four before any shot.
pub fn prior(plastic: &Plastic) -> Knowledge {
    Knowledge::prior(&Doubts {
        viscosity: viscosity_doubt(plastic),
        supply: SUPPLY_DOUBT,
        mold_kelvin: MOLD_KELVIN_DOUBT,
        melt_kelvin: KELVIN_DOUBT,
    })
}

impl Analysis {
    /// The part as it answers; `None` where no pressure fills it.
    ///
    /// # Errors
    ///
    /// As the filling itself.
    pub fn answering(&self) -> Result<Option<AnsweringPart>, NotFilled> {
        let filled = self.filling.as_ref().map_err(Clone::clone)?;
        let design = self.evaluation.feed_design.as_ref().map_err(Clone::clone)?;
        let press = &self.setup.press;
        let table = FeedTable::new(&design.feed, &self.setup.plastic, press)?;
        let cavities = f64::from(design.feed.cavities);
        let take = |flow: f64| table.at(flow);
        let channels = feed_channels::segments(&design.feed.mold_links());
        let drive = Drive {
            pressure_pa: press.melt_pressure().si(),
            most_m3_s: press.flow_limit().map(|flow| flow.si() / cavities),
            feed: &take,
            channels: &channels,
        };
        let gates = [Gate::of_feed(filled.gate, &design.feed.gate)];
        let (mesh, bvh) = (&self.part.mesh, &self.part.bvh);
        let case =
            Case { cells: &filled.coarse, mesh, bvh, gates: &gates, melt: &filled.melt };
        let prepared = PreparedCavity::new(&case)?.in_long_steps();
        let answering = AnsweringPart::measure(&prepared, &filled.melt, &drive)?;
        let finer = filled.least.rough_over_fine().recip();
        Ok(answering.map(|part| part.scaled(finer)))
    }
}

impl FillingStudy {
    /// Share of the part that lies no farther from the gate than this along the way of the melt,
    /// mm.
    pub fn share_within(&self, reach_mm: f64) -> f64 {
        let ways = self.way_mm.iter().zip(&self.cells.volume_mm3);
        let within = ways.filter(|(way, _)| way.is_some_and(|way| way <= reach_mm));
        within.map(|(_, volume)| volume).sum::<f64>() / self.cells.total_mm3()
    }
}
