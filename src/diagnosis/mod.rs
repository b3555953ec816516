//! What went wrong: the causes of a bad part, ranked by this part's, press's and plastic's own
//! numbers.
//!
//! | question | file |
//! |---|---|
//! | what does the part show | [`symptom`] |
//! | how was the shot made | [`shot`] |
//! | which change is tried next, for the model | [`change`] |
//! | what does the model say of a change | [`mod@bench`] |
//! | how strongly do the numbers point to a cause, in which order | [`cause`] |
//! | which numbers are causes judged by | `numbers` |
//! | causes that several symptoms share | `common` |
//! | why is it short | `short` |
//! | why does it flash | `flash` |
//! | why is a weld line weak | `weld` |
//! | why does it sink or warp | `packing` |
//! | why does it burn, or have bubbles | `heat` |
//! | why does it stick | `release` |
//! | why does the nozzle drool, or a cold slug come | `nozzle` |
//! | what does the model say of the change, in words | `then` |
//!
//! Each symptom has a closed list of causes (common practice); each cause is held against a
//! number of the check, and one that its number excludes is listed last, with that number.

pub mod symptom;
pub mod shot;
pub mod change;
pub mod bench;
pub mod cause;
mod numbers;
mod common;
mod short;
mod flash;
mod weld;
mod packing;
mod heat;
mod release;
mod nozzle;
mod then;

use serde::Serialize;

use crate::analysis::Analysis;
use crate::analysis::filling::KELVIN_DOUBT;
use crate::process::feed::FeedChoices;
use crate::units::us_words::ShownUnits;
use crate::units::{Quantity, Temperature, in_mpa};
use crate::variations::steps::Case;
use bench::{Bench, Outcome};
use cause::{Cause, Standing};
use change::Change;
use numbers::{Deviation, Numbers};
use shot::MoldedShot;
use symptom::Symptom;

/// The causes of a bad part, the likeliest first, the excluded last.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Diagnosis {
    /// Name of the part's file.
    pub file: String,
    /// Units of what people read; the keys of this file say theirs and stay metric.
    pub shown_units: ShownUnits,
    /// Name of the plastic.
    pub plastic: String,
    /// Name of the press.
    pub press: String,
    /// What was seen.
    pub seen: Symptom,
    /// Melt pressure that the shot was pushed with, MPa.
    pub pushed_mpa: f64,
    /// What was taken for known of the shot, one line each.
    pub taken: Vec<String>,
    /// The causes.
    pub causes: Vec<Cause>,
}

/// Why no cause can be ranked.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoDiagnosis {
    /// How it fills is not known.
    #[error("what filling takes is not known, so no cause can be ranked: {0}")]
    NotFilled(String),
    /// No least pressure fills it.
    #[error(
        "by the model there is no least pressure that fills this part: \"goodshot check\" says why"
    )]
    NeverFills,
}

/// Ranks the causes of `seen` on a part that was molded as `shot` says. `analysis` is that of
/// `base`, the mold as cut and run as its sheet says, and is so again afterwards; `progress`
/// hears what is tried.
///
/// # Errors
///
/// [`NoDiagnosis`] where the filling is not known.
pub fn diagnose(
    analysis: &mut Analysis,
    base: &Case,
    shot: &MoldedShot,
    seen: Symptom,
    progress: &dyn Fn(&str),
) -> Result<Diagnosis, NoDiagnosis> {
    let filled = analysis.filling.as_ref();
    let filled = filled.map_err(|why| NoDiagnosis::NotFilled(why.to_string()))?;
    filled.known().ok_or(NoDiagnosis::NeverFills)?;
    let pushed = shot.pressure.unwrap_or(analysis.evaluation.window.begin());
    let trials = trials(analysis, base, shot, seen, progress);
    let numbers = Numbers {
        analysis,
        shot,
        pushed,
        base: bench::outcome(analysis),
        as_pushed: trials.as_pushed,
        mold: trials.mold,
        melt: trials.melt,
        sized_gate: trials.sized_gate,
        thick_walls: trials.thick_walls,
    };
    let mut causes = causes_of(seen, &numbers);
    if shot.was_good {
        causes = causes.into_iter().map(unless_unchanged).collect();
    }
    cause::rank(&mut causes);
    let (now, taken) = (numbers.base.clone(), taken(&numbers));
    let mut bench = Bench::open(analysis, base);
    let facts = facts(shot);
    let now = if facts.is_empty() { now } else { bench.mold(&facts, pushed) };
    for cause in &mut causes {
        if cause.standing == Standing::Excluded {
            continue;
        }
        let Some(effect) = cause.effect else {
            if cause.then.is_empty() {
                then::NOT_MODELED.clone_into(&mut cause.then);
            }
            continue;
        };
        progress(&cause.change);
        let mut changes = facts.clone();
        changes.push(effect);
        let outcome = bench.mold(&changes, pushed);
        let before = cause.supposed.as_ref().unwrap_or(&now);
        cause.then = then::in_words(seen, effect, before, &outcome, pushed);
    }
    bench.close(base);
    let setup = &analysis.setup;
    Ok(Diagnosis {
        file: String::new(),
        shown_units: base.settings.shown_units,
        plastic: setup.plastic.name.clone(),
        press: setup.press.name.clone(),
        seen,
        pushed_mpa: in_mpa(pushed),
        taken,
        causes,
    })
}

/// Causes that lie in the part or in the metal, which do not change from shot to shot.
const IN_METAL: [&str; 14] = [
    "air_shut_in",
    "draft_short",
    "gate_far",
    "gate_small",
    "gate_thin",
    "nozzle_wide",
    "pins_few",
    "plates_bow",
    "shrinks_much",
    "undercut",
    "wall_thick",
    "wall_thin",
    "walls_uneven",
    "well_small",
];

/// Excluded where it lies in the metal: this mold has made good parts.
fn unless_unchanged(cause: Cause) -> Cause {
    if !IN_METAL.contains(&cause.id) {
        return cause;
    }
    let evidence = format!("this mold made good parts before; {}", cause.evidence);
    cause.excluded().because(evidence)
}

fn causes_of(seen: Symptom, numbers: &Numbers<'_>) -> Vec<Cause> {
    match seen {
        Symptom::Short => short::causes(numbers),
        Symptom::Flash => flash::causes(numbers),
        Symptom::Sink => packing::sink(numbers),
        Symptom::Burn => heat::burn(numbers),
        Symptom::Weld => weld::causes(numbers),
        Symptom::Sticks => release::causes(numbers),
        Symptom::Warps => packing::warps(numbers),
        Symptom::Bubbles => heat::bubbles(numbers),
        Symptom::Drool => nozzle::drool(numbers),
        Symptom::ColdSlug => nozzle::cold_slug(numbers),
    }
}

/// What was measured of the shot and moves the melt.
fn facts(shot: &MoldedShot) -> Vec<Change> {
    let melt = shot.melt.map(Change::Melt);
    melt.into_iter().chain(shot.mold.map(Change::Mold)).collect()
}

/// What the model says of each thing that is otherwise than usual, alone.
#[derive(Default)]
struct Trials {
    as_pushed: Option<Outcome>,
    mold: Option<Deviation>,
    melt: Option<Deviation>,
    sized_gate: Option<Outcome>,
    thick_walls: Option<Outcome>,
}

/// Molds the part with each deviation alone, where the symptom hangs on how it fills.
fn trials(
    analysis: &mut Analysis,
    base: &Case,
    shot: &MoldedShot,
    seen: Symptom,
    progress: &dyn Fn(&str),
) -> Trials {
    if !matches!(seen, Symptom::Short | Symptom::Weld) {
        return Trials::default();
    }
    progress("the shot as it was");
    let begin = analysis.evaluation.window.begin();
    let start = analysis.evaluation.clamping.plates.start;
    let usual =
        analysis.setup.plastic.melt_temperature.value.map(|range| range.typical());
    let colder = usual.map(|usual| Temperature::from_si(usual.si() - KELVIN_DOUBT));
    let limits = analysis.walls.limits.as_ref().ok();
    let thin =
        limits.filter(|_| !analysis.walls.thin.is_empty()).map(|limits| limits.low);
    let FeedChoices { gate_depth, gate_width, .. } = base.settings.choices.feed;
    let own_gate = gate_depth.is_some() || gate_width.is_some();
    let mut bench = Bench::open(analysis, base);
    let mut deviation = |given: Option<Change>, else_at: Option<Change>| {
        let outcome = bench.mold(&[given.or(else_at)?], begin);
        Some(Deviation { outcome, is_measured: given.is_some() })
    };
    let mold = deviation(shot.mold.map(Change::Mold), Some(Change::Mold(start)));
    let melt = deviation(shot.melt.map(Change::Melt), colder.map(Change::Melt));
    let trials = Trials {
        as_pushed: shot.pressure.map(|pushed| bench.mold(&[], pushed)),
        mold,
        melt,
        sized_gate: own_gate.then(|| bench.mold(&[Change::SizedGate], begin)),
        thick_walls: thin.map(|low| bench.mold(&[Change::Walls(low)], begin)),
    };
    bench.close(base);
    trials
}

/// What was taken for known.
fn taken(numbers: &Numbers<'_>) -> Vec<String> {
    let shot = numbers.shot;
    let mut lines = Vec::new();
    if shot.pressure.is_none() {
        lines.push(format!(
            "{}; say what was set (--set) where it was another pressure",
            numbers.pushed_with()
        ));
    }
    if shot.melt.is_none() || shot.mold.is_none() {
        lines.push(
            "melt and mold as the sheet says where no temperature was given (--melt, --mold)"
                .to_owned(),
        );
    }
    lines
}

#[cfg(test)]
mod tests;
