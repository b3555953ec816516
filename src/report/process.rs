//! What the readable report says of plastic and press: feed, shot, clamp, cycle, and the
//! process sheet.

use crate::report::blocks::{Section, Table, table};
use crate::report::metal::{self, by};
use crate::report::{filling, milling};
use crate::schema::{Report, words};
use crate::units::format;

/// Title of the section on the shot and what holds the mold.
pub const SHOT: &str = "Shot and clamp";
/// Title of the sheet for the press.
pub const SHEET: &str = "Process sheet";

/// The sections, in the order of a shot.
pub(crate) fn sections(report: &Report) -> Vec<Section> {
    vec![
        feed(report),
        shot_and_clamp(report),
        filling::section(report),
        cycle(report),
        metal::shrinkage(report),
        metal::ejection(report),
        metal::vents(report),
        milling::section(report),
        plastic_and_press(report),
        sheet(report),
    ]
}

fn feed(report: &Report) -> Section {
    let feed = &report.feed;
    let link = |link: &crate::schema::Link| {
        vec![
            link.name.clone(),
            link.size.clone(),
            link.lost_mpa.map_or_else(
                || "does not get through".to_owned(),
                |lost| format::quantity(lost, "MPa"),
            ),
            format::maybe(link.shear_rate_1_s, "1/s"),
        ]
    };
    let is_direct = feed.layout.as_deref() == Some("direct");
    let runner = runner(feed, is_direct);
    let sprue = format::known(feed.sprue_foot_mm.map(|foot| {
        format!(
            "{} at the nozzle, {} at its foot, {} long",
            format::maybe(feed.sprue_inlet_mm, "mm"),
            format::quantity(foot, "mm"),
            format::maybe(feed.sprue_length_mm, "mm")
        )
    }));
    let gate = if is_direct {
        "none: the sprue opens into the part".to_owned()
    } else {
        by(&[feed.gate_depth_mm, feed.gate_width_mm, feed.gate_land_mm])
    };
    let well = match feed.well_length_mm {
        Some(length) if length <= 0.0 => "none".to_owned(),
        length => by(&[feed.well_diameter_mm, length]),
    };
    let links = feed.links.iter().flatten().map(link).collect();
    let mut tables =
        table("Pressure link by link", &["Link", "Size", "Lost", "Shear rate"], links);
    tables.extend(layouts(feed));
    Section {
        title: "Feed",
        rows: vec![
            ("Layout", format::known(feed.layout.clone())),
            ("Sprue", sprue),
            ("Counterbore for the nozzle", format::maybe(feed.counterbore_mm, "mm")),
            ("Runner, diameter × length", runner),
            ("Gate, depth × width × land", gate),
            ("Cold-slug well, diameter × length", well),
            ("Volume", format::volume(feed.volume_mm3)),
            ("Projected area", format::area(feed.projected_area_mm2)),
            ("Cavity full in", format::maybe(feed.fill_time_s, "s")),
            ("Flow for that", format::maybe(feed.flow_cm3_s, "cm³/s")),
            ("Pressure lost on the way", format::maybe(feed.lost_mpa, "MPa")),
            ("Of that in the nozzle", format::maybe(feed.lost_in_nozzle_mpa, "MPa")),
            ("Loss to aim at", format::maybe(feed.goal_mpa, "MPa")),
            ("What stops it from losing less", stops(feed)),
        ],
        tables,
        notes: feed.not_offered.clone(),
    }
}

/// The runner, its section and how many there are.
fn runner(feed: &crate::schema::Feed, is_direct: bool) -> String {
    match feed.runner_length_mm {
        _ if is_direct => "none: the sprue stands on the part".to_owned(),
        Some(length) if length <= 0.0 => "none: the sprue stands at the gate".to_owned(),
        length => {
            let size = by(&[feed.runner_diameter_mm, length]);
            let is_trapezoid = feed.runner_section.as_deref() == Some("trapezoid");
            let section = if is_trapezoid { "trapezoid around a circle of " } else { "" };
            let count = feed.cavities.filter(|count| *count > 1);
            let each = count.map_or_else(String::new, |count| format!("{count}, each "));
            format!("{each}{section}{size}")
        }
    }
}

/// What stops the feed from losing less.
fn stops(feed: &crate::schema::Feed) -> String {
    let reached = || feed.lost_mpa.map(|_| "nothing: the aim is reached".to_owned());
    format::known(feed.bound.clone().or_else(reached))
}

/// The layout as chosen and the others, side by side.
fn layouts(feed: &crate::schema::Feed) -> Vec<Table> {
    let row = |it: &crate::schema::FeedOption| {
        vec![
            if it.chosen { format!("{} (chosen)", it.layout) } else { it.layout.clone() },
            it.sizes.clone(),
            format::quantity(it.mass_g, "g"),
            format::maybe(it.extra_cooling_s, "s"),
            it.trimming.clone(),
            format::maybe(it.lost_mpa, "MPa"),
            format::maybe(it.needed_mpa, "MPa"),
        ]
    };
    table(
        "Layouts of the feed",
        &[
            "Layout",
            "Sizes",
            "Plastic",
            "More cooling",
            "Trimming",
            "Lost",
            "Pressure needed",
        ],
        feed.layouts.iter().map(row).collect(),
    )
}

fn shot_and_clamp(report: &Report) -> Section {
    let (shot, clamp) = (&report.shot, &report.clamp);
    let mut rows = vec![
        match shot.cavities.filter(|count| *count > 1) {
            Some(count) => (
                "Parts",
                format!("{count}, {} together", format::maybe(shot.part_g, "g")),
            ),
            None => ("Part", format::maybe(shot.part_g, "g")),
        },
        ("Sprue, runner, gate and nozzle", format::maybe(shot.feed_g, "g")),
        ("Shot", format::maybe(shot.total_g, "g")),
        ("Melt taken from the barrel", format::maybe(shot.melt_cm3, "cm³")),
        ("One stroke holds", format::maybe(shot.capacity_g, "g")),
        ("Share of the stroke", format::maybe_percent(shot.fraction)),
        ("Fillings of the barrel", format::count(shot.charges.map(|n| n as usize))),
        ("Pressure judged at", format::maybe(clamp.pressure_mpa, "MPa")),
        ("Projected area of part and feed", format::area(clamp.area_mm2)),
        ("Force that opens", format::force(clamp.opening_force_n)),
        ("Force that holds", format::force(clamp.holding_force_n)),
        ("Holding over opening", format::maybe(clamp.margin, "")),
        ("Pressure off the middle by", format::maybe(clamp.yaw_mm, "mm")),
        ("Stress on the land", land(clamp)),
        ("Nozzle pushes the halves apart with", format::force(clamp.nozzle_push_n)),
    ];
    if let Some(margin) = clamp.squeeze_margin {
        let margin = format::quantity(margin, "");
        rows.push(("The same in the worst corner of the land", margin));
    }
    if clamp.worst_bolt_n.is_some() {
        rows.extend([
            ("Load on the worst bolt", format::force(clamp.worst_bolt_n)),
            ("Its preload over that", format::maybe(clamp.worst_bolt_margin, "")),
            ("Torque of each bolt", format::maybe(clamp.bolt_torque_nm, "N m")),
        ]);
    }
    if clamp.plate_mm.is_some() {
        rows.extend([
            ("Each plate", format::maybe(clamp.plate_mm, "mm")),
            ("Metal behind the cavity", format::maybe(clamp.behind_mm, "mm")),
            ("Plates bow by", format::maybe(clamp.bow_mm, "mm")),
            ("Halves open by", format::maybe(clamp.gap_mm, "mm")),
            ("Plastic stays in below", format::maybe(clamp.flash_limit_mm, "mm")),
        ]);
    }
    let cures = clamp.cures.iter().flatten();
    let window = &report.pressure_window;
    let window = words::window(window);
    let cures = cures.map(|cure| format!("It stays shut if you {cure}."));
    Section {
        title: SHOT,
        rows,
        tables: limits(report),
        notes: std::iter::once(window).chain(cures).collect(),
    }
}

/// What limits the pressure, the least first.
fn limits(report: &Report) -> Vec<Table> {
    let limit = |limit: &crate::schema::PressureLimit| {
        vec![
            limit.by.clone(),
            format::quantity(limit.surely_mpa, "MPa"),
            format::maybe(limit.at_most_mpa, "MPa"),
        ]
    };
    let rows = report.pressure_window.limits.iter().map(limit).collect();
    table("What limits the pressure", &["What", "Holds to", "Fails beyond"], rows)
}

/// "15 MPa, of 92 MPa that it withstands".
fn land(clamp: &crate::schema::Clamp) -> String {
    let limit = clamp.land_limit_mpa.map_or_else(String::new, |limit| {
        format!(", of {} that it withstands", format::quantity(limit, "MPa"))
    });
    format!("{}{limit}", format::maybe(clamp.land_mpa, "MPa"))
}

/// A time with what sets it.
fn ruled(time_s: Option<f64>, by: Option<&String>) -> String {
    let time = format::maybe(time_s, "s");
    by.map_or(time.clone(), |by| format!("{time}, by the {by}"))
}

fn cycle(report: &Report) -> Section {
    let cooling = &report.cooling;
    let step = |step: &crate::schema::Step| {
        let waits = match (step.mold, step.barrel) {
            (true, true) => "mold and barrel",
            (true, false) => "mold",
            _ => "barrel",
        };
        vec![step.what.clone(), format::quantity(step.time_s, "s"), waits.to_owned()]
    };
    let cycle = format::maybe(cooling.cycle_s, "s");
    let cycle = cooling
        .ruled_by
        .as_ref()
        .map_or(cycle.clone(), |by| format!("{cycle}; longest is to {by}"));
    let limit = cooling.heat_limit_min.map_or_else(String::new, |limit| {
        format!(", {} at most", format::quantity(limit, "min"))
    });
    Section {
        title: "Hold, cool and cycle",
        rows: vec![
            ("Hold", ruled(cooling.hold_s, cooling.hold_by.as_ref())),
            ("Cool", ruled(cooling.cool_s, cooling.cool_by.as_ref())),
            ("Cycle", cycle),
            ("Parts an hour", format::maybe(cooling.parts_per_hour, "")),
            ("Mold over a shift of 8 h", format::known(cooling.warming.clone())),
            (
                "Melt stays in the barrel",
                format!("{}{limit}", format::maybe(cooling.in_heat_min, "min")),
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

fn plastic_and_press(report: &Report) -> Section {
    let (plastic, press) = (&report.plastic, &report.press);
    let source = |given: bool| if given { "" } else { " (assumed)" };
    let clamp = format::known(press.clamp.clone());
    Section {
        title: "Plastic and press",
        rows: vec![
            ("Plastic", format!("{}{}", plastic.name, source(plastic.given))),
            ("What it is", plastic.description.clone()),
            ("Melt", format::maybe(plastic.melt_c, "°C")),
            ("Mold", format::maybe(plastic.mold_c, "°C")),
            ("Density, solid", format::maybe(plastic.solid_density_g_cm3, "g/cm³")),
            ("Density, melt", format::maybe(plastic.melt_density_g_cm3, "g/cm³")),
            ("Press", format!("{}{}", press.name, source(press.given))),
            ("Class", words::plain(&press.class)),
            ("Pressure on the melt", format::maybe(press.melt_pressure_mpa, "MPa")),
            ("Ram force", format::force(press.ram_force_n)),
            ("Ram diameter", format::maybe(press.ram_diameter_mm, "mm")),
            ("Ram stroke", format::maybe(press.stroke_mm, "mm")),
            ("One stroke", format::maybe(press.shot_capacity_cm3, "cm³")),
            ("Clamp", clamp),
        ],
        ..Section::default()
    }
}

/// The page for the press; all of its lines, however many.
fn sheet(report: &Report) -> Section {
    let row = |row: &crate::schema::SheetRow| {
        vec![row.what.clone(), row.value.clone(), row.basis.clone()]
    };
    let title = format!("{} in {}", report.part.file, report.plastic.name);
    let press = Table {
        title: "At the press".to_owned(),
        columns: vec!["What", "Setting", "Why"],
        rows: report.sheet.iter().map(row).collect(),
    };
    let change =
        |it: &crate::schema::FirstShotChange| vec![it.seen.clone(), it.change.clone()];
    let changes = report.first_shots.changes.iter().map(change).collect();
    let first = table("First shots", &["If a part is", "Change first"], changes);
    Section {
        title: SHEET,
        tables: [vec![press], first].concat(),
        notes: vec![format!("For {title} on {}.", report.press.name)],
        ..Section::default()
    }
}

#[cfg(test)]
mod tests {
    use super::{SHEET, sections};
    use crate::schema::SheetRow;
    use crate::schema::fixtures;

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
}
