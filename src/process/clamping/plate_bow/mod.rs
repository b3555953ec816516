//! How far the melt bows both plates of a mold apart.
//!
//! Each plate is a strip that is pressed onto its land, once along and once across: with the
//! pocket over the mean width of the cavity, the land where it is cut from the plate, the
//! melt on the area of part and feed. Beside the middle of a side the halves open by the bow
//! along it and by what is left of the bow across it at the end of the cavity: each way
//! carries all of the load, as in a plate on corner columns.
//!
//! Held against plane elements with the same contact (the table in the tests): 0.85 to 1.2
//! times the gap that they give.

use super::alloys::Alloy;
use super::one_sided_contact::{HalfStrip, HoldingBolt, HoldingJaw, Lifted};
use super::plate_section::{PlateSection, plane_strain};
use crate::process::clamping::bolted_joint::STEEL_GPA;
use crate::units::{Area, Force, Length, Pressure, Quantity};

/// One plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateHalf {
    /// Of the plate.
    pub thickness: Length,
    /// How deep the cavity is cut into it.
    pub pocket: Length,
}

impl PlateHalf {
    /// Metal behind the cavity.
    pub fn behind(&self) -> Length {
        self.thickness - self.pocket
    }
}

/// Where the melt pushes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedArea {
    /// Pressure of the melt.
    pub pressure: Pressure,
    /// Projected area of part and feed.
    pub area: Area,
    /// Extents of that area, along and across.
    pub extents: [Length; 2],
}

/// What presses the plates together.
#[derive(Clone, Debug, PartialEq)]
pub enum Pressed {
    /// Bolts, all alike.
    Bolts {
        /// Where they stand, from the middle of the mold.
        places: Vec<[Length; 2]>,
        /// Diameter of their thread.
        diameter: Length,
        /// Its stress area.
        area: Area,
        /// Preload of each.
        preload: Force,
    },
    /// The jaws of a vise, in the middle of the mold and over its whole width.
    Jaws {
        /// Along the mold.
        length: Length,
        /// What they press with.
        force: Force,
    },
}

/// The plates of a closed mold.
#[derive(Clone, Debug, PartialEq)]
pub struct BowedMold {
    /// Both plates.
    pub halves: [PlateHalf; 2],
    /// Their edges: length, width.
    pub edges: [Length; 2],
    /// Their metal.
    pub alloy: Alloy,
    /// What presses them together.
    pub pressed: Pressed,
}

/// How far both plates bow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateBow {
    /// In the middle of the cavity: so much thicker is the part.
    pub middle: Length,
    /// Beside the cavity: so far the halves open.
    pub gap: Length,
    /// Most of what a bolt holds, what the plates pry with in it.
    pub bolt: Force,
    /// Largest bending stress in a plate.
    pub stress: Pressure,
}

/// Reach of the head of a bolt over the diameter of its thread: 13 mm across flats on M8 (ISO
/// 4014).
const HEAD_REACH: f64 = 0.8125;
/// Length of a bolt that stretches beyond the plate, over its diameter: head and nut (common
/// practice, from memory).
const BEYOND_PLATE: f64 = 2.0;
/// How deep the metal of a plate gives way under its land, over the thickness: two fifths,
/// fitted to plane elements in contact.
const LAND_DEPTH: f64 = 0.4;
/// Depth over which the melt itself stretches the plate away from the parting, over the
/// thickness: an eighth, fitted to the same elements.
const STRETCHED_DEPTH: f64 = 0.125;
/// How much harder a vise presses for each meter that its jaws are spread: 50 kN/mm, screw and
/// frame of a bench vise (judgment: no measured value is known).
pub const VISE_N_M: f64 = 50e6;
/// Depth of the iron of a jaw that gives way under the plate, 50 mm (judgment).
const JAW_DEPTH_M: f64 = 0.05;
/// Young's modulus of cast iron, 110 kN/mm² (handbook value).
const IRON_GPA: f64 = 110.0;

impl BowedMold {
    /// How far its plates bow; `None` where no metal or no land is left.
    pub fn bow(&self, load: &LoadedArea) -> Option<PlateBow> {
        let [along, across] = [self.one_way(0, load)?, self.one_way(1, load)?];
        // What lifts as a whole, bolts or vise giving way, is in both ways and counts once.
        let whole = along.whole.min(across.whole);
        let gap = (along.middle + across.end).max(along.end + across.middle);
        Some(PlateBow {
            middle: Length::from_si(along.middle + across.middle - whole),
            gap: Length::from_si(gap - whole),
            bolt: Force::from_si(along.bolt.max(across.bolt)),
            stress: Pressure::from_si(along.stress.max(across.stress)),
        })
    }

    /// Both plates bent one way.
    pub(super) fn one_way(&self, axis: usize, load: &LoadedArea) -> Option<Lifted> {
        let [one, other] = self.halves.map(|half| self.plate(&half, axis, load));
        let (one, other) = (one?, other?);
        Some(Lifted {
            middle: one.middle + other.middle,
            end: one.end + other.end,
            whole: one.whole + other.whole,
            bolt: one.bolt.max(other.bolt),
            stress: one.stress.max(other.stress),
        })
    }

    /// One plate bent one way.
    fn plate(&self, half: &PlateHalf, axis: usize, load: &LoadedArea) -> Option<Lifted> {
        let (length, width) = (self.edges[axis], self.edges[1 - axis]);
        let modulus = self.alloy.metal().modulus;
        let long =
            load.extents[axis].max(length * LEAST_CAVITY).min(length * MOST_CAVITY);
        let wide = (load.area / long).min(width * MOST_CAVITY);
        let solid = PlateSection {
            width,
            thickness: half.thickness,
            pocket_width: Length::default(),
            pocket_depth: Length::default(),
        };
        let cut = PlateSection { pocket_width: wide, pocket_depth: half.pocket, ..solid };
        let thickness = half.thickness.si();
        let stiff = plane_strain(modulus) / (LAND_DEPTH * thickness);
        let lift = (load.pressure * load.area).si() / long.si();
        let strip = HalfStrip {
            length: 0.5 * length.si(),
            cavity: 0.5 * long.si(),
            sections: [cut.stiffness(modulus)?, solid.stiffness(modulus)?],
            lift,
            land: [width - wide, width].map(|land| stiff * land.si()),
            bolts: self.bolts(half, axis),
            jaw: self.jaw(half, axis),
        };
        let mut lifted = strip.lifted()?;
        let stretched = lift / width.si() * STRETCHED_DEPTH * thickness;
        let stretched = stretched / plane_strain(modulus);
        lifted.middle += stretched;
        lifted.end += 0.5 * stretched;
        Some(lifted)
    }

    fn bolts(&self, half: &PlateHalf, axis: usize) -> Vec<HoldingBolt> {
        let Pressed::Bolts { places, diameter, area, preload } = &self.pressed else {
            return Vec::new();
        };
        let stretches = half.thickness + *diameter * BEYOND_PLATE;
        let stiffness = STEEL_GPA * 1e9 * area.si() / stretches.si();
        let bolt = |place: &[Length; 2]| HoldingBolt {
            at: place[axis].si().abs(),
            reach: HEAD_REACH * diameter.si(),
            // Each half of the strip has half of the bolts, those in the middle cut in two.
            share: 0.5,
            preload: preload.si(),
            stiffness,
        };
        places.iter().map(bolt).collect()
    }

    fn jaw(&self, half: &PlateHalf, axis: usize) -> Option<HoldingJaw> {
        let Pressed::Jaws { length, force } = self.pressed else { return None };
        let jaw = [length.min(self.edges[0]), self.edges[1]];
        let plate =
            LAND_DEPTH * half.thickness.si() / plane_strain(self.alloy.metal().modulus);
        let iron = JAW_DEPTH_M / (IRON_GPA * 1e9);
        Some(HoldingJaw {
            reach: 0.5 * jaw[axis].si(),
            force: 0.5 * force.si(),
            stiffness: VISE_N_M,
            bed: jaw[1 - axis].si() / (plate + iron),
        })
    }
}

/// No cavity counts as more than this share of its plate: a rim is left.
const MOST_CAVITY: f64 = 0.98;
/// No cavity counts as shorter than this share of its plate.
const LEAST_CAVITY: f64 = 1e-3;

#[cfg(test)]
mod tests;
