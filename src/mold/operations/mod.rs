//! Which operations make a half, in their order, with tool, depth of cut, side step and minutes.
//!
//! The order is common practice: outer face first, then the half is turned over and stays as it lies until it is
//! done, so that holes and cavity share one datum. Metal is roughed before holes are spotted, since it
//! may stand where a drill would begin; surfaces are finished after drilling. Minutes leave out tool
//! changes, moves through the air and setting up; those of drilling, tapping and facing are judgment.
//!
//! | question | file |
//! |---|---|
//! | what is faced, roughed and finished, and the edges | [`surfaces`] |
//! | what is spotted, drilled, reamed and tapped | [`holes`] |
//! | what is cut along the parting face | [`slots`] |

mod surfaces;
mod holes;
mod slots;

pub use holes::spot_depth;

use crate::mold::build::Mold;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::milling::cutter::{self, Cutter};
use crate::mold::milling::outcome::MillingOutcome;
use crate::mold::milling::pace::FEED_MM_S;
use crate::part::halves::Half;
use crate::units::format::four_digits;

/// Stock is sawn larger by so much on each edge, mm (judgment: 1 to 2).
pub const SAWN_MM: f64 = 1.0;
/// Rapid moves stay so far above everything, mm (judgment).
const CLEAR_MM: f64 = 5.0;
/// A flat cutter that most have, mm.
const USUAL_MM: f64 = 6.0;

/// Which face lies up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Up {
    /// The outer face.
    Outer,
    /// The parting face.
    Parting,
}

/// What makes an operation: a plain program, with the diameter of its tool in mm, or somebody.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Work {
    /// Toolpaths of a CAM program.
    Cam,
    /// Somebody at the bench.
    Hand,
    /// A flat cutter goes to and fro over the whole stock.
    Face(f64),
    /// A spotting drill marks holes.
    Spot,
    /// A drill.
    Drill(f64),
    /// A reamer.
    Ream(f64),
    /// A flat cutter goes along slots.
    Slot(f64),
    /// A ball cutter goes along a groove of its own width.
    Groove(f64),
    /// A flat cutter mills a round pocket.
    Counterbore(f64),
}

/// One operation; lengths in mm.
#[derive(Clone, Debug)]
pub struct Operation {
    /// What makes it.
    pub work: Work,
    /// Which face lies up.
    pub up: Up,
    /// What is done.
    pub what: String,
    /// With what.
    pub tool: String,
    /// How deep in all.
    pub depth: Option<f64>,
    /// Depth of one cut; of a drill how far it goes before it is cleared of chips.
    pub pass: Option<f64>,
    /// Side step.
    pub side_step: Option<f64>,
    /// Feed, mm/min.
    pub feed: Option<f64>,
    /// How long it takes, min.
    pub minutes: f64,
    /// What of the cuts of the layout it makes, as indices.
    pub cuts: Vec<usize>,
}

/// How a half is made.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Stock along x, y and the pull, mm.
    pub stock: [f64; 3],
    /// How thick it is milled, mm.
    pub thickness: f64,
    /// What is faced off the outer face, mm; the rest of what the stock is thicker goes off the
    /// parting side.
    pub outer_facing: f64,
    /// How far metal stands above the parting plane at the datum, mm.
    pub above: f64,
    /// How far the tallest insert stands out once it is in its plate, mm.
    pub set_in: f64,
    /// How far the lowest floor of the part lies below, mm.
    pub below: f64,
    /// How deep slots, vents and sprue cut into the edges from the parting face, mm.
    pub edge_depth: f64,
    /// In their order.
    pub operations: Vec<Operation>,
}

impl Plan {
    /// How much thicker the stock still is than the half when its parting face lies up, mm.
    pub fn parting_facing(&self) -> f64 {
        self.stock[2] - self.thickness - self.outer_facing
    }

    /// Height of rapid moves with this face up, mm: everything lies below.
    pub fn rapid_height(&self, up: Up) -> f64 {
        let top = match up {
            Up::Outer => self.outer_facing,
            Up::Parting => (self.above + self.parting_facing()).max(self.set_in),
        };
        (top + CLEAR_MM).ceil()
    }
}

/// The plan of `half`; `cutting` is what the cutters of a list do, when it is known.
pub fn plan(
    mold: &Mold,
    half: Half,
    cutting: Option<(&MillingOutcome, &[Cutter])>,
) -> Plan {
    let [x, y, _] = mold.layout.block.map(|[low, high]| high - low);
    let part = mold.part.bounds();
    let thickness = mold.stock(half);
    let above = thickness - mold.layout.thickness(half);
    let below = if half == Half::Plus { part.max.z } else { -part.min.z };
    let bar = mold.layout.plates.bars.at_least(thickness);
    let stock = [x + 2.0 * SAWN_MM, y + 2.0 * SAWN_MM, bar];
    let mut making = Making { mold, half, cutting, operations: Vec::new() };
    making.outer_face([x, y, thickness], stock[2] - thickness);
    making.roughing();
    making.pockets();
    making.holes();
    making.finishing();
    making.slots();
    let edge_depth = making.edge_depth();
    let operations = making.operations;
    let [above, below] = [above, below].map(|height| height.max(0.0));
    let outer_facing = surfaces::outer_facing(stock[2] - thickness);
    let inserts = mold.inserts.iter().filter(|it| it.half == half);
    let set_in = inserts.map(|it| it.height).fold(0.0, f64::max);
    Plan { stock, thickness, outer_facing, above, set_in, below, edge_depth, operations }
}

struct Making<'a> {
    mold: &'a Mold,
    half: Half,
    cutting: Option<(&'a MillingOutcome, &'a [Cutter])>,
    operations: Vec<Operation>,
}

impl<'a> Making<'a> {
    /// What is cut into this half, with its index; the feed in the parting face goes into both.
    fn own(&self) -> impl Iterator<Item = (usize, &'a Cut)> + use<'a> {
        let half = self.half;
        self.mold
            .layout
            .cuts
            .iter()
            .enumerate()
            .filter(move |(_, cut)| cut.half == half || cut.in_both)
    }

    /// How deep cuts open the edges from the parting face.
    fn edge_depth(&self) -> f64 {
        let opens = |cut: &Cut| match cut.kind {
            Kind::Pry => true,
            Kind::Vent | Kind::Relief | Kind::Sprue | Kind::Seat => cut.end.is_some(),
            _ => false,
        };
        let cuts = self.own().filter(|(_, cut)| opens(cut));
        cuts.map(|(_, cut)| cut.depth).fold(0.0, f64::max)
    }

    /// Name, diameter and feed of the widest flat cutter of the list that is no wider than this, mm; of
    /// one that would do where there is none.
    fn flat(&self, widest: f64) -> (String, f64, f64) {
        self.own_flat(widest).map_or_else(
            || {
                let wide = widest.min(USUAL_MM);
                let name = format!("flat of at most {} mm", four_digits(wide));
                (name, wide, FEED_MM_S * 60.0)
            },
            |it| (it.name.clone(), it.diameter, feed(it)),
        )
    }

    /// The widest flat cutter of the list that is no wider than this, mm.
    fn own_flat(&self, widest: f64) -> Option<&'a Cutter> {
        let list = self.cutting.map(|(_, list)| list).unwrap_or_default();
        let fits =
            |it: &&Cutter| it.kind == cutter::Kind::Flat && it.diameter <= widest + 1e-9;
        list.iter().filter(fits).max_by(|a, b| a.diameter.total_cmp(&b.diameter))
    }

    /// `work` with that cutter; a program needs to know its diameter.
    fn with_flat(&self, widest: f64, work: fn(f64) -> Work) -> Work {
        self.own_flat(widest).map_or(Work::Cam, |it| work(it.diameter))
    }
}

/// The feed of a cutter, mm/min.
fn feed(cutter: &Cutter) -> f64 {
    cutter.feed.unwrap_or(FEED_MM_S) * 60.0
}

/// An operation of which nothing is said yet.
fn empty(up: Up, tool: String) -> Operation {
    Operation {
        work: Work::Cam,
        up,
        what: String::new(),
        tool,
        depth: None,
        pass: None,
        side_step: None,
        feed: None,
        minutes: 0.0,
        cuts: Vec::new(),
    }
}
