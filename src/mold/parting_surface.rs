//! The parting surface: from the lines where the skins meet out to the walls of the block,
//! and across the holes where the halves shut off.
//!
//! Where all lines of a piece lie at one height it is flat. Else it keeps to the height of
//! the nearest line and goes over from one height to another by a ramp of [`SLOPE`]: the
//! mean of the least and the greatest surface of that slope through the lines (their
//! Lipschitz extensions). Where a line itself is steeper than the ramp, a wall along the pull stands
//! right at the part and leans the more the farther it is away.

use super::rings::Ring;
use crate::geom::Point;
use crate::mesh::triangulation::{self, Line, Sheet, TriangulationInput as Flat};
use crate::mold::ring_offset;

/// Rise over run of the ramps between two heights: 27° off the pull, where a stepped
/// parting asks for 7° or more (common practice).
const SLOPE: f64 = 2.0;

/// Insets by which rings are drawn in, as shares of the diagonal, tried in turn: a
/// surface as exported, a little finer, and walls that lean by a little more than
/// nothing.
const INSETS: [f64; 4] = [1e-6, 1e-7, 1e-5, 5e-5];

/// Corners along the longer edge of the block where the surface is not flat.
const ACROSS: f64 = 60.0;

/// Heights that differ by less than this share of the diagonal are one: 2 µm in a block of
/// 100 mm, well below the depth of a vent.
const LEVEL: f64 = 2e-5;

/// Points on the lines, for the ramps, at most.
const MOST_POINTS: usize = 1500;

/// What the surface is built from; all in the axes of the mold.
pub struct SurfaceInput<'a> {
    /// The lines.
    pub rings: &'a [Ring],
    /// The points that their corners name.
    pub points: &'a [Point],
    /// The block across the pull: its spans of x and y.
    pub outline: [[f64; 2]; 2],
    /// Further points that the surface passes at level: under the runner and the vents.
    pub level: &'a [Point],
    /// The height where nothing else is known.
    pub height: f64,
}

/// The surface.
#[derive(Clone, Debug, Default)]
pub struct Surface {
    /// Corners that it adds; the first is numbered like the first past those given.
    pub points: Vec<Point>,
    /// Corners of each facet, counter-clockwise seen from the + end.
    pub facets: Vec<[u32; 3]>,
    /// The corners along the walls of the block, counter-clockwise.
    pub outline: Vec<u32>,
    /// Whether all of it lies at one height.
    pub is_flat: bool,
}

/// Builds the surface.
///
/// # Errors
/// The place where two lines lie over each other, seen along the pull.
pub fn build(input: &SurfaceInput<'_>) -> Result<Surface, Point> {
    let [x, y] = input.outline;
    let diagonal = (x[1] - x[0]).hypot(y[1] - y[0]);
    let mut wrong = None;
    for share in INSETS {
        match build_with_inset(input, share * diagonal) {
            Ok(surface) => return Ok(surface),
            Err([x, y]) => {
                wrong.get_or_insert(Point::new(x, y, input.height));
            }
        }
    }
    Err(wrong.unwrap_or_default())
}

fn build_with_inset(input: &SurfaceInput<'_>, inset: f64) -> Result<Surface, [f64; 2]> {
    let (lines, points) = (input.rings.iter(), input.points);
    let flat = |corner: &u32| [points[*corner as usize].x, points[*corner as usize].y];
    let mut rings = Vec::new();
    let mut facets = Vec::new();
    for ring in lines {
        let places: Vec<[f64; 2]> = ring.corners.iter().map(flat).collect();
        match ring_offset::apart(&places, inset) {
            Some(places) => rings.push(Line { names: ring.corners.clone(), places }),
            // All of it is one line along the pull.
            None => facets.extend(fan(&ring.corners)),
        }
    }
    let first = points.len() as u32;
    let none = Line { names: Vec::new(), places: Vec::new() };
    let outline = edge(input.outline, first, f64::INFINITY);
    let coarse = triangulation::triangulate(&Flat {
        rings: &rings,
        outline: &outline,
        inner: &none,
    })?;
    let ramps = Ramps::list(input, &coarse, first);
    if ramps.iter().all(Ramps::is_flat) {
        return Ok(finish(input, &ramps, coarse, outline, &none, facets));
    }
    let [x, y] = input.outline;
    let step = (x[1] - x[0]).max(y[1] - y[0]) / ACROSS;
    let outline = edge(input.outline, first, step);
    let inner = grid(input.outline, first + outline.names.len() as u32, step);
    let inner = beside(inner, &ramps, step);
    let fine = triangulation::triangulate(&Flat {
        rings: &rings,
        outline: &outline,
        inner: &inner,
    })?;
    Ok(finish(input, &ramps, fine, outline, &inner, facets))
}

/// Triangles across a ring whose corners lie one above the other.
fn fan(corners: &[u32]) -> impl Iterator<Item = [u32; 3]> {
    let tip = corners.first().copied().unwrap_or_default();
    corners.windows(2).skip(1).map(move |pair| [tip, pair[1], pair[0]])
}

/// The rectangle of the block, corners no farther apart than `step`.
fn edge([x, y]: [[f64; 2]; 2], first: u32, step: f64) -> Line {
    let corners = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    let mut places = Vec::new();
    for (i, from) in corners.iter().enumerate() {
        let to = corners[(i + 1) % 4];
        let length = (to[0] - from[0]).hypot(to[1] - from[1]);
        let pieces = (length / step).ceil().max(1.0);
        let mut at = 0.0;
        while at < pieces {
            let share = at / pieces;
            places.push([0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * share));
            at += 1.0;
        }
    }
    Line { names: (first..).take(places.len()).collect(), places }
}

/// Corners on a grid inside the block.
fn grid([x, y]: [[f64; 2]; 2], first: u32, step: f64) -> Line {
    let inside = |[low, high]: [f64; 2]| {
        let count = ((high - low) / step).ceil().max(1.0);
        let places = (1..).map(f64::from).take_while(move |at| *at < count);
        places.map(move |at| low + (high - low) * at / count)
    };
    let places: Vec<[f64; 2]> =
        inside(x).flat_map(|x| inside(y).map(move |y| [x, y])).collect();
    Line { names: (first..).take(places.len()).collect(), places }
}

/// Those corners that keep off the lines.
fn beside(grid: Line, ramps: &[Ramps], step: f64) -> Line {
    let far = |at: &[f64; 2]| {
        let known = ramps.iter().flat_map(|ramp| &ramp.known);
        known.clone().all(|point| (point.x - at[0]).hypot(point.y - at[1]) > step / 2.0)
    };
    let kept = grid.names.into_iter().zip(grid.places).filter(|(_, at)| far(at));
    let (names, places) = kept.unzip();
    Line { names, places }
}

fn finish(
    input: &SurfaceInput<'_>,
    ramps: &[Ramps],
    sheet: Sheet,
    outline: Line,
    inner: &Line,
    mut facets: Vec<[u32; 3]>,
) -> Surface {
    let first = input.points.len() as u32;
    let mut piece_of = vec![None; outline.names.len() + inner.names.len()];
    // The grid was numbered before some of it was left out.
    let last = inner.names.last().map_or(0, |name| (name + 1 - first) as usize);
    piece_of.resize(piece_of.len().max(last), None);
    for (triangle, piece) in sheet.triangles.iter().zip(&sheet.pieces) {
        for corner in triangle.iter().filter(|corner| **corner >= first) {
            piece_of[(corner - first) as usize] = Some(*piece as usize);
        }
    }
    let mut points = vec![Point::origin(); piece_of.len()];
    let lines = [&outline, inner];
    for (name, at) in lines.iter().flat_map(|line| line.names.iter().zip(&line.places)) {
        let index = (name - first) as usize;
        let ramp = piece_of[index].and_then(|piece| ramps.get(piece));
        let height = ramp.map_or(input.height, |ramp| ramp.at(*at));
        points[index] = Point::new(at[0], at[1], height);
    }
    facets.extend(sheet.triangles);
    let is_flat = ramps.iter().all(Ramps::is_flat);
    Surface { points, facets, outline: outline.names, is_flat }
}

/// Points between two others, no farther apart than `step`.
fn between([from, to]: [Point; 2], step: f64) -> Vec<Point> {
    let pieces = (nalgebra::distance(&from, &to) / step).ceil();
    let shares = (1..).map(f64::from).take_while(|at| *at < pieces);
    shares.map(|at| from + (to - from) * (at / pieces)).collect()
}

/// The heights that are known around one piece of the surface.
struct Ramps {
    known: Vec<Point>,
    height: f64,
    level: f64,
}

impl Ramps {
    /// One for each piece of `sheet`.
    fn list(input: &SurfaceInput<'_>, sheet: &Sheet, first: u32) -> Vec<Self> {
        let count = sheet.pieces.iter().max().map_or(0, |last| *last as usize + 1);
        let [x, y] = input.outline;
        let level = LEVEL * (x[1] - x[0]).hypot(y[1] - y[0]);
        let mut ramps: Vec<Self> = (0..count)
            .map(|_| Self { known: Vec::new(), height: input.height, level })
            .collect();
        let mut corners: Vec<(u32, u32)> = Vec::new();
        for (triangle, &piece) in sheet.triangles.iter().zip(&sheet.pieces) {
            let own = triangle.iter().filter(|corner| **corner < first);
            corners.extend(own.map(|&corner| (piece, corner)));
        }
        corners.sort_unstable();
        corners.dedup();
        for &(piece, corner) in &corners {
            ramps[piece as usize].known.push(input.points[corner as usize]);
        }
        // A long straight edge counts all along.
        let step = (x[1] - x[0]).max(y[1] - y[0]) / ACROSS;
        for ring in input.rings {
            let around = ring.corners.iter().zip(ring.corners.iter().cycle().skip(1));
            for (&a, &b) in around {
                let ends = [a, b].map(|corner| input.points[corner as usize]);
                let between = between(ends, step);
                let borders =
                    |piece, corner| corners.binary_search(&(piece, corner)).is_ok();
                (0..)
                    .zip(&mut ramps)
                    .filter(|(piece, _)| borders(*piece, a) && borders(*piece, b))
                    .for_each(|(_, ramp)| ramp.known.extend_from_slice(&between));
            }
        }
        // The piece that the block's own corners bound carries runner and vents.
        let outside = sheet.triangles.iter().zip(&sheet.pieces);
        let outside =
            outside.filter(|(triangle, _)| triangle.iter().any(|c| *c >= first));
        if let Some((_, piece)) = outside.min_by_key(|(_, piece)| **piece) {
            ramps[*piece as usize].known.extend_from_slice(input.level);
        }
        for ramp in &mut ramps {
            ramp.settle();
        }
        ramps
    }

    fn settle(&mut self) {
        let step = self.known.len().div_ceil(MOST_POINTS).max(1);
        let [low, high] = self.span();
        if high - low <= self.level {
            self.height =
                if low <= high { f64::midpoint(low, high) } else { self.height };
        } else {
            // The ends of the span must stay among the points.
            let ends: Vec<Point> = self
                .known
                .iter()
                .filter(|point| point.z <= low || point.z >= high)
                .copied()
                .take(MOST_POINTS)
                .collect();
            self.known = self.known.iter().step_by(step).copied().collect();
            self.known.extend(ends);
        }
    }

    fn span(&self) -> [f64; 2] {
        let start = [f64::INFINITY, f64::NEG_INFINITY];
        self.known
            .iter()
            .fold(start, |[low, high], point| [low.min(point.z), high.max(point.z)])
    }

    fn is_flat(&self) -> bool {
        let [low, high] = self.span();
        high - low <= self.level
    }

    fn at(&self, [x, y]: [f64; 2]) -> f64 {
        if self.is_flat() {
            return self.height;
        }
        let (mut upper, mut lower) = (f64::INFINITY, f64::NEG_INFINITY);
        for point in &self.known {
            let rise = SLOPE * (point.x - x).hypot(point.y - y);
            upper = upper.min(point.z + rise);
            lower = lower.max(point.z - rise);
        }
        f64::midpoint(upper, lower)
    }
}
