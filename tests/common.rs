//! Parts and helpers that several tests use.

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::{TriMesh, shapes};
pub(crate) use goodshot::part::Part;

/// Asserts that `actual` is `expected` to `within`.
#[track_caller]
pub(crate) fn near(actual: f64, expected: f64, within: f64) {
    assert!((actual - expected).abs() <= within, "{actual} is not {expected} ± {within}");
}

/// Asserts that `actual` is `expected` to a share of it.
#[track_caller]
pub(crate) fn alike(actual: f64, expected: f64, share: f64) {
    near(actual, expected, share * expected.abs());
}

pub(crate) fn direction(x: f64, y: f64, z: f64) -> Direction {
    Direction::new(Vector::new(x, y, z)).unwrap()
}

/// `count` directions spread over the whole sphere, none of them along an axis.
pub(crate) fn directions(count: u32) -> impl Iterator<Item = Direction> {
    (0..count).map(move |index| {
        let z = 1.0 - (2.0 * f64::from(index) + 1.0) / f64::from(count);
        let angle = 2.4 * f64::from(index) + 0.1;
        let radius = (1.0 - z * z).sqrt();
        direction(radius * angle.cos(), radius * angle.sin(), z)
    })
}

/// Numbers that look random and are the same every time (`SplitMix64`, Steele, Lea &
/// Flood 2014).
pub(crate) struct Noise(pub(crate) u64);

impl Noise {
    /// Between zero and one.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.unit() * count as f64) as usize
    }

    pub(crate) fn direction(&mut self) -> Direction {
        let [x, y, z] = [(); 3].map(|()| self.unit() - 0.5);
        direction(x, y, z + 1e-9)
    }

    /// A point in the box of `mesh` grown to `scale` times its size.
    pub(crate) fn around(&mut self, mesh: &TriMesh, scale: f64) -> Point {
        let bounds = mesh.bounds();
        let offset = bounds.size().map(|edge| edge * scale * (self.unit() - 0.5));
        bounds.center() + offset
    }
}

/// The prism over a convex outline, counter-clockwise, from the plane z = 0 to `height`.
pub(crate) fn prism(outline: &[[f64; 2]], height: f64) -> TriMesh {
    let at = |z: f64| outline.iter().map(move |&[x, y]| Point::new(x, y, z));
    let points: Vec<Point> = at(0.0).chain(at(height)).collect();
    let n = outline.len() as u32;
    let caps = (1..n - 1).flat_map(|i| [[0, i + 1, i], [n, n + i, n + i + 1]]);
    let sides = (0..n).flat_map(|i| {
        let j = (i + 1) % n;
        [[i, j, n + j], [i, n + j, n + i]]
    });
    TriMesh::new(points, caps.chain(sides).collect())
}

/// The prism between two walls that meet at `angle_deg` in the z axis, one of them in the
/// plane y = 0 and `length` wide.
pub(crate) fn wedge(angle_deg: f64, length: f64, height: f64) -> TriMesh {
    let angle = angle_deg.to_radians();
    let far = [length * angle.cos(), length * angle.sin()];
    prism(&[[0.0, 0.0], [length, 0.0], far], height)
}

pub(crate) fn turned(mesh: &TriMesh, axis: Direction, angle_deg: f64) -> TriMesh {
    let turn = turn(axis, angle_deg);
    mesh.map_points(|point| turn * point)
}

pub(crate) fn turn(axis: Direction, angle_deg: f64) -> nalgebra::Rotation3<f64> {
    nalgebra::Rotation3::new(axis.vector() * angle_deg.to_radians())
}

pub(crate) fn moved(mesh: &TriMesh, by: [f64; 3]) -> TriMesh {
    mesh.map_points(|point| point + Vector::from(by))
}

/// All facets of several meshes, as one soup.
pub(crate) fn together(meshes: &[TriMesh]) -> TriMesh {
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    for mesh in meshes {
        let first = points.len() as u32;
        points.extend_from_slice(mesh.points());
        facets.extend(mesh.facets().iter().map(|facet| facet.map(|c| c + first)));
    }
    TriMesh::new(points, facets)
}

pub(crate) fn inverted(mesh: &TriMesh) -> TriMesh {
    let facets = mesh.facets().iter().map(|&[a, b, c]| [a, c, b]).collect();
    TriMesh::new(mesh.points().to_vec(), facets)
}

/// A box of 40 × 30 × 25, open to +z, walls and floor of `wall`, with a square hole of
/// edge `hole` through the middle of the wall at y = 0.
pub(crate) fn box_with_side_hole(wall: f64, hole: f64) -> TriMesh {
    let x = [0.0, wall, 20.0 - hole / 2.0, 20.0 + hole / 2.0, 40.0 - wall, 40.0];
    let y = [0.0, wall, 30.0 - wall, 30.0];
    let z = [0.0, wall, 13.0 - hole / 2.0, 13.0 + hole / 2.0, 25.0];
    shapes::blocks([&x, &y, &z], |i, j, k| {
        let is_wall = k == 0 || i == 0 || i == 4 || j == 0 || j == 2;
        is_wall && (i, j, k) != (2, 0, 2)
    })
}

/// A tray of 60 × 40 × 15 with walls of 2 and a rib of `rib` across its middle, 10 high.
pub(crate) fn tray_with_rib(rib: f64) -> TriMesh {
    let x = [0.0, 2.0, 30.0 - rib / 2.0, 30.0 + rib / 2.0, 58.0, 60.0];
    let y = [0.0, 2.0, 38.0, 40.0];
    let z = [0.0, 2.0, 12.0, 15.0];
    shapes::blocks([&x, &y, &z], |i, j, k| {
        k == 0 || i == 0 || i == 4 || j == 0 || j == 2 || (i == 2 && k == 1)
    })
}

/// An arm of 3 on a foot of 20 × 10 × 2; at its top, 8 above the foot, it hangs over the
/// foot by `overhang` along x.
pub(crate) fn hook(overhang: f64) -> TriMesh {
    let x = [0.0, 3.0, 3.0 + overhang, 20.0];
    shapes::blocks([&x, &[0.0, 10.0], &[0.0, 2.0, 10.0, 12.0]], |i, _, k| {
        i == 0 || k == 0 || (i == 1 && k == 2)
    })
}

/// One of each, by name.
pub(crate) fn every_shape() -> Vec<(&'static str, TriMesh)> {
    vec![
        ("box", shapes::cuboid(3.0, 4.0, 5.0)),
        ("tray", shapes::tray([30.0, 20.0, 10.0], 2.0)),
        ("tube", shapes::tube(3.0, 5.0, 20.0, 17)),
        ("cylinder", shapes::cone(5.0, 5.0, 20.0, 16)),
        ("cone", shapes::cone(5.0, 2.0, 20.0, 25)),
        ("tip", shapes::cone(5.0, 0.0, 20.0, 25)),
        ("cup", shapes::cup(15.0, 30.0, 2.0, 1.0, 32)),
        ("ball", shapes::ball(10.0, 24)),
        ("torus", shapes::torus(20.0, 5.0, 20)),
        ("box with side hole", box_with_side_hole(2.0, 6.0)),
        ("tray with rib", tray_with_rib(1.2)),
        ("hook", hook(2.5)),
        ("wedge", wedge(30.0, 40.0, 60.0)),
    ]
}
