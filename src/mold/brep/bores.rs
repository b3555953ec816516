//! Which round walls can be true cylinders and cones.
//!
//! The sides of a wall are chords, so a true cylinder is wider by r (1 − cos(π / n)) between its
//! corners. Each rim is to run over plane faces only; an edge between two of those moves its end along itself
//! onto the cylinder, and nothing else may lie between chord and arc. A cone is taken only between
//! planes across its axis, where its rims are circles.

use super::net::{Net, next};
use super::regions::{Plane, Regions};
use super::round_wall::RoundWall;
use crate::geom::{Point, Vector};

/// What lies nearer to a rim than this beyond the chord's height is in its way, mm.
const ROOM_MM: f64 = 1e-3;

/// An edge moves its end by at most this share of its own length.
const LARGEST_MOVE: f64 = 0.9;

/// Planes that lean less against the axis (sine) have no rim that closes.
const LEAST_RISE: f64 = 0.05;

/// A wall that becomes a true cylinder or cone.
pub(super) struct Bore {
    /// Its region.
    pub(super) region: u32,
    /// Which of the walls.
    pub(super) wall: usize,
    /// Its lower and its upper rim.
    pub(super) rims: [Rim; 2],
    /// Whether its normal leads away from the axis.
    pub(super) is_outward: bool,
}

/// A rim.
pub(super) struct Rim {
    /// Half edges of the wall around it, from the corner of the seam.
    pub(super) edges: Vec<u32>,
    /// Where the seam ends.
    pub(super) seam: u32,
    /// Corners where another plane begins, and where they move to.
    pub(super) joints: Vec<(u32, Point)>,
}

/// What is asked of the surface around the walls.
pub(super) struct Around<'a> {
    /// The surface.
    pub(super) net: &'a Net,
    /// Its regions; those of walls have no plane.
    pub(super) regions: &'a Regions,
    /// How many edges between regions meet in each corner.
    pub(super) valence: &'a [u8],
    /// The half edges around each region.
    pub(super) rims: &'a [Vec<u32>],
}

impl Around<'_> {
    /// The bore of wall `number`, whose facets are those of `region`; `None` where it has to stay flat.
    pub(super) fn bore(
        &self,
        region: u32,
        facets: &[u32],
        walls: &[RoundWall],
        number: usize,
    ) -> Option<Bore> {
        let wall = &walls[number];
        let is_in = |facet: u32| self.regions.of[facet as usize] == region;
        let mut loops = self.net.loops_around(facets, &is_in);
        let height = |edges: &Vec<u32>| {
            edges.iter().map(|&it| self.net.at(self.net.from(it)).z).sum::<f64>()
                / edges.len() as f64
        };
        loops.sort_by(|a, b| height(a).total_cmp(&height(b)));
        let turns: Vec<f64> = loops.iter().map(|it| self.turns(it, wall)).collect();
        let [low, high] = turns[..] else { return None };
        if low * high > -0.9 {
            return None;
        }
        let seam = self.seam(&loops, wall)?;
        let mut rims = Vec::new();
        for edges in &loops {
            rims.push(self.rim(edges, wall, seam)?);
        }
        let high = rims.pop()?;
        let low = rims.pop()?;
        // Seen from above, the lower rim of an outward wall runs counter-clockwise.
        Some(Bore { region, wall: number, rims: [low, high], is_outward: turns[0] > 0.0 })
    }

    /// How often a loop runs around the axis.
    fn turns(&self, edges: &[u32], wall: &RoundWall) -> f64 {
        let off = |corner: u32| {
            let at = self.net.at(corner);
            [at.x - wall.at[0], at.y - wall.at[1]]
        };
        let angle = |&edge: &u32| {
            let [a, b] = [off(self.net.from(edge)), off(self.net.to(edge))];
            (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1])
        };
        edges.iter().map(angle).sum::<f64>() / std::f64::consts::TAU
    }

    /// The region beyond a half edge of the wall.
    fn beyond(&self, edge: u32) -> u32 {
        self.regions.of[(self.net.twin(edge) / 3) as usize]
    }

    /// Whether another plane begins at the start of half edge `at` of a loop.
    fn is_joint(&self, edges: &[u32], at: usize) -> bool {
        let before = edges[(at + edges.len() - 1) % edges.len()];
        self.beyond(before) != self.beyond(edges[at])
    }

    /// A corner of the polygon that stands free in both loops.
    fn seam(&self, loops: &[Vec<u32>], wall: &RoundWall) -> Option<u32> {
        let free = |edges: &Vec<u32>| -> Vec<u32> {
            (0..edges.len())
                .filter(|&at| !self.is_joint(edges, at))
                .filter_map(|at| wall.corner(&self.net.at(self.net.from(edges[at]))))
                .collect()
        };
        let all: Vec<Vec<u32>> = loops.iter().map(free).collect();
        (0..wall.sides).find(|corner| all.iter().all(|free| free.contains(corner)))
    }

    fn rim(&self, edges: &[u32], wall: &RoundWall, seam: u32) -> Option<Rim> {
        let start = (0..edges.len()).find(|&at| {
            let corner = self.net.at(self.net.from(edges[at]));
            !self.is_joint(edges, at) && wall.corner(&corner) == Some(seam)
        })?;
        let mut edges = edges.to_vec();
        edges.rotate_left(start);
        let mut joints = Vec::new();
        for at in 0..edges.len() {
            let plane = self.regions.planes[self.beyond(edges[at]) as usize]?;
            if plane.normal.z.abs() < LEAST_RISE
                || (wall.slope() != 0.0 && plane.normal.z.abs() < 1.0 - 1e-12)
            {
                return None;
            }
            let corner = self.net.from(edges[at]);
            let meets = self.valence[corner as usize];
            if self.is_joint(&edges, at) {
                if meets != 3 || wall.slope() != 0.0 {
                    return None;
                }
                let before = edges[(at + edges.len() - 1) % edges.len()];
                joints.push((corner, self.moved(before, edges[at], &plane, wall)?));
            } else if meets != 2 {
                return None;
            }
        }
        let rim = Rim { seam: self.net.from(edges[0]), edges, joints };
        self.has_room(&rim, wall).then_some(rim)
    }

    /// Where the edge that leaves the rim between two of its half edges meets the cylinder.
    fn moved(
        &self,
        before: u32,
        after: u32,
        plane: &Plane,
        wall: &RoundWall,
    ) -> Option<Point> {
        let net = self.net;
        let mut edge = next(net.twin(after));
        let is_rim = |edge: u32| {
            let [own, other] = [edge / 3, net.twin(edge) / 3];
            self.regions.of[own as usize] != self.regions.of[other as usize]
        };
        while !is_rim(edge) || edge == net.twin(before) {
            edge = next(net.twin(edge));
            if edge == after {
                return None;
            }
        }
        let [from, to] = [net.at(net.from(edge)), net.at(net.to(edge))];
        let length = (to - from).norm();
        let other = self.regions.planes[self.beyond(before) as usize]?;
        let shared = other.normal.cross(&plane.normal);
        // Planes that nearly are one have no sure line.
        let way = if shared.norm() > 0.01 { shared } else { to - from }.normalize();
        let way = if way.dot(&(to - from)) < 0.0 { -way } else { way };
        let off = [from.x - wall.at[0], from.y - wall.at[1]];
        let radius = wall.radius(from.z);
        let a = way.x * way.x + way.y * way.y;
        let b = off[0] * way.x + off[1] * way.y;
        let c = off[0] * off[0] + off[1] * off[1] - radius * radius;
        let root = (b * b - a * c).sqrt();
        if a < 1e-6 || root.is_nan() {
            return None;
        }
        let [near, far] = [(-b - root) / a, (-b + root) / a];
        let along = if near.abs() < far.abs() { near } else { far };
        (along.abs() < LARGEST_MOVE * length).then(|| from + way * along)
    }

    /// Whether nothing of the faces around a rim lies between chord and arc.
    fn has_room(&self, rim: &Rim, wall: &RoundWall) -> bool {
        let net = self.net;
        let mut own: Vec<u32> = rim.edges.iter().map(|&edge| net.twin(edge)).collect();
        own.sort_unstable();
        let mut faces: Vec<u32> = rim.edges.iter().map(|&it| self.beyond(it)).collect();
        faces.sort_unstable();
        faces.dedup();
        let is_joint = |corner: u32| rim.joints.iter().any(|joint| joint.0 == corner);
        let others = faces.iter().flat_map(|&face| &self.rims[face as usize]);
        others.filter(|edge| own.binary_search(edge).is_err()).all(|&edge| {
            let [from, to] = [net.from(edge), net.to(edge)];
            let ends = [net.at(from), net.at(to)];
            let radius = wall.radius(ends[0].z);
            let low = radius * wall.flat_share() - 1e-6;
            let high = radius + ROOM_MM + radius * (1.0 - wall.flat_share());
            let [near, far] = match (is_joint(from), is_joint(to)) {
                (false, false) => distances(&ends, wall.at),
                (true, false) => [wall.radius_at(&ends[1]); 2],
                (false, true) => [wall.radius_at(&ends[0]); 2],
                (true, true) => return false,
            };
            near > high || far < low
        })
    }

    /// The curve of half edge `edge` of a rim, as that half edge runs.
    pub(super) fn curve(&self, edge: u32, wall: &RoundWall) -> Option<super::Curve> {
        let sides = [edge, self.net.twin(edge)];
        let plane = sides.iter().find_map(|it| {
            self.regions.planes[self.regions.of[(it / 3) as usize] as usize]
        })?;
        let ends = sides.map(|it| self.net.at(self.net.from(it)));
        let [a, b] = ends.map(|at| [at.x - wall.at[0], at.y - wall.at[1]]);
        let is_left = a[0] * b[1] - a[1] * b[0] > 0.0;
        let up = if plane.normal.z > 0.0 { plane.normal } else { -plane.normal };
        let normal = if is_left { up } else { -up };
        let axis = Point::new(wall.at[0], wall.at[1], 0.0);
        let z = (plane.at - axis).dot(&up) / up.z;
        let center = axis + Vector::z() * z;
        let radius = wall.radius(z);
        // Down the plane; along x where it is level.
        let fall = Vector::z() - up * up.z;
        let major = fall.try_normalize(1e-9).unwrap_or_else(Vector::x);
        Some(super::Curve::Ellipse {
            center,
            normal,
            major,
            half_axes: [radius / up.z, radius],
        })
    }
}

/// Least and greatest distance of a straight edge from an axis along z.
fn distances(ends: &[Point; 2], at: [f64; 2]) -> [f64; 2] {
    let [a, b] = ends.map(|end| [end.x - at[0], end.y - at[1]]);
    let way = [b[0] - a[0], b[1] - a[1]];
    let square = way[0] * way[0] + way[1] * way[1];
    let along = if square > 0.0 {
        (-(a[0] * way[0] + a[1] * way[1]) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let near = (a[0] + way[0] * along).hypot(a[1] + way[1] * along);
    [near, a[0].hypot(a[1]).max(b[0].hypot(b[1]))]
}
