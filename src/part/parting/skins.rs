//! The surface that each half forms.
//!
//! A facet that the plane of the parting crosses is cut there, and its neighbors share the
//! new corners, so that the two skins meet along whole edges.

use std::collections::BTreeMap;

use super::lines::{Cutter, Node};
use super::sides::Side;
use crate::geom::Point;
use crate::mesh::TriMesh;
use crate::part::halves::{FormedFacets, Half};

/// The surface of a part, cut where the halves meet.
#[derive(Clone, Debug)]
pub struct Skins {
    /// The facets, those that the parting crosses cut in pieces.
    pub mesh: TriMesh,
    /// The half that forms each facet of `mesh`.
    pub halves: Vec<Half>,
    /// The facet of the part that each facet of `mesh` is, or is a piece of.
    pub origins: Vec<u32>,
    /// The half that forms each facet of the part.
    pub formed: FormedFacets,
}

impl Skins {
    /// The skins of a part that no plane cuts.
    #[cfg(test)]
    pub(crate) fn uncut(mesh: TriMesh, halves: Vec<Half>) -> Self {
        let whole = halves.iter().copied().map(Some).collect();
        let origins = (0..mesh.facets().len() as u32).collect();
        Self { mesh, halves, origins, formed: FormedFacets { whole, plane: 0.0 } }
    }

    pub(super) fn split(cutter: &Cutter<'_>) -> Self {
        let points = cutter.part.mesh.points().to_vec();
        let mut cut = Cut { cutter, points, new: BTreeMap::new() };
        let count = cutter.sides.len();
        let mut facets = Vec::with_capacity(count);
        let mut halves = Vec::with_capacity(count);
        let mut origins = Vec::with_capacity(count);
        let mut whole = Vec::with_capacity(count);
        for facet in 0..cutter.sides.len() as u32 {
            let own = cut.half(facet);
            for piece in cut.pieces(facet) {
                let [a, b, c] = piece.map(|corner| cut.points[corner as usize]);
                // A piece without area would shift those behind it.
                if (b - a).cross(&(c - a)).norm() > 0.0 {
                    facets.push(piece);
                    origins.push(facet);
                    halves.push(own.unwrap_or_else(|| cut.half_of_piece(piece)));
                }
            }
            whole.push(own);
        }
        // A copy of the part's own mesh takes no memory.
        let is_cut = !cut.new.is_empty();
        let mesh = if is_cut {
            TriMesh::new(cut.points, facets)
        } else {
            cutter.part.mesh.clone()
        };
        Self {
            mesh,
            halves,
            origins,
            formed: FormedFacets { whole, plane: cutter.plane },
        }
    }
}

struct Cut<'a> {
    cutter: &'a Cutter<'a>,
    points: Vec<Point>,
    /// Corners where the plane meets an edge.
    new: BTreeMap<Node, u32>,
}

impl Cut<'_> {
    /// The half that forms all of `facet`; `None` where the plane cuts it.
    fn half(&self, facet: u32) -> Option<Half> {
        let plus = |is: bool| if is { Half::Plus } else { Half::Minus };
        let levels = self.cutter.part.mesh.facets()[facet as usize]
            .map(|corner| self.cutter.level(corner));
        match self.cutter.sides[facet as usize] {
            Side::Plus => Some(Half::Plus),
            Side::Minus => Some(Half::Minus),
            Side::Whole(middle) => Some(plus(middle > self.cutter.plane)),
            Side::Free if levels.contains(&1) && levels.contains(&-1) => None,
            Side::Free => Some(plus(levels.iter().sum::<i32>() >= 0)),
        }
    }

    fn half_of_piece(&self, piece: [u32; 3]) -> Half {
        let old = self.cutter.part.mesh.points().len() as u32;
        let corners = piece.into_iter().filter(|&corner| corner < old);
        let above: i32 = corners.map(|corner| self.cutter.level(corner)).sum();
        if above >= 0 { Half::Plus } else { Half::Minus }
    }

    /// `facet`, cut at the new corners on its edges, turning as it does.
    fn pieces(&mut self, facet: u32) -> Vec<[u32; 3]> {
        let corners = self.cutter.part.mesh.facets()[facet as usize];
        let new = [0, 1, 2].map(|side| self.corner_on(facet, corners, side));
        // Turned so that the edge without a new corner, or the only one with, comes last.
        let turned = |by: usize| [0, 1, 2].map(|at| corners[(at + by) % 3]);
        for by in 0..3 {
            let [a, b, c] = turned(by);
            match [0, 1, 2].map(|at| new[(at + by) % 3]) {
                [None, None, Some(at)] => return vec![[a, b, at], [at, b, c]],
                [Some(ab), Some(bc), None] => {
                    return vec![[ab, b, bc], [a, ab, bc], [a, bc, c]];
                }
                _ => {}
            }
        }
        vec![corners]
    }

    /// The new corner on edge `side` of `facet`, where the plane meets it on a free wall.
    fn corner_on(&mut self, facet: u32, corners: [u32; 3], side: usize) -> Option<u32> {
        let [a, b] = [corners[side], corners[(side + 1) % 3]];
        let other = self.cutter.part.neighbors[facet as usize][side];
        let node = self.cutter.parted(a, b, [facet, other])?;
        let at = self.cutter.point(node);
        Some(*self.new.entry(node).or_insert_with(|| {
            self.points.push(at);
            self.points.len() as u32 - 1
        }))
    }
}
