//! Vents with their relief: shallow where the melt stands, deep from there to the open air.
//!
//! Each goes straight away from the part to the wall of the block: a slanted one would leave
//! no land beside its relief. On a stepped parting those come first whose way is level: there
//! a cutter makes them in one pass. Where too few are, others follow the steps
//! ([`Stepped`]), as deep below the surface everywhere along the pull.

use super::layout::{LEAST_METAL_MM, Layout};
use crate::geom::{Direction, Point, Vector};
use crate::mesh::bvh::Bvh;
use crate::mesh::solid::{NotCut, Solid};
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::point_in_plastic::Inside;
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::feed::vents::Vent;
use crate::units::in_mm;

/// Vents stand at least so many widths apart.
const APART: f64 = 2.5;

/// No more than this many are cut unless asked for (judgment: each is polished by hand).
pub const MOST: u32 = 8;

/// A vent begins so far beyond the parting face, in the other half's room, mm: corners of the
/// part are rounded in the file, and no film of metal may stay above it.
const ABOVE_MM: f64 = 0.1;

/// A vent reaches into the plastic by this beyond where the wall is behind it, mm.
const INTO_MM: f64 = 0.2;

/// Two pieces of a vent overlap by this at the wall of the part, mm.
const EDGE_MM: f64 = 0.02;

/// A way is level while its heights differ by less, mm: a tenth of the shallowest vent.
const LEVEL_MM: f64 = 0.001;

/// Heights along a way are taken at steps of this, mm.
const STEP_MM: f64 = 0.5;

/// A parting surface that is not flat.
pub struct Stepped<'a> {
    blanks: &'a [Solid; 2],
    minus: Bvh,
    /// Above all metal.
    above: f64,
    /// Least and greatest height of the whole surface.
    rise: [f64; 2],
}

impl<'a> Stepped<'a> {
    /// Between these halves, the + one first; `rise` is the span of its heights.
    pub fn between(blanks: &'a [Solid; 2], rise: [f64; 2]) -> Self {
        let above = blanks[0].bounds().max.z + 1.0;
        Self { blanks, minus: Bvh::new(&blanks[1].mesh()), above, rise }
    }

    /// Height of the surface at a place beside the part.
    pub fn at(&self, [x, y]: [f64; 2]) -> Option<f64> {
        let start = Point::new(x, y, self.above);
        let hit = self.minus.first_hit(&start, Direction::Z.reversed(), 0.0)?;
        Some(self.above - hit.distance)
    }

    /// Least and greatest height along a strip.
    fn span(&self, strip: &Strip) -> [f64; 2] {
        let steps = (strip.length / STEP_MM).ceil().max(1.0);
        let along = (0..=steps as u32).map(|step| {
            // The ends lie on the part and on the wall of the block.
            strip.length * (f64::from(step) / steps).clamp(1e-3, 1.0 - 1e-3)
        });
        let heights = along.flat_map(|along| {
            [-0.5, 0.0, 0.5].map(|aside| strip.place(along, aside * strip.wide))
        });
        let start = [strip.at.z; 2];
        heights
            .filter_map(|at| self.at(at))
            .fold(start, |[low, high], z| [low.min(z), high.max(z)])
    }

    /// What lies in `bars`, in the metal of `half` no deeper than `depth` below its surface.
    fn below(&self, bars: &Solid, half: Half, depth: f64) -> Result<Solid, NotCut> {
        let (blank, down) = match half {
            Half::Plus => (&self.blanks[0], depth),
            Half::Minus => (&self.blanks[1], -depth),
        };
        bars.minus(&blank.map(|point| point + Vector::new(0.0, 0.0, down)))
    }
}

/// The way of one vent.
struct Strip {
    at: Point,
    way: [f64; 2],
    length: f64,
    wide: f64,
    half: Half,
    /// How far it begins before its place, so that it meets a curved wall whole, mm.
    into: f64,
}

impl Strip {
    fn place(&self, along: f64, aside: f64) -> [f64; 2] {
        let [x, y] = self.way;
        [self.at.x + x * along - y * aside, self.at.y + y * along + x * aside]
    }
}

/// What vents are placed by.
pub struct VentInput<'a> {
    /// Shape of each.
    pub vent: &'a Vent,
    /// How many.
    pub count: u32,
    /// Where they are wanted, best first, on the lines around the part.
    pub wanted: &'a [Point],
    /// Those lines.
    pub outer: &'a [Vec<Point>],
    /// Tells plastic from metal.
    pub inside: &'a Inside,
    /// The half that keeps the part.
    pub core: Half,
    /// The parting surface, where it is not flat.
    pub stepped: Option<&'a Stepped<'a>>,
}

/// Adds the vents that find a way to the open.
///
/// # Errors
/// When one that follows a step cannot be cut.
pub fn add(layout: &mut Layout, input: &VentInput<'_>) -> Result<(), NotCut> {
    let mut placed: Vec<[f64; 2]> = Vec::new();
    let passes: &[bool] = if input.stepped.is_some() { &[true, false] } else { &[false] };
    let mut ramps = 0;
    for level_only in passes {
        for wanted in input.wanted {
            if placed.len() as u32 >= input.count {
                break;
            }
            let Some(strip) = free(layout, input, wanted, &placed) else { continue };
            let flat = strip.place(0.0, 0.0);
            let span = input.stepped.map(|stepped| stepped.span(&strip));
            let is_level = span.is_none_or(|[low, high]| high - low < LEVEL_MM);
            if *level_only && !is_level {
                continue;
            }
            ramps += u32::from(!is_level);
            layout.cuts.extend(cuts(input, &strip, span.filter(|_| !is_level))?);
            let end = strip.place(strip.length, 0.0);
            layout.parting_face.take_line(flat, end, strip.wide / 2.0);
            placed.push(flat);
        }
    }
    let missing = input.count.saturating_sub(placed.len() as u32);
    if missing > 0 {
        layout.notes.push(format!(
            "vents: {} of {} are drawn; scratch more at the end of the flow path while testing",
            placed.len(),
            input.count
        ));
    }
    if ramps > 0 {
        layout.notes.push(format!(
            "vents on the step of the parting: {ramps}; cut them with a ball cutter or scratch them"
        ));
    }
    Ok(())
}

/// The free way from the place nearest to `wanted`, where there is one.
fn free(
    layout: &Layout,
    input: &VentInput<'_>,
    wanted: &Point,
    placed: &[[f64; 2]],
) -> Option<Strip> {
    let wide = in_mm(input.vent.width);
    let (at, way) = beside(input.outer, wanted)?;
    let near = |other: &[f64; 2]| (other[0] - at.x).hypot(other[1] - at.y);
    if placed.iter().any(|other| near(other) < APART * wide) {
        return None;
    }
    let length = open_way(layout, [at.x, at.y], way, wide)?;
    let into = INTO_MM + layout.parting_face.recedes([at.x, at.y], way, wide);
    let strip = Strip { at, way, length, wide, half: input.core, into };
    Some(Strip { half: strip.side(input), ..strip })
}

/// The nearest place on the lines, and the way off the part there; `None` at a corner.
fn beside(outer: &[Vec<Point>], wanted: &Point) -> Option<(Point, [f64; 2])> {
    let edges =
        outer.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    let found = edges.filter_map(|(from, to)| {
        let along = to - from;
        let length = along.x.hypot(along.y);
        let share = (wanted - from).dot(&along) / along.norm_squared();
        let at = from + along * share.clamp(0.0, 1.0);
        let normal = [along.y / length, -along.x / length];
        (length > 1e-6).then(|| (nalgebra::distance_squared(&at, wanted), at, normal))
    });
    let nearest = found.min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map(|(_, at, normal)| (at, normal))
}

/// A free way from `at` to the wall of the block, and its length.
fn open_way(layout: &Layout, at: [f64; 2], normal: [f64; 2], wide: f64) -> Option<f64> {
    let outline = layout.parting_face.outline;
    let reach = (0..2).map(|axis| {
        let wall = outline[axis][usize::from(normal[axis] > 0.0)];
        let along = normal[axis];
        if along.abs() < 1e-9 { f64::INFINITY } else { (wall - at[axis]) / along }
    });
    let length = reach.fold(f64::INFINITY, f64::min);
    let place = |along: f64| [at[0] + normal[0] * along, at[1] + normal[1] * along];
    // Beside the part itself it begins at nothing and must only get away from it.
    let start = wide / 2.0 + 0.5;
    let metal = |from: f64| {
        layout.parting_face.metal_along(place(from), place(length), wide / 2.0)
    };
    let free = length > start
        && metal(start) > 0.2
        && metal(start + LEAST_METAL_MM) >= LEAST_METAL_MM;
    free.then_some(length)
}

impl Strip {
    /// The half that it is cut into: the one that forms the wall of the part.
    fn side(&self, input: &VentInput<'_>) -> Half {
        let holds = |half: Half| {
            let up = if half == Half::Plus { 1.0 } else { -1.0 };
            let [x, y] = self.place(-0.05, 0.0);
            input.inside.holds(&Point::new(x, y, self.at.z + up * 0.05))
        };
        let cavity = input.core.other();
        if holds(cavity) || !holds(input.core) { cavity } else { input.core }
    }

    /// The strip from one place along it to another, `depth` deep: below its own height, or
    /// below all heights of `span` on the way.
    fn bar(&self, along: [f64; 2], depth: f64, span: Option<[f64; 2]>) -> Solid {
        let [low, high] = span.unwrap_or([self.at.z; 2]);
        let heights = match self.half {
            Half::Plus => [low - ABOVE_MM, high + depth],
            Half::Minus => [low - depth, high + ABOVE_MM],
        };
        let side = [-self.wide / 2.0, self.wide / 2.0];
        primitives::bar(self.place(0.0, 0.0), self.way, [along, side], heights)
    }
}

/// The vent and its relief; `span` are the heights of a way that is not level.
fn cuts(
    input: &VentInput<'_>,
    strip: &Strip,
    span: Option<[f64; 2]>,
) -> Result<[Cut; 2], NotCut> {
    let [wide, land, relief, start, most] = {
        let vent = input.vent;
        [vent.width, vent.land, vent.relief, vent.start, vent.most].map(in_mm)
    };
    let solid = |along: [f64; 2], depth: f64| {
        let Some(stepped) = input.stepped.filter(|_| span.is_some()) else {
            return Ok(strip.bar(along, depth, None));
        };
        // No valley between the places tested may stay shut; in the plastic the floor may
        // not be met.
        let from = along[0].max(-EDGE_MM);
        let mut bars = strip.bar([from, along[1]], depth, Some(stepped.rise));
        if along[0] < from {
            bars = bars.plus(&strip.bar([along[0], EDGE_MM], depth, span))?;
        }
        stepped.below(&bars, strip.half, depth)
    };
    let shallow = solid([-strip.into, land], start)?;
    let deep = solid([land, strip.length + wide], relief)?;
    let along = if span.is_some() { "along the step, " } else { "" };
    let note = format!(
        "{along}{wide:.0} mm wide, {start:.3} mm deep to begin with, at most {most:.3} mm, {land:.1} mm long"
    );
    let [from, middle, to] =
        [0.0, land, strip.length].map(|along| strip.place(along, 0.0));
    Ok([
        Cut::new(Kind::Vent, strip.half, from, shallow)
            .to(middle)
            .sized(wide, start)
            .noted(note),
        Cut::new(Kind::Relief, strip.half, middle, deep)
            .to(to)
            .sized(wide, relief)
            .noted(format!("{along}{wide:.0} mm wide, {relief:.1} mm deep, to the open")),
    ])
}
