//! Why a part sinks or warps: what shrinks after the mold is full, and when.

use super::cause::Cause;
use super::change::Change;
use super::common;
use super::numbers::{Numbers, celsius, mpa};
use crate::units::format::{percent, three_digits};
use crate::units::{Quantity, in_mm};

/// A gate thinner than this share of its wall freezes before the wall is packed (common
/// practice: 40 to 80 % of the wall).
const THIN_GATE: f64 = 0.4;
/// That rule is a range.
const GATE_DOUBT: f64 = 1.3;
/// A place this many times as thick as the median wall shrinks so much later that it bends the
/// part (judgment; trade guides ask for walls within a quarter to a half).
const UNEVEN: f64 = 1.5;
/// What counts as a wall is known to a quarter.
const UNEVEN_DOUBT: f64 = 1.25;
/// Below this shrinkage a part hardly bends of itself: amorphous plastics shrink 0.4 to 0.8 %
/// (common practice).
const LITTLE_SHRINKAGE: f64 = 0.01;
/// Shrinkage is known to such a factor.
const SHRINKAGE_DOUBT: f64 = 2.0;
/// Granules pack by a tenth more or less (judgment).
const BARREL_DOUBT: f64 = 1.1;

/// A sink mark.
pub(super) fn sink(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        common::short_hold(numbers),
        Some(little_pressure(numbers)),
        barrel(numbers),
        common::hot_melt(numbers),
        common::early_opening(numbers),
        thin_gate(numbers),
        common::thick_place(numbers, "and shrinks after its skin is stiff"),
    ];
    all.into_iter().flatten().collect()
}

/// A part that bends.
pub(super) fn warps(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        common::early_opening(numbers),
        warm_mold(numbers),
        common::short_hold(numbers),
        Some(little_pressure(numbers)),
        uneven(numbers),
        shrinkage(numbers),
    ];
    all.into_iter().flatten().collect()
}

fn little_pressure(numbers: &Numbers<'_>) -> Cause {
    let takes = numbers.takes();
    let most = numbers.analysis.evaluation.window.most();
    let cause = Cause::new("pressure_low", "too little pressure packs the part")
        .judged(takes.expected.si(), numbers.pushed.si(), numbers.doubt())
        .because(format!(
            "filling takes {}, {}: the rest packs",
            mpa(takes.expected),
            numbers.pushed_with()
        ))
        .look("weigh parts at rising pressure: a packed part no longer grows");
    if most.si() > 1.02 * numbers.pushed.si() {
        let change = format!("raise it to {}", numbers.set_to(most));
        cause.change(change, Some(Change::Pressure(most)))
    } else {
        let hot = numbers.melt_range().map(|range| range.high);
        let words = hot.map_or_else(String::new, |hot| {
            format!(": heat the melt to {}", celsius(hot))
        });
        let change = format!("no more pressure is there or held{words}");
        cause.change(change, hot.map(Change::Melt))
    }
}

/// No melt is left to follow the shrinkage.
fn barrel(numbers: &Numbers<'_>) -> Option<Cause> {
    let share = numbers.barrel_share()?;
    Some(
        Cause::new("barrel_empty", "the ram is at its stop before the gate freezes")
            .judged(share, 1.0, BARREL_DOUBT)
            .because(format!("a shot takes {} of a stroke", percent(share)))
            .look("mark the ram: while pressure is held it still moves a little")
            .change("charge more, so that melt is left before the ram", None),
    )
}

fn thin_gate(numbers: &Numbers<'_>) -> Option<Cause> {
    let feed = &numbers.analysis.evaluation.feed_design.as_ref().ok()?.feed;
    let wall = numbers.analysis.shape.wall?;
    if feed.gate.is_round {
        return None;
    }
    let share = (feed.gate.depth / wall).si();
    let cause = Cause::new("gate_thin", "the gate freezes before the part is packed")
        .judged(THIN_GATE, share, GATE_DOUBT)
        .because(format!(
            "the gate is {} mm deep, {} of the wall of {} mm; less than {} freezes early",
            three_digits(in_mm(feed.gate.depth)),
            percent(share),
            three_digits(in_mm(wall)),
            percent(THIN_GATE)
        ))
        .look("measure the stub of the gate on the runner");
    let deeper = three_digits(in_mm(wall) * 0.6);
    Some(cause.change(format!("deepen the gate to {deeper} mm"), Some(Change::SizedGate)))
}

/// The mold has warmed up over the session.
fn warm_mold(numbers: &Numbers<'_>) -> Option<Cause> {
    let (range, plastic) = (numbers.mold_range()?, numbers.plastic());
    let shift = numbers.analysis.evaluation.timing.shift.as_ref();
    let (was, how) = match (numbers.shot.mold, numbers.shot.number, shift) {
        (Some(mold), ..) => (mold, "it was".to_owned()),
        (None, Some(number), Some(shift)) => {
            let shot = shift.shots.get(number as usize - 1);
            let at = shot.map_or(shift.end, |shot| shot.mold);
            (at, format!("before shot {number} it is"))
        }
        (None, None, Some(shift)) => {
            (shift.end, "at the end of a shift it is".to_owned())
        }
        (None, _, None) => return None,
    };
    let cause = Cause::new("mold_hot", "the mold is too hot")
        .of_strength(common::beyond(was, range.high));
    // Which shot it was, nobody said.
    let is_said = numbers.shot.mold.is_some() || numbers.shot.number.is_some();
    let cause = if is_said { cause } else { cause.at_most(-0.1) };
    Some(
        cause
            .because(format!(
                "{how} {}; {} is molded into {} to {}",
                celsius(was),
                plastic.name,
                celsius(range.low),
                celsius(range.high)
            ))
            .look("touch both halves with a thermometer: they should differ by a few kelvins at most")
            .change(
                format!("let the mold cool to {}", celsius(range.typical())),
                Some(Change::Mold(range.typical())),
            ),
    )
}

fn uneven(numbers: &Numbers<'_>) -> Option<Cause> {
    let (thickest, wall) = (numbers.thickest_mm()?, in_mm(numbers.analysis.shape.wall?));
    Some(
        Cause::new("walls_uneven", "walls of unlike thickness shrink one after another")
            .judged(thickest / wall, UNEVEN, UNEVEN_DOUBT)
            .because(format!(
                "the thickest place is {} mm, the median wall {} mm",
                three_digits(thickest),
                three_digits(wall)
            ))
            .look("whether the part bends toward its thick side")
            .change(
                format!("core the thick place out toward {} mm", three_digits(wall)),
                None,
            ),
    )
}

fn shrinkage(numbers: &Numbers<'_>) -> Option<Cause> {
    let band = numbers.analysis.evaluation.shrinkage.as_ref().ok()?;
    let plastic = numbers.plastic();
    Some(
        Cause::new(
            "shrinks_much",
            "the plastic shrinks much, and unlike along and across the flow",
        )
        .judged(band.nominal.si(), LITTLE_SHRINKAGE, SHRINKAGE_DOUBT)
        // What every part of this plastic has explains no single bad one.
        .at_most(0.3)
        .because(format!(
            "{} shrinks by {}; below {} parts hardly bend of themselves",
            plastic.name,
            percent(band.nominal.si()),
            percent(LITTLE_SHRINKAGE)
        ))
        .look("whether every part bends the same way, away from the gate")
        .change("let the parts cool clamped flat, or take an amorphous plastic", None),
    )
}
