//! What is cut along the parting face: runner, gate, vents, pry slots.

use super::{Making, Operation, Up, Work, empty};
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::milling::pace::FEED_MM_S;
use crate::units::format::four_digits;

/// Depth of one cut of full width as a share of the diameter (common practice: 5 to 10 % in
/// aluminum on small routers).
const SLOT_DEPTH: f64 = 0.1;

/// Width of the floor of a trapezoid over that of its mouth: (1 / cos α − tan α) over (1 / cos α +
/// tan α) for the lean α of its sides, 10°.
const TRAPEZOID_FLOOR: f64 = 0.70;

impl Making<'_> {
    /// Everything along the parting face: the feed first, then vents, then the edges.
    pub(super) fn slots(&mut self) {
        let order = |kind: Kind| match kind {
            Kind::Sprue | Kind::Seat => 0,
            Kind::Runner => 1,
            Kind::Gate => 2,
            Kind::Vent => 3,
            Kind::Relief => 4,
            _ => 5,
        };
        let mut all: Vec<(usize, &Cut)> = self
            .own()
            .filter(|(_, cut)| cut.end.is_some() || cut.kind == Kind::Pry)
            .collect();
        all.sort_by_key(|(at, cut)| (order(cut.kind), *at));
        let alike = |a: &(usize, &Cut), b: &(usize, &Cut)| {
            a.1.kind == b.1.kind && (a.1.width - b.1.width).abs() < 1e-6
        };
        for group in all.chunk_by(alike) {
            let operation = self.slot(group);
            self.operations.extend(operation);
        }
    }

    /// Slots that are alike.
    fn slot(&self, alike: &[(usize, &Cut)]) -> Option<Operation> {
        let (_, first) = alike.first()?;
        let (tool, wide, feed) = match first.kind {
            Kind::Runner if first.in_both => {
                let name = format!("ball of {} mm", four_digits(first.width));
                (name, first.width, FEED_MM_S * 60.0)
            }
            Kind::Sprue | Kind::Seat => {
                let name = format!("ball, down to {} mm wide", four_digits(first.width));
                (name, first.width, FEED_MM_S * 60.0)
            }
            // A trapezoid: its floor first, narrower than its mouth.
            Kind::Runner => self.flat(first.width * TRAPEZOID_FLOOR),
            _ => self.flat(first.width),
        };
        let work = match first.kind {
            Kind::Runner => Work::Groove(first.width),
            // It tapers, or asks for a very wide ball.
            Kind::Sprue | Kind::Seat => Work::Cam,
            _ => self.with_flat(first.width, Work::Slot),
        };
        let pass = (SLOT_DEPTH * wide).min(first.depth);
        let passes = (first.depth / pass.max(1e-3)).ceil();
        let beside = (first.width / wide.max(1e-3)).ceil();
        let length = |cut: &Cut| {
            cut.end.map_or(cut.width, |[x, y]| (x - cut.at[0]).hypot(y - cut.at[1]))
        };
        let total: f64 = alike.iter().map(|(_, cut)| length(cut)).sum();
        Some(Operation {
            work,
            what: format!("{}, {} mm wide", first.kind, four_digits(first.width)),
            depth: Some(first.depth),
            pass: Some(pass),
            feed: Some(feed),
            minutes: total * passes * beside / feed,
            cuts: alike.iter().map(|(at, _)| *at).collect(),
            ..empty(Up::Parting, tool)
        })
    }
}
