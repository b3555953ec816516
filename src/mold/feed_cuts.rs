//! What sprue, counterbore, well, runner and gate take of the metal.

use crate::mold::cavities::Star;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::feed::{INTO_MM, Sizes, Way};
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::ejection::pins::DIAMETERS_MM;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::{Feed, TRAPEZOID_LEAN_DEG};
use crate::units::format::four_digits;

/// Least depth of the counterbore for the nozzle in the outer face, mm (common practice: 1 to 3).
pub const SEAT_MM: f64 = 1.0;

/// Pieces that meet end to end overlap by this, mm, so that no skin stays between them.
const OVERLAP_MM: f64 = 0.02;

/// Depth of the hook at the tip of a sprue puller, mm (judgment).
const HOOK_MM: f64 = 1.0;

/// A gate that leads to a sprue in the parting line reaches into it by this, mm.
const INTO_SPRUE_MM: f64 = 0.5;

impl Way {
    /// What the feed takes of the parting face, for bounds and as obstacles: the middle of
    /// the sprue, that of the gate, and half the width around them.
    pub fn taken(&self, feed: &Feed) -> ([f64; 2], [f64; 2], f64) {
        let sizes = Sizes::from_feed(feed);
        let round = sizes.sprue[1].max(sizes.well[0]) / 2.0;
        (self.sprue, [self.gate.x, self.gate.y], round.max(sizes.half_width()))
    }

    /// Radius of the widest round piece around the sprue.
    pub fn sprue_radius(&self, feed: &Feed) -> f64 {
        let sizes = Sizes::from_feed(feed);
        let counterbore = match feed.layout {
            FeedLayout::Split => 0.0,
            FeedLayout::Direct | FeedLayout::Edge => sizes.counterbore,
        };
        sizes.sprue[1].max(sizes.well[0]).max(counterbore) / 2.0
    }

    /// The pieces of the feed and the counterbore, in a block of these spans.
    pub fn cuts(&self, feed: &Feed, core: Half, block: [[f64; 2]; 3]) -> Vec<Cut> {
        let sizes = Sizes::from_feed(feed);
        let mut cuts = match feed.layout {
            FeedLayout::Split => self.split_sprue(&sizes, core, block),
            FeedLayout::Direct | FeedLayout::Edge => {
                self.upright(&sizes, feed.layout, core, block[2])
            }
        };
        if feed.layout == FeedLayout::Direct {
            return cuts;
        }
        let runner = self.runner(&sizes, core);
        let gate = self.gate(&sizes, feed.layout);
        for turn in self.star(feed).turns() {
            cuts.extend(runner.iter().map(|runner| turn.cut(runner)));
            cuts.push(turn.cut(&gate));
        }
        cuts
    }

    /// The cavities around the sprue.
    pub fn star(&self, feed: &Feed) -> Star {
        Star { count: feed.cavities, about: self.sprue }
    }

    /// From the sprue to the gate of the first cavity.
    fn runner(&self, sizes: &Sizes, core: Half) -> Option<Cut> {
        let [diameter, _] = sizes.runner?;
        let z = self.gate.z;
        let Some([top, floor]) = sizes.trapezoid else {
            let solid = primitives::groove(self.sprue, self.runner_end, diameter, z);
            let cut = Cut::new(Kind::Runner, core.other(), self.sprue, solid);
            let cut = cut.to(self.runner_end).sized(diameter, diameter / 2.0);
            let text = format!(
                "ball cutter of {} mm, half in each plate",
                four_digits(diameter)
            );
            return Some(cut.in_both_halves().noted(text));
        };
        let (radii, span) = match self.half {
            Half::Plus => ([top, floor], [z - self.over, z + diameter]),
            Half::Minus => ([floor, top], [z - diameter, z + self.over]),
        };
        let radii = radii.map(|width| width / 2.0);
        let solid = primitives::channel(self.sprue, self.runner_end, radii, span);
        let cut = Cut::new(Kind::Runner, self.half, self.sprue, solid);
        let cut = cut.to(self.runner_end).sized(top, diameter);
        Some(cut.noted(format!(
            "trapezoid in this plate only: floor {} mm wide by a flat cutter, sides leaning {TRAPEZOID_LEAN_DEG} degrees by a tapered one, {} mm wide at the face",
            four_digits(floor),
            four_digits(top)
        )))
    }

    /// A sprue in the parting face, from the runner or gate to a pocket in the wall of the
    /// block that the nozzle stands in.
    fn split_sprue(&self, sizes: &Sizes, core: Half, block: [[f64; 2]; 3]) -> Vec<Cut> {
        let [inlet, foot] = sizes.sprue;
        let z = self.gate.z;
        let walls = (0..2).map(|axis| {
            let wall = block[axis][usize::from(self.way[axis] > 0.0)];
            let way = self.way[axis];
            if way.abs() < 1e-9 { f64::INFINITY } else { (wall - self.sprue[axis]) / way }
        });
        let wall = walls.fold(f64::INFINITY, f64::min);
        let place =
            |along: f64| [0, 1].map(|axis| self.sprue[axis] + self.way[axis] * along);
        let deep = wall - sizes.sprue_length;
        let has_pocket = deep >= SEAT_MM;
        // A little beyond, so that a slanted end opens whole.
        let length =
            if has_pocket { sizes.sprue_length + OVERLAP_MM } else { wall + inlet };
        let solid = primitives::rod(self.sprue, place(length), [foot, inlet], z);
        let cut = Cut::new(Kind::Sprue, core.other(), self.sprue, solid);
        let cut = cut.to(place(length)).sized(inlet, foot / 2.0).in_both_halves();
        let mut cuts = vec![cut.noted(format!(
            "half in each plate, from {} mm at the nozzle to {} mm",
            four_digits(inlet),
            four_digits(foot)
        ))];
        if has_pocket {
            let wide = sizes.counterbore;
            let [start, end] = [sizes.sprue_length, wall + wide].map(place);
            let text = format!(
                "half in each plate, {} mm deep from the wall of the block: the tip of the nozzle stands in it",
                four_digits(deep)
            );
            for half in [core.other(), core] {
                let solid = primitives::rod(start, end, [wide; 2], z);
                let cut = Cut::new(Kind::Seat, half, start, solid).to(place(wall));
                cuts.push(cut.sized(wide, wide / 2.0).noted(text.clone()));
            }
        }
        cuts
    }

    /// A sprue along the pull through the cavity half, the counterbore for the nozzle, and the
    /// well below it.
    fn upright(
        &self,
        sizes: &Sizes,
        layout: FeedLayout,
        core: Half,
        faces: [f64; 2],
    ) -> Vec<Cut> {
        let nozzle_up = core == Half::Minus;
        let cavity = core.other();
        let face = faces[usize::from(nozzle_up)];
        let out = if nozzle_up { 1.0 } else { -1.0 };
        let z = self.gate.z;
        let [inlet, foot] = sizes.sprue;
        let through = (face - z) * out;
        let deep = if through > 2.0 * SEAT_MM {
            (through - sizes.sprue_length).max(SEAT_MM)
        } else {
            0.0
        };
        let top = face - out * deep;
        // On the part, a little into the plastic.
        let start =
            if layout == FeedLayout::Direct { z - out * INTO_MM / 2.0 } else { z };
        let span = |a: f64, b: f64| [a.min(b), a.max(b)];
        let diameters = if nozzle_up { [foot, inlet] } else { [inlet, foot] };
        let sprue = primitives::cone(self.sprue, diameters, span(start, top));
        let text = format!(
            "from {} mm at the nozzle to {} mm, polished along the pull",
            four_digits(inlet),
            four_digits(foot)
        );
        let cut = Cut::new(Kind::Sprue, cavity, self.sprue, sprue);
        let mut cuts = vec![cut.sized(inlet, (top - z).abs()).noted(text)];
        if deep > 0.0 {
            let wide = sizes.counterbore;
            let solid = primitives::round(self.sprue, wide, span(top, face));
            let cut = Cut::new(Kind::Seat, cavity, self.sprue, solid).sized(wide, deep);
            cuts.push(
                cut.noted("from the outer face, its floor flat: the nozzle seats there"),
            );
        }
        let [width, length] = sizes.well;
        if layout == FeedLayout::Edge && length > 0.0 {
            let solid = primitives::round(self.sprue, width, span(z, z - out * length));
            cuts.push(Cut::new(Kind::Well, core, self.sprue, solid).sized(width, length));
            let back = faces[usize::from(!nozzle_up)];
            cuts.extend(self.puller(width, z - out * length, core, back));
        }
        cuts
    }

    /// The pin below the well, whose floor lies at `floor`, through to the outer face at `back`:
    /// as wide as one of the shelf that fits into the well. With a hook at its tip it draws
    /// sprue, runner and part along as the mold opens (the usual Z of the trade: common
    /// practice).
    fn puller(&self, well: f64, floor: f64, core: Half, back: f64) -> Option<Cut> {
        let mut fitting = DIAMETERS_MM.iter().rev();
        let width = *fitting.find(|diameter| **diameter <= well)?;
        let into_well = if core == Half::Minus { OVERLAP_MM } else { -OVERLAP_MM };
        let ends = [floor + into_well, back];
        let span = [ends[0].min(ends[1]), ends[0].max(ends[1])];
        let solid = primitives::round(self.sprue, width, span);
        let cut = Cut::new(Kind::Puller, core, self.sprue, solid);
        let text = format!(
            "ream {} H7 from the floor of the well; file a Z into the tip of its pin, {HOOK_MM} mm deep: it holds the slug until that is slid off sideways",
            four_digits(width)
        );
        Some(cut.sized(width, (back - floor).abs()).through().noted(text))
    }

    fn gate(&self, sizes: &Sizes, layout: FeedLayout) -> Cut {
        let [land, width, depth] = sizes.gate;
        let at = [self.gate.x, self.gate.y];
        let into = if layout == FeedLayout::Split { INTO_SPRUE_MM } else { 0.0 };
        let far =
            land + sizes.runner.map_or(sizes.sprue[1] / 2.0 + into, |[d, _]| d / 2.0);
        let spans = [[-self.into, far], [-width / 2.0, width / 2.0]];
        let z = self.gate.z;
        let over = self.over;
        let span = match self.half {
            Half::Plus => [z - over, z + depth],
            Half::Minus => [z - depth, z + over],
        };
        let solid = primitives::bar(at, self.way, spans, span);
        let end = [at[0] + self.way[0] * far, at[1] + self.way[1] * far];
        let cut = Cut::new(Kind::Gate, self.half, at, solid).to(end).sized(width, depth);
        cut.noted(format!(
            "{} mm wide and deep as said, {} mm long",
            four_digits(width),
            four_digits(land)
        ))
    }
}
