//! Why a weld line is weak or shows: fronts that meet too cold.

use super::cause::Cause;
use super::change::Change;
use super::common;
use super::numbers::{Deviation, Numbers, celsius};
use crate::process::sourced::Range;
use crate::units::Temperature;
use crate::units::format::percent;

/// Fronts that meet with more of the wall frozen hardly join (judgment, as in the check).
const COLD_WELD: f64 = 0.5;
/// The share that is frozen is known to a quarter.
const FROZEN_DOUBT: f64 = 1.25;

pub(super) fn causes(numbers: &Numbers<'_>) -> Vec<Cause> {
    let Some(usual) = numbers.base.weld_frozen else {
        return vec![
            Cause::new("no_weld", "fronts that meet")
                .excluded()
                .because("by the model no two fronts meet in this part with this gate")
                .look("whether the line is a crack, a scratch of the mold or flow around dirt")
                .change("give the gate as it was cut (--gate), and ask again", None),
        ];
    };
    let all = [
        slow(numbers, usual),
        cold(numbers, usual, Of::Melt),
        cold(numbers, usual, Of::Mold),
        Some(common::moisture(numbers)),
        Some(common::shut_in_air(numbers, "a notch along the line")),
        Some(release_agent()),
        gate_place(numbers, usual),
    ];
    all.into_iter().flatten().collect()
}

/// How strongly what freezes `with` of the wall explains a weak line where `without` is usual.
fn explains(with: f64, without: f64) -> f64 {
    (with / without.max(COLD_WELD)).ln() / FROZEN_DOUBT.ln()
}

/// What freezes so little more of the wall explains nothing.
const LEAST_MORE: f64 = 1.02;

/// Excluded where it freezes hardly more, else by how much.
fn by_frozen(cause: Cause, with: f64, without: f64) -> Cause {
    if with < LEAST_MORE * without {
        cause.excluded()
    } else {
        cause.of_strength(explains(with, without))
    }
}

fn slow(numbers: &Numbers<'_>, usual: f64) -> Option<Cause> {
    let with = numbers.as_pushed.as_ref()?.weld_frozen?;
    let window = &numbers.analysis.evaluation.window;
    let to = window.most().max(numbers.pushed);
    let cause = Cause::new("pressure_low", "the mold fills too slowly")
        .because(format!(
            "{} of the wall is frozen where the fronts meet, {}; {} at {}",
            percent(with),
            numbers.pushed_with(),
            percent(usual),
            numbers.set_to(window.begin())
        ))
        .look("time the ram from the first move to the stop")
        .change(format!("push with {}", numbers.set_to(to)), Some(Change::Pressure(to)));
    Some(by_frozen(cause, with, usual))
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Of {
    Melt,
    Mold,
}

fn cold(numbers: &Numbers<'_>, usual: f64, of: Of) -> Option<Cause> {
    let (deviation, range): (&Deviation, Range<Temperature>) = match of {
        Of::Melt => (numbers.melt.as_ref()?, numbers.melt_range()?),
        Of::Mold => (numbers.mold.as_ref()?, numbers.mold_range()?),
    };
    let (id, title, look) = match of {
        Of::Melt => (
            "melt_cold",
            "the melt is too cold",
            "hold a thin thermometer into a purged lump",
        ),
        Of::Mold => (
            "mold_cold",
            "the mold is too cold",
            "touch the cavity with a thermometer just before closing",
        ),
    };
    let with = deviation.outcome.weld_frozen?;
    let given = if of == Of::Melt { numbers.shot.melt } else { numbers.shot.mold };
    let was = match (given, of) {
        (Some(at), _) => celsius(at),
        (None, Of::Melt) => "10 K colder than usual".to_owned(),
        (None, Of::Mold) => "as cold as at the first shot".to_owned(),
    };
    let to = match given {
        Some(at) if at < range.typical() => range.typical(),
        _ => range.high,
    };
    let (verb, change) = match of {
        Of::Melt => ("heat the melt to", Change::Melt(to)),
        Of::Mold => ("warm the mold to", Change::Mold(to)),
    };
    let cause = by_frozen(Cause::new(id, title), with, usual);
    let cause = if deviation.is_measured {
        cause
    } else {
        // Nobody measured it.
        let strength = cause.strength.min(0.0) - 0.3;
        cause.of_strength(strength).supposing(&deviation.outcome)
    };
    Some(
        cause
            .because(format!(
                "{was}: {} of the wall is frozen where the fronts meet, {} at {}",
                percent(with),
                percent(usual),
                celsius(range.typical())
            ))
            .look(look)
            .change(format!("{verb} {}", celsius(to)), Some(change)),
    )
}

fn release_agent() -> Cause {
    Cause::new("release_agent", "release spray, dirt or another plastic in the melt")
        .because("no number knows it")
        .look("whether the line peels or feels greasy; wipe the cavity and purge")
        .change("wipe the mold dry, purge, and mold three shots without spray", None)
}

/// Even as the sheet says, the fronts meet cold: the way from the gate is too long.
fn gate_place(numbers: &Numbers<'_>, usual: f64) -> Option<Cause> {
    let filled = numbers.analysis.filling.as_ref().ok()?;
    let worst = filled.welds.iter().max_by(|a, b| a.frozen.total_cmp(&b.frozen))?;
    Some(
        Cause::new("gate_far", "the fronts meet far from the gate")
            .of_strength(explains(usual, 0.0))
            .because(format!(
                "even run as the sheet says {} of the wall is frozen at {}; above {} hardly joins",
                percent(usual),
                crate::units::format::ascii_point(worst.at),
                percent(COLD_WELD)
            ))
            .look("where the line lies, and whether it carries a load there")
            .change("move the gate nearer to it (--gate), or to the other side of the hole", None),
    )
}
