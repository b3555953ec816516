//! What holds this part on each half, and the pins that push it off.

use std::ops::Add;

use super::super::ejection::{self, Hold, Hot, Keeping, Pocket, Spread};
use super::super::plastic::{Plastic, Unknown};
use crate::process::ejection::pins::{self, Pins, Push};
use crate::process::evaluation::{Grips, PartData};
use crate::process::plastic::shrinkage::Shrinkage;
use crate::units::{Force, Length, Quantity};

/// More pins than this do not fit on a small part.
pub const MOST_PINS: u32 = 12;

/// What holds the part, and what pushes it off.
#[derive(Clone, Debug)]
pub struct EjectionForces {
    /// Force that holds it on the core half, vacuum included.
    pub core: Spread<Force>,
    /// Force that holds it on the cavity half.
    pub cavity: Spread<Force>,
    /// Share of a vacuum in the force on the core.
    pub vacuum: Force,
    /// What says which half keeps it.
    pub keeping: Keeping,
    /// What they have to do.
    pub push: Push,
    /// How far they go.
    pub stroke: Length,
}

/// What holds a part that shrinks by this band.
///
/// # Errors
///
/// [`Unknown`] when the plastic does not say how it grips.
pub fn evaluate(
    shape: &PartData,
    band: &Shrinkage,
    plastic: &Plastic,
) -> Result<EjectionForces, Unknown> {
    let hot = ejection::hot(plastic, band)?;
    let wall = shape.wall.unwrap_or_default();
    let [on_core, on_cavity] =
        [&shape.core_grips, &shape.cavity_grips].map(|grips| held(grips, &hot));
    let vacuum = on_core.typical.vacuum;
    let [core, cavity] = [on_core, on_cavity].map(|held| held.map(|held| held.total));
    let keeping = keeping([core.typical, cavity.typical], &shape.pockets, &hot);
    let [pocket, _] = &shape.pockets;
    let stroke = pins::stroke(shape.core_grips.height().max(pocket.height));
    // A bore through the plate guides a pin all along, so that only its stroke is free.
    // The typical force sizes the pins: its upper end has every loose input at its worst at
    // once, and no small part has room for the pins that this would ask for.
    let push = Push {
        force: core.typical,
        wall,
        yields: pins::hot_yield(&hot.typical),
        side_walls: shape.core_grips.area(),
        length: stroke,
    };
    Ok(EjectionForces { core, cavity, vacuum, keeping, push, stroke })
}

/// Which half keeps a part that these grips and pockets hold, the core half first.
///
/// # Errors
///
/// [`Unknown`] when the plastic does not say how it grips.
pub fn keeps(
    grips: [&Grips; 2],
    pockets: &[Pocket; 2],
    band: &Shrinkage,
    plastic: &Plastic,
) -> Result<Keeping, Unknown> {
    let hot = ejection::hot(plastic, band)?;
    let forces = grips.map(|grips| held(grips, &hot).typical.total);
    Ok(keeping(forces, pockets, &hot))
}

fn keeping(forces: [Force; 2], pockets: &[Pocket; 2], hot: &Spread<Hot>) -> Keeping {
    let [core, cavity] = forces;
    let [by_core, by_cavity] =
        pockets.map(|pocket| pocket.sticking(hot.typical.friction));
    Keeping { core: core + by_core, cavity: cavity + by_cavity }
}

fn held(grips: &Grips, hot: &Spread<Hot>) -> Spread<Held> {
    hot.map(|hot| total(grips, &hot))
}

#[derive(Clone, Copy)]
struct Held {
    total: Force,
    vacuum: Force,
}

fn total(grips: &Grips, hot: &Hot) -> Held {
    let rings = grips.rings.iter().filter_map(|it| ejection::ring(&it.ring, hot));
    let walls = grips.walls.iter().filter_map(|it| ejection::standing_wall(it, hot));
    let holds: Vec<Hold> = rings.chain(walls).collect();
    // The sum of nothing is −0, which is no way to write no force.
    let sum =
        |of: fn(&Hold) -> Force| holds.iter().map(of).fold(Force::default(), Add::add);
    Held { total: sum(|hold| hold.total), vacuum: sum(|hold| hold.vacuum) }
}

impl EjectionForces {
    /// Pins of this diameter where the part is so thick behind them: at a rim, as high as the
    /// wall below it. `None` when more than [`MOST_PINS`] are needed.
    pub fn pins(&self, diameter: Length, behind: Length) -> Option<Pins> {
        let push = Push { wall: behind, ..self.push };
        pins::pins(&push, diameter).filter(|pins| pins.count <= MOST_PINS)
    }

    /// The force to push the part off its core: low, typical, high.
    pub fn force(&self) -> Spread<Force> {
        self.core
    }

    /// Whether the part drops off the core by itself: nothing grips, or its draft exceeds
    /// its friction and no vacuum holds.
    pub fn is_loose(&self) -> bool {
        self.core.high.si() <= 0.0
    }
}
