//! How much metal is left between the hole of a pin and the cavity, measured on the solids.

use std::f64::consts::TAU;

use rayon::prelude::*;

use super::build::Mold;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::bvh::Bvh;
use crate::mold::cut_feature::{Cut, Kind};
use crate::part::halves::Half;

/// Metal between the hole of a pin and the cavity, mm: 1; a thinner wall breaks out when the
/// hole is reamed (judgment).
pub const LEAST_MM: f64 = 1.0;

/// Places around a hole, and between two depths along it, mm.
const AROUND: u32 = 36;
const STEP_MM: f64 = 0.5;

/// Nearer than this to the face that the pin pushes on, the face itself is nearest: there only
/// walls beside the hole count, mm.
const BELOW_MM: f64 = 0.2;

/// The least metal beside any hole of a pin in `mold`, whose part is in `bvh`, mm, and where;
/// `None` where there is no pin.
pub fn least(mold: &Mold, bvh: &Bvh) -> Option<(f64, Point)> {
    let pins = mold.layout.cuts.iter().filter(|cut| cut.kind == Kind::Pin);
    let pins: Vec<&Cut> = pins.collect();
    let beside = |cut: &&Cut| beside(mold, bvh, cut);
    pins.par_iter().filter_map(beside).min_by(|a, b| a.0.total_cmp(&b.0))
}

fn beside(mold: &Mold, bvh: &Bvh, cut: &Cut) -> Option<(f64, Point)> {
    let [low, high] = mold.layout.block[2];
    // From the outer face of its half a pin runs to the face that it pushes on.
    let (out, back) = if cut.half == Half::Plus { (1.0, high) } else { (-1.0, low) };
    let tip = back - out * cut.depth;
    let radius = cut.width / 2.0;
    let steps = ((cut.depth - BELOW_MM) / STEP_MM).floor().max(0.0);
    let mut least: Option<(f64, Point)> = None;
    for step in (0..).map(f64::from).take_while(|step| *step <= steps) {
        let below = BELOW_MM + step * STEP_MM;
        let z = tip + out * below;
        for turn in 0..AROUND {
            let (sin, cos) = (TAU * f64::from(turn) / f64::from(AROUND)).sin_cos();
            let way = Vector::new(cos, sin, 0.0);
            let rim = Point::new(cut.at[0], cut.at[1], z) + way * radius;
            let metal = if below < LEAST_MM {
                Direction::new(way)
                    .and_then(|way| bvh.first_hit(&rim, way, 0.0))
                    .map(|hit| hit.distance)
            } else {
                bvh.nearest(&rim, f64::INFINITY).map(|near| near.distance)
            };
            if let Some(metal) =
                metal.filter(|it| least.is_none_or(|(known, _)| *it < known))
            {
                least = Some((metal, rim));
            }
        }
    }
    least
}
