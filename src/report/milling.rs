//! What the readable report says of the cutters.

use crate::report::blocks::{Section, Table, table};
use crate::schema::{CutterUse, MillingCure, Report, Unreached, words};

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
    let hours = words::known(milling.time_min.map(minutes));
    Section {
        title: "Cutters",
        rows: vec![
            ("Places in the cavity that no cutter reaches", words::count(places)),
            ("Places on the parting that none reaches", words::count(apart)),
            ("Thickest metal left", words::maybe(worst, "mm")),
            ("Plastic that it takes away", words::volume(milling.lost_mm3)),
            (
                "RequiredPressure cutter radius asked for",
                words::maybe(milling.smallest_radius_mm, "mm"),
            ),
            (
                "Deepest reach over cutter diameter",
                words::maybe(milling.deepest_reach_ratio, ""),
            ),
            ("Milling of both halves", hours),
            ("Cells, edge", words::maybe(milling.cell_mm, "mm")),
            ("Metal told from", words::maybe(milling.least_reported_mm, "mm")),
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
        words::quantity(minutes, "min")
    } else {
        words::quantity(minutes / 60.0, "h")
    }
}

/// No cutter works so many diameters deep (common practice: beyond 6 it is hard).
const MOST_DIAMETERS: f64 = 10.0;

/// The places that no cutter reaches.
pub(crate) fn unreached(places: &[Unreached]) -> Vec<Table> {
    let row = |it: &Unreached| {
        let cure = match (it.cure, it.cure_radius_mm, it.cure_reach_mm) {
            (_, Some(radius), Some(reach)) if reach > MOST_DIAMETERS * 2.0 * radius => {
                let deep = words::number(reach / (2.0 * radius));
                format!(
                    "an insert, or a lower wall: {deep} diameters deep for any cutter"
                )
            }
            (MillingCure::Longer, Some(radius), Some(reach)) => format!(
                "the {} mm cutter with {} of reach",
                words::number(2.0 * radius),
                words::quantity(reach, "mm")
            ),
            (MillingCure::Narrower, Some(radius), Some(reach)) => format!(
                "a flat of {} with {} of reach, or a radius on the part",
                words::quantity(2.0 * radius, "mm"),
                words::quantity(reach, "mm")
            ),
            _ => "an insert, or a radius on the part".to_owned(),
        };
        let on = if it.on_parting { ", parting" } else { "" };
        vec![
            words::quantity(it.left_mm, "mm"),
            words::area(Some(it.area_mm2)),
            format!("{}{on}", it.half),
            words::place(it.at_mm),
            words::quantity(it.depth_mm, "mm"),
            cure,
        ]
    };
    table(
        "Metal that no cutter reaches",
        &["Left", "Area", "Half", "Where", "Depth", "What would take it"],
        places.iter().map(row).collect(),
    )
}

/// The cutters and what they are for.
pub(crate) fn cutters(uses: &[CutterUse]) -> Vec<Table> {
    let row = |it: &CutterUse| {
        let needed = if it.needed { "yes" } else { "no" };
        let time = |time: f64| {
            if it.needed || it.rough_min > 0.0 { minutes(time) } else { "—".to_owned() }
        };
        vec![
            it.name.clone(),
            needed.to_owned(),
            words::area(Some(it.finishes_mm2)),
            words::number(it.reach_ratio),
            words::quantity(it.bend_um, "µm"),
            words::quantity(it.step_over_mm, "mm"),
            time(it.rough_min),
            time(it.finish_min),
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
        ],
        uses.iter().map(row).collect(),
    )
}
