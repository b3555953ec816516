//! `goodshot plastics`: the table of plastics, or one of them with the source of each value.

use std::collections::BTreeSet;
use std::io::{self, Write};

use crate::process::plastic::library::Plastics;
use crate::process::plastic::melt_flow::data_sheet::FlowTest;
use crate::process::plastic::viscosity::Viscosity;
use crate::process::plastic::{Family, HeatLimit, Plastic};
use crate::process::sourced::{Range, Sourced};
use crate::units::{
    Length, Pressure, Quantity, Ratio, Temperature, format::four_digits, in_celsius,
};

/// Writes the table, or one plastic.
pub(super) fn show(
    plastics: &Plastics,
    one: Option<&Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    match one {
        Some(plastic) => sheet(plastics, plastic, to),
        None => table(plastics, to),
    }
}

fn table(plastics: &Plastics, to: &mut dyn Write) -> io::Result<()> {
    writeln!(
        to,
        "{:<15}{:>7}{:>10}{:>9}{:>12}{:>12}  what for",
        "name", "g/cm3", "melt °C", "mold °C", "shrinks %", "wall mm"
    )?;
    for (key, plastic) in plastics.iter() {
        let density = plastic.solid_density.value.map(|density| density.si() / 1000.0);
        let heat = |of: &Sourced<Range<Temperature>>| {
            of.value.map(|range| format!("{:.0}", in_celsius(range.typical())))
        };
        let dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
        writeln!(
            to,
            "{key:<15}{:>7}{:>10}{:>9}{:>12}{:>12}  {}",
            dash(density.map(four_digits)),
            dash(heat(&plastic.melt_temperature)),
            dash(heat(&plastic.mold_temperature)),
            dash(plastic.shrinkage.value.map(|range| ends(&range, &PERCENT))),
            dash(plastic.wall_manual.value.map(|range| ends(&range, &MM))),
            if plastic.refuse.is_some() {
                "refused on a small press"
            } else {
                &plastic.description
            }
        )?;
    }
    writeln!(
        to,
        "\nmelt and mold at their typical value, walls for a manual or small press; \
         \"goodshot plastics NAME\" shows each value with its source"
    )
}

/// How values of one kind are written: SI times `factor` plus `offset`, then the unit.
struct Style {
    factor: f64,
    offset: f64,
    unit: &'static str,
}

const fn style(factor: f64, unit: &'static str) -> Style {
    Style { factor, offset: 0.0, unit }
}

const DENSITY: Style = style(1e-3, " g/cm3");
const CELSIUS: Style = Style { factor: 1.0, offset: -273.15, unit: " °C" };
const HEAT: Style = style(1.0, " J/(kg K)");
const DIFFUSIVITY: Style = style(1e6, " mm2/s");
const PERCENT: Style = style(100.0, " %");
const MM: Style = style(1e3, " mm");
const DEGREES: Style = style(180.0 / std::f64::consts::PI, "°");
const MPA: Style = style(1e-6, " MPa");
const NUMBER: Style = style(1.0, "");

fn single<Q: Quantity>(value: &Q, style: &Style) -> String {
    format!("{}{}", number(*value, style), style.unit)
}

fn number<Q: Quantity>(value: Q, style: &Style) -> String {
    four_digits(value.si() * style.factor + style.offset)
}

/// "1.5–5", without the unit.
fn ends<Q: Quantity>(range: &Range<Q>, style: &Style) -> String {
    format!("{}–{}", number(range.low, style), number(range.high, style))
}

fn range<Q: Quantity>(range: &Range<Q>, style: &Style) -> String {
    let typical =
        range.typical.map(|typical| format!(", typical {}", number(typical, style)));
    format!("{}{}{}", ends(range, style), style.unit, typical.unwrap_or_default())
}

/// One value as a line: what it is, its text or the reason for none, note and source.
struct Line<'a> {
    label: &'static str,
    text: Result<String, &'a str>,
    note: &'a str,
    source: &'a str,
}

fn line<'a, T>(
    label: &'static str,
    of: &'a Sourced<T>,
    text: impl Fn(&T) -> String,
) -> Line<'a> {
    let text = of.value.as_ref().map(text).ok_or_else(|| of.reason());
    Line { label, text, note: &of.note, source: &of.source }
}

fn sheet(plastics: &Plastics, plastic: &Plastic, to: &mut dyn Write) -> io::Result<()> {
    let family = plastic.family.map_or("family not given", Family::name);
    writeln!(to, "{} ({family}): {}", plastic.name, plastic.description)?;
    if !plastic.also.is_empty() {
        writeln!(to, "also called {}", plastic.also.join(", "))?;
    }
    if let Some(like) = &plastic.like {
        writeln!(to, "as {like} in every value that is not its own")?;
    }
    if let Some(reason) = &plastic.refuse {
        writeln!(to, "REFUSED: {reason}")?;
    }
    writeln!(to)?;
    let mut keys = BTreeSet::new();
    let lines = thermal(plastic).into_iter().chain(mechanical(plastic));
    for line in lines.chain(rare(plastic)) {
        let source = line.source;
        let text = match line.text {
            Ok(text) if line.note.is_empty() => format!("{text}  [{source}]"),
            Ok(text) => format!("{text}  ({}) [{source}]", line.note),
            Err(reason) => format!("not known: {reason}"),
        };
        writeln!(to, "{:<22}{text}", line.label)?;
        keys.extend(plastics.citations(line.source));
    }
    writeln!(to, "\nsources")?;
    keys.iter().try_for_each(|(key, citation)| writeln!(to, "[{key}] {citation}"))
}

fn thermal(plastic: &Plastic) -> Vec<Line<'_>> {
    let heat = |value: &Temperature| single(value, &CELSIUS);
    let heats = |value: &Range<Temperature>| range(value, &CELSIUS);
    vec![
        line("solid density", &plastic.solid_density, |v| single(v, &DENSITY)),
        line("melt density", &plastic.melt_density, |v| single(v, &DENSITY)),
        line("drying", &plastic.drying, String::clone),
        line("melt temperature", &plastic.melt_temperature, heats),
        line("mold temperature", &plastic.mold_temperature, heats),
        line("ejection temperature", &plastic.ejection_temperature, heat),
        line("no-flow temperature", &plastic.no_flow_temperature, heat),
        line("diffusivity", &plastic.diffusivity, |v| single(v, &DIFFUSIVITY)),
        line("heat capacity", &plastic.heat_capacity, |v| single(v, &HEAT)),
        line("viscosity", &plastic.viscosity, |v| thickness(v, plastic)),
        line("melt flow rate", &plastic.flow_test, |test| flow(*test, plastic)),
        line("fume", &plastic.fume, String::clone),
        line("residence", &plastic.residence, String::clone),
    ]
}

/// How long it may stay hot; and, for the few plastics that have one, how far the viscosity
/// may be off, what it must never meet and the allowance of their runners.
fn rare(plastic: &Plastic) -> impl Iterator<Item = Line<'_>> {
    let wider =
        line("runner wider by", &plastic.runner_allowance, |v| single(v, &PERCENT));
    let doubt = line("viscosity, off by", &plastic.viscosity_doubt, |v| {
        format!("a factor of up to {} either way", four_digits(*v))
    });
    let apart = line("never with", &plastic.never_with, String::clone);
    std::iter::once(line("longest at heat", &plastic.residence_limit, |v| limits(v)))
        .chain([doubt, apart, wider].into_iter().filter(|line| line.text.is_ok()))
}

/// "60 min at 200 °C, 30 min at 210 °C".
fn limits(limits: &[HeatLimit]) -> String {
    let limit = |limit: &HeatLimit| {
        format!(
            "{} min at {:.0} °C",
            four_digits(limit.time.si() / 60.0),
            in_celsius(limit.at)
        )
    };
    limits.iter().map(limit).collect::<Vec<_>>().join(", ")
}

fn mechanical(plastic: &Plastic) -> Vec<Line<'_>> {
    let lengths = |value: &Range<Length>| range(value, &MM);
    let shares = |value: &Range<Ratio>| range(value, &PERCENT);
    vec![
        line("shrinkage", &plastic.shrinkage, shares),
        line("wall, small press", &plastic.wall_manual, lengths),
        line("wall, industry", &plastic.wall_industrial, lengths),
        line("draft", &plastic.draft, |v| single(v, &DEGREES)),
        line("vent depth", &plastic.vent_depth, lengths),
        line("strip-off strain", &plastic.strip_strain, shares),
        line("friction at demolding", &plastic.friction, |v| range(v, &NUMBER)),
        line("modulus at 23 °C", &plastic.modulus, |v| single(v, &MPA)),
        line("left when ejected", &plastic.hot_stiffness, shares),
    ]
}

/// The model and one number that a person can compare.
fn thickness(viscosity: &Viscosity, plastic: &Plastic) -> String {
    let at = plastic.melt_temperature.value.map(|range| range.typical());
    let number = at.map(|at| {
        let pa_s = viscosity.pa_s(1000.0, at, Pressure::default());
        format!(", {pa_s:.0} Pa s at {:.0} °C and 1000 1/s", in_celsius(at))
    });
    format!("{}{}", viscosity.name(), number.unwrap_or_default())
}

/// What the viscosity model lets out of the die of the melt flow test.
fn flow(test: FlowTest, plastic: &Plastic) -> String {
    match plastic.implied_flow() {
        Some(flow) => format!("{flow}, by the viscosity model"),
        None => format!("no flow at {test}, by the viscosity model"),
    }
}

#[cfg(test)]
mod tests {
    use super::show;
    use crate::process::plastic::library::Plastics;

    fn shown(name: Option<&str>) -> String {
        let plastics = Plastics::builtin().unwrap();
        let one = name.map(|name| plastics.find(name).unwrap());
        let mut bytes = Vec::new();
        show(&plastics, one, &mut bytes).unwrap();
        String::from_utf8(bytes).unwrap()
    }

    #[test]
    fn the_table_has_a_line_for_each_plastic() {
        let text = shown(None);
        assert_eq!(text.lines().count(), 1 + 27 + 2);
        let pp = text.lines().find(|line| line.starts_with("pp ")).unwrap();
        for part in ["0.905", "230", "1.2–2.6", "2.5–5", "hinges"] {
            assert!(pp.contains(part), "{pp}");
        }
        assert!(text.contains("refused on a small press"));
    }

    #[test]
    fn one_plastic_shows_each_value_with_its_source() {
        let text = shown(Some("abs"));
        for part in [
            "ABS (amorphous): tough",
            "1.04 g/cm3  [GP35 CRAW]",
            "220–260 °C, typical 235",
            "0.4–0.8 %",
            "power_law, 110 Pa s at 235 °C and 1000 1/s",
            "cm³/10min) at 220 °C, 10 kg, by the viscosity model  [GP35]",
            "2300 J/(kg K)  (of the melt",
            "[GP35] BASF Terluran GP-35 data sheet",
            "[MEMORY] from memory",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
        // All is known of it but the time at one temperature.
        assert_eq!(text.matches("not known").count(), 1);
    }

    /// Twenty-three values on every sheet, and the allowance of runners where there is one:
    /// none is left out in silence, and each has its source
    /// or the reason why it is not known.
    #[test]
    fn every_sheet_shows_every_value() {
        let plastics = Plastics::builtin().unwrap();
        for (key, plastic) in plastics.iter() {
            let text = shown(Some(key));
            let values = text.split("\n\n").nth(1).unwrap();
            let rare = usize::from(plastic.runner_allowance.value.is_some())
                + usize::from(plastic.never_with.value.is_some())
                + usize::from(plastic.viscosity_doubt.value.is_some());
            let count = 23 + rare;
            assert_eq!(values.lines().count(), count, "{key}");
            for line in values.lines() {
                let sourced = line.ends_with(']') && line.contains('[');
                let reason = line.split_once("not known: ").map_or("", |(_, why)| why);
                assert!(sourced || reason.len() > 10, "{key}: {line}");
            }
        }
    }

    #[test]
    fn what_is_not_known_says_why() {
        let text = shown(Some("petg"));
        assert!(text.contains("not known: no strip-off strain known"), "{text}");
        assert!(text.contains("a factor of up to 1.8 either way  (level by"), "{text}");
        assert!(shown(Some("pvc")).contains("REFUSED: rigid PVC"));
    }
}
