//! Sprue, runner and gate while they cool: what they cost at a flow, and how warm the melt
//! leaves them.
//!
//! Each channel is cut into short segments that carry a temperature through their half gap as
//! the walls of the part do (`gap_profile`); the pressure that each loses follows from that.
//! They fill before the cavity does. The nozzle belongs to the press and is as hot as it.

use crate::fill::fluidity::{Fluidity, log_lever};
use crate::fill::gap_nodes::{ByNode, NODES};
use crate::fill::gap_profile::{self, Exchange};
use crate::fill::local_walls::SECTIONS;
use crate::fill::node_rates::Passing;
use crate::fill::thermal_tables::ThermalTables;
use crate::process::feed::channel::{self, Channel};
use crate::process::feed::nozzle::Link;
use crate::units::Quantity;

/// A short piece of a channel in the mold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Shape of its section: 0 a flat gap, 16 a round bore.
    pub section: u8,
    /// Gap or diameter, m.
    pub gap_m: f64,
    /// Area that the melt of one cavity flows through, m²; of a slot, what its side walls leave.
    pub area_m2: f64,
    /// Length, m.
    pub length_m: f64,
    /// Length that only costs pressure, m: the end correction of a contraction.
    pub extra_m: f64,
}

/// Segments of a cone, and of a tube.
const PIECES: usize = 5;

/// The segments of `links`, in the order of the flow.
pub fn segments(links: &[Link]) -> Vec<Segment> {
    let mut segments = Vec::new();
    let mut extra_m = 0.0;
    for link in links {
        if link.is_end_correction {
            extra_m += length(link.channel);
            continue;
        }
        let first = segments.len();
        pieces(link.channel, &mut segments);
        // Each cavity has its share of a channel that all fill.
        for segment in &mut segments[first..] {
            segment.area_m2 /= link.flows;
        }
        if let Some(segment) = segments.get_mut(first) {
            segment.extra_m = std::mem::take(&mut extra_m);
        }
    }
    segments
}

fn length(channel: Channel) -> f64 {
    match channel {
        Channel::Tube { length, .. }
        | Channel::Cone { length, .. }
        | Channel::Slot { length, .. } => length.si(),
    }
}

fn pieces(channel: Channel, segments: &mut Vec<Segment>) {
    let rod = |diameter: f64, length_m: f64| Segment {
        section: (SECTIONS - 1) as u8,
        gap_m: diameter,
        area_m2: std::f64::consts::FRAC_PI_4 * diameter * diameter,
        length_m,
        extra_m: 0.0,
    };
    match channel {
        Channel::Tube { diameter, length } => {
            let piece = rod(diameter.si(), length.si() / PIECES as f64);
            segments.extend([piece; PIECES]);
        }
        Channel::Cone { from, to, length } => {
            let step = (to.si() - from.si()) / PIECES as f64;
            segments.extend((0..PIECES).map(|piece| {
                let diameter = from.si() + (piece as f64 + 0.5) * step;
                rod(diameter, length.si() / PIECES as f64)
            }));
        }
        Channel::Slot { depth, width, length } => {
            let (gap_m, wide) = (depth.si().min(width.si()), depth.si().max(width.si()));
            segments.push(Segment {
                section: 0,
                gap_m,
                area_m2: gap_m * wide * channel::side_walls(gap_m / wide),
                length_m: length.si(),
                extra_m: 0.0,
            });
        }
    }
}

/// The flow, m³/s, that a loss at each flow (Pa of m³/s) lets through.
type RunIn<'a> = &'a dyn Fn(&dyn Fn(f64) -> f64) -> f64;

/// The channels of a feed and the melt in them.
pub(super) struct FeedChannels<'a> {
    segments: &'a [Segment],
    kelvin: Vec<ByNode>,
    warmth: Vec<ByNode>,
    passing: Vec<ByNode>,
}

impl<'a> FeedChannels<'a> {
    /// Full of melt at its temperature.
    pub(super) fn new(segments: &'a [Segment], hot: ByNode) -> Self {
        let count = segments.len();
        Self {
            segments,
            kelvin: vec![hot; count],
            warmth: vec![[1.0; NODES]; count],
            passing: vec![[0.0; NODES]; count],
        }
    }

    /// Pressure lost at a flow, Pa; infinite where a channel is frozen.
    pub(super) fn loss(&self, fluidity: &Fluidity, flow_m3_s: f64) -> f64 {
        self.loss_of(fluidity, flow_m3_s, self.segments.len())
    }

    fn loss_of(&self, fluidity: &Fluidity, flow_m3_s: f64, first: usize) -> f64 {
        if flow_m3_s <= 0.0 {
            return 0.0;
        }
        let each = self.segments.iter().zip(&self.warmth).take(first);
        let lost = each.map(|(segment, warmth)| {
            let velocity = flow_m3_s / segment.area_m2;
            let gradient =
                fluidity.gradient(segment.section, segment.gap_m, velocity, Some(warmth));
            gradient * (segment.length_m + segment.extra_m)
        });
        lost.sum()
    }

    /// The melt runs in, segment after segment, as fast as `flow` lets it; `flow` gives m³/s
    /// for the loss of what is filled so far.
    pub(super) fn run_in(
        &mut self,
        fluidity: &Fluidity,
        tables: &ThermalTables,
        flow: RunIn<'_>,
    ) {
        for front in 0..self.segments.len() {
            let segment = self.segments[front];
            let flow_m3_s = flow(&|flow| self.loss_of(fluidity, flow, front + 1));
            let volume = segment.area_m2 * segment.length_m;
            if flow_m3_s <= 0.0 {
                return;
            }
            let lasts_s = volume / flow_m3_s;
            self.pass_first(fluidity, tables, volume, lasts_s, front);
            if let Some(before) = front.checked_sub(1) {
                let share = &tables.nodes(segment.section).share;
                self.kelvin[front] = gap_profile::turned_outward(
                    &self.kelvin[before],
                    &self.passing[before],
                    share,
                );
            }
            let wall = tables.wall(segment.gap_m, 0.5 * lasts_s);
            gap_profile::step(
                &mut self.kelvin[front],
                tables.nodes(segment.section),
                wall,
                None,
            );
            self.warmth[front] =
                tables.warmth(&self.kelvin[front], segment.section, segment.gap_m);
        }
    }

    /// So much melt passes in so many seconds.
    pub(super) fn pass(
        &mut self,
        fluidity: &Fluidity,
        tables: &ThermalTables,
        volume_m3: f64,
        lasts_s: f64,
    ) {
        self.pass_first(fluidity, tables, volume_m3, lasts_s, self.segments.len());
    }

    fn pass_first(
        &mut self,
        fluidity: &Fluidity,
        tables: &ThermalTables,
        volume_m3: f64,
        lasts_s: f64,
        count: usize,
    ) {
        if lasts_s <= 0.0 {
            return;
        }
        let flow_m3_s = volume_m3 / lasts_s;
        for index in 0..count {
            let Segment { section, gap_m, area_m2, length_m, .. } = self.segments[index];
            let nodes = tables.nodes(section);
            let velocity = flow_m3_s / area_m2;
            let warmth = &self.warmth[index];
            let gradient = fluidity.gradient(section, gap_m, velocity, Some(warmth));
            let gradient = if gradient.is_finite() { gradient } else { 0.0 };
            let log_stress = log_lever(section, gap_m) + gradient.ln();
            let Passing { flow, heat } =
                fluidity.passing(section, log_stress, warmth, nodes);
            let passes = volume_m3 / (area_m2 * length_m);
            let before = index.checked_sub(1).map(|before| self.kelvin[before]);
            let before = before.unwrap_or_else(|| tables.hot());
            let inflow = flow.map(|share| share * passes);
            let inflow_k = std::array::from_fn(|node| inflow[node] * before[node]);
            let warms = gradient * velocity * lasts_s / tables.heat_j_m3_k;
            let sheared_k = heat.map(|share| share * warms);
            let exchange = Exchange { inflow, inflow_k, sheared_k };
            let wall = tables.wall(gap_m, lasts_s);
            gap_profile::step(&mut self.kelvin[index], nodes, wall, Some(&exchange));
            self.passing[index] = flow;
            self.warmth[index] = tables.warmth(&self.kelvin[index], section, gap_m);
        }
    }

    /// The melt as it leaves, K; `None` where there is no channel.
    pub(super) fn outlet(&self) -> Option<&ByNode> {
        self.kelvin.last()
    }
}
