//! Temperature through one section, a step of time on.
//!
//! Backward Euler on the nodes of [`crate::fill::gap_nodes`]: conduction across the section to
//! a mold at its temperature through a contact of its own, and melt that comes in along the
//! flow, node by node as fast as each moves, so a step may be as long as it likes. Where the
//! velocities change along the flow, what this moves across the section is left out; energy
//! then closes to 1 % (`tests/fill/through_the_gap.rs`).

use crate::fill::gap_nodes::{ByNode, NODES, Nodes};

/// What a section gets along the flow during a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Exchange {
    /// Melt that comes into each node, and as much that leaves it, as a share of the volume of
    /// the section.
    pub(super) inflow: ByNode,
    /// The same, times its temperature, K.
    pub(super) inflow_k: ByNode,
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
        for node in 0..NODES {
            self.right[node] += exchange.inflow_k[node] + exchange.sheared_k[node];
            self.diagonal[node] += exchange.inflow[node];
        }
    }

    /// Thomas's elimination, each row divided by its diagonal once.
    fn solve(mut self, kelvin: &mut ByNode) {
        let [mut upper, mut right] = [0.0, 0.0];
        for node in 0..NODES {
            let lower = self.lower[node];
            let inverse = 1.0 / (self.diagonal[node] - lower * upper);
            right = (self.right[node] - lower * right) * inverse;
            upper = self.upper[node] * inverse;
            (self.right[node], self.upper[node]) = (right, upper);
        }
        let mut next = 0.0;
        for node in (0..NODES).rev() {
            next = self.right[node] - self.upper[node] * next;
            kelvin[node] = next;
        }
    }
}

/// The temperatures at the inner boundary of each node, and at the wall.
pub(super) fn boundaries(kelvin: &ByNode, nodes: &Nodes, wall: Wall) -> [f64; NODES + 1] {
    let mut at = [kelvin[0]; NODES + 1];
    for node in 1..NODES {
        let step = kelvin[node] - kelvin[node - 1];
        at[node] = kelvin[node - 1] + nodes.between[node] * step;
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

/// What a new cell gets of a front whose nodes carry `passing` of the flow and hold `share` of
/// the section: the slow nodes are filled up from the fast ones.
pub(super) fn turned_outward(
    kelvin: &ByNode,
    passing: &ByNode,
    share: &ByNode,
) -> ByNode {
    let (mut volume, mut warmth) = (0.0, 0.0);
    for node in 0..NODES {
        let excess = (passing[node] - share[node]).max(0.0);
        volume += excess;
        warmth += excess * kelvin[node];
    }
    if volume <= 0.0 {
        return *kelvin;
    }
    let fountain = warmth / volume;
    std::array::from_fn(|node| {
        let own = (passing[node] / share[node]).min(1.0);
        own * kelvin[node] + (1.0 - own) * fountain
    })
}

#[cfg(test)]
mod tests {
    use super::{Exchange, Wall, frozen, step};
    use crate::fill::fluidity::{Fluidity, log_lever};
    use crate::fill::gap_nodes::{ByNode, NODES, Nodes};
    use crate::process::plastic::viscosity::Viscosity;
    use crate::process::thermal::cooling::{Section, share_at, terms};
    use crate::units::{DynamicViscosity, Pressure, Quantity, Temperature};

    const PERFECT: f64 = f64::INFINITY;

    /// Standing melt: the mean excess of plate and rod against their series (Carslaw and
    /// Jaeger, 1959, §3.4 and §7.6); the mean weighs a term w by w/β for the plate, whose
    /// terms here are those of the middle, 4/((2n+1)π) (−1)ⁿ.
    #[test]
    fn a_plate_cools_as_its_series_says() {
        let nodes = Nodes::new(1.0);
        let mut kelvin: ByNode = [1.0; NODES];
        let (steps, until) = (400, 0.4);
        let wall = Wall { fourier: until / f64::from(steps), biot: PERFECT, mold_k: 0.0 };
        let mut lost = 0.0;
        for _ in 0..steps {
            lost += step(&mut kelvin, &nodes, wall, None);
        }
        let middle = share_at(terms(Section::Plate), until);
        assert!((kelvin[0] / middle - 1.0).abs() < 0.02, "{} {middle}", kelvin[0]);
        let held: f64 = kelvin.iter().zip(nodes.share).map(|(k, share)| k * share).sum();
        assert!((lost + held - 1.0).abs() < 1e-12);
        // 8/π² e^(−π²Fo/4) of the heat is left once the first term rules.
        let pi = std::f64::consts::PI;
        let left = 8.0 / (pi * pi) * (-pi * pi / 4.0 * until).exp();
        assert!((held / left - 1.0).abs() < 0.02, "{held} {left}");
        // The temperature falls as a cosine toward the wall: half of it at 2/3.
        let share = frozen(&kelvin, &nodes, wall, 0.5 * middle);
        assert!((share - 1.0 / 3.0).abs() < 0.02, "{share}");
    }

    #[test]
    fn a_rod_and_a_wall_behind_a_contact_cool_as_they_should() {
        let nodes = Nodes::new(2.0);
        let mut kelvin: ByNode = [1.0; NODES];
        let wall = Wall { fourier: 5e-4, biot: PERFECT, mold_k: 0.0 };
        for _ in 0..400 {
            step(&mut kelvin, &nodes, wall, None);
        }
        let middle = share_at(terms(Section::Rod), 0.2);
        assert!((kelvin[0] / middle - 1.0).abs() < 0.02, "{} {middle}", kelvin[0]);
        // Where the contact is all that resists, the plate cools as a lump: e^(−Bi Fo).
        let nodes = Nodes::new(1.0);
        let mut kelvin: ByNode = [1.0; NODES];
        let wall = Wall { fourier: 0.1, biot: 0.01, mold_k: 0.0 };
        for _ in 0..1000 {
            step(&mut kelvin, &nodes, wall, None);
        }
        assert!((kelvin[0] / (-1.0_f64).exp() - 1.0).abs() < 0.01, "{}", kelvin[0]);
    }

    /// Steady flow through a slit of one wall temperature: far from the inlet the heat transfer
    /// is Nu = h 2H/k = 7.541 (Incropera and De Witt, Fundamentals of Heat and Mass Transfer,
    /// Table 8.1, parallel plates), so the mixed temperature falls by Nu α/(H² v̄) along it.
    #[test]
    fn melt_in_a_slit_cools_by_the_nusselt_number() {
        let viscosity =
            Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
        let at = Temperature::from_si(493.15);
        let fluidity = Fluidity::new(&viscosity, at, Pressure::from_si(0.0)).unwrap();
        let nodes = Nodes::new(1.0);
        let log_stress = log_lever(0, 2e-3) + 1e7_f64.ln();
        let flow = fluidity.passing(0, log_stress, &[1.0; NODES], &nodes).flow;
        // Half a gap of 1, α of 1, v̄ of 100: cells of 1 along the flow; one endless step.
        let (velocity, lasts) = (100.0, 1e9);
        let wall = Wall { fourier: lasts, biot: PERFECT, mold_k: 0.0 };
        let inflow = flow.map(|share| share * velocity * lasts);
        let mut before: ByNode = [1.0; NODES];
        let mut mixed = Vec::new();
        for _ in 0..60 {
            let inflow_k = std::array::from_fn(|node| inflow[node] * before[node]);
            let sheared_k = [0.0; NODES];
            let exchange = Exchange { inflow, inflow_k, sheared_k };
            step(&mut before, &nodes, wall, Some(&exchange));
            mixed.push(before.iter().zip(flow).map(|(k, share)| k * share).sum::<f64>());
        }
        // Upwind cells of 1 decay by 1/(1 + d) where the flow decays by d.
        let decay = mixed[49] / mixed[50] - 1.0;
        let wanted = 7.541 / (4.0 * velocity);
        assert!((decay / wanted - 1.0).abs() < 0.02, "{decay} {wanted}");
    }
}
