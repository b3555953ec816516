//! Temperature through one section, a step of time on.
//!
//! Backward Euler on the nodes of [`crate::fill::gap_nodes`]: conduction across the section to
//! a mold at its temperature through a contact of its own; melt that comes in and goes out
//! node by node, each as fast as it moves there; and, where a node gets more than it passes
//! on, the flow to the nodes beside it that this makes (upwind). So mass and energy are kept
//! to the last digit, however long the step.

use crate::fill::gap_nodes::{ByNode, NODES, Nodes};

/// What a section exchanges with its neighbors along the flow during a step; volumes as a
/// share of its own.
#[derive(Clone, Copy, Debug)]
pub(super) struct Exchange {
    /// Melt that comes into each node.
    pub(super) inflow: ByNode,
    /// The same, times its temperature, K.
    pub(super) inflow_k: ByNode,
    /// Share of what leaves that leaves from each node; as much leaves as comes in.
    pub(super) outflow: ByNode,
    /// Heat of shear in each node, K times its share of the section.
    pub(super) sheared_k: ByNode,
}

/// The mold as a section meets it during a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wall {
    /// α t / b².
    pub(super) fourier: f64,
    /// h b / k of the contact.
    pub(super) biot: f64,
    /// Temperature of the mold, K.
    pub(super) mold_k: f64,
}

/// The equations of one section.
struct Rows {
    lower: ByNode,
    diagonal: ByNode,
    upper: ByNode,
    right: ByNode,
}

/// Moves the temperatures (K) of a section a step on; gives the heat lost to the mold, K
/// times the section.
pub(super) fn step(
    kelvin: &mut ByNode,
    nodes: &Nodes,
    wall: Wall,
    exchange: Option<&Exchange>,
) -> f64 {
    let mut rows = Rows {
        lower: [0.0; NODES],
        diagonal: nodes.share,
        upper: [0.0; NODES],
        right: std::array::from_fn(|node| nodes.share[node] * kelvin[node]),
    };
    for node in 0..NODES - 1 {
        rows.couple(node, wall.fourier * nodes.couples[node]);
    }
    let to_mold = wall.fourier * nodes.to_mold(wall.biot);
    rows.diagonal[NODES - 1] += to_mold;
    rows.right[NODES - 1] += to_mold * wall.mold_k;
    if let Some(exchange) = exchange {
        rows.flow(exchange);
    }
    rows.solve(kelvin);
    to_mold * (kelvin[NODES - 1] - wall.mold_k)
}

impl Rows {
    fn couple(&mut self, node: usize, conducts: f64) {
        self.diagonal[node] += conducts;
        self.upper[node] -= conducts;
        self.diagonal[node + 1] += conducts;
        self.lower[node + 1] -= conducts;
    }

    fn flow(&mut self, exchange: &Exchange) {
        let leaves: f64 = exchange.inflow.iter().sum();
        let mut outward = 0.0;
        for node in 0..NODES {
            let out = leaves * exchange.outflow[node];
            self.right[node] += exchange.inflow_k[node] + exchange.sheared_k[node];
            self.diagonal[node] += out;
            if node + 1 == NODES {
                break;
            }
            // What this node and those inside it get too much goes on toward the wall.
            outward += exchange.inflow[node] - out;
            if outward > 0.0 {
                self.diagonal[node] += outward;
                self.lower[node + 1] -= outward;
            } else {
                self.diagonal[node + 1] -= outward;
                self.upper[node] += outward;
            }
        }
    }

    /// Thomas's elimination.
    fn solve(mut self, kelvin: &mut ByNode) {
        for node in 1..NODES {
            let factor = self.lower[node] / self.diagonal[node - 1];
            self.diagonal[node] -= factor * self.upper[node - 1];
            self.right[node] -= factor * self.right[node - 1];
        }
        let mut next = 0.0;
        for node in (0..NODES).rev() {
            next = (self.right[node] - self.upper[node] * next) / self.diagonal[node];
            kelvin[node] = next;
        }
    }
}

/// The temperatures at the inner boundary of each node, and at the wall.
pub(super) fn boundaries(kelvin: &ByNode, nodes: &Nodes, wall: Wall) -> [f64; NODES + 1] {
    let mut at = [kelvin[0]; NODES + 1];
    for node in 1..NODES {
        let [before, own] = [nodes.middle[node - 1], nodes.middle[node]];
        let share = (super::gap_nodes::boundary(node) - before) / (own - before);
        at[node] = kelvin[node - 1] + share * (kelvin[node] - kelvin[node - 1]);
    }
    // The same heat flows to the surface and through the contact.
    let [inner, contact] = [nodes.to_wall.recip(), wall.biot];
    let last = kelvin[NODES - 1];
    at[NODES] = if contact.is_finite() {
        (inner * last + contact * wall.mold_k) / (inner + contact)
    } else {
        wall.mold_k
    };
    at
}

/// Share of the half gap that is colder than `no_flow_k`.
pub(super) fn frozen(kelvin: &ByNode, nodes: &Nodes, wall: Wall, no_flow_k: f64) -> f64 {
    let at = boundaries(kelvin, nodes, wall);
    // From the wall inward to where it is warm enough.
    for node in (0..NODES).rev() {
        let [inner, outer] = [at[node], at[node + 1]];
        if inner > no_flow_k {
            let [low, high] =
                [super::gap_nodes::boundary(node), super::gap_nodes::boundary(node + 1)];
            let share = ((no_flow_k - outer) / (inner - outer)).clamp(0.0, 1.0);
            return if outer >= no_flow_k {
                1.0 - high
            } else {
                1.0 - high + share * (high - low)
            };
        }
    }
    1.0
}
