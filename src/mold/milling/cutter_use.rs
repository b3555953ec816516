//! What one cutter of a list is for, and how long it works.

use super::bending;
use super::cutter::Cutter;
use super::cutter_sequence::Turn;
use super::pace::Pace;
use super::smallest_set::{Choice, Gain};

/// What one cutter of the list is for.
#[derive(Clone, Debug)]
pub struct Use {
    /// Whether it is worth changing to ([`super::smallest_set`]).
    pub needed: bool,
    /// What it would take besides where it is not.
    pub gain: Gain,
    /// Area that it finishes and no larger one does, mm².
    pub finished: f64,
    /// How far its tip goes below what stands around it, over its diameter.
    pub ratio: f64,
    /// How far its tip gives way, µm.
    pub bend_um: f64,
    /// Side step of finishing, mm.
    pub step: f64,
    /// Roughing, min; without tool changes and moves through the air.
    pub rough_min: f64,
    /// Finishing, min; without tool changes and moves through the air.
    pub finish_min: f64,
}

impl Use {
    /// Of `cutter`, which is number `at` of the list that `choice` chose from, after its `turns`.
    pub(super) fn of(
        cutter: &Cutter,
        turns: &[&Turn],
        choice: &Choice,
        at: usize,
    ) -> Self {
        let sum = |of: fn(&Turn) -> f64| turns.iter().map(|turn| of(turn)).sum::<f64>();
        let depth = turns.iter().map(|turn| turn.depth).fold(0.0, f64::max);
        let pace = Pace::of(cutter);
        Self {
            needed: choice.chosen[at],
            gain: choice.gains[at],
            finished: sum(|turn| turn.finished),
            ratio: depth / cutter.diameter,
            bend_um: bending::at_tip(cutter),
            step: pace.step,
            rough_min: sum(|turn| turn.volume) / pace.rough,
            finish_min: sum(|turn| turn.surface) / pace.finish,
        }
    }
}
