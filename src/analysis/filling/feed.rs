//! What nozzle, sprue, runner and gate cost, ready to be asked thousands of times.

use crate::process::feed::Feed;
use crate::process::feed::nozzle;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::press::Press;
use crate::settings::Stop;
use crate::units::{Quantity, VolumeRate};

/// The least flow in the table, m³/s; below it the loss falls with the flow.
const LEAST: f64 = 1e-13;
/// Steps of the table in one decade: between them a power law holds to a thousandth.
const STEPS: i32 = 16;
/// Decades: up to 1 m³/s.
const DECADES: i32 = 13;

/// Losses at flows in even steps of their logarithm.
#[derive(Clone)]
pub(super) struct Table<'a> {
    losses_pa: Vec<f64>,
    stop: Option<&'a Stop>,
}

/// The losses of `feed` with this plastic in this press.
pub(super) fn table<'a>(
    feed: &Feed,
    plastic: &Plastic,
    press: &Press,
) -> Result<Table<'a>, Unknown> {
    let melt = nozzle::melt(plastic, press)?;
    let links = feed.links();
    let flow = |step: i32| LEAST * 10_f64.powf(f64::from(step) / f64::from(STEPS));
    let loss =
        |step: i32| nozzle::loss(&links, &melt, VolumeRate::from_si(flow(step))).si();
    let mut most: f64 = 0.0;
    let never_falls = |loss: f64| {
        most = most.max(loss);
        most
    };
    let losses_pa = (0..=DECADES * STEPS).map(loss).map(never_falls).collect();
    Ok(Table { losses_pa, stop: None })
}

impl<'a> Table<'a> {
    /// The same feed, shut once a stop is asked for: nothing flows through it any more, so
    /// that every filling ends at its next instant.
    pub(super) fn until(self, stop: Option<&'a Stop>) -> Self {
        Self { stop, ..self }
    }

    /// Pa lost at a flow in m³/s; the power law between two flows of the table.
    pub(super) fn at(&self, flow: f64) -> f64 {
        if flow <= 0.0 {
            return 0.0;
        }
        if self.stop.is_some_and(Stop::is_asked) {
            return f64::INFINITY;
        }
        let place = (flow / LEAST).log10() * f64::from(STEPS);
        let step = place.floor().clamp(0.0, f64::from(DECADES * STEPS - 1));
        let [low, high] =
            [0, 1].map(|more| self.losses_pa.get(step as usize + more).copied());
        match (low, high) {
            (Some(low), Some(high)) if low > 0.0 && high.is_finite() => {
                low * (high / low).powf(place - step)
            }
            _ => f64::INFINITY,
        }
    }
}
