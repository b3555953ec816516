//! Does the part stay on the half with the pins, and do the pins that are drawn push it off?

use super::MoldChoices;
use crate::analysis::Analysis;
use crate::mold::build::Mold;
use crate::mold::cut_feature::Kind;
use crate::mold::mold_checks::Check;
use crate::process::ejection::{LEAST_N, SURE_RATIO};
use crate::units::Quantity;

/// A half that holds this many times as much keeps the part for certain; more is not told apart.
const CERTAIN: f64 = 100.0;

/// Both questions.
pub(super) fn ejection_checks(
    analysis: &Analysis,
    choices: &MoldChoices,
    mold: &Mold,
) -> [Check; 2] {
    [stays(analysis, mold), pushes(analysis, choices, mold)]
}

/// How many times as much the half with the pins holds the part as the other one.
fn stays(analysis: &Analysis, mold: &Mold) -> Check {
    let name =
        "the part stays on the half with the pins: hold there over hold on the other";
    let unknown = |why: String| Check {
        why: Some(why),
        ..Check::unknown(name, Some(SURE_RATIO), "times")
    };
    let ejection = match &analysis.evaluation.ejection {
        Ok(ejection) => ejection,
        Err(reason) => return unknown(reason.to_string()),
    };
    let keeping = &ejection.keeping;
    if keeping.core.max(keeping.cavity).si() < LEAST_N {
        return unknown("next to nothing holds it on either half".to_owned());
    }
    let ratio = keeping.ratio().min(CERTAIN);
    let is_drawn_along = mold.layout.cuts.iter().any(|cut| cut.kind == Kind::Puller);
    if ratio < SURE_RATIO && ratio * SURE_RATIO > 1.0 && is_drawn_along {
        let why = format!(
            "both halves hold the part about alike ({ratio:.2} times); the sprue puller draws it along by the gate: try it before the first long run"
        );
        return Check { value: Some(ratio), ..unknown(why) };
    }
    Check::at_least(name, ratio, SURE_RATIO, "times")
}

/// Pins that are drawn, against those that the force on the part asks for.
fn pushes(analysis: &Analysis, choices: &MoldChoices, mold: &Mold) -> Check {
    let name = "ejector pins that are drawn";
    let unknown = |limit: Option<f64>, why: &str| Check {
        why: Some(why.to_owned()),
        ..Check::unknown(name, limit, "pins")
    };
    let drawn = mold.layout.cuts.iter().filter(|cut| cut.kind == Kind::Pin).count();
    let pinned = analysis.pinned.as_ref().and_then(|pinned| pinned.pins);
    let needed = pinned.map(|pins| f64::from(pins.count * mold.star.count));
    if choices.without.pins {
        return unknown(
            needed,
            "pins are not wanted (--no-pins): strip the part with a plate or by hand",
        );
    }
    match (needed, &analysis.evaluation.ejection) {
        (Some(needed), _) => Check::at_least(name, drawn as f64, needed, "pins"),
        (None, Err(reason)) => unknown(None, &reason.to_string()),
        (None, Ok(_)) => Check {
            value: Some(drawn as f64),
            ok: Some(false),
            ..unknown(
                None,
                "no number of pins pushes the part off: a stripper plate has to",
            )
        },
    }
}
