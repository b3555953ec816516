//! Angle of each face to the pull; cavity, core or upright side; height along the pull.
//!
//! The draft of a plane, cylinder or cone is read from its fitted surface ([`fitted`]), so
//! that a wall drawn upright reads 0.00° whatever the tessellation. A blend turns through all angles
//! at its rim; only as much of it counts as short as is tall enough to hold the part by
//! more than [`BLEND_GRIP_MM`].
//!
//! What a face needs depends on its height, on its texture and on whether the part
//! shrinks onto it: a face most of whose points look across the pull at another wall of
//! the part is an inside one, formed by metal that the part closes on as it cools.

mod fitted;
mod sides;

use rayon::prelude::*;

use crate::geom::{Direction, Frame, Point};
use crate::mesh::TriMesh;
use crate::part::Part;
use crate::part::faces::Face;
use crate::part::halves::Side;
pub(super) use fitted::facet_deg;
pub use fitted::fitted_deg;
use fitted::lying_deg;
pub(super) use sides::looks_in;
pub use sides::{Formed, UPRIGHT_DEG, sides};

/// The short part of a blend matters when it is taller than this over the tangent of the
/// draft it lacks: 0.05 mm is what a mill leaves anyway.
const BLEND_GRIP_MM: f64 = 0.05;

/// How much draft a wall of some height needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// For a wall of no height, degrees.
    pub least_deg: f64,
    /// More for each mm of height, degrees.
    pub deg_per_mm: f64,
    /// More on inside walls, degrees.
    pub inside_deg: f64,
    /// More for the texture of the part, degrees.
    pub texture_deg: f64,
}

impl Rule {
    /// One degree whatever the height: the standard start where nothing else is known.
    pub const DEFAULT: Self =
        Self { least_deg: 1.0, deg_per_mm: 0.0, inside_deg: 0.0, texture_deg: 0.0 };

    /// What an outside wall of `height` mm needs, degrees.
    pub fn required_deg(&self, height: f64) -> f64 {
        self.least_deg + self.deg_per_mm * height + self.texture_deg
    }

    /// What a wall of `height` mm needs, degrees, on the `inside` of the part or outside.
    pub fn wall_deg(&self, height: f64, inside: bool) -> f64 {
        self.required_deg(height) + if inside { self.inside_deg } else { 0.0 }
    }
}

/// Draft of one face, or of the part of it that is short.
#[derive(Clone, Debug)]
pub struct FaceDraft {
    /// The face, as an index into [`crate::part::faces::Faces::list`].
    pub face: usize,
    /// Its area, mm²; of a blend, the area of its short part.
    pub area: f64,
    /// Least draft, degrees; negative when it is trapped.
    pub draft_deg: f64,
    /// Extent along the pull, mm.
    pub height: f64,
    /// What the rule asks of it, degrees.
    pub required_deg: f64,
    /// Whether it looks at another wall of the part, so that the part shrinks onto it.
    pub inside: bool,
    /// Which half forms it.
    pub side: Side,
    /// A point on it, mm.
    pub at: Point,
}

/// Draft of every facet for the half that forms it, degrees: as fitted where its face is
/// a plane, cylinder or cone about the pull, else as the facet lies; negative where most
/// of its face is trapped. For pictures.
pub fn of_facets(part: &Part, formed: Formed<'_>) -> Vec<f64> {
    let pull = formed.pull;
    let owners = owners(part, formed.sides);
    (0..part.mesh.facets().len())
        .map(|facet| {
            let face = part.faces.of_facet[facet] as usize;
            let sign = if owners[face].is_trapped() { -1.0 } else { 1.0 };
            sign * facet_deg(part, facet as u32, pull)
        })
        .collect()
}

/// The faces with less draft than `rule` asks of them, worst first.
pub fn short(part: &Part, formed: Formed<'_>, rule: Rule) -> Vec<FaceDraft> {
    let pull = formed.pull;
    let owners = owners(part, formed.sides);
    let inside = inside(part, pull);
    let walls = Walls { part, pull, rule };
    let mut short: Vec<FaceDraft> = (0..part.faces.list.len())
        .into_par_iter()
        .filter_map(|face| walls.short_face(face, owners[face], inside[face]))
        .collect();
    let lack = |face: &FaceDraft| face.required_deg - face.draft_deg;
    short.sort_by(|a, b| {
        lack(b)
            .total_cmp(&lack(a))
            .then(b.area.total_cmp(&a.area))
            .then(a.face.cmp(&b.face))
    });
    short
}

/// How many samples of a face lie on each side.
#[derive(Clone, Copy, Default)]
struct Votes {
    cavity: usize,
    core: usize,
    upright: usize,
    trapped: usize,
}

impl Votes {
    fn is_trapped(self) -> bool {
        self.trapped > self.cavity + self.core + self.upright
    }

    fn side(self, mostly_up: bool, draft_deg: f64) -> Side {
        if self.is_trapped() {
            return Side::Trapped;
        }
        match (draft_deg < UPRIGHT_DEG, self.cavity.cmp(&self.core)) {
            (true, _) => Side::Upright,
            (_, std::cmp::Ordering::Greater) => Side::Cavity,
            (_, std::cmp::Ordering::Less) => Side::Core,
            _ if mostly_up => Side::Core,
            _ => Side::Cavity,
        }
    }
}

/// How many samples of each face lie on each side.
fn owners(part: &Part, sides: &[Side]) -> Vec<Votes> {
    let mut owners = vec![Votes::default(); part.faces.list.len()];
    for (&facet, side) in part.samples.facets.iter().zip(sides) {
        let votes = &mut owners[part.faces.of_facet[facet as usize] as usize];
        match side {
            Side::Cavity => votes.cavity += 1,
            Side::Core => votes.core += 1,
            Side::Upright => votes.upright += 1,
            Side::Trapped => votes.trapped += 1,
        }
    }
    owners
}

/// For each face, whether most of its samples look across the pull at another wall; of a
/// face too small for samples, whether its largest facet does.
fn inside(part: &Part, pull: Direction) -> Vec<bool> {
    let Part { mesh, bvh, faces, samples, .. } = part;
    let looks: Vec<bool> = (0..samples.len())
        .into_par_iter()
        .map(|sample| {
            looks_in(bvh, &samples.points[sample], &samples.normals[sample], pull)
        })
        .collect();
    let mut votes = vec![(0_usize, 0_usize); faces.list.len()];
    for (&facet, &looks) in samples.facets.iter().zip(&looks) {
        let (inside, all) = &mut votes[faces.of_facet[facet as usize] as usize];
        *inside += usize::from(looks);
        *all += 1;
    }
    let by_largest = |face: &Face| {
        largest(mesh, &face.facets).is_some_and(|facet| {
            let normal = &mesh.normals()[facet as usize];
            looks_in(bvh, &mesh.middle(facet as usize), normal, pull)
        })
    };
    let faces = faces.list.iter().zip(&votes);
    faces
        .map(|(face, &(inside, all))| match all {
            0 => by_largest(face),
            _ => 2 * inside > all,
        })
        .collect()
}

fn largest(mesh: &TriMesh, facets: &[u32]) -> Option<u32> {
    facets
        .iter()
        .copied()
        .max_by(|&a, &b| mesh.areas()[a as usize].total_cmp(&mesh.areas()[b as usize]))
}

/// The walls of a part against a rule.
struct Walls<'a> {
    part: &'a Part,
    pull: Direction,
    rule: Rule,
}

impl Walls<'_> {
    /// What of the face of this index is short of the rule; `votes` are those of its
    /// samples, `inside` is whether the part shrinks onto it.
    fn short_face(&self, index: usize, votes: Votes, inside: bool) -> Option<FaceDraft> {
        let Self { part: Part { mesh, faces, .. }, pull, rule } = *self;
        let face = &faces.list[index];
        let fitted = fitted_deg(mesh, face, pull);
        let facets = match fitted {
            Some(_) => face.facets.clone(),
            None => {
                let whole = self.height(&face.facets);
                self.short_facets(face, rule.wall_deg(whole, inside))
            }
        };
        let height = self.height(&facets);
        let required_deg = rule.wall_deg(height, inside);
        let unsigned_deg = fitted.or_else(|| {
            let angles = facets.iter().map(|&facet| lying_deg(mesh, facet, pull));
            angles.min_by(f64::total_cmp)
        })?;
        let lacks = (required_deg - unsigned_deg).max(0.0).to_radians().tan() * height;
        if unsigned_deg >= required_deg || (fitted.is_none() && lacks < BLEND_GRIP_MM) {
            return None;
        }
        let area = facets.iter().map(|&facet| mesh.areas()[facet as usize]).sum();
        let largest = largest(mesh, &facets)?;
        let mostly_up = pull.dot(&mesh.normals()[largest as usize]) > 0.0;
        let side = votes.side(mostly_up, unsigned_deg);
        let draft_deg = if side == Side::Trapped { -unsigned_deg } else { unsigned_deg };
        let at = mesh.middle(largest as usize);
        Some(FaceDraft {
            face: index,
            area,
            draft_deg,
            height,
            required_deg,
            inside,
            side,
            at,
        })
    }

    /// The facets of a blend that lean less than `required` degrees, which is what a wall
    /// of the whole face's height needs.
    fn short_facets(&self, face: &Face, required: f64) -> Vec<u32> {
        let Self { part: Part { mesh, .. }, pull, .. } = *self;
        let is_short = |facet: &u32| lying_deg(mesh, *facet, pull) < required;
        face.facets.iter().copied().filter(is_short).collect()
    }

    fn height(&self, facets: &[u32]) -> f64 {
        let corners =
            facets.iter().flat_map(|&facet| self.part.mesh.corners(facet as usize));
        extent(corners, self.pull)
    }
}

/// Extent of `points` along `pull`, mm; zero without points.
pub fn extent(points: impl Iterator<Item = Point>, pull: Direction) -> f64 {
    let frame = Frame::along(pull);
    let (low, high) = points
        .map(|point| frame.height(&point))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), h| {
            (low.min(h), high.max(h))
        });
    (high - low).max(0.0)
}

/// Extent of the whole part along `pull`, mm.
pub fn height(mesh: &TriMesh, pull: Direction) -> f64 {
    extent(
        mesh.facets().iter().flatten().map(|&corner| mesh.points()[corner as usize]),
        pull,
    )
}
