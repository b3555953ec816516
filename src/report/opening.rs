//! What a readable report says of the pull and the parting.

use crate::report::{
    blocks::{Section, Table, table},
    model::{Parting, Report},
    words,
};

/// The section on the pull.
pub(crate) fn section(report: &Report) -> Section {
    let pull = &report.pull;
    let how = if pull.given { "as asked" } else { "chosen" };
    let parting = &report.parting;
    Section {
        title: "Pull and parting",
        rows: vec![
            ("Pull", format!("{} ({how})", words::direction(pull.direction))),
            ("Core side", pull.core_side.replace('-', "−")),
            ("Height along the pull", words::quantity(pull.height_mm, "mm")),
            ("Projected area", words::area(Some(pull.projected_area_mm2))),
            ("Parting", lie(parting)),
            ("Parting loops", words::count(parting.loops)),
            ("Parting length", words::maybe(parting.length_mm, "mm")),
            ("Parting rise", words::maybe(parting.rise_mm, "mm")),
            ("Shut-offs", words::count(parting.shut_offs)),
        ],
        tables: pull_tables(report),
        notes: Vec::new(),
    }
}

/// How the parting lies, in words.
fn lie(parting: &Parting) -> String {
    match (parting.flat, parting.height_mm) {
        (Some(true), Some(height)) => {
            format!("flat, at {} along the pull", words::quantity(height, "mm"))
        }
        (Some(true), None) => "flat".to_owned(),
        (Some(false), _) => "stepped".to_owned(),
        (None, _) => words::NOT_KNOWN.to_owned(),
    }
}

fn pull_tables(report: &Report) -> Vec<Table> {
    let others = report.pull.alternatives.iter().map(|other| {
        vec![
            match other.tied {
                true => format!("{} (as good)", words::direction(other.direction)),
                false => words::direction(other.direction),
            },
            words::volume(Some(other.undercut_volume_mm3)),
            words::maybe(other.undercut_depth_mm, "mm"),
            words::area(Some(other.short_area_mm2)),
            words::maybe(other.parting_rise_mm, "mm"),
            words::quantity(other.height_mm, "mm"),
            words::area(Some(other.projected_area_mm2)),
        ]
    });
    let shut_offs = report.parting.shut_off_list.iter().map(|it| {
        vec![
            words::area(Some(it.area_mm2)),
            words::quantity(it.angle_deg, "°"),
            words::quantity(it.height_mm, "mm"),
            words::place(it.at_mm),
        ]
    });
    let shut_offs = table(
        "Shut-offs: holes where metal meets metal",
        &["Area", "Least angle", "Height", "Where"],
        shut_offs.collect(),
    );
    let others = table(
        "Directions that were weighed",
        &[
            "Pull",
            "Trapped volume",
            "Trapped depth",
            "Short of draft",
            "Parting rise",
            "Height",
            "Projected area",
        ],
        others.collect(),
    );
    [shut_offs, others].concat()
}
