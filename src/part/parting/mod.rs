//! Where the two mold halves meet: the parting line, and the shut-offs in the part's
//! holes.
//!
//! Every facet is formed by the + half, by the − half, or could be formed by either: an
//! upright wall that both halves can leave ([`sides`]). Such walls are parted by one
//! plane across the pull, which stands where most of the line becomes flat ([`height`]);
//! where a wall does not reach the plane, the line keeps to its nearer rim. The line
//! between the sides closes to loops ([`lines`], [`chain`]). Seen from the + end, a loop
//! that runs counter-clockwise holds the part, one that runs clockwise holds a hole, where
//! metal meets metal: a shut-off. A loop of the first kind inside another is a pocket that the
//! other half reaches into, and does not count for flatness.
//!
//! The line follows facet edges, except where the plane cuts an upright wall. On a curved
//! face the true line lies somewhere across the two facets at such an edge; a rise that
//! this explains is none, so a coarse ball parts flat whatever its pose. Blind: a trapped
//! region belongs to one side as a whole (a slide or an insert forms it), and parts that
//! touch along an edge may swap pieces of their loops there. On an open surface the line
//! ends where the surface ends.

mod sides;
mod lines;
mod height;
mod chain;
mod skins;
mod approach;

use crate::geom::{Aabb, Direction, Frame, Point};
use crate::mesh::{TriMesh, neighbors::NONE};
use crate::part::Part;
use crate::part::draft;
use crate::part::faces::Surface;
use crate::part::halves::Half;
pub use approach::free_ways;
use chain::Ring;
use lines::{Cutter, Segment};
use sides::Side;
pub use skins::Skins;

/// Heights that differ by less than this share of the diagonal are one: less than a small
/// mill can set.
const LEVEL: f64 = 1e-4;

/// A step lower than this is none: less than a mill leaves.
const MILLED_MM: f64 = 0.02;

/// A loop that fits into this share of the diagonal is noise of the mesh.
const SPECK: f64 = 1e-3;

/// Cosine of 30°: curved faces that turn by less at an edge are smooth there.
const SMOOTH_COS: f64 = 0.866;

/// Cosine of 0.05°: facets that turn by less continue each other flatly.
const FLAT_COS: f64 = 1.0 - 3.8e-7;

/// Where the halves meet.
#[derive(Clone, Debug, Default)]
pub struct Parting {
    /// The lines: around the part first, longest first.
    pub loops: Vec<Loop>,
    /// Whether one plane across the pull can hold all loops around the part.
    pub flat: bool,
    /// How far these loops are from such a plane, mm: the difference of their heights
    /// that the facets do not explain; zero when flat, `None` where there is no such loop.
    pub rise: Option<f64>,
    /// Where that plane lies along the pull, mm; `None` when the parting is not flat or
    /// there is none.
    pub height: Option<f64>,
    /// Length of all loops, mm.
    pub length: f64,
    /// Where metal meets metal inside the part's outline, largest first.
    pub shut_offs: Vec<ShutOff>,
}

impl Parting {
    /// The lines around the part.
    pub fn outer(&self) -> impl Iterator<Item = &Loop> {
        self.loops.iter().filter(|line| line.is_outer)
    }
}

/// One line of the parting.
#[derive(Clone, Debug)]
pub struct Loop {
    /// Its corners in part coordinates, straight runs with two points only; the last is
    /// joined to the first where it is closed.
    pub points: Vec<Point>,
    /// Length, mm.
    pub length: f64,
    /// Least height along the pull, mm.
    pub height_low: f64,
    /// Greatest height along the pull, mm.
    pub height_high: f64,
    /// Whether it runs around the part, not around a hole or a pocket.
    pub is_outer: bool,
    /// Whether it runs around a hole, where the halves shut off.
    pub is_shut_off: bool,
    /// Whether it closes; it does unless the surface is open.
    pub is_closed: bool,
}

impl Loop {
    /// Its corners, the first again at the end where it is closed: a polyline.
    pub fn closed(&self) -> Vec<Point> {
        let again = self.points.first().filter(|_| self.is_closed);
        self.points.iter().chain(again).copied().collect()
    }
}

/// A hole that the halves shut off against each other.
#[derive(Clone, Debug)]
pub struct ShutOff {
    /// The middle of its line, mm.
    pub at: Point,
    /// Area inside its line across the pull, mm².
    pub area: f64,
    /// Angle to the pull of the surface where the halves meet, degrees: 90 where they butt
    /// on a plane across it, less where one slides past the other.
    pub angle_deg: f64,
    /// Least angle to the pull of the walls beside it: the draft of the pin that forms the
    /// hole, degrees.
    pub wall_deg: f64,
    /// How far its line is from one plane across the pull, mm.
    pub rise: f64,
    /// Mean height of its line along the pull, mm.
    pub height: f64,
}

/// Where the halves of a mold for `part` meet along `pull`; upright walls go to the
/// cavity where that costs no flatness.
pub fn find(part: &Part, pull: Direction, core: Half) -> Parting {
    let heights = Heights::new(&part.mesh, pull);
    let sides = sides::assign(part, &heights, pull);
    along(Cutter::best(part, &sides, &heights, core), pull)
}

/// The same, and the surface that each half forms.
pub fn with_skins(part: &Part, pull: Direction, core: Half) -> (Parting, Skins) {
    let heights = Heights::new(&part.mesh, pull);
    let sides = sides::assign(part, &heights, pull);
    let cutter = Cutter::best(part, &sides, &heights, core);
    (along(cutter, pull), Skins::split(&cutter))
}

impl<'a> Cutter<'a> {
    /// Parts the free walls at the best height.
    fn best(part: &'a Part, sides: &'a [Side], heights: &'a Heights, core: Half) -> Self {
        let cutter = Self { part, sides, heights, plane: 0.0 };
        Self { plane: height::best(cutter, core), ..cutter }
    }
}

fn along(cutter: Cutter<'_>, pull: Direction) -> Parting {
    let part = cutter.part;
    let segments = cutter.segments();
    let speck = SPECK * part.mesh.bounds().diagonal();
    let speck = speck.max(2.0 * part.faces.chord_error.unwrap_or(0.0).min(5.0 * speck));
    let rings = chain::rings(&segments, |node| cutter.point(node), Frame::along(pull));
    let measure = Measure { cutter, pull, segments: &segments };
    let mut shapes: Vec<(Shape, Ring)> = rings
        .into_iter()
        .map(|ring| (measure.shape(&ring), ring))
        .filter(|(shape, _)| shape.size > speck)
        .collect();
    let rings: Vec<&Ring> = shapes.iter().map(|(_, ring)| ring).collect();
    let outer = chain::outer(&rings, Frame::along(pull));
    for ((shape, _), is_outer) in shapes.iter_mut().zip(outer) {
        shape.is_outer = is_outer;
    }
    summary(part, pull, shapes)
}

fn summary(part: &Part, pull: Direction, mut shapes: Vec<(Shape, Ring)>) -> Parting {
    let key = |shape: &Shape| (!shape.is_outer, -shape.length);
    shapes.sort_by(|(a, ring_a), (b, ring_b)| {
        let [a, b] = [key(a), key(b)];
        a.0.cmp(&b.0)
            .then(a.1.total_cmp(&b.1))
            .then_with(|| chain::compare(ring_a.first(), ring_b.first()))
    });
    let outer = || shapes.iter().map(|(shape, _)| shape).filter(|shape| shape.is_outer);
    // The plane must lie above every `least` and below every `most`.
    let least = outer().map(|shape| shape.least).fold(f64::NEG_INFINITY, f64::max);
    let most = outer().map(|shape| shape.most).fold(f64::INFINITY, f64::min);
    let level = LEVEL * part.mesh.bounds().diagonal();
    let exists = outer().next().is_some();
    let flat = exists && least - most <= level.max(MILLED_MM);
    let shut_offs =
        shapes.iter().filter(|(shape, ring)| shape.area < 0.0 && ring.is_closed);
    let mut shut_offs: Vec<ShutOff> =
        shut_offs.map(|(shape, ring)| shape.shut_off(ring, pull, level)).collect();
    shut_offs.sort_by(|a, b| {
        b.area.total_cmp(&a.area).then_with(|| chain::compare(Some(&a.at), Some(&b.at)))
    });
    Parting {
        flat,
        rise: exists.then_some(if flat { 0.0 } else { least - most }),
        height: flat.then(|| f64::midpoint(least, most)),
        length: shapes.iter().map(|(shape, _)| shape.length).sum::<f64>() + 0.0,
        shut_offs,
        loops: shapes.iter().map(|(shape, ring)| shape.line(ring, part)).collect(),
    }
}

/// Height of every corner along the pull, mm.
struct Heights {
    list: Vec<f64>,
    /// Heights closer than this are one, mm.
    level: f64,
}

impl Heights {
    fn new(mesh: &TriMesh, pull: Direction) -> Self {
        let frame = Frame::along(pull);
        let list = mesh.points().iter().map(|point| frame.height(point)).collect();
        Self { list, level: LEVEL * mesh.bounds().diagonal() }
    }

    /// From the lowest to the highest corner, mm.
    fn extent(&self, mesh: &TriMesh) -> f64 {
        let spans = (0..mesh.facets().len() as u32).map(|it| self.of_facet(mesh, it));
        let [low, high] = spans
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], [least, most]| {
                [low.min(least), high.max(most)]
            });
        (high - low).max(f64::MIN_POSITIVE)
    }

    /// Least and greatest of a facet.
    fn of_facet(&self, mesh: &TriMesh, facet: u32) -> [f64; 2] {
        let corners = mesh.facets()[facet as usize].map(|c| self.list[c as usize]);
        let [a, b, c] = corners;
        [a.min(b).min(c), a.max(b).max(c)]
    }
}

/// What rings are measured on.
struct Measure<'a> {
    cutter: Cutter<'a>,
    pull: Direction,
    segments: &'a [Segment],
}

impl Measure<'_> {
    fn shape(&self, ring: &Ring) -> Shape {
        let mut shape = Shape {
            length: ring.length(),
            size: Aabb::around(&ring.points).diagonal(),
            area: ring.area,
            is_outer: false,
            low: f64::INFINITY,
            high: f64::NEG_INFINITY,
            least: f64::NEG_INFINITY,
            most: f64::INFINITY,
            beside_deg: 90.0,
        };
        for segment in ring.segments.iter().map(|&index| &self.segments[index]) {
            let [a, b] = segment.heights;
            shape.low = shape.low.min(a.min(b));
            shape.high = shape.high.max(a.max(b));
            let [least, most] = self.free_play(segment);
            shape.least = shape.least.max(least);
            shape.most = shape.most.min(most);
            for facet in segment.facets {
                let angle = draft::facet_deg(self.cutter.part, facet, self.pull);
                shape.beside_deg = shape.beside_deg.min(angle);
            }
        }
        shape
    }

    /// Between which heights the plane must lie that holds `segment`: the lower is above
    /// the upper where the segment rises. On a curved face the line may run anywhere
    /// across the facets at the edge.
    fn free_play(&self, segment: &Segment) -> [f64; 2] {
        let [a, b] = segment.heights;
        let [plus, minus] = segment.facets;
        let sides = [plus, minus].map(|facet| self.cutter.sides[facet as usize]);
        if sides.iter().any(|side| matches!(side, Side::Whole(_))) {
            // Around the mouth of a slide the halves do not meet.
            return [f64::NEG_INFINITY, f64::INFINITY];
        }
        let Part { mesh, faces, .. } = self.cutter.part;
        let is_curved = |facet: u32| {
            let face = &faces.list[faces.of_facet[facet as usize] as usize];
            !matches!(face.surface, Surface::Plane(_))
        };
        let [p, m] = [plus, minus].map(|facet| mesh.normals()[facet as usize]);
        let is_smooth = p.dot(&m) > SMOOTH_COS && is_curved(plus) && is_curved(minus);
        if plus != minus && is_smooth {
            let [p, m] = [plus, minus].map(|facet| self.strip(facet));
            return [p[0].min(m[0]), p[1].max(m[1])];
        }
        [a.max(b), a.min(b)]
    }

    /// Least and greatest height of a facet and of those that continue it flatly: a flat
    /// piece of a curved face is often two triangles.
    fn strip(&self, facet: u32) -> [f64; 2] {
        let normals = self.cutter.part.mesh.normals();
        let own = self.cutter.heights.of_facet(&self.cutter.part.mesh, facet);
        self.cutter.part.neighbors[facet as usize]
            .iter()
            .filter(|&&other| other != NONE)
            .filter(|&&other| {
                normals[other as usize].dot(&normals[facet as usize]) > FLAT_COS
            })
            .map(|&other| self.cutter.heights.of_facet(&self.cutter.part.mesh, other))
            .fold(own, |[low, high], [least, most]| [low.min(least), high.max(most)])
    }
}

/// What a ring measures.
struct Shape {
    length: f64,
    /// Edge of the box around it, mm.
    size: f64,
    /// Across the pull, positive around the part, mm².
    area: f64,
    is_outer: bool,
    low: f64,
    high: f64,
    /// A plane that holds it lies above this,
    least: f64,
    /// and below this.
    most: f64,
    /// Least angle of the facets beside it, degrees.
    beside_deg: f64,
}

impl Shape {
    fn line(&self, ring: &Ring, part: &Part) -> Loop {
        let slack = 1e-6 * part.mesh.bounds().diagonal() + 2.0 * part.mesh.rounding();
        Loop {
            points: ring.thinned(slack),
            length: self.length,
            height_low: self.low,
            height_high: self.high,
            is_outer: self.is_outer,
            is_shut_off: self.area < 0.0 && ring.is_closed,
            is_closed: ring.is_closed,
        }
    }

    fn shut_off(&self, ring: &Ring, pull: Direction, level: f64) -> ShutOff {
        let (at, across) = ring.middle();
        let slides = self.high - self.low > level;
        let angle = Direction::new(across).filter(|_| slides).map_or(90.0, |across| {
            pull.dot(&across.vector()).abs().min(1.0).asin().to_degrees()
        });
        ShutOff {
            at,
            area: -self.area,
            angle_deg: angle,
            wall_deg: self.beside_deg,
            rise: if slides { self.high - self.low } else { 0.0 },
            height: pull.dot(&at.coords),
        }
    }
}
