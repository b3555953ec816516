//! The block and what has its place in it first: feed and bolts.
//!
//! The plates follow the rules of [`crate::process::clamping::mold_plates`] around part and feed
//! together, their thickness that of [`crate::process::clamping::mold_plates::Bars`].

use std::f64::consts::TAU;

use super::bolt_holes;
use super::feed::Way;
use crate::geom::Point;
use crate::mold::clearance::PartingFace;
use crate::mold::cut_feature::{BoughtPin, Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::clamping::alloys::Alloy;
use crate::process::clamping::bolt_pattern;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates::{Mold as Given, Plates};
use crate::process::clamping::thread::Thread;
use crate::process::evaluation::plate_choice::BEHIND_MM;
use crate::process::feed::Feed;
use crate::units::format::four_digits;
use crate::units::{from_mm, in_mm};

/// Plates that were chosen for a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChosenPlates<'a> {
    /// Thickness of the half in which the part lies deeper, and of the other, mm.
    pub thickness: [f64; 2],
    /// Why these.
    pub why: &'a str,
}

/// Metal that is left between two cuts, mm: 3 (judgment; thinner walls break out when
/// they are drilled).
pub const LEAST_METAL_MM: f64 = 3.0;
/// A thread's drill goes so many pitches deeper than the thread.
pub const BELOW_THREAD: f64 = 3.0;
/// How much deeper than the part that was measured the one that is cut may lie before a plate
/// takes the next bar, mm: shrinkage and a parting that bends.
const DEPTH_SLACK_MM: f64 = 1.0;
/// Metal left below a blind hole, mm.
pub const FLOOR_MM: f64 = 3.0;

/// Places around a hole at which the land is flat: as far out as the head of its bolt, which is
/// twice as wide as the hole of its thread.
const LAND_PLACES: u32 = 12;
/// Flat land along the edges of the block, and between two places there, mm.
const EDGE_LAND_MM: f64 = 5.0;

/// What is not wanted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Without {
    /// No bolt holes.
    pub bolts: bool,
    /// No dowel holes.
    pub dowels: bool,
    /// No sprue, runner, gate.
    pub feed: bool,
    /// No ejector pin holes.
    pub pins: bool,
    /// No vents.
    pub vents: bool,
    /// No pry slots.
    pub pry_slots: bool,
    /// No inserts in place of tall cores.
    pub inserts: bool,
}

/// What the layout is made from, lengths in mm, places in the axes of the mold.
pub struct LayoutInput<'a> {
    /// The lines around the part.
    pub outer: &'a [Vec<Point>],
    /// Least and greatest height of the part.
    pub part: [f64; 2],
    /// The half with the core.
    pub core: Half,
    /// What the press file says of the plates.
    pub given: &'a Given,
    /// The plates that were chosen for the part; the usual rule when not known.
    pub chosen: Option<ChosenPlates<'a>>,
    /// The bolts, when bolts hold the mold.
    pub bolts: Option<&'a Bolts>,
    /// The feed and its way.
    pub feed: Option<(&'a Feed, &'a Way)>,
    /// What is not wanted.
    pub without: Without,
}

/// A block and its cuts.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Spans of the block.
    pub block: [[f64; 2]; 3],
    /// Its plates.
    pub plates: Plates,
    /// Everything cut so far.
    pub cuts: Vec<Cut>,
    /// What stands in the way of more.
    pub parting_face: PartingFace,
    /// What was assumed or left out.
    pub notes: Vec<String>,
    /// The threads of the bolts, when bolts hold the mold.
    pub tapped: Option<Tapped>,
    /// Lengths of the screws, the shortest first, mm.
    pub screws: Vec<f64>,
    /// Pins in place of cores.
    pub core_pins: Vec<BoughtPin>,
}

/// A thread in the plate.
#[derive(Clone, Debug)]
pub struct Tapped {
    /// Which.
    pub thread: Thread,
    /// How long a screw has to sit in it, mm.
    pub hold: f64,
}

/// Why there is no block.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoBlock {
    /// The part is as deep as the plate.
    #[error(
        "the part lies {depth:.1} mm deep in a plate of {thickness:.1} mm: give a larger thickness in the [mold] table of the press file"
    )]
    Thin {
        /// How deep.
        depth: f64,
        /// Of how much.
        thickness: f64,
    },
    /// The plates of the press file are too small.
    #[error(
        "the plate of {0:.0} x {1:.0} mm leaves less than {LEAST_METAL_MM} mm between part, feed and {2}: give larger plates or another bolt_spacing in the [mold] table of the press file"
    )]
    Small(f64, f64, &'static str),
}

/// The block with feed and bolts.
///
/// # Errors
/// When the part does not fit in.
pub fn arrange(input: &LayoutInput<'_>) -> Result<Layout, NoBlock> {
    let box_mm = extents(input);
    let size = box_mm.map(|[low, high]| high - low);
    let turned = size[1] > size[0];
    let longer_first = if turned { [size[1], size[0]] } else { size };
    let thread = input.bolts.and_then(|bolts| bolts.thread().ok());
    let mut plates = input
        .given
        .plates(longer_first.map(from_mm), thread.map(|thread| thread.diameter));
    let depths = [-input.part[0], input.part[1]].map(|depth| depth.max(0.0));
    let thick = thickness(input, &mut plates, depths);
    for (depth, thickness) in depths.into_iter().zip(thick) {
        if thickness <= depth + FLOOR_MM {
            return Err(NoBlock::Thin { depth, thickness });
        }
    }
    let edges = plates.edges.map(in_mm);
    let edges = if turned { [edges[1], edges[0]] } else { edges };
    let middle = box_mm.map(|[low, high]| f64::midpoint(low, high));
    let span = |axis: usize| {
        [middle[axis] - edges[axis] / 2.0, middle[axis] + edges[axis] / 2.0]
    };
    let block = [span(0), span(1), [-thick[0], thick[1]]];
    let small = |what| NoBlock::Small(edges[0], edges[1], what);
    if (0..2).any(|axis| size[axis] + 2.0 * LEAST_METAL_MM > edges[axis]) {
        return Err(small("the edge"));
    }
    let parting_face = PartingFace::new([block[0], block[1]], input.outer);
    let mut layout = Layout {
        block,
        plates,
        cuts: Vec::new(),
        parting_face,
        notes: Vec::new(),
        tapped: None,
        screws: Vec::new(),
        core_pins: Vec::new(),
    };
    if let Some((feed, way)) = input.feed {
        layout.add_feed(input, feed, way);
    }
    if let (Some(thread), Some(bolts), false) = (thread, input.bolts, input.without.bolts)
    {
        let spacing = layout.plates.bolt_spacing;
        let spacing = if turned { [spacing[1], spacing[0]] } else { spacing };
        let places = bolt_pattern::places(bolts.count, spacing);
        let places: Vec<[f64; 2]> = places
            .iter()
            .map(|at| [0, 1].map(|axis| middle[axis] + in_mm(at[axis])))
            .collect();
        layout.add_bolts(input, bolts, &thread, &places).ok_or(small("the bolts"))?;
    }
    Ok(layout)
}

/// Thickness of both plates, mm, for a part so deep in each; said in `plates`.
fn thickness(input: &LayoutInput<'_>, plates: &mut Plates, depths: [f64; 2]) -> [f64; 2] {
    if let Some(given) = input.given.thickness {
        return [in_mm(given); 2];
    }
    let bars = input.given.bars;
    let least = depths.map(|depth| bars.at_least(depth + BEHIND_MM - DEPTH_SLACK_MM));
    let deepest = depths[0].max(depths[1]);
    let taken = |at: usize| {
        let deeper = usize::from(depths[at] < deepest);
        input.chosen.as_ref().map_or(0.0, |it| it.thickness[deeper]).max(least[at])
    };
    let thick = [taken(0), taken(1)];
    let why =
        input.chosen.as_ref().map_or("the bar that leaves enough behind it", |it| it.why);
    let behind = (thick[0] - depths[0]).min(thick[1] - depths[1]);
    let said = format!(
        "{} and {} mm; {why}, {behind:.1} mm behind the part",
        four_digits(thick[0]),
        four_digits(thick[1])
    );
    let [low, high] = [thick[0].min(thick[1]), thick[0].max(thick[1])].map(from_mm);
    plates.set_thickness([high, low], &said);
    thick
}

/// Spans of part and feed across the pull.
fn extents(input: &LayoutInput<'_>) -> [[f64; 2]; 2] {
    let start = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
    let mut spans = input.outer.iter().flatten().fold(start, |spans, point| {
        let at = [point.x, point.y];
        [0, 1].map(|axis| [spans[axis][0].min(at[axis]), spans[axis][1].max(at[axis])])
    });
    if let Some((feed, way)) = input.feed {
        let (sprue, gate, _) = way.taken(feed);
        let round = way.sprue_radius(feed);
        for axis in 0..2 {
            let low = (sprue[axis] - round).min(gate[axis]);
            let high = (sprue[axis] + round).max(gate[axis]);
            spans[axis] = [spans[axis][0].min(low), spans[axis][1].max(high)];
        }
    }
    spans
}

impl Layout {
    /// Thickness of the plate of `half`.
    pub fn thickness(&self, half: Half) -> f64 {
        let [low, high] = self.faces();
        if half == Half::Plus { high } else { -low }
    }

    /// Heights of the outer faces.
    pub fn faces(&self) -> [f64; 2] {
        self.block[2]
    }

    /// Places at the height of the plates that a stepped parting surface keeps to: under the
    /// heads of bolts, around dowels, and along the edges of the block, so that the halves
    /// rest on flat land there.
    pub fn flat_land(&self) -> Vec<Point> {
        let round = self.cuts.iter().filter(|cut| {
            matches!(cut.kind, Kind::Tap | Kind::DowelFast | Kind::DowelSlides)
        });
        let round = round.flat_map(|cut| {
            (0..LAND_PLACES).map(|place| {
                let turn = TAU * f64::from(place) / f64::from(LAND_PLACES);
                let (sin, cos) = turn.sin_cos();
                [cut.at[0] + cut.width * cos, cut.at[1] + cut.width * sin]
            })
        });
        let edge = [0.0, EDGE_LAND_MM]
            .into_iter()
            .flat_map(|inset| self.parting_face.rim(inset, EDGE_LAND_MM));
        round.chain(edge).map(|[x, y]| Point::new(x, y, 0.0)).collect()
    }

    /// Takes out cuts that could not be made, and says where they belong.
    pub fn leave_out(&mut self, cuts: &[Cut]) {
        let same = |a: &Cut, b: &Cut| (a.kind, a.half, a.at) == (b.kind, b.half, b.at);
        self.cuts.retain(|cut| !cuts.iter().any(|out| same(cut, out)));
        let [x, y, _] = self.block.map(|[low, _]| low);
        self.notes.extend(cuts.iter().map(|cut| {
            format!(
                "{} {:.1} mm along x and {:.1} mm along y from the datum could not be drawn: file it by hand",
                cut.kind.name(),
                cut.at[0] - x,
                cut.at[1] - y
            )
        }));
    }

    /// From the parting surface, which may lie anywhere in `part`, to the outer face.
    fn through(&self, half: Half, part: [f64; 2]) -> [f64; 2] {
        match half {
            Half::Plus => [part[0].min(0.0), self.faces()[1]],
            Half::Minus => [self.faces()[0], part[1].max(0.0)],
        }
    }

    fn add_feed(&mut self, input: &LayoutInput<'_>, feed: &Feed, way: &Way) {
        let mut cuts = way.cuts(feed, input.core, self.block);
        cuts.retain(|cut| !(input.without.pins && cut.kind == Kind::Puller));
        // What runs across the pull besides: a sprue in the parting line and its pocket.
        let lying = |cut: &&Cut| matches!(cut.kind, Kind::Sprue | Kind::Seat);
        for cut in cuts.iter().filter(lying) {
            if let Some(end) = cut.end {
                self.parting_face.take_line(cut.at, end, cut.width / 2.0);
            }
        }
        self.cuts.extend(cuts);
        let (sprue, gate, half_width) = way.taken(feed);
        self.parting_face.take(sprue, way.sprue_radius(feed));
        for turn in way.star(feed).turns() {
            self.parting_face.take_line(sprue, turn.place(gate), half_width);
        }
    }

    /// `None` where a bolt has no room.
    fn add_bolts(
        &mut self,
        input: &LayoutInput<'_>,
        bolts: &Bolts,
        thread: &Thread,
        places: &[[f64; 2]],
    ) -> Option<()> {
        let diameter = in_mm(thread.diameter);
        let name = thread.name();
        let holes = bolt_holes::holes(thread);
        let (free, drill) = (holes.free.diameter, holes.tap.diameter);
        let metal = Alloy::metal(self.plates.alloy);
        let strength = bolts.strength().ok();
        let hold = strength.map_or(1.5 * diameter, |bolt| {
            in_mm(thread.advised_depth(&bolt, metal.breaks))
        });
        let core = input.core;
        let cavity = core.other();
        for &at in places {
            if self.parting_face.metal(at, free / 2.0) < LEAST_METAL_MM {
                return None;
            }
            let z = self.through(cavity, input.part);
            let solid = primitives::round(at, free, z);
            let cut = Cut::new(Kind::Clearance, cavity, at, solid);
            let cut = cut.sized(free, self.thickness(cavity));
            self.cuts.push(
                cut.through().noted(format!("drill {} for {name}", holes.free.name)),
            );
            // How deep is settled where the face stands.
            let z = self.through(core, input.part);
            let solid = primitives::round(at, drill, z);
            self.cuts.push(Cut::new(Kind::Tap, core, at, solid).sized(drill, hold));
        }
        self.tapped = Some(Tapped { thread: *thread, hold });
        for &at in places {
            self.parting_face.take(at, free / 2.0);
        }
        Some(())
    }
}
