//! Where in a section the temperature is known: nodes from the middle to the wall, finer at
//! the wall.
//!
//! A section is a flat gap (d = 1), a round bore (d = 2) or something between; lengths count
//! in half gaps, from 0 in the middle to 1 at the wall. The area at s grows as d s^(d−1), so
//! the share of the section inside s is s^d.

use crate::fill::local_walls::SECTIONS;

/// Nodes through a half gap: with 10 the pressure that fills a strip differs from that with
/// 20 by less than 2 % (`tests/fill/through_the_gap.rs` measures it).
pub const NODES: usize = 10;

/// How much finer the nodes are at the wall: boundaries stand at 1 − (1 − k/N)^1.4.
const GRADING: f64 = 1.4;

/// One number for each node.
pub type ByNode = [f64; NODES];

/// The nodes of one shape of section.
#[derive(Clone, Debug)]
pub(super) struct Nodes {
    /// d: 1 for a flat gap, 2 for a round bore.
    pub(super) dimension: f64,
    /// Share of the section that each node holds.
    pub(super) share: ByNode,
    /// s^d at the inner boundary of each node.
    pub(super) inside: ByNode,
    /// Conductance from each node to the next one toward the wall, for a diffusivity and a
    /// half gap of 1; nothing for the last.
    pub(super) couples: ByNode,
    /// From the last node to the wall.
    pub(super) to_wall: f64,
    /// Middle of each node.
    pub(super) middle: ByNode,
    /// How far from the middle of the node before to that of each its inner boundary stands, as
    /// a share; nothing for the first.
    pub(super) between: ByNode,
}

/// Inner boundary of node `node`; that of the one behind the last is the wall.
pub(super) fn boundary(node: usize) -> f64 {
    1.0 - (1.0 - node as f64 / NODES as f64).powf(GRADING)
}

/// 1 for a flat gap, 2 for a round bore, for sections from 0 to 16.
pub(super) fn dimension(section: usize) -> f64 {
    1.0 + section as f64 / (SECTIONS - 1) as f64
}

impl Nodes {
    /// The nodes of the section of this dimension.
    pub(super) fn new(dimension: f64) -> Self {
        let mut nodes = Self {
            dimension,
            share: [0.0; NODES],
            inside: [0.0; NODES],
            couples: [0.0; NODES],
            to_wall: 0.0,
            middle: [0.0; NODES],
            between: [0.0; NODES],
        };
        for node in 0..NODES {
            let [low, high] = [boundary(node), boundary(node + 1)];
            nodes.inside[node] = low.powf(dimension);
            nodes.share[node] = high.powf(dimension) - low.powf(dimension);
            nodes.middle[node] = 0.5 * (low + high);
        }
        for node in 0..NODES - 1 {
            let area = dimension * boundary(node + 1).powf(dimension - 1.0);
            nodes.couples[node] = area / (nodes.middle[node + 1] - nodes.middle[node]);
        }
        for node in 1..NODES {
            let [before, own] = [nodes.middle[node - 1], nodes.middle[node]];
            nodes.between[node] = (boundary(node) - before) / (own - before);
        }
        nodes.to_wall = 1.0 - nodes.middle[NODES - 1];
        nodes
    }

    /// Conductance from the last node to the wall through a contact of this Biot number
    /// (h b / k; infinite for a perfect one).
    pub(super) fn to_mold(&self, biot: f64) -> f64 {
        self.dimension / (self.to_wall + biot.recip())
    }
}
