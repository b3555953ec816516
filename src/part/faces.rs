//! Facets → the faces that a designer sees: planes, cylinders, cones and blends.
//!
//! First facets that continue each other flatly become *strips*: a plane is one strip
//! however it was triangulated, a curved wall is many. Then strips that bend smoothly
//! into strips of like width become one curved face, with the slivers between them; a
//! plane keeps apart from the fillet beside it because it is so much wider than the
//! fillet's strips. A curved face whose
//! normals make the same angle with one axis is a cylinder (90°) or a cone, and its
//! draft is read from the fit; any other is a blend.
//!
//! Blind where the tessellation is coarser than about 30° a step, and where a plane
//! is no wider than the strips of the fillet beside it: these become blends.

use crate::geom::{Direction, Vector};
use crate::mesh::TriMesh;
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mesh::neighbors::NONE;
use nalgebra::{Matrix3, SymmetricEigen};
use std::collections::BTreeMap;

/// Facets continue each other flatly below this angle, and below what rounding the file
/// to single precision can turn them: 0.005° on a facet 0.1 mm wide in a part of 100 mm.
const FLAT_DEG: f64 = 0.05;

/// A face whose normals stay this close to their mean is a plane.
const PLANE_DEG: f64 = 1.0;

/// Strips bend smoothly into each other up to this angle; CAD exports step curved walls
/// by 5° to 25°, and edges that a designer calls sharp begin at about 30°.
const SMOOTH_DEG: f64 = 30.0;

/// Strips of one curved face are alike in width to this factor; a plane beside a fillet
/// is many times as wide as its strips.
const ALIKE: f64 = 3.0;

/// A curved face is a cylinder or cone when its normals keep their angle to the axis
/// within this.
const FIT_DEG: f64 = 0.3;

/// What kind of surface a face is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// Flat, with this outward normal.
    Plane(Direction),
    /// Round about an axis; every normal makes the same angle with it, and `lean` is the
    /// sine of how much it leans towards the axis direction (zero on a cylinder).
    Round {
        /// Direction of the axis.
        axis: Direction,
        /// n · axis.
        lean: f64,
    },
    /// Anything else: fillets around corners, free forms, scans.
    Blend,
}

/// A face.
#[derive(Clone, Debug)]
pub struct Face {
    /// Its facets, ascending.
    pub facets: Vec<u32>,
    /// What kind of surface it is.
    pub surface: Surface,
    /// Its area, mm².
    pub area: f64,
}

/// All faces of a mesh, largest first.
#[derive(Clone, Debug)]
pub struct Faces {
    /// The faces.
    pub list: Vec<Face>,
    /// For each facet, the face that it belongs to.
    pub of_facet: Vec<u32>,
    /// Largest distance between facets and the curved surface that they stand for,
    /// estimated from how far strips turn over their width, mm; `None` when nothing is
    /// curved.
    pub chord_error: Option<f64>,
}

/// Groups the facets of `mesh`.
pub fn fit(mesh: &TriMesh, neighbors: &[[u32; 3]]) -> Faces {
    let edges = Edge::all(mesh, neighbors);
    let mut strips = DisjointSets::new(mesh.facets().len());
    for edge in
        edges.iter().filter(|edge| edge.turn < FLAT_DEG.to_radians().max(edge.noise))
    {
        strips.join(edge.facets[0] as usize, edge.facets[1] as usize);
    }
    let bends = bends(mesh, &edges, &mut strips);
    let mut joined = strips.clone();
    let mut curved = vec![false; mesh.facets().len()];
    for bend in bends.iter().filter(|bend| bend.is_alike()) {
        joined.join(bend.strips[0], bend.strips[1]);
        curved[bend.strips[0]] = true;
        curved[bend.strips[1]] = true;
    }
    for bend in bends.iter().filter(|bend| !bend.is_alike()) {
        let [narrow, wide] = bend.by_width();
        let is_sliver = !curved[wide] && bend.turn < PLANE_DEG.to_radians();
        if !curved[narrow] && (curved[wide] || is_sliver) {
            joined.join(narrow, wide);
        }
    }
    let mut groups: BTreeMap<usize, (Vec<u32>, bool)> = BTreeMap::new();
    for facet in 0..mesh.facets().len() {
        let group = groups.entry(joined.root(facet)).or_default();
        group.0.push(facet as u32);
        group.1 |= curved[strips.root(facet)];
    }
    let mut list: Vec<Face> =
        groups.into_values().map(|(facets, curved)| face(mesh, facets, curved)).collect();
    list.sort_by(|a, b| b.area.total_cmp(&a.area).then(a.facets.cmp(&b.facets)));
    let mut of_facet = vec![0; mesh.facets().len()];
    for (index, face) in list.iter().enumerate() {
        for &facet in &face.facets {
            of_facet[facet as usize] = index as u32;
        }
    }
    Faces { list, of_facet, chord_error: chord_error(&bends) }
}

/// An edge between two facets.
struct Edge {
    facets: [u32; 2],
    /// Angle between their normals, radians.
    turn: f64,
    /// What rounding the corners can turn them by, radians.
    noise: f64,
    length: f64,
}

impl Edge {
    fn all(mesh: &TriMesh, neighbors: &[[u32; 3]]) -> Vec<Self> {
        let rounding = mesh.rounding();
        let mut edges = Vec::with_capacity(mesh.facets().len() * 3 / 2);
        for (facet, across) in neighbors.iter().enumerate() {
            for (side, &other) in across.iter().enumerate() {
                if other == NONE || facet as u32 >= other {
                    continue;
                }
                let [a, b] = [facet, other as usize].map(|f| mesh.normals()[f]);
                // atan2 keeps the digits of small angles that acos loses.
                let turn = a.cross(&b).norm().atan2(a.dot(&b));
                if turn < SMOOTH_DEG.to_radians() {
                    let corners = mesh.corners(facet);
                    let length = (corners[(side + 1) % 3] - corners[side]).norm();
                    let smaller = mesh.areas()[facet].min(mesh.areas()[other as usize]);
                    let noise = rounding * length / (2.0 * smaller);
                    edges.push(Self {
                        facets: [facet as u32, other],
                        turn,
                        noise,
                        length,
                    });
                }
            }
        }
        edges
    }
}

/// Two strips that bend smoothly into each other.
struct Bend {
    strips: [usize; 2],
    /// How wide each is across their common border, mm.
    widths: [f64; 2],
    turn: f64,
    length: f64,
}

impl Bend {
    fn is_alike(&self) -> bool {
        let [a, b] = self.widths;
        a.max(b) < ALIKE * a.min(b)
    }

    /// The narrower strip, then the wider.
    fn by_width(&self) -> [usize; 2] {
        let [a, b] = self.strips;
        if self.widths[0] < self.widths[1] { [a, b] } else { [b, a] }
    }
}

fn bends(mesh: &TriMesh, edges: &[Edge], strips: &mut DisjointSets) -> Vec<Bend> {
    let mut areas = vec![0.0; mesh.facets().len()];
    for (facet, area) in mesh.areas().iter().enumerate() {
        areas[strips.root(facet)] += area;
    }
    let mut between: Vec<(usize, usize, f64, f64)> = edges
        .iter()
        .filter_map(|edge| {
            let [a, b] = edge.facets.map(|facet| strips.root(facet as usize));
            (a != b).then(|| (a.min(b), a.max(b), edge.length, edge.turn))
        })
        .collect();
    between
        .sort_unstable_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.3.total_cmp(&b.3)));
    between
        .chunk_by(|a, b| (a.0, a.1) == (b.0, b.1))
        .map(|border| {
            let length: f64 = border.iter().map(|edge| edge.2).sum();
            let turn = border.iter().map(|edge| edge.2 * edge.3).sum::<f64>() / length;
            let (a, b, ..) = border[0];
            Bend {
                strips: [a, b],
                widths: [a, b].map(|s| areas[s] / length),
                turn,
                length,
            }
        })
        .collect()
}

/// The sagitta of an arc that turns by `turn` over one strip is width/2 · tan(turn/4);
/// the value that 95 % of the length of all bends stays below, so that a few slivers do
/// not set it.
fn chord_error(bends: &[Bend]) -> Option<f64> {
    let mut sagittas: Vec<(f64, f64)> = bends
        .iter()
        .map(|bend| {
            let width = bend.widths[0].min(bend.widths[1]);
            (width / 2.0 * (bend.turn / 4.0).tan(), bend.length)
        })
        .collect();
    sagittas.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = sagittas.iter().map(|(_, length)| length).sum();
    let mut walked = 0.0;
    sagittas.iter().find_map(|(sagitta, length)| {
        walked += length;
        (walked >= 0.95 * total).then_some(*sagitta)
    })
}

fn face(mesh: &TriMesh, facets: Vec<u32>, curved: bool) -> Face {
    let weighted =
        |facet: &u32| (mesh.normals()[*facet as usize], mesh.areas()[*facet as usize]);
    let area = facets.iter().map(|facet| weighted(facet).1).sum();
    let mean: Vector =
        facets.iter().map(weighted).map(|(normal, area)| normal * area).sum();
    let surface = match Direction::new(mean) {
        Some(normal) if !curved && is_flat(mesh, &facets, normal) => {
            Surface::Plane(normal)
        }
        _ => round(&facets.iter().map(weighted).collect::<Vec<_>>()),
    };
    Face { facets, surface, area }
}

/// Strips of a very fine mesh continue each other flatly around a whole curve.
fn is_flat(mesh: &TriMesh, facets: &[u32], normal: Direction) -> bool {
    let least = PLANE_DEG.to_radians().cos();
    facets.iter().all(|&facet| normal.dot(&mesh.normals()[facet as usize]) >= least)
}

/// Fits an axis with which all normals make the same angle: the normals of a cylinder or
/// cone lie on a plane that cuts the unit sphere.
fn round(normals: &[(Vector, f64)]) -> Surface {
    let total: f64 = normals.iter().map(|(_, area)| area).sum();
    let mean =
        normals.iter().map(|(normal, area)| normal * *area).sum::<Vector>() / total;
    let spread: Matrix3<f64> = normals
        .iter()
        .map(|(normal, area)| (normal - mean) * (normal - mean).transpose() * *area)
        .sum();
    let eigen = SymmetricEigen::new(spread / total);
    let [low, mid] = two_least(&eigen.eigenvalues);
    let Some(axis) = Direction::new(eigen.eigenvectors.column(low).into_owned()) else {
        return Surface::Blend;
    };
    let lean = axis.dot(&mean);
    let fits = normals.iter().all(|(normal, _)| {
        (axis.dot(normal).asin() - lean.asin()).abs() < FIT_DEG.to_radians()
    });
    // Over a small turn any smooth surface looks round; ask for some turn about the axis.
    let turns = eigen.eigenvalues[mid] > FIT_DEG.to_radians().powi(2);
    if fits && turns { Surface::Round { axis, lean } } else { Surface::Blend }
}

/// Where the least and the second least eigenvalue stand.
fn two_least(values: &Vector) -> [usize; 2] {
    let mut places = [0, 1, 2];
    places.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    [places[0], places[1]]
}
