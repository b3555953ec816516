//! When each section of the feed freezes, and which of them in the wrong order.

use super::Gate;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::thermal::cooling::{self, Section};
use crate::units::{Length, Time};

/// When the middle of each section no longer flows, on a wall at mold temperature; `None`
/// when the mold is too warm for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Freezing {
    /// The gate, as a plate of its depth; `None` also where the sprue stands on the part.
    pub gate: Option<Time>,
    /// The runner, as a rod.
    pub runner: Option<Time>,
    /// The sprue where it is thinnest, as a rod.
    pub sprue: Option<Time>,
    /// The part's wall at the gate, as a plate.
    pub wall: Option<Time>,
}

impl Freezing {
    /// When gate, runner and sprue of these measures freeze, and a wall.
    ///
    /// # Errors
    ///
    /// [`Unknown`] when the plastic does not say.
    pub fn estimate(
        plastic: &Plastic,
        gate: &Gate,
        runner: Option<Length>,
        sprue: Length,
        wall: Length,
    ) -> Result<Self, Unknown> {
        let heat = cooling::to_freeze(plastic)?;
        let time = |section, measure| cooling::time(section, measure, &heat);
        let depth = gate.depth.min(gate.width);
        Ok(Self {
            gate: if gate.is_round { None } else { time(Section::Plate, depth) },
            runner: runner.and_then(|diameter| time(Section::Rod, diameter)),
            sprue: time(Section::Rod, sprue),
            wall: time(Section::Plate, wall),
        })
    }

    /// What freezes in the wrong order: the gate has to freeze before the wall behind it, and
    /// everything before the gate after it.
    pub fn faults(&self) -> Vec<String> {
        [
            (
                is_early(self.wall, self.gate),
                "the gate freezes after the wall behind it: it sets the cycle",
            ),
            (
                is_early(self.runner, self.gate),
                "the runner freezes before the gate: the part cannot be packed to the end",
            ),
            (
                is_early(self.sprue, self.gate),
                "the sprue freezes before the gate: the part cannot be packed to the end",
            ),
        ]
        .into_iter()
        .filter(|(wrong, _)| *wrong)
        .map(|(_, text)| text.to_owned())
        .collect()
    }
}

fn is_early(one: Option<Time>, other: Option<Time>) -> bool {
    one.zip(other).is_some_and(|(one, other)| one < other)
}
