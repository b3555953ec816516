//! Parts and a report for the tests of the renderers.

use crate::geom::Point;
use crate::mesh::TriMesh;
use crate::mesh::samples::Samples;

/// A box of `size` about the origin.
pub(crate) fn block(size: [f64; 3]) -> TriMesh {
    let half = size.map(|edge| edge / 2.0);
    let corner = |i: usize| {
        let side =
            |axis: usize| if i >> axis & 1 == 1 { half[axis] } else { -half[axis] };
        Point::new(side(0), side(1), side(2))
    };
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let facets =
        quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    TriMesh::new((0..8).map(corner).collect(), facets)
}

/// A ball about the origin with `steps` meridians.
pub(crate) fn ball(radius: f64, steps: u32) -> TriMesh {
    let parallels = steps / 2;
    let outline: Vec<[f64; 2]> = (0..=parallels)
        .map(|i| {
            let angle =
                std::f64::consts::PI * (f64::from(i) / f64::from(parallels) - 0.5);
            [radius * angle.cos().max(0.0), radius * angle.sin()]
        })
        .collect();
    revolve(&outline, steps)
}

/// A cup, opening up: 20 wide, 10 high, walls 2 and floor 2.
pub(crate) fn cup() -> TriMesh {
    revolve(
        &[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [8.0, 10.0], [8.0, 2.0], [0.0, 2.0]],
        96,
    )
}

/// Turns `outline` (radius, height; counter-clockwise about the plastic) about z.
fn revolve(outline: &[[f64; 2]], steps: u32) -> TriMesh {
    let mut points = Vec::new();
    for [radius, height] in outline {
        for step in 0..steps {
            let angle = std::f64::consts::TAU * f64::from(step) / f64::from(steps);
            points.push(Point::new(radius * angle.cos(), radius * angle.sin(), *height));
        }
    }
    let mut facets = Vec::new();
    for ring in 0..outline.len() as u32 - 1 {
        for step in 0..steps {
            let next = (step + 1) % steps;
            let [a, b] = [ring * steps + step, ring * steps + next];
            facets.push([a, b, b + steps]);
            facets.push([a, b + steps, a + steps]);
        }
    }
    TriMesh::new(points, facets)
}

/// `count` points spread over `mesh`, as many on each facet as its area asks for.
pub(crate) fn scattered(mesh: &TriMesh, count: usize) -> Samples {
    let total: f64 = mesh.areas().iter().sum();
    let mut samples = Samples { area_each: total / count as f64, ..Samples::default() };
    for facet in 0..mesh.facets().len() {
        let [a, b, c] = mesh.corners(facet);
        for i in 0..(mesh.areas()[facet] / samples.area_each).round() as usize {
            // The additive recurrence of the golden ratio's two-dimensional kin spreads evenly.
            let u = (i as f64 * 0.754_877_666).fract();
            let v = (i as f64 * 0.569_840_291).fract();
            let (u, v) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
            samples.points.push(a + (b - a) * u + (c - a) * v);
            samples.normals.push(mesh.normals()[facet]);
            samples.facets.push(facet as u32);
        }
    }
    samples
}
