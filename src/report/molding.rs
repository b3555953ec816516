//! What the readable report says of plastic, press and mold: feed, shot, clamp, cycle,
//! shrinkage, ejection, vents, and the process sheet.

use crate::report::{
    blocks::{Section, Table, places, table},
    filling,
    model::Report,
    words,
};

/// Title of the section on the shot and what holds the mold.
pub const SHOT: &str = "Shot and clamp";
/// Title of the sheet for the press.
pub const SHEET: &str = "Process sheet";

/// The sections, in the order of a shot.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    vec![
        feed(report),
        shot_and_clamp(report),
        filling::section(report),
        cycle(report),
        shrinkage(report),
        ejection(report),
        metal(report),
        plastic_and_press(report),
        sheet(report),
    ]
}

/// "2 × 3 mm", or that it is not known.
fn by(parts: &[Option<f64>]) -> String {
    let known: Option<Vec<String>> =
        parts.iter().map(|part| part.map(words::number)).collect();
    known.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |parts| format!("{} mm", parts.join(" × ")),
    )
}

fn feed(report: &Report) -> Section {
    let feed = &report.feed;
    let link = |link: &crate::report::model::Link| {
        vec![
            link.name.clone(),
            link.size.clone(),
            link.lost_mpa.map_or_else(
                || "does not get through".to_owned(),
                |lost| words::quantity(lost, "MPa"),
            ),
            words::maybe(link.shear_rate_1_s, "1/s"),
        ]
    };
    let runner = match feed.runner_length_mm {
        Some(length) if length <= 0.0 => "none: the sprue stands at the gate".to_owned(),
        length => by(&[feed.runner_diameter_mm, length]),
    };
    let sprue = feed.sprue_foot_mm.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |foot| {
            format!(
                "{} at the nozzle, {} at its foot, {} long",
                words::maybe(feed.sprue_inlet_mm, "mm"),
                words::quantity(foot, "mm"),
                words::maybe(feed.sprue_length_mm, "mm")
            )
        },
    );
    let links = feed.links.iter().flatten().map(link).collect();
    Section {
        title: "Feed",
        rows: vec![
            ("Sprue", sprue),
            ("Runner, diameter × length", runner),
            (
                "Gate, depth × width × land",
                by(&[feed.gate_depth_mm, feed.gate_width_mm, feed.gate_land_mm]),
            ),
            (
                "Cold-slug well, diameter × length",
                by(&[feed.well_diameter_mm, feed.well_length_mm]),
            ),
            ("Volume", words::volume(feed.volume_mm3)),
            ("Shadow", words::area(feed.projected_area_mm2)),
            ("Cavity to be full in", words::maybe(feed.fill_time_s, "s")),
            ("Flow for that", words::maybe(feed.flow_cm3_s, "cm³/s")),
            ("Pressure lost on the way", words::maybe(feed.lost_mpa, "MPa")),
        ],
        tables: table(
            "Pressure link by link",
            &["Link", "Size", "Lost", "Shear rate"],
            links,
        ),
        notes: Vec::new(),
    }
}

fn shot_and_clamp(report: &Report) -> Section {
    let (shot, clamp) = (&report.shot, &report.clamp);
    let mut rows = vec![
        ("Part", words::maybe(shot.part_g, "g")),
        ("Sprue, runner, gate and nozzle", words::maybe(shot.feed_g, "g")),
        ("Shot", words::maybe(shot.total_g, "g")),
        ("Melt taken from the barrel", words::maybe(shot.melt_cm3, "cm³")),
        ("One stroke holds", words::maybe(shot.capacity_g, "g")),
        ("Share of the stroke", words::maybe_percent(shot.fraction)),
        ("Fillings of the barrel", words::count(shot.charges.map(|n| n as usize))),
        ("Pressure in the cavity", words::maybe(clamp.pressure_mpa, "MPa")),
        ("Shadow of part and feed", words::area(clamp.area_mm2)),
        ("Force that opens", words::force(clamp.opening_force_n)),
        ("Force that holds", words::force(clamp.holding_force_n)),
        ("Holding over opening", words::maybe(clamp.margin, "")),
        ("Pressure off the middle by", words::maybe(clamp.yaw_mm, "mm")),
        ("Nozzle pushes the halves apart with", words::force(clamp.nozzle_push_n)),
    ];
    if clamp.gap_mm.is_some() {
        rows.extend([
            ("Worst bolt bears", words::force(clamp.worst_bolt_n)),
            ("Its preload over that", words::maybe(clamp.worst_bolt_margin, "")),
            ("Torque of each bolt", words::maybe(clamp.bolt_torque_nm, "N m")),
            ("Each plate", words::maybe(clamp.plate_mm, "mm")),
            ("Metal behind the cavity", words::maybe(clamp.behind_mm, "mm")),
            ("Plates bow by", words::maybe(clamp.bow_mm, "mm")),
            ("Halves gape by", words::maybe(clamp.gap_mm, "mm")),
            ("Plastic stays in below", words::maybe(clamp.flash_limit_mm, "mm")),
        ]);
    }
    let cures = clamp.cures.iter().flatten();
    Section {
        title: SHOT,
        rows,
        notes: cures.map(|cure| format!("It stays shut if you {cure}.")).collect(),
        ..Section::default()
    }
}

/// A time with what sets it.
fn ruled(time_s: Option<f64>, by: Option<&String>) -> String {
    let time = words::maybe(time_s, "s");
    by.map_or(time.clone(), |by| format!("{time}, by the {by}"))
}

fn cycle(report: &Report) -> Section {
    let cooling = &report.cooling;
    let step = |step: &crate::report::model::Step| {
        let waits = match (step.mold, step.barrel) {
            (true, true) => "mold and barrel",
            (true, false) => "mold",
            _ => "barrel",
        };
        vec![step.what.clone(), words::quantity(step.time_s, "s"), waits.to_owned()]
    };
    let cycle = words::maybe(cooling.cycle_s, "s");
    let cycle = cooling
        .ruled_by
        .as_ref()
        .map_or(cycle.clone(), |by| format!("{cycle}; longest is to {by}"));
    let limit = cooling.heat_limit_min.map_or_else(String::new, |limit| {
        format!(", {} at most", words::quantity(limit, "min"))
    });
    Section {
        title: "Hold, cool and cycle",
        rows: vec![
            ("Hold", ruled(cooling.hold_s, cooling.hold_by.as_ref())),
            ("Cool", ruled(cooling.cool_s, cooling.cool_by.as_ref())),
            ("Cycle", cycle),
            ("Parts an hour", words::maybe(cooling.parts_per_hour, "")),
            (
                "Mold over a shift of 8 h",
                cooling.warming.clone().unwrap_or_else(|| words::NOT_KNOWN.to_owned()),
            ),
            (
                "Melt stays in the barrel",
                format!("{}{limit}", words::maybe(cooling.in_heat_min, "min")),
            ),
        ],
        tables: table(
            "Step by step",
            &["Step", "Time", "Waits"],
            cooling.steps.iter().flatten().map(step).collect(),
        ),
        notes: Vec::new(),
    }
}

fn shrinkage(report: &Report) -> Section {
    let shrinkage = &report.shrinkage;
    let exact = |value: f64| format!("{value:.2} mm");
    let size = |size: &crate::report::model::Size| {
        vec![
            format!("{}, {}", size.of, size.kind),
            exact(size.part_mm),
            exact(size.cavity_mm),
            exact(size.first_cut_mm),
            format!("{:.2} to {:.2} mm", size.part_if_high_mm, size.part_if_low_mm),
        ]
    };
    let scale = shrinkage
        .scale
        .map_or_else(|| words::NOT_KNOWN.to_owned(), |scale| format!("× {scale:.4}"));
    let notes = shrinkage.sizes.as_ref().map(|_| {
        "First cut leaves metal that can still be taken off: measure parts a day after molding, then take the rest.".to_owned()
    });
    Section {
        title: "Shrinkage and cavity sizes",
        rows: vec![
            ("Shrinkage, least", words::maybe_percent(shrinkage.low)),
            ("Shrinkage, expected", words::maybe_percent(shrinkage.nominal)),
            ("Shrinkage, greatest", words::maybe_percent(shrinkage.high)),
            ("Cut the cavity larger by", scale),
        ],
        tables: table(
            "Sizes in the metal",
            &["Length", "Part", "Cavity", "First cut", "Part comes out at"],
            shrinkage.sizes.iter().flatten().map(size).collect(),
        ),
        notes: notes.into_iter().collect(),
    }
}

fn ejection(report: &Report) -> Section {
    let ejection = &report.ejection;
    let keeps = ejection.keeps_to.as_deref().map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |side| format!("the {} half", words::plain(side)),
    );
    let force = match (ejection.force_low_n, ejection.force_high_n) {
        (Some(low), Some(high)) => format!(
            "{}; from {} to {}",
            words::force(ejection.force_n),
            words::force(Some(low)),
            words::force(Some(high))
        ),
        _ => words::force(ejection.force_n),
    };
    let pins = ejection.pin_count.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |count| format!("{count} of {}", words::maybe(ejection.pin_diameter_mm, "mm")),
    );
    let shear = format!(
        "{} of {}",
        words::maybe(ejection.push_through_mpa, "MPa"),
        words::maybe(ejection.push_through_limit_mpa, "MPa")
    );
    let pry = ejection.pry_slot_mm.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |[low, high]| format!("{} to {} mm", words::number(low), words::number(high)),
    );
    let vacuum = ejection.vacuum_n.filter(|vacuum| *vacuum > 0.0).map(|vacuum| {
        format!(
            "{} of the force is a vacuum under a closed core: let air in through a pin, a poppet or a scratch along the core.",
            words::force(Some(vacuum))
        )
    });
    Section {
        title: "Ejection",
        rows: vec![
            ("Force to push the part off", force),
            ("Held in the cavity with", words::force(ejection.cavity_force_n)),
            ("The part stays on", keeps),
            ("Pins", pins),
            (
                "Their number is set by",
                ejection.pin_rule.clone().map_or_else(
                    || words::NOT_KNOWN.to_owned(),
                    |rule| words::plain(&rule),
                ),
            ),
            ("Shear around them, stood", shear),
            ("One pin buckles at", words::force(ejection.buckling_n)),
            ("Stroke of the pins", words::maybe(ejection.stroke_mm, "mm")),
            ("Pins off the middle by", words::maybe(ejection.off_middle_mm, "mm")),
            ("Pry slots at the corners, deep", pry),
        ],
        tables: table(
            "Places for pins",
            &["What", "Where"],
            places("ejector pin", ejection.pins.as_deref()),
        ),
        notes: vacuum.into_iter().collect(),
    }
}

fn metal(report: &Report) -> Section {
    let (vents, milling) = (&report.vents, &report.milling);
    let vent = vents.depth_mm.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |depth| {
            format!(
                "{} deep at first, {} at most",
                words::quantity(depth, "mm"),
                words::maybe(vents.most_depth_mm, "mm")
            )
        },
    );
    Section {
        title: "Vents and cutters",
        rows: vec![
            ("Vents", vent),
            ("Vents, width × land", by(&[vents.width_mm, vents.land_mm])),
            ("Relief behind them, deep", words::maybe(vents.relief_mm, "mm")),
            ("How many", words::count(vents.count.map(|count| count as usize))),
            ("Least inside radius", words::maybe(milling.smallest_radius_mm, "mm")),
            (
                "Deepest reach over cutter diameter",
                words::maybe(milling.deepest_reach_ratio, ""),
            ),
        ],
        tables: table(
            "Places in the metal",
            &["What", "Where"],
            places("no cutter reaches", milling.unreached.as_deref()),
        ),
        notes: milling.cutters.clone().unwrap_or_default(),
    }
}

fn plastic_and_press(report: &Report) -> Section {
    let (plastic, press) = (&report.plastic, &report.press);
    let source = |given: bool| if given { "" } else { " (assumed)" };
    let clamp = press.clamp.clone().unwrap_or_else(|| words::NOT_KNOWN.to_owned());
    Section {
        title: "Plastic and press",
        rows: vec![
            ("Plastic", format!("{}{}", plastic.name, source(plastic.given))),
            ("What it is", plastic.description.clone()),
            ("Melt", words::maybe(plastic.melt_c, "°C")),
            ("Mold", words::maybe(plastic.mold_c, "°C")),
            ("Density, solid", words::maybe(plastic.solid_density_g_cm3, "g/cm³")),
            ("Density, melt", words::maybe(plastic.melt_density_g_cm3, "g/cm³")),
            ("Press", format!("{}{}", press.name, source(press.given))),
            ("Class", words::plain(&press.class)),
            ("Pressure on the melt", words::maybe(press.melt_pressure_mpa, "MPa")),
            ("Ram force", words::force(press.ram_force_n)),
            ("Ram diameter", words::maybe(press.ram_diameter_mm, "mm")),
            ("Ram stroke", words::maybe(press.stroke_mm, "mm")),
            ("One stroke", words::maybe(press.shot_capacity_cm3, "cm³")),
            ("Clamp", clamp),
        ],
        ..Section::default()
    }
}

/// The page for the press; all of its lines, however many.
fn sheet(report: &Report) -> Section {
    let row = |row: &crate::report::model::SheetRow| {
        vec![row.what.clone(), row.value.clone(), row.basis.clone()]
    };
    let title = format!("{} in {}", report.part.file, report.plastic.name);
    Section {
        title: SHEET,
        tables: vec![Table {
            title: "At the press",
            columns: vec!["What", "Setting", "Why"],
            rows: report.sheet.iter().map(row).collect(),
        }],
        notes: vec![format!("For {title} on {}.", report.press.name)],
        ..Section::default()
    }
}

#[cfg(test)]
mod tests {
    use super::{SHEET, sections};
    use crate::report::fixtures;
    use crate::report::model::{Ejection, SheetRow};

    #[test]
    fn the_sheet_is_whole_however_long() {
        let mut report = fixtures::report();
        let row = SheetRow {
            what: "a".to_owned(),
            value: "b".to_owned(),
            basis: "c".to_owned(),
        };
        report.sheet = vec![row; 30];
        let all = sections(&report);
        let sheet = all.iter().find(|section| section.title == SHEET).unwrap();
        assert_eq!(sheet.tables[0].rows.len(), 30);
    }

    #[test]
    fn a_vacuum_is_told_only_where_there_is_one() {
        let mut report = fixtures::report();
        let notes = |report: &crate::report::model::Report| {
            let all = sections(report);
            all.iter().find(|it| it.title == "Ejection").map(|it| it.notes.len())
        };
        report.ejection = Ejection { vacuum_n: Some(0.0), ..Ejection::default() };
        assert_eq!(notes(&report), Some(0));
        report.ejection.vacuum_n = Some(25.0);
        assert_eq!(notes(&report), Some(1));
    }
}
