//! First hit and nearest point to the last bit, and the facet that wins a tie: against
//! the formulas of Möller & Trumbore, "Fast, minimum storage ray-triangle intersection",
//! 1997, and Ericson, *Real-Time Collision Detection*, 2005, §5.1.5, one facet at a time
//! over all facets.

use goodshot::geom::{Aabb, Direction, Point, Vector};
use goodshot::mesh::TriMesh;
use goodshot::mesh::bvh::Bvh;
use proptest::prelude::*;

use super::small_parts;
use crate::common::Noise;

/// Slack of an edge, as the tree states it.
const EDGE: f64 = 1e-9;

/// A hit farther beside the box of its facet, as a share of the diagonal, is rounding.
const BESIDE: f64 = 2.5e-7;

/// Corners about the middle of the part.
fn corners(mesh: &TriMesh) -> Vec<[Vector; 3]> {
    let center = mesh.bounds().center().coords;
    let facets = 0..mesh.facets().len();
    facets.map(|facet| mesh.corners(facet).map(|corner| corner.coords - center)).collect()
}

fn meets([a, b, c]: &[Vector; 3], start: &Vector, along: &Vector) -> Option<f64> {
    let [ab, ac] = [b - a, c - a];
    let across = along.cross(&ac);
    let determinant = ab.dot(&across);
    if determinant == 0.0 {
        return None;
    }
    let to_start = start - a;
    let u = to_start.dot(&across) / determinant;
    let turned = to_start.cross(&ab);
    let v = along.dot(&turned) / determinant;
    let shares = -EDGE..=1.0 + EDGE;
    let inside = shares.contains(&u) && v >= -EDGE && u + v <= 1.0 + EDGE;
    let distance = ac.dot(&turned) / determinant;
    (inside && distance > 0.0).then_some(distance)
}

fn first(mesh: &TriMesh, from: &Point, way: Direction) -> Option<(f64, u32)> {
    let start = from.coords - mesh.bounds().center().coords;
    let slack = Vector::repeat(BESIDE * mesh.bounds().diagonal());
    let all = corners(mesh);
    let hits = all.iter().zip(0_u32..).filter_map(|(corners, facet)| {
        let distance = meets(corners, &start, &way.vector())?;
        let at = start + way.vector() * distance;
        let around = Aabb::around(&corners.map(Point::from));
        let beside =
            (around.min.coords - slack - at).sup(&(at - around.max.coords - slack));
        (beside.max() <= 0.0).then_some((distance, facet))
    });
    hits.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
}

/// `None` where rounding puts the point of a needle outside of it.
fn closest(point: &Vector, [a, b, c]: &[Vector; 3]) -> Option<Vector> {
    let [ab, ac, ap] = [b - a, c - a, point - a];
    let [d1, d2] = [ab.dot(&ap), ac.dot(&ap)];
    if d1 <= 0.0 && d2 <= 0.0 {
        return Some(*a);
    }
    let bp = point - b;
    let [d3, d4] = [ab.dot(&bp), ac.dot(&bp)];
    if d3 >= 0.0 && d4 <= d3 {
        return Some(*b);
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return Some(a + ab * (d1 / (d1 - d3)));
    }
    let cp = point - c;
    let [d5, d6] = [ab.dot(&cp), ac.dot(&cp)];
    if d6 >= 0.0 && d5 <= d6 {
        return Some(*c);
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return Some(a + ac * (d2 / (d2 - d6)));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        return Some(b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6))));
    }
    let scale = 1.0 / (va + vb + vc);
    let [v, w] = [vb * scale, vc * scale];
    let is_inside = v >= -1e-7 && w >= -1e-7 && v + w <= 1.0 + 1e-7;
    is_inside.then(|| a + ab * v + ac * w)
}

/// The nearest point of the three edges.
fn on_edges(point: &Vector, corners: &[Vector; 3]) -> Vector {
    let on = [0, 1, 2].map(|side| {
        let (from, to) = (corners[side], corners[(side + 1) % 3]);
        let share = (to - from).dot(&(point - from)) / (to - from).norm_squared();
        from + (to - from) * share.clamp(0.0, 1.0)
    });
    let away = |at: &Vector| (at - point).norm_squared();
    on.into_iter().min_by(|a, b| away(a).total_cmp(&away(b))).unwrap()
}

fn nearest(mesh: &TriMesh, from: &Point) -> (f64, u32) {
    let point = from.coords - mesh.bounds().center().coords;
    let all = corners(mesh);
    let away = all.iter().zip(0_u32..).map(|(corners, facet)| {
        let on = closest(&point, corners).unwrap_or_else(|| on_edges(&point, corners));
        ((on - point).norm_squared(), facet)
    });
    let (squared, facet) =
        away.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).unwrap();
    (squared.sqrt(), facet)
}

#[track_caller]
fn check(mesh: &TriMesh, bvh: &Bvh, from: &Point, way: Direction) -> bool {
    let hit = bvh.first_hit(from, way, 0.0).map(|hit| (hit.distance, hit.facet));
    assert_eq!(hit, first(mesh, from, way), "{from} {way:?}");
    assert_eq!(bvh.is_hit(from, way), hit.is_some());
    let near = bvh.nearest(from, f64::INFINITY).unwrap();
    assert_eq!((near.distance, near.facet), nearest(mesh, from), "{from}");
    hit.is_some()
}

/// From anywhere in any direction, along the axes, and at corners and middles of edges.
fn check_all(mesh: &TriMesh, noise: &mut Noise, count: usize) -> usize {
    let bvh = Bvh::new(mesh);
    let mut hits = 0;
    for _ in 0..count {
        let from = noise.around(mesh, 1.6);
        hits += usize::from(check(mesh, &bvh, &from, noise.direction()));
        let axis = [Direction::X, Direction::Y, Direction::Z][noise.below(3)];
        check(mesh, &bvh, &from, axis);
        let [a, b, _] = mesh.corners(noise.below(mesh.facets().len()));
        for mark in [a, nalgebra::center(&a, &b)] {
            if let Some(way) = Direction::new(mark - from) {
                check(mesh, &bvh, &from, way);
                check(mesh, &bvh, &mark, way);
                check(mesh, &bvh, &(mark + (from - mark) * 1e4), way);
            }
            check(mesh, &bvh, &mark, axis);
        }
    }
    hits
}

#[test]
fn answers_are_those_of_the_loop_to_the_last_bit() {
    let mut noise = Noise(11);
    for (name, mesh) in small_parts() {
        for scale in [1e-3, 1.0, 1e3] {
            let mesh = mesh.map_points(|point| point * scale);
            let hits = check_all(&mesh, &mut noise, 40);
            assert!(hits > 0 && hits < 40, "{name} {scale}: {hits}");
        }
    }
}

/// Facets with no order to them: some needles, some through others, some twice.
fn soups() -> impl Strategy<Value = TriMesh> {
    let corner = prop::array::uniform3(-1.0..1.0);
    let facet = (prop::array::uniform3(corner), 0..4, -9.0..0.0);
    (prop::collection::vec(facet, 1..80), -3.0..4.0).prop_map(|(facets, size)| {
        let mut points = Vec::new();
        for ([a, b, c], kind, thin) in facets {
            let [a, b, c]: [Vector; 3] = [a, b, c].map(Vector::from);
            let c = match kind {
                0 => a + (b - a) * 0.4 + c * 10.0_f64.powf(thin),
                1 => Vector::new(c.x, c.y, a.z),
                _ => c,
            };
            let b = if kind == 1 { Vector::new(b.x, b.y, a.z) } else { b };
            points.extend([a, b, c].map(|at| Point::from(at * 10.0_f64.powf(size))));
        }
        let count = points.len() as u32 / 3;
        let once = (0..count).map(|facet| [0, 1, 2].map(|corner| 3 * facet + corner));
        TriMesh::new(points, once.clone().chain(once.step_by(5)).collect())
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn answers_in_any_soup_are_those_of_the_loop(mesh in soups(), seed in 0..u64::MAX) {
        prop_assume!(!mesh.facets().is_empty());
        check_all(&mesh, &mut Noise(seed), 12);
    }
}
