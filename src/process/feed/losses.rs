//! Pressure lost between barrel and cavity, link by link.

use super::{Feed, Gate, Runner, RunnerSection, Sprue};
use crate::process::feed::channel::{Channel, Melt};
use crate::process::feed::nozzle::{self, Link};
use crate::process::press::circle;
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

impl Sprue {
    /// The sprue as a link; `None` where it has no length.
    pub fn link(&self) -> Option<Link> {
        let Self { inlet, foot, length } = *self;
        (length.si() > 0.0).then(|| Link {
            name: "sprue",
            size: format!(
                "{} to {} mm over {} mm",
                four_digits(in_mm(inlet)),
                four_digits(in_mm(foot)),
                four_digits(in_mm(length))
            ),
            channel: Channel::Cone { from: inlet, to: foot, length },
            is_end_correction: false,
            flows: 1.0,
        })
    }
}

impl Runner {
    /// The runner as a link: a trapezoid as the tube of its hydraulic diameter in which the melt
    /// is as fast (F. M. White, Fluid Mechanics, on flow in noncircular ducts; from memory). For a
    /// Newtonian melt that is 12 % too much in a square, whose f·Re is 14.2 in place of 16, and
    /// about as much in a trapezoid that is as wide as deep (Shah and London 1978, from memory).
    pub fn link(&self) -> Link {
        let Self { diameter, length, section } = *self;
        let form = match section {
            RunnerSection::Round => "",
            RunnerSection::Trapezoid => "trapezoid ",
        };
        Link {
            name: "runner",
            size: format!(
                "{form}{} mm × {} mm",
                four_digits(in_mm(diameter)),
                four_digits(in_mm(length))
            ),
            channel: Channel::Tube { diameter, length },
            is_end_correction: false,
            flows: (circle(diameter) / self.area()).si(),
        }
    }
}

impl Gate {
    /// The way into the gate and through it; nothing where the sprue stands on the part.
    pub fn links(&self) -> Vec<Link> {
        if self.is_round {
            return Vec::new();
        }
        let Self { depth, width, land, .. } = *self;
        let channel = Channel::Slot { depth, width, length: land };
        let gate = Link {
            name: "gate",
            size: format!(
                "{} × {} mm, land {} mm",
                four_digits(in_mm(depth)),
                four_digits(in_mm(width)),
                four_digits(in_mm(land))
            ),
            channel,
            is_end_correction: false,
            flows: 1.0,
        };
        let half = depth.min(width) / 2.0;
        vec![nozzle::contraction("into the gate", half, channel), gate]
    }
}

impl Feed {
    /// The links from barrel to cavity, in the order of the flow: those of the nozzle first.
    pub fn links(&self) -> Vec<Link> {
        let mut links = self.nozzle_links();
        links.extend(self.sprue.link().map(|link| link.shared_by(self.cavities)));
        links.extend(self.runner.map(|runner| runner.link()));
        links.extend(self.gate.links());
        links
    }

    /// The links of the nozzle, which belong to the press; none where no nozzle is known.
    pub fn nozzle_links(&self) -> Vec<Link> {
        let links = self.nozzle.as_ref().map(nozzle::links).unwrap_or_default();
        links.into_iter().map(|link| link.shared_by(self.cavities)).collect()
    }

    /// The links in the mold, where the melt cools.
    pub fn mold_links(&self) -> Vec<Link> {
        self.links().split_off(self.nozzle_links().len())
    }

    /// What each link costs at a flow into each cavity.
    pub fn losses(&self, melt: &Melt, flow: VolumeRate) -> Vec<Loss> {
        let links = self.links().into_iter();
        links
            .map(|link| Loss {
                loss: link.loss(melt, flow),
                apparent_rate: link.apparent_rate(flow),
                name: link.name,
                size: link.size,
            })
            .collect()
    }

    /// Pa that all links cost together at a flow of `flow_m3_s`: nothing at no flow, and more
    /// the more flows. For many flows make the [`Feed::links`] once and use
    /// [`nozzle::loss`].
    #[cfg(test)]
    pub(crate) fn loss_pa(&self, melt: &Melt, flow_m3_s: f64) -> f64 {
        let flow = VolumeRate::from_si(flow_m3_s);
        nozzle::loss(&self.links(), melt, flow).si()
    }
}
