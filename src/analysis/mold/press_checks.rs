//! What press and mill say to the block of a mold.

use super::MoldChoices;
use crate::analysis::Analysis;
use crate::mold::build::Mold;
use crate::mold::mold_checks::Check;
use crate::part::halves::Half;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::flash::LAND_SHARE;
use crate::units::{Quantity, in_mm, in_mpa};

/// Every check of the block.
pub(super) fn press_checks(
    analysis: &Analysis,
    choices: &MoldChoices,
    mold: &Mold,
) -> Vec<Check> {
    let block = mold.layout.block;
    let [x, y, z] = block.map(|[low, high]| high - low);
    let closed = "height of the closed mold against the opening of the press";
    let mut checks = vec![choices.opening.map_or_else(
        || Check::unknown(closed, None, "mm"),
        |opening| Check::at_most(closed, z, in_mm(opening), "mm"),
    )];
    let names = ["longer edge", "shorter edge", "thickness"];
    let thickest = mold.stock(Half::Plus).max(mold.stock(Half::Minus));
    let sizes = [x.max(y), x.min(y), thickest];
    let travel = choices.travel.map(|travel| {
        let [a, b, c] = travel.map(in_mm);
        [a.max(b), a.min(b), c]
    });
    for axis in 0..3 {
        let name = format!("{} of a plate against the travel of the mill", names[axis]);
        checks.push(travel.map_or_else(
            || Check::unknown(&name, None, "mm"),
            |travel| Check::at_most(&name, sizes[axis], travel[axis], "mm"),
        ));
    }
    let bounds = mold.part.bounds();
    let behind = (block[2][1] - bounds.max.z).min(bounds.min.z - block[2][0]);
    checks.push(Check::at_least("metal behind the part", behind, 3.0, "mm"));
    checks.push(bearing(analysis, mold));
    checks.push(gap_check(analysis));
    checks
}

/// How far the parting opens under the melt: not known where nothing is said of bolts or vise,
/// too much where they or the plates are overloaded.
fn gap_check(analysis: &Analysis) -> Check {
    let name = "gap of the parting under the melt";
    let bows = analysis.evaluation.clamping.bows();
    let limit = bows.and_then(|bows| bows.stays_in).map(|range| in_mm(range.low));
    let (Some(bows), Some(limit)) = (bows, limit) else {
        return Check::unknown(name, limit, "mm");
    };
    bows.gap.map_or_else(
        || Check {
            ok: Some(false),
            why: Some("bolts or plates are loaded beyond what they stand".to_owned()),
            ..Check::unknown(name, Some(limit), "mm")
        },
        |gap| Check::at_most(name, in_mm(gap), limit, "mm"),
    )
}

/// Pressure of all bolts at their highest preload on the land around part and feed.
fn bearing(analysis: &Analysis, mold: &Mold) -> Check {
    let name = "pressure of the bolts on the land";
    let proof = mold.layout.plates.alloy.metal().proof;
    let limit = in_mpa(proof) * LAND_SHARE;
    let preload = analysis.setup.press.bolts().map(Bolts::high_preload);
    let Some(Ok(preload)) = preload else {
        return Check::unknown(name, Some(limit), "MPa");
    };
    let [x, y, _] = mold.layout.block.map(|[low, high]| high - low);
    let projected_area = analysis.release.silhouette.area
        * mold.axes.area_scale_across()
        * f64::from(mold.star.count);
    let round = |diameter: f64| std::f64::consts::FRAC_PI_4 * diameter * diameter;
    let holes: f64 = mold
        .layout
        .cuts
        .iter()
        .filter(|cut| cut.half == mold.core && cut.end.is_none())
        .map(|cut| round(cut.width))
        .sum();
    let land = x * y - projected_area - holes;
    Check::at_most(name, preload.si() / land, limit, "MPa")
}
