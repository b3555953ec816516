//! Closed surfaces that can be cut from each other, through `boolmesh`.
//!
//! Unlike a [`TriMesh`] a solid keeps facets without area: a cut along a face may leave
//! some, and without them the surface would no longer close.

use std::panic::{self, AssertUnwindSafe};

use boolmesh::prelude::{Manifold, OpType, compute_boolean};

use super::canonical_order;
use super::tri_mesh::TriMesh;
use crate::geom::{Aabb, Point};

/// A closed surface, corners counter-clockwise seen from outside, mm.
#[derive(Clone, Debug, Default)]
pub struct Solid {
    /// Corners.
    pub points: Vec<Point>,
    /// Corner indices of each facet.
    pub facets: Vec<[u32; 3]>,
}

/// What the crate says when nothing is left.
const NOTHING_LEFT: [&str; 2] = ["empty pos matrix", "empty idx matrix"];

/// Why two solids could not be cut.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NotCut(pub String);

impl From<&TriMesh> for Solid {
    fn from(mesh: &TriMesh) -> Self {
        Self { points: mesh.points().to_vec(), facets: mesh.facets().to_vec() }
    }
}

impl Solid {
    /// Whether it holds nothing.
    pub fn is_empty(&self) -> bool {
        self.facets.is_empty()
    }

    /// Volume inside, mm³, summed about the first corner.
    pub fn volume(&self) -> f64 {
        let Some(first) = self.points.first() else { return 0.0 };
        let six: f64 = self
            .facets
            .iter()
            .map(|facet| {
                let [a, b, c] = facet.map(|corner| self.points[corner as usize] - first);
                a.dot(&b.cross(&c))
            })
            .sum();
        six / 6.0 + 0.0
    }

    /// The box around it.
    pub fn bounds(&self) -> Aabb {
        let used = self.facets.iter().flatten();
        Aabb::around(used.map(|&corner| &self.points[corner as usize]))
    }

    /// The corners of every facet.
    pub fn triangles(&self) -> impl ExactSizeIterator<Item = [Point; 3]> {
        self.facets.iter().map(|facet| facet.map(|corner| self.points[corner as usize]))
    }

    /// The same as a mesh, for measures; facets without area are left out.
    pub fn mesh(&self) -> TriMesh {
        TriMesh::new(self.points.clone(), self.facets.clone())
    }

    /// The same without corners that no facet names.
    #[must_use]
    pub fn without_unused(self) -> Self {
        let mut renamed = vec![u32::MAX; self.points.len()];
        let mut points = Vec::new();
        let mut facets = self.facets;
        for corner in facets.iter_mut().flatten() {
            let new = &mut renamed[*corner as usize];
            if *new == u32::MAX {
                *new = points.len() as u32;
                points.push(self.points[*corner as usize]);
            }
            *corner = *new;
        }
        Self { points, facets }
    }

    /// The same with every corner moved by `change`, which must not mirror.
    #[must_use]
    pub fn map(&self, change: impl Fn(&Point) -> Point) -> Self {
        Self {
            points: self.points.iter().map(change).collect(),
            facets: self.facets.clone(),
        }
    }

    /// Both in one, when they do not meet.
    #[must_use]
    pub fn beside(mut self, other: &Self) -> Self {
        let first = self.points.len() as u32;
        self.points.extend_from_slice(&other.points);
        let moved = other.facets.iter().map(|facet| facet.map(|corner| corner + first));
        self.facets.extend(moved);
        self
    }

    /// Directed edges that no other facet runs against: none when it is closed.
    pub fn open_edges(&self) -> usize {
        let mut edges: Vec<([u32; 2], i32)> = Vec::with_capacity(self.facets.len() * 3);
        for facet in &self.facets {
            for side in 0..3 {
                let [a, b] = [facet[side], facet[(side + 1) % 3]];
                edges.push(if a < b { ([a, b], 1) } else { ([b, a], -1) });
            }
        }
        edges.sort_unstable();
        let groups = edges.chunk_by(|a, b| a.0 == b.0);
        groups
            .map(|group| group.iter().map(|edge| edge.1).sum::<i32>().unsigned_abs())
            .map(|open| open as usize)
            .sum()
    }

    /// This without `other`.
    ///
    /// # Errors
    /// When either does not close.
    pub fn minus(&self, other: &Self) -> Result<Self, NotCut> {
        if self.is_empty() || other.is_empty() || !self.may_meet(other) {
            return Ok(self.clone());
        }
        cut(self, other, OpType::Subtract)
    }

    /// This and `other` in one.
    ///
    /// # Errors
    /// When either does not close.
    pub fn plus(&self, other: &Self) -> Result<Self, NotCut> {
        if self.is_empty() {
            return Ok(other.clone());
        }
        if other.is_empty() || !self.may_meet(other) {
            return Ok(self.clone().beside(other));
        }
        cut(self, other, OpType::Add)
    }

    /// What both hold.
    ///
    /// # Errors
    /// When either does not close.
    pub fn meet(&self, other: &Self) -> Result<Self, NotCut> {
        if self.is_empty() || other.is_empty() || !self.may_meet(other) {
            return Ok(Self::default());
        }
        cut(self, other, OpType::Intersect)
    }

    fn may_meet(&self, other: &Self) -> bool {
        let [a, b] = [self.bounds(), other.bounds()];
        (0..3).all(|axis| a.min[axis] <= b.max[axis] && b.min[axis] <= a.max[axis])
    }

    fn manifold(&self) -> Result<Manifold, NotCut> {
        let places: Vec<f64> =
            self.points.iter().flat_map(|point| [point.x, point.y, point.z]).collect();
        let corners: Vec<usize> =
            self.facets.iter().flatten().map(|&corner| corner as usize).collect();
        Manifold::new(&places, &corners).map_err(NotCut)
    }
}

fn cut(one: &Solid, other: &Solid, how: OpType) -> Result<Solid, NotCut> {
    let [one, other] = [one.manifold()?, other.manifold()?];
    // The crate asserts what it expects of its input; a surface that touches itself may
    // fail there, which is an answer and no reason to stop the program.
    let made =
        panic::catch_unwind(AssertUnwindSafe(|| compute_boolean(&one, &other, how)));
    let made = match made {
        Err(_) => return Err(NotCut("the surface touches itself".to_owned())),
        Ok(Err(problem)) if NOTHING_LEFT.contains(&problem.as_str()) => {
            return Ok(Solid::default());
        }
        Ok(made) => made.map_err(NotCut)?,
    };
    let points = made.ps.iter().map(|p| Point::new(p.x, p.y, p.z)).collect();
    let facets = made
        .hs
        .chunks(3)
        .map(|facet| [0, 1, 2].map(|at| facet[at].tail as u32))
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .collect();
    let (points, facets) = canonical_order::sort(&(points, facets));
    Ok(Solid { points, facets })
}

#[cfg(test)]
mod tests {
    use super::Solid;
    use crate::geom::Vector;
    use crate::mesh::shapes;

    fn block(sides: [[f64; 2]; 3]) -> Solid {
        let [x, y, z] = sides.map(|[low, high]| high - low);
        let low = Vector::from(sides.map(|side| side[0]));
        Solid::from(&shapes::cuboid(x, y, z)).map(|point| point + low)
    }

    /// A box less a box in its corner, by hand: 1000 − 125; both together 1875.
    #[test]
    fn boxes_are_cut_by_hand() {
        let one = block([[0.0, 10.0]; 3]);
        let other = block([[5.0, 15.0]; 3]);
        let near = |seen: f64, wanted: f64| assert!((seen - wanted).abs() < 1e-9);
        near(one.volume(), 1000.0);
        near(one.minus(&other).unwrap().volume(), 875.0);
        near(one.plus(&other).unwrap().volume(), 1875.0);
        near(one.meet(&other).unwrap().volume(), 125.0);
        let beside = block([[0.0, 10.0], [0.0, 10.0], [10.0, 12.0]]);
        near(one.meet(&beside).unwrap().volume(), 0.0);
        near(one.plus(&beside).unwrap().volume(), 1200.0);
        let flush = block([[2.0, 4.0], [2.0, 4.0], [5.0, 10.0]]);
        let holed = one.minus(&flush).unwrap();
        near(holed.volume(), 980.0);
        assert_eq!(holed.open_edges(), 0);
    }

    /// The crate's own order differs from run to run; ours does not.
    #[test]
    fn the_same_cut_is_the_same_solid() {
        let block = block([[0.0, 10.0], [0.0, 8.0], [0.0, 5.0]]);
        let bore = Solid::from(&shapes::cone(3.0, 3.0, 5.0, 48))
            .map(|point| point + Vector::new(5.0, 4.0, 0.0));
        let one = block.minus(&bore).unwrap();
        assert_eq!(one.open_edges(), 0);
        for _ in 0..20 {
            let other = block.minus(&bore).unwrap();
            assert!(one.facets == other.facets && one.points == other.points);
        }
    }

    #[test]
    fn a_surface_with_a_hole_is_reported() {
        let mut open = block([[0.0, 1.0]; 3]);
        assert_eq!(open.open_edges(), 0);
        open.facets.pop();
        assert_eq!(open.open_edges(), 3);
        assert!(open.minus(&block([[0.5, 2.0]; 3])).is_err());
    }
}
