//! Named repairs in a fixed order; gives the mesh and the list of what was done.
//!
//! Corners that differ by rounding join, where that closes the surface; facets without area
//! and facets that are there twice go; facets turn to agree with their neighbors; small
//! flat openings get a lid, where asked; bodies that are inside out turn, and solids that
//! overlap become one. Nothing else changes, and what cannot be repaired is a [`Defect`] that stays.

use thiserror::Error;

use super::body_repairs::{self, Bodies};
pub use super::body_repairs::{Body, BodyRole};
pub use super::defects::{Defect, DefectKind, Repair, RepairKind};
use super::facet_repairs::{self, Found};
use super::holes;
pub use super::holes::Hole;
use super::overlaps;
use super::topology::{self, Edges};
use super::tri_mesh::TriMesh;
use crate::geom::{Aabb, Point};
use crate::mesh::vertex_weld::{self, Welded};

/// Tolerances for corners that differ by rounding, as shares of the diagonal; the least one
/// that helps is taken. Single precision rounds at 6e-8.
const TOLERANCES: [f64; 3] = [1e-7, 1e-6, 1e-5];
/// Joining corners may cost one facet in so many: a tolerance that costs more melts detail,
/// and fewer open edges are then no sign of a better surface.
const MOST_COLLAPSED: usize = 100;
/// A facet lower than this share of the diagonal has no area: far below what the single
/// precision of the format can tell apart.
const FLAT: f64 = 1e-12;
/// Three corners on a line of the drawing make a facet this high at most over their largest
/// coordinate: each is off by half a step of single precision along three axes.
const ROUNDED: f64 = 2.0 * f32::EPSILON as f64;
/// Far from the origin rounding may exceed detail: no needle is higher than this share of the
/// diagonal.
const MOST_NEEDLE: f64 = 1e-6;
/// Beyond this the square of a volume leaves double precision.
const LARGEST_COORDINATE_MM: f64 = 1e45;

/// What to repair beyond what is always repaired.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HealSettings {
    /// Put lids over small flat openings.
    pub close_holes: bool,
}

/// Why no mesh comes out.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
#[non_exhaustive]
pub enum HealError {
    /// Nothing went in.
    #[error("there is no facet to make a part of")]
    NoFacets,
    /// More than the indices can count.
    #[error("{facets} facets are too many: export the part with a coarser tolerance")]
    TooMany {
        /// How many went in.
        facets: usize,
    },
    /// A corner that is nowhere.
    #[error(
        "facet {facet} has a corner that is not finite or too far away: export again"
    )]
    NotFinite {
        /// The first such facet, counted from 1.
        facet: usize,
    },
    /// Every facet is a line or a point, or cancels against another.
    #[error(
        "none of the {facets} facets has an area: this is a drawing of lines, not a part"
    )]
    OnlyDegenerate {
        /// How many went in.
        facets: usize,
    },
}

/// The mesh that every measure trusts, and how it came to be.
#[derive(Clone, Debug)]
pub struct Healed {
    /// At least one facet.
    pub mesh: TriMesh,
    /// Whether every edge is passed as often one way as the other, so that the surface
    /// encloses a volume. Holds also where four facets of two solids share an edge.
    pub closed: bool,
    /// How it came to be.
    pub record: HealRecord,
}

/// What was found in the triangles, and what was changed.
#[derive(Clone, Debug)]
pub struct HealRecord {
    /// Bodies in file order.
    pub bodies: Vec<Body>,
    /// Openings that are left, the longest first.
    pub holes: Vec<Hole>,
    /// What was wrong, by kind.
    pub defects: Vec<Defect>,
    /// What was changed, in the order in which it was done.
    pub repairs: Vec<Repair>,
}

/// Makes a mesh of `triangles`, corners in millimeters; lets go of those that are given away.
///
/// # Errors
/// When there is no facet with an area, a corner is not finite, or there are too many.
pub fn heal(
    triangles: impl AsRef<[[Point; 3]]>,
    settings: HealSettings,
) -> Result<Healed, HealError> {
    let facets = check(triangles.as_ref())?;
    let bounds = Aabb::around(triangles.as_ref().iter().flatten());
    let welded = vertex_weld::weld(triangles.as_ref());
    drop(triangles);
    let mut work = Work::new(welded, bounds);
    work.join_near_corners();
    work.drop_flat();
    work.drop_duplicates();
    work.turn_facets();
    let holes = work.close_holes(settings.close_holes);
    if work.mesh.facets.is_empty() {
        return Err(HealError::OnlyDegenerate { facets });
    }
    Ok(work.finish(holes))
}

fn check(triangles: &[[Point; 3]]) -> Result<usize, HealError> {
    let facets = triangles.len();
    if facets == 0 {
        return Err(HealError::NoFacets);
    }
    if facets > topology::MOST_FACETS {
        return Err(HealError::TooMany { facets });
    }
    let near = |corner: &Point| corner.iter().all(|x| x.abs() <= LARGEST_COORDINATE_MM);
    match triangles.iter().position(|corners| !corners.iter().all(near)) {
        Some(facet) => Err(HealError::NotFinite { facet: facet + 1 }),
        None => Ok(facets),
    }
}

/// Facets that name a vertex twice.
fn count_collapsed(mesh: &Welded) -> usize {
    mesh.facets.iter().filter(|[a, b, c]| a == b || b == c || c == a).count()
}

/// A mesh under repair.
struct Work {
    mesh: Welded,
    /// Always the edges of the mesh as it stands.
    edges: Edges,
    bounds: Aabb,
    defects: Vec<Defect>,
    repairs: Vec<Repair>,
}

impl Work {
    fn new(mesh: Welded, bounds: Aabb) -> Self {
        let edges = Edges::collect(&mesh.facets, mesh.points.len());
        Self { mesh, edges, bounds, defects: Vec::new(), repairs: Vec::new() }
    }

    fn refresh(&mut self) {
        self.edges = Edges::collect(&self.mesh.facets, self.mesh.points.len());
    }

    fn note(&mut self, kind: DefectKind, found: Found, left: usize) {
        if found.count > 0 {
            let (count, at) = (found.count, found.at);
            self.defects.push(Defect { kind, count, left, at });
        }
    }

    fn done(&mut self, kind: RepairKind, count: usize) {
        if count > 0 {
            self.repairs.push(Repair { kind, count, volume_mm3: None });
        }
    }

    /// Joins corners on open edges within the least tolerance that leaves the fewest.
    fn join_near_corners(&mut self) {
        let candidates = self.edges.open_vertices();
        let mut fewest = self.edges.open_edges();
        let mut joined = 0;
        let mut best = None;
        for tolerance in TOLERANCES.map(|share| share * self.bounds.diagonal()) {
            if fewest == 0 || tolerance <= 0.0 {
                break;
            }
            let replacement =
                vertex_weld::near(&self.mesh.points, &candidates, tolerance);
            let moved =
                (0_u32..).zip(&replacement).filter(|(old, new)| old != *new).count();
            if moved == 0 {
                continue;
            }
            let mesh = self.mesh.renamed(&replacement);
            let lost = count_collapsed(&mesh).saturating_sub(count_collapsed(&self.mesh));
            if lost > mesh.facets.len() / MOST_COLLAPSED {
                break;
            }
            let edges = Edges::collect(&mesh.facets, mesh.points.len());
            let open = edges.open_edges();
            if open < fewest {
                (fewest, joined, best) = (open, moved, Some((mesh, edges)));
            }
        }
        if let Some((mesh, edges)) = best {
            (self.mesh, self.edges) = (mesh, edges);
        }
        self.done(RepairKind::MergeCorners, joined);
    }

    fn drop_flat(&mut self) {
        let found =
            facet_repairs::remove_flat(&mut self.mesh, FLAT * self.bounds.diagonal());
        if found.count > 0 {
            self.refresh();
        }
        let needles = self.drop_needles();
        let found = found.with(needles);
        self.note(DefectKind::DegenerateFacet, found, 0);
        self.done(RepairKind::DropDegenerateFacets, found.count);
    }

    /// Takes out facets lower than rounding: their three corners lie on a line of the drawing.
    /// Only where that opens no edge.
    fn drop_needles(&mut self) -> Found {
        let diagonal = self.bounds.diagonal();
        let farthest = self.bounds.min.coords.amax().max(self.bounds.max.coords.amax());
        let height = (ROUNDED * farthest).min(MOST_NEEDLE * diagonal);
        let mut mesh = self.mesh.clone();
        let found = facet_repairs::remove_flat(&mut mesh, height);
        if found.count == 0 || mesh.facets.is_empty() {
            return Found::default();
        }
        let edges = Edges::collect(&mesh.facets, mesh.points.len());
        if edges.open_edges() > self.edges.open_edges() {
            return Found::default();
        }
        (self.mesh, self.edges) = (mesh, edges);
        found
    }

    fn drop_duplicates(&mut self) {
        let found = facet_repairs::remove_duplicates(&mut self.mesh, &self.edges);
        if found.count > 0 {
            self.refresh();
        }
        self.note(DefectKind::DuplicateFacet, found, 0);
        self.done(RepairKind::DropDuplicateFacets, found.count);
    }

    fn turn_facets(&mut self) {
        let mut found = facet_repairs::orient(&mut self.mesh, &self.edges);
        if found.count > 0 {
            self.refresh();
        }
        self.done(RepairKind::TurnFacets, found.count);
        // A surface with one side only cannot agree everywhere.
        let mut left = 0;
        for edge in self.edges.iter().filter(facet_repairs::disagrees) {
            found.add(1, self.mesh.points[edge.low as usize]);
            left += 1;
        }
        self.note(DefectKind::FlippedFacet, found, left);
    }

    /// Finds the openings and, if `wanted`, closes those that are flat and small. Gives
    /// those that are left.
    fn close_holes(&mut self, wanted: bool) -> Vec<Hole> {
        let mut left = Vec::new();
        let mut found = Found::default();
        let mut closed = 0;
        if self.edges.balanced() {
            return left;
        }
        for around in holes::loops(&self.edges) {
            let points = &self.mesh.points;
            let Some(hole) = holes::opening(&around, &self.edges, points) else {
                continue;
            };
            found.add(1, hole.at);
            // The outline of a lone facet is no opening to close.
            let wanted =
                wanted && !facet_repairs::is_facet(&self.mesh, &self.edges, &around);
            let lid = wanted.then(|| holes::lid(&around, points, &self.bounds)).flatten();
            if let Some(lid) = lid {
                self.mesh.facets.extend(lid);
                closed += 1;
            } else {
                left.push(hole);
            }
        }
        if closed > 0 {
            // The lid of a slit has no area: the neighbors meet across it.
            facet_repairs::remove_flat(&mut self.mesh, FLAT * self.bounds.diagonal());
            self.refresh();
        }
        left.sort_by(|a, b| b.perimeter_mm.total_cmp(&a.perimeter_mm));
        found.at = left.first().map(|longest| longest.at).or(found.at);
        self.note(DefectKind::Hole, found, left.len());
        self.done(RepairKind::CloseHoles, closed);
        left
    }

    /// Turns bodies that are inside out and unites those that overlap.
    fn settle_bodies(&mut self) -> Bodies {
        let bodies = body_repairs::turn_inside_out(&mut self.mesh, &self.edges);
        self.note(DefectKind::InsideOutBody, bodies.turned, 0);
        self.done(RepairKind::TurnBodies, bodies.turned.count);
        let Some(united) = overlaps::unite(&mut self.mesh, &bodies) else {
            return bodies;
        };
        facet_repairs::remove_flat(&mut self.mesh, FLAT * self.bounds.diagonal());
        self.refresh();
        self.note(DefectKind::NestedBody, united.nested, 0);
        self.note(DefectKind::OverlappingBody, united.overlapping, 0);
        self.repairs.push(Repair {
            kind: RepairKind::UniteBodies,
            count: united.nested.count + united.overlapping.count,
            volume_mm3: Some(united.shared_mm3),
        });
        body_repairs::turn_inside_out(&mut self.mesh, &self.edges)
    }

    fn finish(mut self, holes: Vec<Hole>) -> Healed {
        let bodies = self.settle_bodies();
        let mut crowded = Found::default();
        for edge in self.edges.iter().filter(|edge| edge.uses.len() > 2) {
            let ends = [edge.low, edge.high].map(|i| self.mesh.points[i as usize]);
            crowded.add(1, nalgebra::center(&ends[0], &ends[1]));
        }
        self.note(DefectKind::NonManifoldEdge, crowded, crowded.count);
        let mut nested = Found::default();
        for body in bodies.list.iter().filter(|body| body.role == BodyRole::Nested) {
            nested.add(1, body.bounds.center());
        }
        self.note(DefectKind::NestedBody, nested, nested.count);
        // Turning whole bodies keeps every balance.
        let closed = self.edges.balanced();
        let (points, facets) = in_use(self.mesh);
        Healed {
            mesh: TriMesh::new(points, facets),
            closed,
            record: HealRecord {
                bodies: bodies.list,
                holes,
                defects: self.defects,
                repairs: self.repairs,
            },
        }
    }
}

/// Leaves out vertices that no facet names any more.
fn in_use(mesh: Welded) -> (Vec<Point>, Vec<[u32; 3]>) {
    let Welded { points, mut facets } = mesh;
    let mut named = vec![false; points.len()];
    for &vertex in facets.iter().flatten() {
        named[vertex as usize] = true;
    }
    if named.iter().all(|&is| is) {
        return (points, facets);
    }
    let mut next = 0;
    let renamed: Vec<u32> = named
        .iter()
        .map(|&is| {
            let index = next;
            next += u32::from(is);
            index
        })
        .collect();
    for vertex in facets.iter_mut().flatten() {
        *vertex = renamed[*vertex as usize];
    }
    let kept = points.into_iter().zip(named).filter(|(_, is)| *is);
    (kept.map(|(point, _)| point).collect(), facets)
}

#[cfg(test)]
mod tests {
    use super::{HealError, HealSettings, heal};
    use crate::geom::Point;

    #[test]
    fn nothing_to_make_a_part_of_is_an_error() {
        let none = HealSettings::default();
        assert_eq!(heal(Vec::new(), none).unwrap_err(), HealError::NoFacets);
        let place = |x: i32| Point::new(f64::from(x), 0.0, 0.0);
        let mut soup: Vec<_> = (0..5).map(|i| [0, i, 2 * i].map(place)).collect();
        assert_eq!(
            heal(&soup, none).unwrap_err(),
            HealError::OnlyDegenerate { facets: 5 }
        );
        soup[3][1].y = f64::NAN;
        assert_eq!(heal(&soup, none).unwrap_err(), HealError::NotFinite { facet: 4 });
    }
}
