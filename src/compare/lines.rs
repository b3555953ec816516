//! A comparison in a few lines for a terminal.

use crate::compare::comparison::{Changed, Comparison, Outcome, Shape};
use crate::findings::Finding;
use crate::schema::Region;
use crate::schema::words;
use crate::units::format;

/// Findings of a kind that are shown; the rest is in the files.
const SHOWN: usize = 3;

/// The numbers that are reported, by the name of their line.
const COMPARED: [(&str, &[(&str, &str)]); 4] = [
    ("grams", &[("shot.part_g", "part"), ("shot.total_g", "shot")]),
    (
        "newtons",
        &[
            ("clamp.opening_force_n", "opening"),
            ("clamp.holding_force_n", "holding"),
            ("ejection.force_n", "pushing out"),
        ],
    ),
    ("seconds", &[("cooling.cool_s", "cool"), ("cooling.cycle_s", "cycle")]),
    ("fill", &[("fill.filled_fraction", "fills"), ("fill.pressure_needed_mpa", "needs")]),
];

/// The answer in one line.
pub fn headline(comparison: &Comparison) -> String {
    let [before, after] = [comparison.before.verdict, comparison.after.verdict];
    let verdict = if before == after {
        format!("{} as before", words::verdict(after))
    } else {
        format!("{} → {}", words::verdict(before), words::verdict(after))
    };
    format!("{}: {verdict}", outcome(comparison.outcome))
}

/// The outcome in a few words.
pub fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Better => "Better",
        Outcome::Same => "No better, no worse",
        Outcome::Worse => "Worse",
        Outcome::Unknown => "Cannot tell whether it is better",
    }
}

/// What changed, a line for each; lines of what did not are left out.
pub fn summarize(comparison: &Comparison) -> Vec<String> {
    let found = &comparison.findings;
    let mut lines = Vec::new();
    lines.extend(some("gone", &found.gone, finding));
    lines.extend(some("new", &found.new, finding));
    lines.extend(some("changed", &found.changed, changed));
    for (name, fields) in COMPARED {
        let parts: Vec<String> = fields
            .iter()
            .filter_map(|&(key, name)| number(comparison, key, name))
            .collect();
        if !parts.is_empty() {
            lines.push(line(name, &parts.join(", ")));
        }
    }
    if let Some(shape) = &comparison.shape {
        lines.extend(walls(shape).filter(|_| shape.is_match));
        lines.push(line("shape", &surface(shape)));
    }
    let settings = comparison.settings.iter();
    lines.extend(settings.map(|setting| {
        let name = setting.name.to_lowercase();
        line("with", &format!("{name} {} → {}", setting.before, setting.after))
    }));
    if lines.is_empty() {
        lines.push(line("same", "nothing that would show here has changed"));
    }
    lines
}

fn line(name: &str, text: &str) -> String {
    format!("  {name:<9} {text}")
}

fn some<T>(name: &str, all: &[T], say: impl Fn(&T) -> String) -> Vec<String> {
    let mut lines: Vec<String> =
        all.iter().take(SHOWN).map(|each| line(name, &say(each))).collect();
    if all.len() > SHOWN {
        lines.push(line("", &format!("and {} more {name}", all.len() - SHOWN)));
    }
    lines
}

fn finding(finding: &Finding) -> String {
    format!("{:<5} {}", words::severity(finding.severity), finding.title)
}

fn changed(pair: &Changed) -> String {
    let [old, new] = [pair.before.severity, pair.after.severity].map(words::severity);
    let severity =
        if old == new { format!("{new:<5}") } else { format!("{old} → {new}") };
    let way = match pair.better {
        Some(true) => ", better",
        Some(false) => ", worse",
        None => "",
    };
    format!("{severity} {} (was {}{way})", pair.after.title, was(pair))
}

/// What a changed finding was before, in a few words.
pub(super) fn was(pair: &Changed) -> String {
    let Changed { before, after, .. } = pair;
    match (before.value, before.limit) {
        (Some(value), _) if before.value != after.value => {
            format::quantity(value, &before.unit)
        }
        (_, Some(limit)) if before.limit != after.limit => {
            format!("with a limit of {}", format::quantity(limit, &before.unit))
        }
        _ => words::severity(before.severity).to_owned(),
    }
}

fn number(comparison: &Comparison, key: &str, name: &str) -> Option<String> {
    let number = comparison.numbers.iter().find(|number| number.key == key)?;
    let [before, after] = [number.before, number.after].map(|v| say(v, number.unit));
    (before != after).then(|| format!("{name} {before} → {after}"))
}

/// A number in the unit that reads best.
pub(super) fn say(value: Option<f64>, unit: &str) -> String {
    match unit {
        "mm³" => format::volume(value),
        "mm²" => format::area(value),
        "N" => format::force(value),
        unit => format::maybe(value, unit),
    }
}

/// How walls changed, where they did.
pub(super) fn walls(shape: &Shape) -> Option<String> {
    let most = |regions: &[Region], way: &str| {
        let worst = regions.first()?;
        let by = format::quantity(worst.value_mm.abs(), "mm");
        Some(format!("{way} by up to {by} at {}", format::point(worst.at_mm)))
    };
    let parts: Vec<String> =
        [most(&shape.thinner, "thinner"), most(&shape.thicker, "thicker")]
            .into_iter()
            .flatten()
            .collect();
    (!parts.is_empty()).then(|| line("walls", &parts.join(", ")))
}

/// How the old part was moved to lie on the new one, where it was.
pub(super) fn laid(shape: &Shape) -> Option<String> {
    let shift = shape.shift_mm;
    let is_shifted = shift.iter().any(|by| by.abs() > 1e-9);
    let shifted = is_shifted.then(|| format!("shifted by {}", format::point(shift)));
    let turned = shape.turn.map(|turn| {
        let (angle, about) =
            (format::number(turn.angle_deg), format::direction(turn.axis));
        format!("turned by {angle}° about {about}")
    });
    match (turned, shifted) {
        (Some(turned), Some(shifted)) => Some(format!("{turned}, then {shifted}")),
        (turned, shifted) => turned.or(shifted),
    }
}

/// That the parts cannot be laid on each other.
pub(super) fn no_match(shape: &Shape) -> String {
    let apart = format::maybe(shape.apart_mm, "mm");
    format!(
        "no match: however the old part is turned and shifted, half of the surface stays \
         {apart} or more away, so what is said of walls and places means little"
    )
}

/// How far the surface moved.
pub(super) fn surface(shape: &Shape) -> String {
    let shifted =
        laid(shape).map_or_else(String::new, |how| format!(", the old part {how}"));
    if !shape.is_match {
        return no_match(shape);
    }
    let Some(at) = shape.farthest_at_mm else {
        let least = format::quantity(shape.least_mm, "mm");
        return format!("nothing moved by more than {least}{shifted}");
    };
    let far = format::quantity(shape.farthest_mm, "mm");
    let area = format::area(Some(shape.moved_area_mm2.max(shape.left_area_mm2)));
    format!("up to {far} apart, at {}, over {area}{shifted}", format::point(at))
}

#[cfg(test)]
mod tests {
    use super::{headline, summarize};
    use crate::compare;
    use crate::findings::{Finding, Kind, Verdict};
    use crate::schema::fixtures;

    #[test]
    fn only_what_changed_is_reported() {
        let before = fixtures::report();
        let same = summarize(&compare::compare(&before, &before, None));
        assert_eq!(same.len(), 1, "{same:?}");
        let mut after = before.clone();
        let gone = after.findings.remove(0);
        after.thickness.thin.clear();
        after.undercut.regions.clear();
        after.verdict = Verdict::Cut;
        after.shot.total_g = Some(12.34);
        let comparison = compare::compare(&before, &after, None);
        assert_eq!(headline(&comparison), "Better: Fix first → Cut it");
        let lines = summarize(&comparison);
        assert!(
            lines[0].starts_with("  gone      Stop") && lines[0].contains(&gone.title)
        );
        assert!(lines.iter().any(|line| line.contains("→ 12.3 g")), "{lines:?}");
        assert!(lines.len() < 5, "{lines:?}");
    }

    #[test]
    fn many_of_a_kind_are_counted() {
        let before = fixtures::report();
        let mut after = before.clone();
        let others = [
            Kind::Clamp,
            Kind::Feed,
            Kind::Flash,
            Kind::Land,
            Kind::Nozzle,
            Kind::Pins,
            Kind::Plates,
            Kind::Shot,
            Kind::Unit,
        ];
        for kind in others {
            after.findings.push(Finding { kind, ..before.findings[0].clone() });
        }
        let lines = summarize(&compare::compare(&before, &after, None));
        assert!(lines.iter().any(|line| line.contains("and 6 more new")), "{lines:?}");
    }
}
