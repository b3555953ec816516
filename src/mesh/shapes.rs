//! Solids whose answers are known in closed form.
//!
//! Everything is built from two makers: [`blocks`] joins cells of a grid (box, tray, L,
//! rib, hook, box with a side hole), and [`revolve`] turns a closed outline about z
//! (tube, cup, cone, torus, ball). Both give closed meshes with outward facets.
//! [`split`] and [`shuffle`] change the triangles but not the shape.

use std::collections::BTreeMap;

use crate::geom::{Point, Vector};
use crate::mesh::TriMesh;

/// The union of those cells of a grid for which `filled(i, j, k)` holds; `steps` are the
/// grid planes along x, y and z. Cells that touch only along an edge are not allowed.
pub fn blocks(
    steps: [&[f64]; 3],
    filled: impl Fn(usize, usize, usize) -> bool,
) -> TriMesh {
    let cells = steps.map(|axis| axis.len().saturating_sub(1));
    let is_filled = |cell: [Option<usize>; 3]| {
        let [Some(i), Some(j), Some(k)] = cell else { return false };
        i < cells[0] && j < cells[1] && k < cells[2] && filled(i, j, k)
    };
    let mut soup = Soup::default();
    for i in 0..cells[0] {
        for j in 0..cells[1] {
            for k in (0..cells[2]).filter(|&k| filled(i, j, k)) {
                let cell = [i, j, k];
                let open = [0, 1, 2]
                    .into_iter()
                    .flat_map(|axis| [(axis, false), (axis, true)])
                    .filter(|&(axis, high)| !is_filled(beyond(cell, axis, high)));
                for (axis, high) in open {
                    soup.square(&steps, cell, axis, high);
                }
            }
        }
    }
    soup.into_mesh()
}

/// The cell beside `cell` along `axis`; a step below the first cell is `None`.
fn beyond(cell: [usize; 3], axis: usize, high: bool) -> [Option<usize>; 3] {
    let mut beyond = cell.map(Some);
    let at = cell[axis];
    beyond[axis] = if high { Some(at + 1) } else { at.checked_sub(1) };
    beyond
}

/// A box from the origin to (`x`, `y`, `z`).
pub fn cuboid(x: f64, y: f64, z: f64) -> TriMesh {
    blocks([&[0.0, x], &[0.0, y], &[0.0, z]], |_, _, _| true)
}

/// A box of `outer` edges with walls and floor of `wall`, open towards +z.
pub fn tray(outer: [f64; 3], wall: f64) -> TriMesh {
    let [x, y, z] = outer;
    let steps = [[0.0, wall, x - wall, x], [0.0, wall, y - wall, y]];
    blocks([&steps[0], &steps[1], &[0.0, wall, z]], |i, j, k| k == 0 || i != 1 || j != 1)
}

/// The solid swept by turning the closed outline of (radius, height) corners about z in
/// `around` steps. The outline runs counter-clockwise with the radius to the right and
/// the height up; corners at radius zero become poles.
pub fn revolve(outline: &[[f64; 2]], around: usize) -> TriMesh {
    let mut soup = Soup::default();
    let corner = |at: [f64; 2], step: usize| {
        let angle = std::f64::consts::TAU * (step % around) as f64 / around as f64;
        Point::new(at[0] * angle.cos(), at[0] * angle.sin(), at[1])
    };
    for (index, &from) in outline.iter().enumerate() {
        let to = outline[(index + 1) % outline.len()];
        for step in 0..around {
            let [a, b] = [corner(from, step), corner(from, step + 1)];
            let [c, d] = [corner(to, step + 1), corner(to, step)];
            if from[0] > 0.0 {
                soup.facet([a, b, c]);
            }
            if to[0] > 0.0 {
                soup.facet([a, c, d]);
            }
        }
    }
    soup.into_mesh()
}

/// A tube about z.
pub fn tube(inner: f64, outer: f64, height: f64, around: usize) -> TriMesh {
    revolve(&[[inner, 0.0], [outer, 0.0], [outer, height], [inner, height]], around)
}

/// A solid cone frustum about z, `bottom` and `top` its radii; a cylinder when equal.
pub fn cone(bottom: f64, top: f64, height: f64, around: usize) -> TriMesh {
    revolve(&[[0.0, 0.0], [bottom, 0.0], [top, height], [0.0, height]], around)
}

/// A cup about z, open towards +z: `radius` outside at the floor, walls and floor of
/// `wall` (measured across the pull), both sides drafted by `draft_deg`.
pub fn cup(
    radius: f64,
    height: f64,
    wall: f64,
    draft_deg: f64,
    around: usize,
) -> TriMesh {
    let lean = draft_deg.to_radians().tan();
    let outside = |z: f64| radius + z * lean;
    let inside = |z: f64| outside(z) - wall;
    revolve(
        &[
            [0.0, 0.0],
            [outside(0.0), 0.0],
            [outside(height), height],
            [inside(height), height],
            [inside(wall), wall],
            [0.0, wall],
        ],
        around,
    )
}

/// A ball about the origin, `around` facets about z and half as many from pole to pole.
pub fn ball(radius: f64, around: usize) -> TriMesh {
    let rings = around / 2;
    let outline: Vec<_> = (0..=rings)
        .map(|ring| {
            let angle = std::f64::consts::PI * ring as f64 / rings as f64;
            let pole = ring == 0 || ring == rings;
            [if pole { 0.0 } else { radius * angle.sin() }, -radius * angle.cos()]
        })
        .collect();
    revolve(&outline, around)
}

/// A torus about z with its tube of radius `small` at `large` from the axis.
pub fn torus(large: f64, small: f64, around: usize) -> TriMesh {
    let outline: Vec<_> = (0..around)
        .map(|step| {
            let angle = std::f64::consts::TAU * step as f64 / around as f64;
            [large + small * angle.cos(), small * angle.sin()]
        })
        .collect();
    revolve(&outline, around)
}

/// The same shape with every facet cut into four, `times` over.
pub fn split(mesh: &TriMesh, times: usize) -> TriMesh {
    let mut split = mesh.clone();
    for _ in 0..times {
        let mut soup = Soup::default();
        for facet in 0..split.facets().len() {
            let [a, b, c] = split.corners(facet);
            let [ab, bc, ca] =
                [(a, b), (b, c), (c, a)].map(|(p, q)| nalgebra::center(&p, &q));
            for corners in [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]] {
                soup.facet(corners);
            }
        }
        split = soup.into_mesh();
    }
    split
}

/// The same shape with its facets in another order and each starting at another corner.
pub fn shuffle(mesh: &TriMesh) -> TriMesh {
    let count = mesh.facets().len();
    // A step that shares no factor with the count visits every facet once.
    let step = (count / 2 + 1..).find(|&step| gcd(step, count) == 1).unwrap_or(1);
    let facets = (0..count).map(|index| {
        let mut facet = mesh.facets()[index * step % count];
        facet.rotate_left(index % 3);
        facet
    });
    TriMesh::new(mesh.points().to_vec(), facets.collect())
}

fn gcd(a: usize, b: usize) -> usize {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Facets under construction; equal corners are shared.
#[derive(Default)]
struct Soup {
    points: Vec<Point>,
    facets: Vec<[u32; 3]>,
    known: BTreeMap<[u64; 3], u32>,
}

impl Soup {
    fn facet(&mut self, corners: [Point; 3]) {
        let facet = corners.map(|corner| {
            // Adding zero makes −0 and 0 the same corner.
            let key: Vector = corner.coords.add_scalar(0.0);
            *self.known.entry([key.x, key.y, key.z].map(f64::to_bits)).or_insert_with(
                || {
                    self.points.push(corner);
                    self.points.len() as u32 - 1
                },
            )
        });
        self.facets.push(facet);
    }

    /// The side of a grid cell that faces along `axis`, up when `high`.
    fn square(&mut self, steps: &[&[f64]; 3], cell: [usize; 3], axis: usize, high: bool) {
        let [u, v] = [(axis + 1) % 3, (axis + 2) % 3];
        let corner = |du: usize, dv: usize| {
            let mut at = cell;
            at[axis] += usize::from(high);
            at[u] += du;
            at[v] += dv;
            Point::new(steps[0][at[0]], steps[1][at[1]], steps[2][at[2]])
        };
        let mut ring = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
        if !high {
            ring.reverse();
        }
        self.facet([ring[0], ring[1], ring[2]]);
        self.facet([ring[0], ring[2], ring[3]]);
    }

    fn into_mesh(self) -> TriMesh {
        TriMesh::new(self.points, self.facets)
    }
}
