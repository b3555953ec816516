//! Facing the stock, and the round counterbore of the nozzle.

use std::f64::consts::TAU;

use super::holes::ABOVE_MM;
use super::path::Path;
use super::setup::Setup;
use super::simulation::BESIDE_MM;
use super::slots::{PLUNGE, Rates};
use super::tool::Tool;
use crate::mold::cut_feature::Cut;

/// An arc in straight pieces is off by this at most, mm.
const CHORD_MM: f64 = 0.002;

/// Faces the stock from its top down to its finished height, to and fro; the cutter comes down
/// beside the stock.
pub(super) fn face(setup: &Setup<'_>, path: &mut Path, tool: Tool, rates: Rates) {
    let [top, floor] = setup.tops;
    let passes = ((top - floor) / rates.pass.max(1e-3) - 1e-6).ceil().max(1.0);
    let [x, y] = setup.stock();
    let along = if x[1] - x[0] >= y[1] - y[0] { 0 } else { 1 };
    let (lane, beside) = if along == 0 { (x, y) } else { (y, x) };
    let radius = tool.radius();
    // Each lane takes one side step of new metal.
    let width = beside[1] - beside[0];
    let lanes = (width / rates.step - 1e-6).ceil().max(1.0) as u32;
    let ends = [lane[0] - radius - BESIDE_MM, lane[1] + radius + BESIDE_MM];
    for pass in 1..=passes as u32 {
        let z = top - (top - floor) * f64::from(pass) / passes;
        for number in 0..lanes {
            let aside = beside[0] - radius + rates.step * f64::from(number + 1);
            let aside = aside.min(beside[1] - radius);
            let [from, to] = if number % 2 == 0 { ends } else { [ends[1], ends[0]] };
            let at = |end: f64| if along == 0 { [end, aside] } else { [aside, end] };
            let [from, to] = [at(from), at(to)];
            if number == 0 {
                path.approach(from, z);
            }
            path.cut([from[0], from[1], z], rates.feed);
            path.cut([to[0], to[1], z], rates.feed);
        }
        path.lift();
    }
}

/// Mills a round pocket with a flat floor from the top of the finished face: down a helix, then
/// outward along a spiral, pass by pass.
///
/// # Errors
/// Where the cutter is too wide for it.
pub(super) fn counterbore(
    setup: &Setup<'_>,
    path: &mut Path,
    cut: &Cut,
    tool: Tool,
    rates: Rates,
) -> Result<(), String> {
    let at = setup.flat(cut.at);
    let [top, floor] = [setup.tops[1], setup.heights(cut)[0]];
    let outer = cut.width / 2.0 - tool.radius();
    if outer < 1e-3 {
        return Err("the cutter is wider".to_owned());
    }
    let inner = outer.min(0.4 * tool.diameter);
    let passes = ((top - floor) / rates.pass.max(1e-3) - 1e-6).ceil().max(1.0);
    path.approach([at[0] + inner, at[1]], top + ABOVE_MM);
    path.cut([at[0] + inner, at[1], top], PLUNGE * rates.feed);
    let mut from = top;
    for pass in 1..=passes as u32 {
        let to = top - (top - floor) * f64::from(pass) / passes;
        let round = |path: &mut Path, radii: [f64; 2], heights: [f64; 2], turns: f64| {
            for place in spiral(at, radii, heights, turns) {
                path.cut(place, rates.feed);
            }
        };
        round(path, [inner; 2], [from, to], 1.0);
        // The floor of the helix is level after one more turn.
        round(path, [inner; 2], [to; 2], 1.0);
        if outer > inner {
            let turns = ((outer - inner) / rates.step).ceil().max(1.0);
            round(path, [inner, outer], [to; 2], turns);
            round(path, [outer; 2], [to; 2], 1.0);
            path.cut([at[0] + inner, at[1], to], rates.feed);
        }
        from = to;
    }
    path.lift();
    Ok(())
}

/// Whole turns around a place, counter-clockwise, from one radius and height to another. An arc of
/// the angle a is off its chord by r (1 − cos(a / 2)).
fn spiral(at: [f64; 2], radii: [f64; 2], heights: [f64; 2], turns: f64) -> Vec<[f64; 3]> {
    let widest = radii[0].max(radii[1]).max(CHORD_MM);
    let angle = 2.0 * (1.0 - CHORD_MM / widest).acos();
    let count = (turns * TAU / angle).ceil().max(8.0);
    let place = |step: u32| {
        let share = f64::from(step) / count;
        let mix = |ends: [f64; 2]| ends[0] + (ends[1] - ends[0]) * share;
        let (sin, cos) = (TAU * turns * share).sin_cos();
        let r = mix(radii);
        [at[0] + r * cos, at[1] + r * sin, mix(heights)]
    };
    (1..=count as u32).map(place).collect()
}
