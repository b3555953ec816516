//! What holds this part on each half, and the pins that push it off.

use super::super::ejection::{self, Grip, Hold, Hot, Keeper, Spread};
use super::super::plastic::{Plastic, Unknown};
use crate::process::ejection::pins::{self, Pins, Push};
use crate::process::evaluation::{Core, PartData};
use crate::process::plastic::shrinkage::Shrinkage;
use crate::units::{Area, Force, Length, Quantity};

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
    /// Which half keeps it; `None` when nothing holds it on either.
    pub keeper: Option<Keeper>,
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
    let held = |cores: &[Core]| hot.map(|hot| total(cores, wall, &hot));
    let (on_core, on_cavity) = (held(&shape.cores), held(&shape.cavity_cores));
    let vacuum = on_core.typical.vacuum;
    let [core, cavity] = [on_core, on_cavity].map(|held| held.map(|held| held.total));
    let gripped = !(shape.cores.is_empty() && shape.cavity_cores.is_empty());
    let keeper = gripped.then(|| ejection::keeper(core.typical, cavity.typical));
    let highest = |cores: &[Core]| {
        cores.iter().map(|core| core.height).fold(Length::default(), Length::max)
    };
    let stroke = pins::stroke(highest(&shape.cores));
    // A bore through the plate guides a pin all along, so that only its stroke is free.
    // The typical force sizes the pins: its upper end has every loose input at its worst at
    // once, and no small part has room for the pins that this would ask for.
    let push = Push {
        force: core.typical,
        wall,
        yields: pins::hot_yield(&hot.typical),
        side_walls: shape.cores.iter().map(|core| core.walls).sum(),
        length: stroke,
    };
    Ok(EjectionForces { core, cavity, vacuum, keeper, push, stroke })
}

#[derive(Clone, Copy)]
struct Held {
    total: Force,
    vacuum: Force,
}

fn total(cores: &[Core], wall: Length, hot: &Hot) -> Held {
    let holds: Vec<Hold> = cores
        .iter()
        .filter_map(|core| ejection::of_part(&grip(core, wall), hot))
        .collect();
    Held {
        total: holds.iter().map(|hold| hold.total).sum(),
        vacuum: holds.iter().map(|hold| hold.vacuum).sum(),
    }
}

/// The walls around one core. Around a core much thinner than its wall the outer plastic
/// helps little: no more wall counts than the radius of the core (by Lamé a wall without
/// end presses 4.5 E ε a on a core of radius a, less than the 8 E ε a that this gives).
fn grip(core: &Core, wall: Length) -> Grip {
    let outline = core.walls / core.height;
    let radius = outline / std::f64::consts::TAU;
    let round: Area = std::f64::consts::PI * radius * radius;
    Grip {
        walls: core.walls,
        outline,
        cores: 1,
        wall: wall.min(radius),
        draft: core.draft,
        closed: if core.closed { round } else { Area::default() },
    }
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
