//! The process sheet: what to set and to watch at the press, one line each, and the sources
//! behind all that the report says.

use crate::analysis::Analysis;
use crate::process::part_limits::basis;
use crate::process::plastic::residence::{CHARGE_MIN, HEAT_UP_MIN, SOAK_MIN};
use crate::process::sourced::Range;
use crate::process::thermal::heat_up;
use crate::schema::assemble::{first_shots, gauge};
use crate::schema::{SheetRow, Source};
use crate::units::format;
use crate::units::{self, Quantity, Temperature, in_mm};

/// Every line, in the order of a working day.
pub(crate) fn rows(analysis: &Analysis) -> Vec<SheetRow> {
    let mut rows = plastic(analysis);
    rows.extend(shot(analysis));
    rows.extend(first_shots::rows(analysis));
    rows.extend(times(analysis));
    rows.extend(clamp(analysis));
    rows.extend(mold(analysis));
    rows.extend(cautions(analysis));
    rows
}

fn row(what: &str, value: impl Into<String>, basis: impl Into<String>) -> SheetRow {
    SheetRow { what: what.to_owned(), value: value.into(), basis: basis.into() }
}

fn plastic(analysis: &Analysis) -> Vec<SheetRow> {
    let plastic = &analysis.setup.plastic;
    let heat = |range: Range<Temperature>| {
        let [low, high] = [range.low, range.high].map(gauge::heat);
        format!("{}, from {low} to {high}", gauge::heat(range.typical()))
    };
    let (melt, mold) = (&plastic.melt_temperature, &plastic.mold_temperature);
    vec![
        row("Dry", format::known(plastic.drying.value.clone()), basis(&plastic.drying)),
        row("Melt in the barrel", format::known(melt.value.map(heat)), basis(melt)),
        row(
            "Nozzle",
            format::known(melt.value.map(|range| gauge::heat(range.typical()))),
            "as the melt; hotter where it freezes, cooler where it drools (common practice)",
        ),
        row("Mold", format::known(mold.value.map(heat)), basis(mold)),
        row(
            "Melt flow rate",
            format::known(plastic.implied_flow().map(|flow| flow.to_string())),
            format!("what the viscosity model implies: {}", basis(&plastic.viscosity)),
        ),
        row(
            "Warm up",
            format!(
                "{HEAT_UP_MIN:.0} min to heat, {SOAK_MIN:.0} min to soak, {CHARGE_MIN:.0} min a charge at least"
            ),
            "timetable of a community workshop's hand press with a barrel of 150 cm³",
        ),
    ]
}

fn shot(analysis: &Analysis) -> Vec<SheetRow> {
    let evaluation = &analysis.evaluation;
    let mut rows = Vec::new();
    if let Some(Ok(shot)) = &evaluation.shot {
        rows.push(row(
            "Shot",
            format!(
                "{} with feed and nozzle, {} of granules a shot",
                gauge::mass(shot.total),
                match shot.charges {
                    1 => "one filling".to_owned(),
                    many => format!("{many} fillings"),
                }
            ),
            "volume × density of the solid",
        ));
    }
    if let Ok(feed_design) = &evaluation.feed_design
        && let Ok(filling) = &feed_design.filling
    {
        rows.push(row(
            "Fill",
            format!(
                "in {}, {}{}",
                format::quantity(filling.time.si(), "s"),
                format::quantity(units::in_cm3_s(filling.flow), "cm³/s"),
                if feed_design.feed.cavities > 1 { " into each cavity" } else { "" }
            ),
            if filling.is_computed {
                "as the filling was computed"
            } else if filling.ram_limits {
                "the fastest that the ram moves"
            } else {
                "a quarter of the time in which the median wall freezes through (assumed)"
            },
        ));
    }
    rows
}

fn times(analysis: &Analysis) -> Vec<SheetRow> {
    let timing = &analysis.evaluation.timing;
    let seconds = |time: units::Time| format::quantity(time.si(), "s");
    let mut rows = Vec::new();
    if let Some(hold) = &timing.hold {
        rows.push(row(
            "Hold",
            seconds(hold.time),
            format!("until the {} is frozen", hold.by),
        ));
    }
    if let Some(cool) = &timing.cool {
        rows.push(row(
            "Cool",
            seconds(cool.time),
            format!("from the end of filling until the {} is stiff", cool.by),
        ));
    }
    if let Some(cycle) = &timing.cycle {
        rows.push(row(
            "Cycle",
            format!(
                "{}, {} parts an hour",
                seconds(cycle.total),
                format::number(cycle.parts_per_hour(1))
            ),
            format!("the longest step is to {}", cycle.rules),
        ));
    }
    if let Some(shift) = &timing.shift {
        rows.push(row(
            "Mold over a shift",
            heat_up::in_words(shift),
            "heat of each shot into a block of aluminum in still air",
        ));
    }
    if let Some(stays) = timing.in_heat {
        let minutes = |time: units::Time| format::quantity(time.si() / 60.0, "min");
        let limit = timing.heat_limit.map_or_else(
            || "no limit is known as a number".to_owned(),
            |limit| format!("{} at most", minutes(limit)),
        );
        rows.push(row(
            "Melt in the barrel stays",
            format!("{}; {limit}", minutes(stays)),
            format!(
                "melt in the heat ÷ shot × cycle; {}",
                basis(&analysis.setup.plastic.residence_limit)
            ),
        ));
    }
    rows
}

fn clamp(analysis: &Analysis) -> Vec<SheetRow> {
    let press = &analysis.setup.press;
    let clamping = &analysis.evaluation.clamping;
    let mut rows = Vec::new();
    if let Some(clamp) = &press.clamp {
        let torque = press.bolts().and_then(|bolts| bolts.torque);
        let torque = torque.map_or_else(String::new, |torque| {
            format!(", each to {}", gauge::torque(torque))
        });
        let margin = clamping.margin().map_or_else(
            || "nothing opens".to_owned(),
            |margin| format!("holds {} times what opens", format::number(margin)),
        );
        rows.push(row("Hold shut by", format!("{}{torque}", clamp.in_words()), margin));
    }
    let pushed = analysis.evaluation.window.begin();
    let thrust = press.nozzle_lift_at(pushed).map(|lift| {
        let contact = press.contact_force().map_or_else(
            || "what holds it is not known".to_owned(),
            |contact| format!("held with {}", gauge::force(contact)),
        );
        format!("{}; {contact}", gauge::force(lift))
    });
    rows.extend(thrust.map(|text| {
        row(
            "Nozzle thrust",
            text,
            "melt pressure to begin with on the circle of the seat",
        )
    }));
    rows
}

fn mold(analysis: &Analysis) -> Vec<SheetRow> {
    let evaluation = &analysis.evaluation;
    let mut rows = Vec::new();
    if let Ok(vent) = &evaluation.vent {
        let count =
            evaluation.vent_count().map_or_else(String::new, |n| format!("{n} × "));
        rows.push(row(
            "Vents",
            format!(
                "{count}{} deep ({} at most), {} mm wide, land {}, relief {}",
                gauge::depth(vent.start),
                gauge::depth(vent.most),
                format::number(in_mm(vent.width)),
                format::number(in_mm(vent.land)),
                format::number(in_mm(vent.relief))
            ),
            basis(&analysis.setup.plastic.vent_depth),
        ));
    }
    if let (Ok(ejection), Some(pins)) =
        (&evaluation.ejection, analysis.pinned.as_ref().and_then(|pinned| pinned.pins))
    {
        rows.push(row(
            "Push off with",
            format!(
                "{} pins of {} mm by {} mm, {} to {}",
                pins.count,
                format::number(in_mm(pins.diameter)),
                format::number(in_mm(ejection.stroke)),
                gauge::force(ejection.force().typical),
                gauge::force(ejection.force().high)
            ),
            "shrinkage, stiffness when hot and friction, typical to all at their high end",
        ));
    }
    rows
}

fn cautions(analysis: &Analysis) -> Vec<SheetRow> {
    let (plastic, press) = (&analysis.setup.plastic, &analysis.setup.press);
    let mut rows = Vec::new();
    let energies = [
        ("air", press.stored_air_energy(), "cylinders at full stroke, p V / (γ − 1)"),
        ("nozzle spring", press.stored_spring_energy(), "half of force times travel"),
    ];
    for (what, energy, why) in energies {
        if let Some(energy) = energy {
            let joules = format::quantity(energy.si(), "J");
            rows.push(row("Stored energy", format!("{joules} in the {what}"), why));
        }
    }
    if let Some(never) = &plastic.never_with.value {
        rows.push(row("Never in one barrel with", never, basis(&plastic.never_with)));
    }
    if let Some(fume) = &plastic.fume.value {
        rows.push(row("Fume", fume, basis(&plastic.fume)));
    }
    if let Some(residence) = &plastic.residence.value {
        rows.push(row("Time in the heat", residence, basis(&plastic.residence)));
    }
    rows.push(row(
        "What this is not",
        "no approval: it claims compliance with nothing. Local rules and licensed practice come first",
        "a check of arithmetic, not of safety",
    ));
    rows
}

/// What the keys in brackets in `texts` stand for, in the order of the keys.
pub(crate) fn sources(analysis: &Analysis, texts: &[&str]) -> Vec<Source> {
    let cited = |key: &str| texts.iter().any(|text| cites(text, key));
    let sources = analysis.setup.sources.iter().filter(|(key, _)| cited(key));
    let source = |(key, citation): &(String, String)| Source {
        key: key.clone(),
        citation: citation.clone(),
    };
    sources.map(source).collect()
}

/// Whether `key` stands in brackets in `text`, alone or among others.
fn cites(text: &str, key: &str) -> bool {
    let brackets = text.split('[').skip(1).filter_map(|rest| rest.split_once(']'));
    brackets.into_iter().any(|(keys, _)| keys.split([' ', ',']).any(|it| it == key))
}

#[cfg(test)]
mod tests {
    use super::{cites, rows, sources};
    use crate::findings::fixtures::{analysis, fixture_settings, plug, setup, with};

    #[test]
    fn a_key_is_found_between_brackets_only() {
        assert!(cites("walls [A B3S], done", "B3S") && cites("[A]", "A"));
        assert!(!cites("A [AB] B", "A") && !cites("A] [", "A"));
    }

    #[test]
    fn the_sheet_names_what_a_day_needs() {
        let pom = with(&plug(), setup("pom"), &fixture_settings());
        let rows = rows(&pom);
        let all: Vec<&str> = rows.iter().map(|row| row.value.as_str()).collect();
        let all = all.join("\n");
        assert!(all.contains("200 °C") && all.contains("24 N m"), "{all}");
        for what in [
            "Dry",
            "Melt in the barrel",
            "Nozzle",
            "Mold",
            "Warm up",
            "Shot",
            "Fill",
            "Hold",
            "Cool",
            "Cycle",
            "Melt in the barrel stays",
            "Hold shut by",
            "Nozzle thrust",
            "Vents",
            "Push off with",
            "Stored energy",
            "Never in one barrel with",
            "What this is not",
        ] {
            assert!(rows.iter().any(|row| row.what == what), "{what}");
        }
        let text: Vec<&str> = rows.iter().map(|row| row.basis.as_str()).collect();
        let sources = sources(&pom, &text);
        assert!(sources.iter().any(|source| source.key == "DURA"), "{sources:?}");
        // One filling of the barrel is one, not "1 fillings".
        let shot = rows.iter().find(|row| row.what == "Shot").unwrap();
        assert!(shot.value.contains("one filling"), "{}", shot.value);
        assert!(super::rows(&analysis(&plug())).len() > 15);
    }
}
