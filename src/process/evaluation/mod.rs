//! What press and plastic make of one part: every answer of this room, in the order of a
//! shot, from a handful of measures of the part.
//!
//! Cheap on purpose: the part is measured once ([`PartData`]), and asked again with another
//! press, plastic or choice.

pub mod cavities;
pub mod feed_layouts;
pub mod feed;
pub mod clamping;
pub mod plate_choice;
pub mod pressure_window;
pub mod cycle;
pub mod ejection;

use super::clamping::standing_metal::Standing;
use super::ejection::{Pocket, Ring, StandingWall};
use super::feed::{FeedChoices, GATE_LAND_MM};
use super::plastic::{Plastic, Unknown};
use super::press::Press;
use super::sourced::Range;
use crate::part::wall_change::WallChange;
use crate::process::evaluation::clamping::{ClosedMold, MoldClamping};
use crate::process::evaluation::cycle::Timing;
use crate::process::evaluation::ejection::EjectionForces;
use crate::process::evaluation::feed::{FeedDesign, NoFeed};
use crate::process::evaluation::pressure_window::PressureWindow;
use crate::process::feed::vents::{self, Vent};
use crate::process::plastic::cavity_sizes::{self, CutSize, Kind};
use crate::process::plastic::shrinkage::{self, Shrinkage};
use crate::process::press::shot::{self, FEED_SHARE, Shot};
use crate::units::{
    Angle, Area, Length, Pressure, Quantity, Ratio, Time, Volume, VolumeRate, from_mm,
    in_mm,
};

/// The part, as far as plastic and press ask.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartData {
    /// Volume; `None` when the surface is open.
    pub volume: Option<Volume>,
    /// Its box, along the axes of the part.
    pub size: [Length; 3],
    /// Area of its projection along the pull.
    pub projected_area: Area,
    /// Extents of that projection along two axes across the pull.
    pub extents: [Length; 2],
    /// Centroid of that projection from the middle of these extents, along the same axes.
    pub off_middle: [Length; 2],
    /// How deep it lies in each half: the + half, then the − half.
    pub depths: [Length; 2],
    /// Thickness of its median wall.
    pub wall: Option<Length>,
    /// Diameter of the largest ball inside.
    pub thickest: Option<Length>,
    /// A flat face that the cavity half forms across the pull; `None` where there is none.
    pub cavity_face: Option<CavityFace>,
    /// Whether a sprue on that face shortens the way of the melt by more than its mark weighs:
    /// known once both were filled.
    pub face_shortens: bool,
    /// What it shrinks onto in the core half.
    pub core_grips: Grips,
    /// What it shrinks onto in the cavity half.
    pub cavity_grips: Grips,
    /// Walls of the core half and of the cavity half that it shrinks away from.
    pub pockets: [Pocket; 2],
    /// Metal of the mold that stands alone between plastic.
    pub standing: Vec<StandingPiece>,
}

impl PartData {
    /// How deep it lies in the half in which it lies deeper.
    pub fn deepest(&self) -> Length {
        self.depths[0].max(self.depths[1])
    }

    /// The same part with other walls, on the same box and projection, and with `draft` on top
    /// of what its cores have.
    pub fn reshaped(&self, walls: &WallChange, draft: Angle) -> Self {
        Self {
            volume: self.volume.map(|volume| volume * walls.volume),
            wall: self.wall.map(|wall| changed(wall, walls)),
            thickest: self.thickest.map(|wall| changed(wall, walls)),
            core_grips: self.core_grips.reshaped(walls, draft),
            cavity_grips: self.cavity_grips.reshaped(walls, draft),
            pockets: self.pockets.map(|it| Pocket { draft: it.draft + draft, ..it }),
            ..self.clone()
        }
    }
}

fn changed(wall: Length, by: &WallChange) -> Length {
    from_mm(by.apply(in_mm(wall)))
}

/// Metal of the mold that stands alone between plastic.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingPiece {
    /// Its shape.
    pub standing: Standing,
    /// Whether its tip lies on the other half, so that it cannot get away as a free one does.
    pub through: bool,
}

/// A flat place that a sprue may stand on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CavityFace {
    /// Its middle, in the axes of the part.
    pub at: [Length; 3],
    /// From the parting line to it, along the pull.
    pub depth: Length,
    /// Diameter that is flat around that middle.
    pub room: Length,
}

/// What a part shrinks onto in one half.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grips {
    /// Cores that it closes around.
    pub rings: Vec<Core>,
    /// Walls that their root draws against metal.
    pub walls: Vec<StandingWall>,
}

/// One core that the part closes around.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Core {
    /// The plastic around it.
    pub ring: Ring,
    /// How far it reaches along the pull.
    pub height: Length,
}

impl Grips {
    /// Whether it shrinks onto nothing.
    pub fn is_empty(&self) -> bool {
        self.rings.is_empty() && self.walls.is_empty()
    }

    /// How far it reaches along the pull at most.
    pub fn height(&self) -> Length {
        let rings = self.rings.iter().map(|core| core.height);
        let walls = self.walls.iter().map(|wall| wall.height);
        rings.chain(walls).fold(Length::default(), Length::max)
    }

    /// Area of all walls on metal.
    pub fn area(&self) -> Area {
        let rings = self.rings.iter().map(|core| core.ring.walls);
        rings.chain(self.walls.iter().map(|wall| wall.face)).sum()
    }

    /// The same around the same metal with other walls and `draft` added.
    fn reshaped(&self, walls: &WallChange, draft: Angle) -> Self {
        let core = |it: &Core| {
            let ring = Ring {
                wall: changed(it.ring.wall, walls),
                draft: it.ring.draft + draft,
                ..it.ring
            };
            Core { ring, ..*it }
        };
        let wall = |it: &StandingWall| StandingWall {
            thickness: changed(it.thickness, walls),
            root: changed(it.root, walls),
            draft: it.draft + draft,
            ..*it
        };
        Self {
            rings: self.rings.iter().map(core).collect(),
            walls: self.walls.iter().map(wall).collect(),
        }
    }
}

/// What the user wants of the mold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choices {
    /// Sprue, runner and gate as a share of the part, instead of the feed that is sized.
    pub feed_share: Option<Ratio>,
    /// Measures of the feed.
    pub feed: FeedChoices,
    /// How many equal cavities the mold has; one when not given.
    pub cavities: Option<u32>,
    /// Length of the runner, nothing for none; the usual when not given.
    pub runner_length: Option<Length>,
    /// Length of the sprue; short, the nozzle standing in a counterbore, when not given.
    pub sprue_length: Option<Length>,
    /// Lengths to say cavity sizes for, besides the box of the part.
    pub dimensions: Vec<Dimension>,
    /// Diameter of the ejector pins; the thinnest that do when not given.
    pub pin_diameter: Option<Length>,
    /// Shrinkage along the axes of the part, where it is known: in flow and across it differ.
    pub shrink_along: [Option<Range<Ratio>>; 3],
}

impl Choices {
    /// How many equal cavities the mold has.
    pub fn count(&self) -> u32 {
        self.cavities.unwrap_or(1).max(1)
    }

    /// Share of the feed that counts where none is sized.
    pub fn usual_feed_share(&self) -> Ratio {
        self.feed_share.unwrap_or(Ratio::from_si(FEED_SHARE))
    }
}

/// A length of the part that matters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dimension {
    /// On the part.
    pub length: Length,
    /// What forms it.
    pub kind: Kind,
    /// The axis of the part that it lies along, where that is known.
    pub along: Option<usize>,
}

/// With what the part is made.
#[derive(Clone, Copy, Debug)]
pub struct EvaluationInput<'a> {
    /// The press.
    pub press: &'a Press,
    /// The plastic.
    pub plastic: &'a Plastic,
    /// What the user wants.
    pub choices: &'a Choices,
    /// How the cavity fills, once that is worked out; rules of thumb stand in before.
    pub filling: Option<KnownFilling>,
}

/// How the cavity fills, as far as clamp, feed and cycle ask.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownFilling {
    /// From the melt at the gate to the full cavity.
    pub time: Time,
    /// Mean flow into each cavity.
    pub flow: VolumeRate,
    /// Melt pressure at the ram that fills it.
    pub required: RequiredBand,
}

/// Melt pressure at the ram that fills a cavity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RequiredBand {
    /// With all that is in doubt in its favor.
    pub best: Pressure,
    /// With typical values.
    pub expected: Pressure,
    /// With all that is in doubt against it; infinite where no pressure tried is enough.
    pub worst: Pressure,
}

/// What they make of it.
#[derive(Clone, Debug)]
pub struct Evaluation {
    /// Sprue, runner and gate, and what they cost.
    pub feed_design: Result<FeedDesign, NoFeed>,
    /// The shot; `None` without a volume.
    pub shot: Option<Result<Shot, Unknown>>,
    /// Which melt pressure fills, which one is held, which one is there.
    pub window: PressureWindow,
    /// Whether the mold stays shut, at the pressure of that window.
    pub clamping: MoldClamping,
    /// Hold, cool, cycle, warming, time in the heat.
    pub timing: Timing,
    /// How much larger to cut.
    pub shrinkage: Result<Shrinkage, Unknown>,
    /// The same along each axis of the part, where it was given for one of them.
    pub shrink_axes: Option<[Shrinkage; 3]>,
    /// Cavity sizes, box of the part first.
    pub sizes: Vec<(Dimension, CutSize)>,
    /// What holds the part, and what pushes it off.
    pub ejection: Result<EjectionForces, Unknown>,
    /// Vents.
    pub vent: Result<Vent, Unknown>,
}

/// All of it.
pub fn evaluate(shape: &PartData, with: &EvaluationInput<'_>) -> Evaluation {
    let Choices { feed_share, dimensions, .. } = with.choices;
    let share = with.choices.usual_feed_share();
    let count = with.choices.count();
    let usual = from_mm(feed_layouts::RUNNER_MM);
    let reach = with.choices.runner_length.unwrap_or(usual) + from_mm(GATE_LAND_MM);
    let all = shape.of_all(count, cavities::least_reach(shape, count).max(reach));
    let plates = plate_choice::plates(&all, with);
    let feed_design = feed::size(shape, &plates, with);
    // Clamp and nozzle follow the layout that was taken.
    let layout = feed_design.as_ref().ok().map(|design| design.feed.layout);
    let mut settled = with.choices.clone();
    settled.feed.layout = layout.or(settled.feed.layout);
    let with = &EvaluationInput { choices: &settled, ..*with };
    // The feed as sized counts unless a share is wanted in its place.
    let sized = feed_design.as_ref().ok().filter(|_| feed_share.is_none());
    let shot = all.volume.map(|volume| {
        let feed = sized.map_or(volume * share, |sized| sized.feed.volume());
        shot::with_feed(volume, feed, with.plastic, with.press)
    });
    let feed_area =
        sized.map_or(all.projected_area * share, |sized| sized.feed.projected_area());
    let area = all.projected_area + feed_area;
    let mold = ClosedMold { shape: &all, plates: &plates, area, with };
    let window = pressure_window::find(&mold, with);
    let clamping = clamping::evaluate(&mold, feed_area, window.judged());
    let known_shot = shot.as_ref().and_then(|shot| shot.as_ref().ok());
    let timing = cycle::evaluate(
        shape,
        cycle::ShotInput {
            feed_design: feed_design.as_ref().ok(),
            shot: known_shot,
            plates: &clamping.plates,
        },
        with,
    );
    let packing = with.press.melt_pressure();
    let shrinkage = shrinkage::band(with.plastic, packing);
    let own = with.choices.shrink_along;
    let shrink_axes = shrinkage.as_ref().ok().filter(|_| own.iter().any(Option::is_some));
    let shrink_axes = shrink_axes.map(|whole| shrinkage::along_axes(whole, own, packing));
    let ejection = match &shrinkage {
        Ok(band) => ejection::evaluate(shape, band, with.plastic),
        Err(unknown) => Err(unknown.clone()),
    };
    let sizes = shrinkage.as_ref().map_or_else(
        |_| Vec::new(),
        |whole| sizes(shape, dimensions, whole, shrink_axes.as_ref()),
    );
    let vent = vents::vent(with.plastic);
    Evaluation {
        feed_design,
        shot,
        window,
        clamping,
        timing,
        shrinkage,
        shrink_axes,
        sizes,
        ejection,
        vent,
    }
}

/// Cavity sizes: the box of the part, then what the user asked for, each by its own axis.
fn sizes(
    shape: &PartData,
    dimensions: &[Dimension],
    whole: &Shrinkage,
    axes: Option<&[Shrinkage; 3]>,
) -> Vec<(Dimension, CutSize)> {
    let outside = |(axis, &length)| {
        let along = Some(axis);
        Dimension { length, kind: Kind::Outside, along }
    };
    let sides = shape.size.iter().enumerate().map(outside);
    let size = |it: Dimension| {
        let own = axes.zip(it.along).and_then(|(axes, along)| axes.get(along));
        (it, cavity_sizes::cut(it.length, it.kind, own.unwrap_or(whole)))
    };
    sides.chain(dimensions.iter().copied()).map(size).collect()
}

impl Evaluation {
    /// Vents of each cavity that let the air out while the cavity fills at the flow of its feed; `None`
    /// while flow or vent is not known.
    pub fn vent_count(&self) -> Option<u32> {
        let filling = self.feed_design.as_ref().ok()?.filling.as_ref().ok()?;
        Some(self.vent.as_ref().ok()?.count(filling.flow))
    }
}

#[cfg(test)]
mod tests;
