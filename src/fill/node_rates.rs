//! How much each node of a section adds to the flow.
//!
//! The mean velocity in a section is b ∫ s^d γ̇ ds ([`crate::fill::fluidity`]); a node that is
//! colder shears φ times as fast (`temperature_shift`), so the flow is the sum of the shares
//! of the nodes, each times its φ. The shares depend on the stress at the wall alone, and
//! are tabled against it.

use crate::fill::gap_nodes::{ByNode, NODES, boundary, dimension};
use crate::fill::local_walls::SECTIONS;

/// Stresses at which the shares are kept: between two they change by little.
const STEPS: usize = 64;

/// Shares of the nodes at one stress.
#[derive(Clone, Copy, Debug)]
struct Shares {
    /// ∫ s^d γ̇ ds over each node, over that of the whole section.
    flow: ByNode,
    /// ∫ γ̇ ds over each node, over the same.
    slip: ByNode,
}

/// Shares of the nodes against the stress at the wall, for every section.
#[derive(Clone, Debug)]
pub(super) struct NodeRates {
    /// Logarithm of the first stress, and the step.
    log_stress: [f64; 2],
    tables: Vec<Vec<Shares>>,
}

impl NodeRates {
    /// Tables from `log_flow`: ln of τ^−(d+1) ∫₀^τ σ^d γ̇(σ) dσ, given d (0 included) and ln τ;
    /// stresses run over `log_range`.
    pub(super) fn new(log_range: [f64; 2], log_flow: &dyn Fn(f64, f64) -> f64) -> Self {
        let step = (log_range[1] - log_range[0]) / (STEPS - 1) as f64;
        let shares = |d: f64, log_stress: f64| {
            let whole = log_flow(d, log_stress);
            // ∫₀^s of s^p γ̇, over the whole flow.
            let inside = |p: f64, s: f64| {
                if s <= 0.0 {
                    return 0.0;
                }
                (log_flow(p, log_stress + s.ln()) - whole).exp() * s.powf(p + 1.0)
            };
            let between = |p: f64, node: usize| {
                inside(p, boundary(node + 1)) - inside(p, boundary(node))
            };
            Shares {
                flow: std::array::from_fn(|node| between(d, node)),
                slip: std::array::from_fn(|node| between(0.0, node)),
            }
        };
        let table = |section: usize| {
            let at = |index: usize| {
                shares(dimension(section), log_range[0] + step * index as f64)
            };
            (0..STEPS).map(at).collect()
        };
        let tables = (0..SECTIONS).map(table).collect();
        Self { log_stress: [log_range[0], step], tables }
    }

    fn place(&self, section: usize, log_stress: f64) -> (f64, [&Shares; 2]) {
        let at = ((log_stress - self.log_stress[0]) / self.log_stress[1])
            .clamp(0.0, (STEPS - 1) as f64);
        let index = (at as usize).min(STEPS - 2);
        let table = &self.tables[section];
        (at - index as f64, [&table[index], &table[index + 1]])
    }

    /// Flow of a section whose nodes shear `warmth` times as fast, over that of the section
    /// at melt temperature.
    pub(super) fn slowed(&self, section: usize, log_stress: f64, warmth: &ByNode) -> f64 {
        let (turn, [low, high]) = self.place(section, log_stress);
        let sum = |shares: &Shares| -> f64 {
            shares.flow.iter().zip(warmth).map(|(share, warmth)| share * warmth).sum()
        };
        (1.0 - turn) * sum(low) + turn * sum(high)
    }

    /// Share of the flow that passes through each node, and share of the heat of shear that
    /// each gets. Where nothing flows, what a plug would have.
    pub(super) fn passing(
        &self,
        section: usize,
        log_stress: f64,
        warmth: &ByNode,
        nodes: &super::gap_nodes::Nodes,
    ) -> Passing {
        let (turn, [low, high]) = self.place(section, log_stress);
        let mix = |low: f64, high: f64| (1.0 - turn) * low + turn * high;
        let mut sheared = [0.0; NODES];
        let mut slip = [0.0; NODES];
        for node in 0..NODES {
            sheared[node] = mix(low.flow[node], high.flow[node]) * warmth[node];
            slip[node] = mix(low.slip[node], high.slip[node]) * warmth[node];
        }
        let whole: f64 = sheared.iter().sum();
        if whole <= 0.0 {
            return Passing { flow: nodes.share, heat: nodes.share };
        }
        let mut flow = [0.0; NODES];
        // Velocity is what shears between here and the wall.
        let mut outside = 0.0;
        for node in (0..NODES).rev() {
            let own = sheared[node] - nodes.inside[node] * slip[node];
            flow[node] = (nodes.share[node] * outside + own) / whole;
            outside += slip[node];
        }
        Passing { flow, heat: sheared.map(|own| own / whole) }
    }
}

/// What passes through the nodes of one section.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passing {
    /// Share of the flow.
    pub(super) flow: ByNode,
    /// Share of the heat of shear.
    pub(super) heat: ByNode,
}
