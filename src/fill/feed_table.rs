//! What nozzle, sprue, runner and gate cost, ready to be asked thousands of times.

use crate::process::feed::Feed;
use crate::process::feed::nozzle;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::press::Press;
use crate::units::{Quantity, VolumeRate};

/// The least flow in the table, m³/s; below it the loss falls with the flow.
const LEAST: f64 = 1e-13;
/// Steps of the table in one decade: between them a power law holds to a thousandth.
const STEPS: i32 = 16;
/// Decades: up to 1 m³/s.
const DECADES: i32 = 13;

/// Losses at flows in even steps of their logarithm.
#[derive(Clone)]
pub struct FeedTable {
    losses_pa: Vec<f64>,
}

impl FeedTable {
    /// The losses of `feed` with this plastic in this press.
    ///
    /// # Errors
    /// When the plastic lacks a value.
    pub fn new(feed: &Feed, plastic: &Plastic, press: &Press) -> Result<Self, Unknown> {
        let melt = nozzle::melt(plastic, press)?;
        let links = feed.nozzle_links();
        let flow = |step: i32| LEAST * 10_f64.powf(f64::from(step) / f64::from(STEPS));
        let loss =
            |step: i32| nozzle::loss(&links, &melt, VolumeRate::from_si(flow(step))).si();
        let mut most: f64 = 0.0;
        let never_falls = |loss: f64| {
            most = most.max(loss);
            most
        };
        let losses_pa = (0..=DECADES * STEPS).map(loss).map(never_falls).collect();
        Ok(Self { losses_pa })
    }

    /// Pa lost at a flow in m³/s; the power law between two flows of the table.
    pub fn at(&self, flow: f64) -> f64 {
        if flow <= 0.0 {
            return 0.0;
        }
        let place = (flow / LEAST).log10() * f64::from(STEPS);
        let step = place.floor().clamp(0.0, f64::from(DECADES * STEPS - 1));
        let [low, high] =
            [0, 1].map(|more| self.losses_pa.get(step as usize + more).copied());
        match (low, high) {
            (Some(low), Some(high)) if low > 0.0 && high.is_finite() => {
                low * (high / low).powf(place - step)
            }
            // A press that names no nozzle loses nothing in it.
            (Some(_), Some(high)) if high <= 0.0 => 0.0,
            _ => f64::INFINITY,
        }
    }
}
