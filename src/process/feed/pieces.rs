//! The pieces of a feed and their measures.

use crate::process::press::circle;
use crate::units::{Area, Length, Volume};

/// A cone that opens toward the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sprue {
    /// Diameter at the nozzle.
    pub inlet: Length,
    /// Diameter at the foot.
    pub foot: Length,
    /// Length.
    pub length: Length,
}

impl Sprue {
    /// Volume of the cone.
    pub fn volume(&self) -> Volume {
        let Self { inlet, foot, length } = *self;
        // A frustum: π/12 (d₁² + d₁d₂ + d₂²) L.
        let squares = inlet * inlet + inlet * foot + foot * foot;
        std::f64::consts::PI / 12.0 * squares * length
    }
}

/// The section of a runner.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RunnerSection {
    /// A full round, half in each plate.
    #[default]
    Round,
    /// A trapezoid in one plate.
    Trapezoid,
}

/// The sides of a trapezoid lean by this, degrees: 10, of 5 to 15 (common practice).
pub const TRAPEZOID_LEAN_DEG: f64 = 10.0;

impl RunnerSection {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Round, Self::Trapezoid];

    /// As the user writes it and the report names it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Round => "round",
            Self::Trapezoid => "trapezoid",
        }
    }

    /// The section of this name.
    pub fn find(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|section| section.name() == name)
    }
}

/// From the sprue to a gate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Runner {
    /// Diameter; of a trapezoid that of the circle which touches its floor, both sides and the
    /// parting plane, so that it is as deep.
    pub diameter: Length,
    /// Length.
    pub length: Length,
    /// Its section.
    pub section: RunnerSection,
}

impl Runner {
    /// Width in the parting plane, and at the floor of a trapezoid: the circle touches both sides
    /// at half depth, where they are D / cos α apart.
    pub fn widths(&self) -> [Length; 2] {
        match self.section {
            RunnerSection::Round => [self.diameter, Length::default()],
            RunnerSection::Trapezoid => {
                let lean = TRAPEZOID_LEAN_DEG.to_radians();
                [lean.tan(), -lean.tan()]
                    .map(|more| self.diameter * (lean.cos().recip() + more))
            }
        }
    }

    /// How deep it lies in a plate.
    pub fn depth(&self) -> Length {
        match self.section {
            RunnerSection::Round => self.diameter / 2.0,
            RunnerSection::Trapezoid => self.diameter,
        }
    }

    /// Area of its section.
    pub fn area(&self) -> Area {
        match self.section {
            RunnerSection::Round => circle(self.diameter),
            RunnerSection::Trapezoid => {
                let [top, floor] = self.widths();
                (top + floor) / 2.0 * self.diameter
            }
        }
    }
}

/// A rectangle at the edge of the part, or the round foot of a sprue on a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Along the pull; the diameter of a round one.
    pub depth: Length,
    /// Along the edge; the diameter of a round one.
    pub width: Length,
    /// Along the flow; nothing where the sprue stands on the part.
    pub land: Length,
    /// Whether it is the foot of a sprue.
    pub is_round: bool,
}

impl Gate {
    /// Area that opens into the part.
    pub fn area(&self) -> Area {
        if self.is_round { circle(self.depth) } else { self.depth * self.width }
    }
}

/// A blind round hole opposite the sprue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Well {
    /// Diameter.
    pub diameter: Length,
    /// Length.
    pub length: Length,
}
