//! Numbers and words that both reports have.

use crate::compare::comparison::{Number, Setting};
use crate::geom::{Point, Vector};
use crate::part::pose::Pose;
use crate::schema::{CutterUse, Report, words};
use crate::units::format;

type Read = fn(&Report) -> Option<f64>;

/// Key in `report.json`, name, unit, and how it is read, in reading order.
const NUMBERS: [(&str, &str, &str, Read); 32] = [
    ("part.volume_mm3", "Volume", "mm³", |r| r.part.volume_mm3),
    ("part.area_mm2", "Surface", "mm²", |r| Some(r.part.area_mm2)),
    ("thickness.ball_mm.p50", "Wall, median", "mm", |r| Some(r.thickness.ball_mm?.p50)),
    ("thickness.ball_mm.p05", "Wall, 5 % below", "mm", |r| {
        Some(r.thickness.ball_mm?.p05)
    }),
    ("thickness.ball_mm.p95", "Wall, 5 % above", "mm", |r| {
        Some(r.thickness.ball_mm?.p95)
    }),
    ("undercut.area_mm2", "Trapped area", "mm²", |r| Some(r.undercut.area_mm2)),
    ("undercut.depth_mm", "Trapped depth", "mm", |r| r.undercut.depth_mm),
    ("draft.short_area_mm2", "Area short of draft", "mm²", |r| {
        Some(r.draft.short_area_mm2)
    }),
    ("parting.rise_mm", "Parting line off flat", "mm", |r| r.parting.rise_mm),
    ("pull.height_mm", "Height along the pull", "mm", |r| Some(r.pull.height_mm)),
    ("pull.projected_area_mm2", "Projected area along the pull", "mm²", |r| {
        Some(r.pull.projected_area_mm2)
    }),
    ("milling.lost_mm3", "Plastic that metal left takes", "mm³", |r| r.milling.lost_mm3),
    ("milling.time_min", "Milling of both halves", "min", |r| r.milling.time_min),
    ("shot.part_g", "Part", "g", |r| r.shot.part_g),
    ("shot.total_g", "Shot", "g", |r| r.shot.total_g),
    ("shot.fraction", "Share of a stroke", "%", |r| Some(100.0 * r.shot.fraction?)),
    ("clamp.opening_force_n", "Force that opens the mold", "N", |r| {
        r.clamp.opening_force_n
    }),
    ("clamp.holding_force_n", "Force that holds it", "N", |r| r.clamp.holding_force_n),
    ("clamp.margin", "Holding over opening", "", |r| r.clamp.margin),
    ("clamp.gap_mm", "Gap beside the cavity", "mm", |r| r.clamp.gap_mm),
    ("fill.filled_fraction", "Fills", "%", |r| Some(100.0 * r.fill.filled_fraction?)),
    ("fill.time_s", "Time to fill", "s", |r| r.fill.time_s),
    ("fill.pressure_needed_mpa", "Pressure needed to fill", "MPa", |r| {
        r.fill.pressure_needed_mpa
    }),
    ("fill.pressure_available_mpa", "Pressure of the press", "MPa", |r| {
        r.fill.pressure_available_mpa
    }),
    ("feed.gate_depth_mm", "Gate depth", "mm", |r| r.feed.gate_depth_mm),
    ("cooling.hold_s", "Hold", "s", |r| r.cooling.hold_s),
    ("cooling.cool_s", "Cool", "s", |r| r.cooling.cool_s),
    ("cooling.cycle_s", "From shot to shot", "s", |r| r.cooling.cycle_s),
    ("cooling.parts_per_hour", "Parts an hour", "", |r| r.cooling.parts_per_hour),
    ("shrinkage.scale", "Cavity over part", "", |r| r.shrinkage.scale),
    ("ejection.force_n", "Force to push it out", "N", |r| r.ejection.force_n),
    ("ejection.pin_count", "Ejector pins", "", |r| r.ejection.pin_count.map(f64::from)),
];

/// Every number of which at least one side is known.
pub(super) fn compare(before: &Report, after: &Report) -> Vec<Number> {
    let finite = |value: Option<f64>| value.filter(|value| value.is_finite());
    let read =
        |&(key, name, unit, read): &(&'static str, &'static str, &'static str, Read)| {
            let (before, after) = (finite(read(before)), finite(read(after)));
            let change = before.zip(after).map(|(before, after)| after - before);
            (before.is_some() || after.is_some()).then_some(Number {
                key,
                name,
                unit,
                before,
                after,
                change,
            })
        };
    NUMBERS.iter().filter_map(read).collect()
}

/// What is no number and differs; directions and places of the old part are those of the new
/// one once `pose` has laid it there.
pub(super) fn settings(before: &Report, after: &Report, pose: &Pose) -> Vec<Setting> {
    let say = |report: &Report, pose: &Pose| {
        let place = |at: [f64; 3]| format::point(pose.point(&Point::from(at)).into());
        let pull = pose.way(&Vector::from(report.pull.direction));
        let chosen = if report.pull.given { "" } else { " (chosen)" };
        let parting = match report.parting.flat {
            Some(true) => "flat",
            Some(false) => "stepped",
            None => format::NOT_KNOWN,
        };
        let needed = |all: &Vec<CutterUse>| {
            let needed = all.iter().filter(|cutter| cutter.needed);
            let names: Vec<&str> = needed.map(|cutter| cutter.name.as_str()).collect();
            if names.is_empty() { "none".to_owned() } else { names.join(", ") }
        };
        let cutters = format::known(report.milling.cutters.as_ref().map(needed));
        let gate = format::known(report.fill.gate_mm.map(place));
        [
            ("Plastic", report.plastic.name.clone()),
            ("Press", report.press.name.clone()),
            ("Unit of the file", report.part.unit.clone()),
            ("Pull", format!("{}{chosen}", format::direction(pull.into()))),
            ("Core side", report.pull.core_side.to_string()),
            ("Parting line", parting.to_owned()),
            ("Gate", gate),
            ("Cutters needed", cutters),
            ("Bodies", report.part.bodies.to_string()),
            ("Surface is closed", words::yes(Some(report.part.closed)).to_owned()),
        ]
    };
    let pairs = say(before, pose).into_iter().zip(say(after, &Pose::still()));
    pairs
        .filter(|((_, before), (_, after))| before != after)
        .map(|((name, before), (_, after))| Setting { name, before, after })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{NUMBERS, compare, settings};
    use crate::part::pose::Pose;
    use crate::schema::fixtures;

    #[test]
    fn every_key_is_one_of_the_report() {
        let report = serde_json::to_value(fixtures::report()).unwrap();
        for (key, ..) in NUMBERS {
            // What is null as a whole has no keys to be named.
            let mut at = &report;
            for name in key.split('.') {
                if at.is_null() {
                    break;
                }
                at = at.get(name).unwrap_or_else(|| panic!("{key}"));
            }
        }
    }

    #[test]
    fn what_is_known_of_one_side_is_reported_and_what_is_alike_is_no_setting() {
        let before = fixtures::report();
        let mut after = before.clone();
        after.shot.total_g = Some(12.5);
        after.part.area_mm2 = f64::NAN;
        after.plastic.name = "other".to_owned();
        let still = Pose::still();
        let numbers = compare(&before, &after);
        let find = |key: &str| numbers.iter().find(|number| number.key == key).unwrap();
        assert_eq!(find("shot.total_g").after, Some(12.5));
        assert_eq!(find("part.area_mm2").change, None);
        let names: Vec<_> =
            settings(&before, &after, &still).iter().map(|it| it.name).collect();
        assert_eq!(names, ["Plastic"]);
        assert!(settings(&before, &before, &still).is_empty());
    }
}
