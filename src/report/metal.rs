//! What the readable report says of the metal: cavity sizes, pins, vents.

use crate::report::blocks::{Section, Table, places, table};
use crate::schema::{Report, words};
use crate::units::format;

/// "2 × 3 mm", or that it is not known.
pub(crate) fn by(parts: &[Option<f64>]) -> String {
    let known: Option<Vec<String>> =
        parts.iter().map(|part| part.map(format::number)).collect();
    format::known(known.map(|parts| format!("{} mm", parts.join(" × "))))
}

pub(crate) fn shrinkage(report: &Report) -> Section {
    let shrinkage = &report.shrinkage;
    let exact = |value: f64| format!("{value:.2} mm");
    let size = |size: &crate::schema::Size| {
        vec![
            format!("{}, {}", size.of, size.kind),
            exact(size.part_mm),
            exact(size.cavity_mm),
            exact(size.first_cut_mm),
            format!("{:.2} to {:.2} mm", size.part_if_high_mm, size.part_if_low_mm),
        ]
    };
    let scale = format::known(shrinkage.scale.map(|scale| format!("× {scale:.4}")));
    let notes = shrinkage.sizes.as_ref().map(|_| {
        "First cut leaves metal that can still be taken off: measure parts a day after molding, then take the rest.".to_owned()
    });
    let sizes = table(
        "Sizes in the metal",
        &["Length", "Part", "Cavity", "First cut", "Part comes out at"],
        shrinkage.sizes.iter().flatten().map(size).collect(),
    );
    Section {
        title: "Shrinkage and cavity sizes",
        rows: vec![
            ("Shrinkage, least", format::maybe_percent(shrinkage.low)),
            ("Shrinkage, expected", format::maybe_percent(shrinkage.nominal)),
            ("Shrinkage, greatest", format::maybe_percent(shrinkage.high)),
            ("Cut the cavity larger by", scale),
        ],
        tables: [axes(shrinkage), sizes].concat(),
        notes: notes.into_iter().collect(),
    }
}

/// What each axis does for itself.
fn axes(shrinkage: &crate::schema::Shrinkage) -> Vec<Table> {
    let axis = |it: &crate::schema::ShrinkAxis| {
        vec![
            it.axis.clone(),
            format::percent(it.low),
            format::percent(it.nominal),
            format::percent(it.high),
            format!("× {:.4}", it.scale),
        ]
    };
    table(
        "Shrinkage along each axis",
        &["Axis", "Least", "Expected", "Greatest", "Cut larger by"],
        shrinkage.axes.iter().flatten().map(axis).collect(),
    )
}

pub(crate) fn ejection(report: &Report) -> Section {
    let ejection = &report.ejection;
    let keeps = format::known(ejection.keeps_to.map(|role| format!("the {role} half")));
    let force = match (ejection.force_low_n, ejection.force_high_n) {
        (Some(low), Some(high)) => format!(
            "{}; from {} to {}",
            format::force(ejection.force_n),
            format::force(Some(low)),
            format::force(Some(high))
        ),
        _ => format::force(ejection.force_n),
    };
    let pins = format::known(ejection.pin_count.map(|count| {
        format!("{count} of {}", format::maybe(ejection.pin_diameter_mm, "mm"))
    }));
    let shear = format!(
        "{} of {}",
        format::maybe(ejection.push_through_mpa, "MPa"),
        format::maybe(ejection.push_through_limit_mpa, "MPa")
    );
    let pry = format::known(ejection.pry_slot_mm.map(|[low, high]| {
        format!("{} to {} mm", format::number(low), format::number(high))
    }));
    let vacuum = ejection.vacuum_n.filter(|vacuum| *vacuum > 0.0).map(|vacuum| {
        format!(
            "{} of the force is a vacuum under a closed core: let air in through a pin, a poppet or a scratch along the core.",
            format::force(Some(vacuum))
        )
    });
    Section {
        title: "Ejection",
        rows: vec![
            ("Force to push the part off", force),
            ("Held in the cavity with", format::force(ejection.cavity_force_n)),
            ("The part stays on", keeps),
            ("Pins", pins),
            (
                "Their number is set by",
                format::known(ejection.pin_rule.clone().map(|rule| words::plain(&rule))),
            ),
            ("Shear around them, withstood", shear),
            ("One pin buckles at", format::force(ejection.buckling_n)),
            ("Stroke of the pins", format::maybe(ejection.stroke_mm, "mm")),
            ("Pins off the middle by", format::maybe(ejection.off_middle_mm, "mm")),
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

pub(crate) fn vents(report: &Report) -> Section {
    let vents = &report.vents;
    let vent = format::known(vents.depth_mm.map(|depth| {
        format!(
            "{} deep at first, {} at most",
            format::quantity(depth, "mm"),
            format::maybe(vents.most_depth_mm, "mm")
        )
    }));
    Section {
        title: "Vents",
        rows: vec![
            ("Vents", vent),
            ("Vents, width × land", by(&[vents.width_mm, vents.land_mm])),
            ("Relief behind them, deep", format::maybe(vents.relief_mm, "mm")),
            ("How many", format::count(vents.count.map(|count| count as usize))),
        ],
        tables: Vec::new(),
        notes: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::ejection;
    use crate::schema::{Ejection, fixtures};

    #[test]
    fn a_vacuum_is_reported_only_where_there_is_one() {
        let mut report = fixtures::report();
        let notes = |report: &crate::schema::Report| ejection(report).notes.len();
        report.ejection = Ejection { vacuum_n: Some(0.0), ..Ejection::default() };
        assert_eq!(notes(&report), 0);
        report.ejection.vacuum_n = Some(25.0);
        assert_eq!(notes(&report), 1);
    }
}
