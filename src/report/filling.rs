//! What the readable report says of filling.

use crate::report::blocks::{Section, Table, table};
use crate::schema::{FillVent, Report, words};
use crate::units::format;

/// Title of the section.
pub const FILLING: &str = "Filling";

pub(crate) fn section(report: &Report) -> Section {
    let fill = &report.fill;
    let band = format::known(fill.margin_band.map(|[low, high]| {
        format!("{} to {}", format::number(low), format::number(high))
    }));
    let gate = format::known(fill.gate_mm.map(|at| {
        let chosen = if fill.gate_given == Some(false) { " (chosen)" } else { "" };
        format::point(at) + chosen
    }));
    let mut rows = vec![
        ("Fills", words::yes(fill.fills).to_owned()),
        ("Filled share", format::maybe_percent(fill.filled_fraction)),
        ("Fill time", format::maybe(fill.time_s, "s")),
        ("Pressure needed", format::maybe(fill.pressure_needed_mpa, "MPa")),
        ("Pressure there is", format::maybe(fill.pressure_available_mpa, "MPa")),
        ("Ram force needed", format::force(fill.ram_force_needed_n)),
        ("Pressure margin", format::maybe(fill.margin, "")),
        ("Margin, worst to best case", band),
        ("Gate", gate),
        ("Way to the hardest corner", format::maybe(fill.flow_length_mm, "mm")),
        ("The same over the wall", format::maybe(fill.length_over_wall, "")),
        ("Speed of the front", format::maybe(fill.front_mm_s, "mm/s")),
        ("Graetz number, heat carried over heat lost", format::maybe(fill.graetz, "")),
        ("Nahme number, heat of shear over heat lost", format::maybe(fill.nahme, "")),
        ("Cells", cells(report)),
    ];
    if let Some(at) = fill.stuck_at_mm {
        rows.insert(1, ("Froze off at", format::point(at)));
    }
    let mut tables =
        table("Places to watch", &["What", "Where", "Size", "More"], watched(report));
    tables.extend(cures(report));
    tables.extend(choices(report));
    Section { title: FILLING, rows, tables, notes: Vec::new() }
}

fn cells(report: &Report) -> String {
    let fill = &report.fill;
    match (fill.cells, fill.cell_mm) {
        (Some(count), Some(edge)) => {
            format!("{count} of {}", format::quantity(edge, "mm"))
        }
        _ => format::NOT_KNOWN.to_owned(),
    }
}

fn watched(report: &Report) -> Vec<Vec<String>> {
    let fill = &report.fill;
    let mut rows = Vec::new();
    for air in fill.trapped_air.iter().flatten() {
        rows.push(vec![
            "air is shut in".to_owned(),
            format::point(air.at_mm),
            format::volume(Some(air.volume_mm3)),
            "let it out by a pin or a split insert".to_owned(),
        ]);
    }
    for vent in fill.vents.iter().flatten() {
        rows.push(vec![
            "fills last at the parting line".to_owned(),
            format::point(vent.at_mm),
            format::volume(Some(vent.air_mm3)),
            clearance(vent),
        ]);
    }
    for weld in fill.weld_lines.iter().flatten() {
        rows.push(vec![
            "fronts meet".to_owned(),
            format::point(weld.at_mm),
            format::quantity(weld.length_mm, "mm"),
            format!(
                "at {:.0}° and {:.0} °C, {} of the wall frozen in the end",
                weld.angle_deg,
                weld.celsius,
                format::percent(weld.frozen)
            ),
        ]);
    }
    rows
}

/// What to cut there.
fn clearance(vent: &FillVent) -> String {
    let out = if vent.opens_to_air {
        "relief to the open air"
    } else {
        "relief, to be led out through the plate: it does not open to the air"
    };
    format!(
        "vent: {} deep at first, {} at most, {} wide, {} land, {} {out}",
        format::maybe(vent.depth_mm, "mm"),
        format::maybe(vent.most_depth_mm, "mm"),
        format::maybe(vent.width_mm, "mm"),
        format::maybe(vent.land_mm, "mm"),
        format::maybe(vent.relief_mm, "mm")
    )
}

fn cures(report: &Report) -> Vec<Table> {
    let cures = report.fill.cures.iter().flatten();
    let rows = cures.map(|cure| vec![cure.change.to_string(), cure.why.clone()]);
    table("Smallest changes that help", &["Of", "What it brings"], rows.collect())
}

fn choices(report: &Report) -> Vec<Table> {
    let choice = |choice: &crate::schema::GateChoice| {
        vec![
            format::point(choice.at_mm),
            format::number(choice.loss),
            format::quantity(choice.wall_mm, "mm"),
            choice.why.clone(),
        ]
    };
    let rows = report.fill.gate_choices.iter().flatten().map(choice).collect();
    table("Places for the gate", &["Where", "Loss", "Wall", "Why"], rows)
}
