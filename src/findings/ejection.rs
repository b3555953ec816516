//! Does the part stay on the half with the pins, and do the pins push it off unharmed?

use super::{Finding, Kind, Severity};
use crate::analysis::{Analysis, Pinned};
use crate::process::ejection::pins::{FEWEST, Pins, Rule};
use crate::process::ejection::{Keeper, STICKING_N_CM2, SURE_RATIO};
use crate::process::evaluation::ejection::{EjectionForces, MOST_PINS};
use crate::units::format::three_digits;
use crate::units::{Quantity, in_mm};

/// What the force rests on.
const GRIP: &str = "the part shrinks onto metal that it closes around (hoop stress by Lamé, up to that of a box) and between walls that their root draws together (as cantilevers), by what it shrinks until it is ejected; friction by the draft";

/// From this many walls of thickness on a pin pushes along a wall, not on a floor.
const RIM: f64 = 2.0;

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let Ok(ejection) = &analysis.evaluation.ejection else { return Vec::new() };
    let mut findings: Vec<Finding> = keeps(ejection).into_iter().collect();
    if let Some(pinned) = &analysis.pinned
        && !ejection.is_loose()
    {
        findings.extend(pins(ejection, pinned));
    }
    findings
}

fn keeps(ejection: &EjectionForces) -> Option<Finding> {
    let keeping = &ejection.keeping;
    let (severity, how) = match keeping.keeper() {
        Keeper::Core => return None,
        Keeper::Cavity => (Severity::Fix, "the part stays in the cavity half"),
        Keeper::Unsure => (Severity::Note, "it is open which half keeps the part"),
    };
    let [core, cavity] = [keeping.core, keeping.cavity].map(Quantity::si);
    let title = format!(
        "ejection: {how}: the core half holds it with {} N, the cavity half with {} N",
        three_digits(core),
        three_digits(cavity)
    );
    Some(
        Finding::new(Kind::KeepsTo, severity, title)
            .number(core, Some(cavity * SURE_RATIO), "N")
            .because(format!("{GRIP}; other walls stick with {STICKING_N_CM2} N for each cm² (judgment); sure above {SURE_RATIO} times the other half"))
            .cured_by("a sprue puller in the half with the pins draws the part along by its gate; more draft in the cavity half, less on the core, or an undercut of 0.1 mm there"),
    )
}

fn pins(ejection: &EjectionForces, pinned: &Pinned) -> Option<Finding> {
    let force = three_digits(ejection.push.force.si());
    let Some(pins) = pinned.pins else {
        let title = format!(
            "ejection: {force} N hold the part, more than {MOST_PINS} pins can push"
        );
        return Some(
            Finding::new(Kind::Pins, Severity::Fix, title)
                .number(ejection.push.force.si(), None, "N")
                .because(GRIP)
                .cured_by("more draft on the core, a smoother core, or a stripper plate"),
        );
    };
    let found = pinned.pads.list.len();
    if found < pins.count as usize {
        return Some(no_place(pinned, &pins));
    }
    push_through(ejection, pinned, &pins)
}

fn no_place(pinned: &Pinned, pins: &Pins) -> Finding {
    let found = pinned.pads.list.len();
    let title = format!(
        "ejection: {} pins of {} mm need flat places on the core half, {found} were found",
        pins.count,
        three_digits(in_mm(pins.diameter))
    );
    // A judgment, not a rule: with half of the pins it may be marked; fewer than two tip it.
    let some = found >= FEWEST as usize && 2 * found >= pins.count as usize;
    let severity = if some { Severity::Note } else { Severity::Fix };
    Finding::new(Kind::Pins, severity, title)
        .number(found as f64, Some(f64::from(pins.count)), "")
        .at(pinned.pads.middle)
        .because("a pin pushes on a face square to the pull, as wide as the pin and as thick as the walls")
        .cured_by(format!(
            "add bosses or a rim of {} mm to push on, or strip the part with a plate",
            three_digits(in_mm(pins.diameter) + 1.0)
        ))
}

/// Pins of which more are needed than hold the part level, for fear of punching through. At
/// a rim they push along the wall, which they do not punch.
fn push_through(
    ejection: &EjectionForces,
    pinned: &Pinned,
    pins: &Pins,
) -> Option<Finding> {
    if pins.rule != Rule::Shear || pinned.behind >= ejection.push.wall * RIM {
        return None;
    }
    let title = format!(
        "ejection: fewer than {} pins of {} mm would punch through the part ({} N hold it)",
        pins.count,
        three_digits(in_mm(pins.diameter)),
        three_digits(ejection.push.force.si())
    );
    Some(
        Finding::new(Kind::PushThrough, Severity::Note, title)
            .number(f64::from(pins.count), None, "")
            .at(pinned.pads.list.first().map(|pad| pad.at))
            .because("shear around the pins below half of the yield stress when hot (common practice)")
            .cured_by("keep to this number, push when the part is cooler, or take wider pins"),
    )
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::findings::fixtures::{analysis, plug};
    use crate::findings::{Finding, Kind, Severity};
    use crate::mesh::shapes;
    use crate::process::ejection::Keeping;
    use crate::process::ejection::pins::Rule;
    use crate::units::{Force, Quantity};

    fn of_kind(findings: Vec<Finding>, kind: Kind) -> Option<Finding> {
        findings.into_iter().find(|finding| finding.kind == kind)
    }

    #[test]
    fn the_half_that_keeps_the_part_is_reported_where_it_is_wrong() {
        let mut analysis = analysis(&plug());
        let [more, less] = [60.0, 30.0].map(Force::from_si);
        for (keeping, severity) in [
            (Keeping { core: more, cavity: less }, None),
            (Keeping { core: less, cavity: less }, Some(Severity::Note)),
            (Keeping { core: less, cavity: more }, Some(Severity::Fix)),
        ] {
            if let Ok(ejection) = &mut analysis.evaluation.ejection {
                ejection.keeping = keeping;
            }
            let finding = of_kind(judge(&analysis), Kind::KeepsTo);
            assert_eq!(finding.map(|finding| finding.severity), severity, "{keeping:?}");
        }
    }

    #[test]
    fn more_draft_needs_less_force() {
        let force = |draft: f64| {
            let analysis = analysis(&shapes::cup(12.0, 15.0, 3.0, draft, 96));
            let ejection = analysis.evaluation.ejection.unwrap();
            // Without the vacuum, which does not know of draft.
            (ejection.core.typical - ejection.vacuum).si()
        };
        let [none, some, more] = [0.0, 1.0, 3.0].map(force);
        assert!(none > some && some > more && more > 0.0, "{none} {some} {more}");
    }

    #[test]
    fn pins_find_a_place_each_or_it_is_reported() {
        let mut analysis = analysis(&plug());
        assert_eq!(judge(&analysis), Vec::new());
        let pinned = analysis.pinned.as_mut().unwrap();
        let count = pinned.pins.unwrap().count as usize;
        assert_eq!(pinned.pads.list.len(), count);
        assert!(count >= 2);
        for (left, severity) in [(count - 1, Severity::Note), (1, Severity::Fix)] {
            let pinned = analysis.pinned.as_mut().unwrap();
            pinned.pads.list.truncate(left);
            if let Some(pins) = &mut pinned.pins {
                // Four at least, so that one less is more than half.
                pins.count = pins.count.max(4);
            }
            let finding = of_kind(judge(&analysis), Kind::Pins).unwrap();
            let wanted = if left == 1 || left < 2 { Severity::Fix } else { severity };
            assert_eq!((finding.severity, finding.value), (wanted, Some(left as f64)));
        }
        analysis.pinned.as_mut().unwrap().pins = None;
        assert!(
            of_kind(judge(&analysis), Kind::Pins).unwrap().title.contains("more than")
        );
    }

    #[test]
    fn push_through_is_reported_where_it_governs() {
        let mut analysis = analysis(&plug());
        let wall = analysis.evaluation.ejection.as_ref().unwrap().push.wall;
        let mut is_found = |rule: Rule, walls: f64| {
            let pinned = analysis.pinned.as_mut().unwrap();
            pinned.pins.as_mut().unwrap().rule = rule;
            pinned.behind = wall * walls;
            of_kind(judge(&analysis), Kind::PushThrough).is_some()
        };
        assert!(is_found(Rule::Shear, 1.0) && is_found(Rule::Shear, 1.99));
        assert!(!is_found(Rule::Shear, 2.01) && !is_found(Rule::Fewest, 1.0));
    }
}
