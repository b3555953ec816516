//! Milling under its keys.

use crate::analysis::milling::MillingStudy;
use crate::mold::milling::cutter::Cutter;
use crate::mold::milling::cutter_use::Use;
use crate::mold::milling::outcome::{self, Cure};
use crate::mold::milling::ridges::Ridges;
use crate::schema::{CutterUse, Milling, MillingCure, Unreached};

/// What is known of `cutting`; of a part that is judged as drawn or as milled.
pub(crate) fn milling(cutting: Option<&MillingStudy>, as_milled: bool) -> Milling {
    let Some(cutting) = cutting else { return Milling::default() };
    let (milled, list) = (&cutting.milled, &cutting.list.cutters);
    Milling {
        unreached: Some(milled.unreached.iter().map(|it| unreached(it, list)).collect()),
        smallest_radius_mm: milled.smallest_radius(list),
        deepest_reach_ratio: milled.deepest_ratio(),
        cutters: Some(
            milled
                .uses
                .iter()
                .zip(list)
                .zip(&cutting.ridges)
                .map(|((it, cutter), ridges)| cutter_use(it, cutter, ridges))
                .collect(),
        ),
        cutters_given: Some(cutting.given),
        cell_mm: Some(milled.cell()),
        least_told_mm: Some(milled.limit),
        lost_mm3: Some(milled.lost),
        as_milled: Some(as_milled),
        time_min: Some(cutting.time_min()),
    }
}

fn unreached(place: &outcome::Unreached, list: &[Cutter]) -> Unreached {
    let (cure, radius, reach) = match place.cure {
        Cure::Further { cutter, reach } => {
            (MillingCure::Further, list.get(cutter).map(Cutter::radius), Some(reach))
        }
        Cure::Longer { cutter, reach } => {
            (MillingCure::Longer, list.get(cutter).map(Cutter::radius), Some(reach))
        }
        Cure::Narrower { radius, reach } => {
            (MillingCure::Narrower, Some(radius), Some(reach))
        }
        Cure::Insert => (MillingCure::Insert, None, None),
    };
    Unreached {
        at_mm: place.at.into(),
        half: place.half,
        left_mm: place.left,
        area_mm2: place.area,
        volume_mm3: place.volume,
        depth_mm: place.depth,
        on_parting: place.on_parting,
        radius_mm: place.radius,
        wall_mm: place.wall,
        cure,
        cure_radius_mm: radius,
        cure_reach_mm: reach,
    }
}

fn cutter_use(it: &Use, cutter: &Cutter, ridges: &Ridges) -> CutterUse {
    CutterUse {
        name: cutter.name.clone(),
        needed: it.needed,
        gain_mm2: it.gain.area,
        gain_min: it.gain.minutes,
        finishes_mm2: it.finished,
        reach_ratio: it.ratio,
        bend_um: it.bend_um,
        step_over_mm: it.step,
        rough_min: it.rough_min,
        finish_min: it.finish_min,
        ridge_mm: ridges.height,
        smooth_min: ridges.more_min,
    }
}
