//! Faces, edges, the nozzle's counterbore, and what the cutters rough and finish.

use std::f64::consts::PI;

use super::{Making, Operation, SAWN_MM, Up, Work, empty, feed};
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::milling::pace::{PASS_DEPTH, SIDE_STEP};
use crate::units::format::four_digits;

/// Depth of a facing cut, mm (judgment).
const FACING_MM: f64 = 0.5;

/// Stock that is thicker by less is not faced, mm.
const LEAST_FACING_MM: f64 = 0.05;

/// An operation shorter than this is left out, min.
const LEAST_MIN: f64 = 0.05;

/// What is faced off the outer side of stock that is thicker by `extra`, mm: enough to clean it; the
/// rest goes off the parting side.
pub(super) fn outer_facing(extra: f64) -> f64 {
    (extra / 2.0).min(FACING_MM)
}

impl Making<'_> {
    /// Faces, edges and the nozzle's counterbore of a half so large; `extra` is what the stock is
    /// thicker.
    pub(super) fn outer_face(&mut self, size: [f64; 3], extra: f64) {
        let [x, y, thickness] = size;
        let (tool, wide, feed) = self.flat(f64::INFINITY);
        let work = self.with_flat(f64::INFINITY, Work::Face);
        let outer = outer_facing(extra);
        let facing = |up: Up, depth: f64| {
            // What is thicker is roughed away before the last cut.
            let pass = if depth > FACING_MM { PASS_DEPTH * wide } else { FACING_MM };
            let (passes, step) = ((depth / pass).ceil(), SIDE_STEP * wide);
            Operation {
                work,
                what: "face".to_owned(),
                depth: Some(depth),
                pass: Some(depth / passes),
                side_step: Some(step),
                feed: Some(feed),
                minutes: passes * x * y / (step * feed),
                ..empty(up, tool.clone())
            }
        };
        let is_faced = extra > LEAST_FACING_MM;
        self.operations.extend(is_faced.then(|| facing(Up::Outer, outer)));
        let pass = PASS_DEPTH * wide;
        self.operations.push(Operation {
            what: format!(
                "mill the edges square to {} x {} mm, those at the datum first; what is deeper than the flutes from the other side",
                four_digits(x),
                four_digits(y)
            ),
            depth: Some(thickness),
            pass: Some(pass),
            side_step: Some(SAWN_MM),
            feed: Some(feed),
            minutes: (thickness / pass).ceil() * 2.0 * (x + y) / feed,
            ..empty(Up::Outer, tool.clone())
        });
        let seats =
            self.own().filter(|(_, it)| it.kind == Kind::Seat && it.end.is_none());
        let seats: Vec<Operation> = seats.map(|(at, cut)| self.seat(at, cut)).collect();
        self.operations.extend(seats);
        self.operations.extend(is_faced.then(|| facing(Up::Parting, extra - outer)));
    }

    fn seat(&self, at: usize, cut: &Cut) -> Operation {
        let (tool, wide, feed) = self.flat(cut.width / 2.0);
        let volume = PI / 4.0 * cut.width * cut.width * cut.depth;
        Operation {
            work: self.with_flat(cut.width / 2.0, Work::Counterbore),
            what: format!(
                "counterbore for the nozzle, Ø {}, floor flat",
                four_digits(cut.width)
            ),
            depth: Some(cut.depth),
            pass: Some(PASS_DEPTH * wide),
            side_step: Some(SIDE_STEP * wide),
            feed: Some(feed),
            minutes: volume / (SIDE_STEP * PASS_DEPTH * wide * wide * feed),
            cuts: vec![at],
            ..empty(Up::Outer, tool)
        }
    }

    /// The pockets of the inserts, roughed with the widest cutter that leaves their corners.
    pub(super) fn pockets(&mut self) {
        let own: Vec<(usize, &Cut)> =
            self.own().filter(|(_, cut)| cut.kind == Kind::Insert).collect();
        let inserts = self.mold.inserts.iter().filter(|it| it.half == self.half);
        for ((at, cut), insert) in own.into_iter().zip(inserts) {
            let corner = insert.shape.corner();
            let widest = if corner > 0.0 { 2.0 * corner } else { f64::INFINITY };
            let (tool, wide, feed) = self.flat(widest);
            let volume = insert.section() * insert.depth;
            self.operations.push(Operation {
                work: Work::Cam,
                what: "pocket of the insert: fit its walls to the bar, floor flat"
                    .to_owned(),
                depth: Some(cut.depth),
                pass: Some(PASS_DEPTH * wide),
                side_step: Some(SIDE_STEP * wide),
                feed: Some(feed),
                minutes: volume / (SIDE_STEP * PASS_DEPTH * wide * wide * feed),
                cuts: vec![at],
                ..empty(Up::Parting, tool)
            });
        }
    }

    /// The cutters that rough, the widest first.
    pub(super) fn roughing(&mut self) {
        let Some((milled, list)) = self.cutting else { return };
        for (at, cutter) in list.iter().enumerate() {
            let own = milled.use_in(&[self.half], at, cutter);
            if own.rough_min >= LEAST_MIN {
                self.operations.push(Operation {
                    what: "rough what it reaches".to_owned(),
                    pass: Some(PASS_DEPTH * cutter.diameter),
                    side_step: Some(SIDE_STEP * cutter.diameter),
                    feed: Some(feed(cutter)),
                    minutes: own.rough_min,
                    ..empty(Up::Parting, cutter.name.clone())
                });
            }
        }
    }

    /// The cutters that finish, the widest first.
    pub(super) fn finishing(&mut self) {
        let Some((milled, list)) = self.cutting else { return };
        for (at, cutter) in list.iter().enumerate() {
            let own = milled.use_in(&[self.half], at, cutter);
            if milled.uses[at].needed && own.finish_min >= LEAST_MIN {
                self.operations.push(Operation {
                    what: "finish what no wider one finished".to_owned(),
                    side_step: Some(own.step),
                    feed: Some(feed(cutter)),
                    minutes: own.finish_min,
                    ..empty(Up::Parting, cutter.name.clone())
                });
            }
        }
    }
}
