//! Pressure lost between barrel and cavity, link by link.

use super::Feed;
use crate::process::feed::channel::{self, Channel, Melt};
use crate::process::feed::nozzle::{self, Link};
use crate::units::{Pressure, Quantity, VolumeRate, format::four_digits, in_mm};

/// What one link costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    /// What it is, as "runner".
    pub name: &'static str,
    /// Its size in words, as "4 mm × 50 mm".
    pub size: String,
    /// Pressure lost in it.
    pub loss: Pressure,
    /// Apparent shear rate where it is narrowest, 1/s.
    pub apparent_rate: f64,
}

impl Feed {
    /// The links from barrel to cavity, in the order of the flow.
    pub fn links(&self) -> Vec<Link> {
        let sprue = (self.sprue.length.si() > 0.0).then(|| Link {
            name: "sprue",
            size: format!(
                "{} to {} mm over {} mm",
                four_digits(in_mm(self.sprue.inlet)),
                four_digits(in_mm(self.sprue.foot)),
                four_digits(in_mm(self.sprue.length))
            ),
            channel: Channel::Cone {
                from: self.sprue.inlet,
                to: self.sprue.foot,
                length: self.sprue.length,
            },
            is_end_correction: false,
        });
        let runner = self.runner.map(|runner| Link {
            name: "runner",
            size: format!(
                "{} mm × {} mm",
                four_digits(in_mm(runner.diameter)),
                four_digits(in_mm(runner.length))
            ),
            channel: Channel::Tube { diameter: runner.diameter, length: runner.length },
            is_end_correction: false,
        });
        let gate = self.gate;
        let land =
            Channel::Slot { depth: gate.depth, width: gate.width, length: gate.land };
        let gate_link = Link {
            name: "gate",
            size: format!(
                "{} × {} mm, land {} mm",
                four_digits(in_mm(gate.depth)),
                four_digits(in_mm(gate.width)),
                four_digits(in_mm(gate.land))
            ),
            channel: land,
            is_end_correction: false,
        };
        let half = gate.depth.min(gate.width) / 2.0;
        let into = nozzle::contraction("into the gate", half, land);
        let mut links = self.nozzle.as_ref().map(nozzle::links).unwrap_or_default();
        links.extend(sprue.into_iter().chain(runner).chain([into, gate_link]));
        links
    }

    /// The links in the nozzle, which is as hot as the barrel.
    pub fn nozzle_links(&self) -> Vec<Link> {
        self.nozzle.as_ref().map(nozzle::links).unwrap_or_default()
    }

    /// The links in the mold, where the melt cools.
    pub fn mold_links(&self) -> Vec<Link> {
        self.links().split_off(self.nozzle_links().len())
    }

    /// What each link costs at a flow.
    pub fn losses(&self, melt: &Melt, flow: VolumeRate) -> Vec<Loss> {
        let links = self.links().into_iter();
        links
            .map(|link| Loss {
                loss: link.loss(melt, flow),
                apparent_rate: channel::apparent_rate(link.channel, flow),
                name: link.name,
                size: link.size,
            })
            .collect()
    }

    /// Pa that all links cost together at a flow of `flow_m3_s`: nothing at no flow, and more
    /// the more flows. Who asks for many flows makes the [`Feed::links`] once and asks
    /// [`nozzle::loss`].
    #[cfg(test)]
    pub(crate) fn loss_pa(&self, melt: &Melt, flow_m3_s: f64) -> f64 {
        let flow = VolumeRate::from_si(flow_m3_s);
        nozzle::loss(&self.links(), melt, flow).si()
    }
}
