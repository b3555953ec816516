//! What pushes the melt: a ram of limited force, perhaps of limited speed, through a feed.

use crate::fill::feed_channels::Segment;
use crate::numeric::false_position;

/// What pushes.
#[derive(Clone, Copy)]
pub struct Drive<'a> {
    /// Greatest pressure at the ram, Pa.
    pub pressure_pa: f64,
    /// Greatest flow, m³/s; `None` where only the force limits.
    pub most_m3_s: Option<f64>,
    /// Pressure lost where the melt stays hot, in the nozzle, at a flow in m³/s, Pa; never
    /// falls with the flow.
    pub feed: &'a (dyn Fn(f64) -> f64 + Sync),
    /// What it passes in the mold before the part; none where the part is fed at once.
    pub channels: &'a [Segment],
}

/// What the cavity takes: c P (P / P₀)ᵉ at the gate pressure P, m³/s.
#[derive(Clone, Copy)]
pub(super) struct Intake {
    /// c, m³/(s Pa).
    pub(super) conductance: f64,
    /// P₀, Pa.
    pub(super) reference_pa: f64,
    /// e, 1/n − 1 of the melt.
    pub(super) exponent: f64,
}

impl Intake {
    fn flow(&self, pressure_pa: f64) -> f64 {
        let thinned = (pressure_pa / self.reference_pa).powf(self.exponent);
        self.conductance * pressure_pa * thinned
    }

    /// The pressure at which it takes `flow_m3_s`; infinite for one that takes nothing.
    fn pressure(&self, flow_m3_s: f64) -> f64 {
        if self.conductance <= 0.0 {
            return f64::INFINITY;
        }
        let rise = self.reference_pa.powf(self.exponent) / self.conductance;
        (flow_m3_s * rise).powf((1.0 + self.exponent).recip())
    }
}

/// The gate pressure is found to this share of itself.
const BALANCED: f64 = 1e-6;

impl Drive<'_> {
    /// Flow (m³/s) and pressure at the gate (Pa) into a cavity of this `intake`, where the
    /// channels of the mold lose `channels` at a flow.
    pub(super) fn balance(
        &self,
        intake: &Intake,
        channels: &dyn Fn(f64) -> f64,
    ) -> (f64, f64) {
        let spent = |gate_pa: f64| {
            let flow = intake.flow(gate_pa);
            (self.feed)(flow) + channels(flow) + gate_pa
        };
        let most = match self.most_m3_s {
            Some(most) => self.pressure_pa.min(intake.pressure(most)),
            None => self.pressure_pa,
        };
        if spent(most) <= self.pressure_pa {
            return (intake.flow(most), most);
        }
        let over = |log: f64| (spent(log.exp()) / self.pressure_pa).ln();
        let least = most * LEAST_SHARE;
        let gate_pa = false_position([least.ln(), most.ln()], BALANCED, over).exp();
        (intake.flow(gate_pa), gate_pa)
    }

    /// The flow that the channels filled so far let through, m³/s.
    pub(super) fn run_in(&self, channels: &dyn Fn(f64) -> f64) -> f64 {
        let over = |log: f64| {
            let flow = log.exp();
            ((self.feed)(flow) + channels(flow)).max(f64::MIN_POSITIVE).ln()
                - self.pressure_pa.ln()
        };
        let most = self.most_m3_s.unwrap_or(MOST_M3_S).min(MOST_M3_S);
        if over(most.ln()) <= 0.0 {
            return most;
        }
        false_position([LEAST_M3_S.ln(), most.ln()], BALANCED, over).exp()
    }
}

/// The gate gets at least this share of the pressure there is, or as good as none.
const LEAST_SHARE: f64 = 1e-9;

/// Flows searched while the feed fills, m³/s.
const LEAST_M3_S: f64 = 1e-12;
const MOST_M3_S: f64 = 1e-3;
