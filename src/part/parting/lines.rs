//! The border between the two sides as short straight segments: facet edges, and cuts
//! across upright facets.

use super::Heights;
use super::sides::Side;
use crate::geom::Point;
use crate::mesh::neighbors::NONE;
use crate::part::Part;

/// A corner of the mesh (twice the same) or the place where an edge meets the plane.
pub(super) type Node = [u32; 2];

/// A piece of the line, with the + side on its left seen from outside.
#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    pub(super) from: Node,
    pub(super) to: Node,
    /// Heights of its ends along the pull, mm.
    pub(super) heights: [f64; 2],
    /// Length, mm.
    pub(super) length: f64,
    /// The facet on the + side and on the − side; the same where the plane cuts it.
    pub(super) facets: [u32; 2],
}

/// Parts the free walls at `plane`.
#[derive(Clone, Copy)]
pub(super) struct Cutter<'a> {
    pub(super) part: &'a Part,
    pub(super) sides: &'a [Side],
    pub(super) heights: &'a Heights,
    /// Height of the plane, mm.
    pub(super) plane: f64,
}

impl Cutter<'_> {
    /// Every piece of the line.
    pub(super) fn segments(&self) -> Vec<Segment> {
        let mut segments = Vec::new();
        for facet in 0..self.sides.len() as u32 {
            self.add(facet, &mut segments);
        }
        segments
    }

    /// Adds the pieces of which `facet` is the + side.
    pub(super) fn add(&self, facet: u32, segments: &mut Vec<Segment>) {
        let corners = self.part.mesh.facets()[facet as usize];
        for side in 0..3 {
            let [a, b] = [corners[side], corners[(side + 1) % 3]];
            let other = self.part.neighbors[facet as usize][side];
            if other == NONE {
                continue;
            }
            for (from, to) in self.pieces(a, b, [facet, other]).into_iter().flatten() {
                if self.is_plus(facet, from, to) && !self.is_plus(other, from, to) {
                    segments.push(self.segment(from, to, [facet, other]));
                }
            }
        }
        if let (Some(Side::Free), Some((from, to))) =
            (self.sides.get(facet as usize), self.cut(corners))
        {
            segments.push(self.segment(from, to, [facet; 2]));
        }
    }

    fn segment(&self, from: Node, to: Node, facets: [u32; 2]) -> Segment {
        let length = (self.point(to) - self.point(from)).norm();
        let heights = [from, to].map(|node| self.height(node));
        Segment { from, to, heights, length, facets }
    }

    /// Where `node` is.
    pub(super) fn point(&self, [low, high]: Node) -> Point {
        let [a, b] = [low, high].map(|corner| self.part.mesh.points()[corner as usize]);
        if low == high {
            return a;
        }
        let [from, to] = [low, high].map(|corner| self.heights.list[corner as usize]);
        a + (b - a) * ((self.plane - from) / (to - from)).clamp(0.0, 1.0)
    }

    fn height(&self, [low, high]: Node) -> f64 {
        if low == high { self.heights.list[low as usize] } else { self.plane }
    }

    /// 1 above the plane, −1 below, 0 in it.
    pub(super) fn level(&self, corner: u32) -> i32 {
        let above = self.heights.list[corner as usize] - self.plane;
        i32::from(above > self.heights.level) - i32::from(above < -self.heights.level)
    }

    /// The edge `a`–`b`, in two where the plane parts it on a free wall.
    fn pieces(&self, a: u32, b: u32, facets: [u32; 2]) -> [Option<(Node, Node)>; 2] {
        match self.parted(a, b, facets) {
            Some(between) => [Some(([a; 2], between)), Some((between, [b; 2]))],
            None => [Some(([a; 2], [b; 2])), None],
        }
    }

    /// Where the plane parts the edge `a`–`b` of `facets`, one of which is a free wall.
    pub(super) fn parted(&self, a: u32, b: u32, facets: [u32; 2]) -> Option<Node> {
        let is_free = |facet: u32| self.sides.get(facet as usize) == Some(&Side::Free);
        let parts = self.level(a) * self.level(b) < 0 && facets.into_iter().any(is_free);
        parts.then(|| [a.min(b), a.max(b)])
    }

    /// Whether `facet` belongs to the + half along the piece `from`–`to` of its edge.
    fn is_plus(&self, facet: u32, from: Node, to: Node) -> bool {
        match self.sides[facet as usize] {
            Side::Plus => true,
            Side::Minus => false,
            Side::Whole(middle) => middle > self.plane,
            Side::Free => {
                let level =
                    |node: Node| if node[0] == node[1] { self.level(node[0]) } else { 0 };
                let along = level(from) + level(to);
                let corners = self.part.mesh.facets()[facet as usize];
                let whole: i32 = corners.iter().map(|&corner| self.level(corner)).sum();
                // An edge in the plane goes with the rest of its facet.
                if along == 0 { whole >= 0 } else { along > 0 }
            }
        }
    }

    /// The line in which the plane parts a facet, + on its left.
    fn cut(&self, corners: [u32; 3]) -> Option<(Node, Node)> {
        let (mut down, mut up) = (None, None);
        for side in 0..3 {
            let [before, a, b] = [side + 2, side, side + 1].map(|at| corners[at % 3]);
            let node = [a.min(b), a.max(b)];
            match (self.level(before), self.level(a), self.level(b)) {
                (_, 1, -1) => down = Some(node),
                (_, -1, 1) => up = Some(node),
                (1, 0, -1) => down = Some([a; 2]),
                (-1, 0, 1) => up = Some([a; 2]),
                _ => {}
            }
        }
        down.zip(up)
    }
}
