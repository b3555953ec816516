//! What the readable report says of the cutters.

use crate::mold::milling::ridges::POLISHED_MM;
use crate::report::blocks::{Section, Table, table};
use crate::schema::{CutterUse, MillingCure, Report, Unreached};
use crate::units::format;

pub(crate) fn section(report: &Report) -> Section {
    let milling = &report.milling;
    let places = milling
        .unreached
        .as_ref()
        .map(|all| all.iter().filter(|it| !it.on_parting).count());
    let apart = milling
        .unreached
        .as_ref()
        .map(|all| all.iter().filter(|it| it.on_parting).count());
    let worst =
        milling.unreached.as_ref().map(|all| all.first().map_or(0.0, |it| it.left_mm));
    let uses = milling.cutters.as_deref().unwrap_or_default();
    let hours = format::known(milling.time_min.map(|time| both_halves(time, uses)));
    Section {
        title: "Cutters",
        rows: vec![
            ("Places in the cavity that no cutter reaches", format::count(places)),
            ("Places on the parting that none reaches", format::count(apart)),
            ("Thickest metal left", format::maybe(worst, "mm")),
            ("Plastic that it takes away", format::volume(milling.lost_mm3)),
            (
                "Least cutter radius asked for",
                format::maybe(milling.smallest_radius_mm, "mm"),
            ),
            (
                "Deepest reach over cutter diameter",
                format::maybe(milling.deepest_reach_ratio, ""),
            ),
            ("Milling of both halves", hours),
            ("Cells, edge", format::maybe(milling.cell_mm, "mm")),
            ("Metal reported from", format::maybe(milling.least_told_mm, "mm")),
        ],
        tables: [
            unreached(milling.unreached.as_deref().unwrap_or_default()),
            cutters(milling.cutters.as_deref().unwrap_or_default()),
        ]
        .concat(),
        notes: Vec::new(),
    }
}

/// Minutes, or hours of many.
pub(crate) fn minutes(minutes: f64) -> String {
    if minutes > 0.0 && minutes < 0.1 {
        "under 0.1 min".to_owned()
    } else if minutes < 90.0 {
        format::quantity(minutes, "min")
    } else {
        format::quantity(minutes / 60.0, "h")
    }
}

/// No cutter works so many diameters deep (common practice: beyond 6 it is hard).
const MOST_DIAMETERS: f64 = 10.0;

/// The places that no cutter reaches.
pub(crate) fn unreached(places: &[Unreached]) -> Vec<Table> {
    let row = |it: &Unreached| {
        let cure = match (it.cure, it.cure_radius_mm, it.cure_reach_mm) {
            (_, Some(radius), Some(reach)) if reach > MOST_DIAMETERS * 2.0 * radius => {
                let deep = format::number(reach / (2.0 * radius));
                format!(
                    "an insert, or a lower wall: {deep} diameters deep for any cutter"
                )
            }
            (MillingCure::Further, Some(radius), _) => {
                format!("the {} mm cutter too", format::number(2.0 * radius))
            }
            (MillingCure::Longer, Some(radius), Some(reach)) => format!(
                "the {} mm cutter with {} of reach",
                format::number(2.0 * radius),
                format::quantity(reach, "mm")
            ),
            (MillingCure::Narrower, Some(radius), Some(reach)) => format!(
                "a flat of {} with {} of reach, or a radius on the part",
                format::quantity(2.0 * radius, "mm"),
                format::quantity(reach, "mm")
            ),
            _ => "an insert, or a radius on the part".to_owned(),
        };
        let on = if it.on_parting { ", parting" } else { "" };
        vec![
            format::quantity(it.left_mm, "mm"),
            format::area(Some(it.area_mm2)),
            format!("{}{on}", it.half),
            format::point(it.at_mm),
            format::quantity(it.depth_mm, "mm"),
            cure,
        ]
    };
    table(
        "Metal that no cutter reaches",
        &["Left", "Area", "Half", "Where", "Depth", "What would take it"],
        places.iter().map(row).collect(),
    )
}

/// The time for both halves, and what smooth slopes take besides.
pub(crate) fn both_halves(time_min: f64, uses: &[CutterUse]) -> String {
    let needed = uses.iter().filter(|it| it.needed);
    let more: f64 = needed.map(|it| it.smooth_min).sum();
    let time = minutes(time_min);
    if more <= 0.0 {
        return time;
    }
    format!("{time}, and {} for ridges under {POLISHED_MM} mm on slopes", minutes(more))
}

/// The ridges that a cutter leaves, and what it takes to leave next to none.
fn ridges(it: &CutterUse) -> String {
    if !it.needed || it.ridge_mm <= 0.0 {
        return "—".to_owned();
    }
    let height = format::quantity(it.ridge_mm, "mm");
    if it.smooth_min <= 0.0 {
        return height;
    }
    format!("{height}; under {POLISHED_MM} mm in {} more", minutes(it.smooth_min))
}

/// The cutters and what they are for.
pub(crate) fn cutters(uses: &[CutterUse]) -> Vec<Table> {
    let row = |it: &CutterUse| {
        let needed = match (it.needed, it.gain_mm2 > 0.0) {
            (true, _) => "yes".to_owned(),
            (_, true) => {
                let area = format::area(Some(it.gain_mm2));
                format!("no; would take {area} in {}", minutes(it.gain_min))
            }
            _ => "no".to_owned(),
        };
        let time = |time: f64| {
            if it.needed || it.rough_min > 0.0 { minutes(time) } else { "—".to_owned() }
        };
        vec![
            it.name.clone(),
            needed,
            format::area(Some(it.finishes_mm2)),
            format::number(it.reach_ratio),
            format::quantity(it.bend_um, "µm"),
            format::quantity(it.step_over_mm, "mm"),
            time(it.rough_min),
            time(it.finish_min),
            ridges(it),
        ]
    };
    table(
        "Cutters, the widest first",
        &[
            "Cutter",
            "Needed",
            "Finishes",
            "Depth over diameter",
            "Gives way",
            "Side step",
            "Roughs",
            "Finishes in",
            "Ridges on slopes",
        ],
        uses.iter().map(row).collect(),
    )
}
