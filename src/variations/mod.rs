//! What if: the same part with one thing changed step by step, and which step turns which
//! finding.
//!
//! | question | file |
//! |---|---|
//! | what can be varied, and how does a user ask for it | [`factors`] |
//! | in which unit is each counted | [`scale`] |
//! | which steps, and which case does each make | [`steps`] |
//! | what is left when the first changes are made at once | [`together`] |
//!
//! Each step runs the same model as the check itself, on the same measured part; what a
//! step cannot change (pull, parting, undercut) is not asked again. The filling of a step
//! runs on cells of twice the edge, scaled to what the fine ones said of the check itself.

pub mod factors;
mod scale;
pub mod steps;
pub mod together;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::analysis::Analysis;
use crate::analysis::filling::{FillingStudy, NotFilled};
use crate::analysis::repeat::Measured;
use crate::findings::{self, Finding, Kind, Severity, Verdict};
use crate::process::plastic::library::Plastics;
use crate::process::press::more_pressure::SHOP_AIR_PA;
use factors::{Factor, FactorRequest};
use steps::{Case, Step};

/// One thing, varied.
#[derive(Clone, Debug)]
pub struct Variation {
    /// What is varied.
    pub factor: Factor,
    /// What it is in the check itself, such as "7 bar".
    pub now: String,
    /// Its steps, in the order of their values; why there are none.
    pub steps: Result<Vec<Tried>, String>,
    /// For each kind of finding of the check the step that turns it, worst first.
    pub turns: Vec<Turn>,
    /// What must be rated for one of these steps; `None` where each is within what the press gives
    /// now, or a common compressor.
    pub beware: Option<&'static str>,
}

/// One step and what came of it.
#[derive(Clone, Debug)]
pub struct Tried {
    /// The step, such as "8 bar".
    pub text: String,
    /// Its value in the unit of the text; `None` for a name.
    pub value: Option<f64>,
    /// What came of it; why it cannot be.
    pub outcome: Result<Outcome, String>,
}

/// What comes of a step.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The answer.
    pub verdict: Verdict,
    /// The worst severity of each kind of finding.
    pub kinds: BTreeMap<Kind, Severity>,
    /// Kinds that keep the mold from being cut in the check itself and not any more.
    pub gone: Vec<Kind>,
    /// Kinds that keep it from being cut now and did not before.
    pub new: Vec<Kind>,
    /// Pressure of the melt, MPa.
    pub melt_pressure_mpa: f64,
    /// Mass of a shot, g.
    pub shot_g: Option<f64>,
    /// Holding over opening force.
    pub clamp_margin: Option<f64>,
    /// Pressure there is over the least that fills.
    pub fill_margin: Option<f64>,
    /// Share of the part that fills.
    pub filled_fraction: Option<f64>,
    /// From shot to shot, s.
    pub cycle_s: Option<f64>,
    /// Force to push the part off its core, N.
    pub ejection_n: Option<f64>,
}

/// The least step that turns a kind of finding.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Turn {
    /// Its `id`.
    #[serde(rename = "id")]
    pub kind: Kind,
    /// What it says in this check.
    pub title: String,
    /// How much it matters in this check.
    pub severity: Severity,
    /// The step nearest to now at which it is gone or milder, of names all that do it; empty
    /// where none does.
    pub at: Vec<String>,
    /// The step before, at which it still stands; `null` where there is none.
    pub not_yet: Option<String>,
    /// Whether it is gone at that step, rather than milder.
    pub gone: bool,
    /// Findings that keep the mold from being cut at that step, and not now.
    pub then: Vec<Kind>,
}

/// Varies each of `requests` about `base`. `analysis` is that of `base`, and is so again
/// afterwards. `progress` hears of each step before it is taken.
pub fn run(
    analysis: &mut Analysis,
    base: &Case,
    requests: &[FactorRequest],
    plastics: &Plastics,
    progress: &dyn Fn(&str),
) -> Vec<Variation> {
    let findings = findings::judge(analysis);
    let measured = analysis.measured();
    let mut variations = Vec::new();
    for wish in requests {
        let factor = wish.factor;
        let line = steps::list(wish, base, analysis, plastics);
        let (now, line) = match line {
            Ok(line) => line,
            Err(why) => {
                let steps = Err(why);
                let now = String::new();
                let turns = Vec::new();
                variations.push(Variation { factor, now, steps, turns, beware: None });
                continue;
            }
        };
        let before = factor
            .reaches_the_melt()
            .then(|| std::mem::replace(&mut analysis.filling, Err(NotFilled::Skipped)));
        let mut tried = Vec::new();
        for step in line {
            progress(&format!("{}: {}", factor.name(), step.text));
            let Step { text, value, away, case } = step;
            let outcome = case.map(|case| {
                make(analysis, &measured, &case, before.as_ref());
                outcome(analysis, &findings)
            });
            tried.push(Attempt { away, tried: Tried { text, value, outcome } });
        }
        if let Some(before) = before {
            analysis.filling = before;
        }
        make(analysis, &measured, base, None);
        let turns = turns(&findings, &tried);
        let beware = factor.beware().filter(|_| asks_more(factor, &tried, &turns));
        let steps = Ok(tried.into_iter().map(|attempt| attempt.tried).collect());
        variations.push(Variation { factor, now, steps, turns, beware });
    }
    variations
}

/// Makes `analysis` that of `case`; the part is filled again where `before` says how it filled.
fn make(
    analysis: &mut Analysis,
    measured: &Measured,
    case: &Case,
    before: Option<&Result<FillingStudy, NotFilled>>,
) {
    analysis.again(measured, &case.setup, &case.settings, case.part);
    if let Some(before) = before {
        let (walls, before) = (case.part.walls, before.as_ref().ok());
        analysis.filling = analysis.fill_again(&case.settings, walls, before);
    }
    analysis.follow_filling(&case.settings);
}

/// Kinds of findings that only a filling can turn.
const OF_FILLING: [Kind; 5] =
    [Kind::ShortShot, Kind::FillMargin, Kind::Weld, Kind::TrappedAir, Kind::FeedPressure];

/// The worst severity of each kind.
fn worst_of(findings: &[Finding]) -> BTreeMap<Kind, Severity> {
    let mut kinds = BTreeMap::new();
    for finding in findings {
        let worst = kinds.entry(finding.kind).or_insert(finding.severity);
        *worst = (*worst).min(finding.severity);
    }
    kinds
}

/// Whether this keeps the mold from being cut.
fn bars(severity: Option<&Severity>) -> bool {
    severity.is_some_and(|severity| *severity < Severity::Note)
}

fn outcome(analysis: &Analysis, before: &[Finding]) -> Outcome {
    let findings = findings::judge(analysis);
    let (was, mut kinds) = (worst_of(before), worst_of(&findings));
    if analysis.filling.is_err() {
        // What is not known is not gone.
        let of_filling = was.iter().filter(|(kind, _)| OF_FILLING.contains(kind));
        kinds.extend(of_filling.map(|(kind, severity)| (*kind, *severity)));
    }
    let only = |of: &BTreeMap<Kind, Severity>, other: &BTreeMap<Kind, Severity>| {
        of.iter()
            .filter(|(kind, severity)| bars(Some(severity)) && !bars(other.get(kind)))
            .map(|(kind, _)| *kind)
            .collect()
    };
    let evaluation = &analysis.evaluation;
    let shot = evaluation.shot.as_ref().and_then(|shot| shot.as_ref().ok());
    let filled = analysis.filling.as_ref().ok();
    let pressure = analysis.setup.press.melt_pressure();
    let ejection = evaluation.ejection.as_ref().ok();
    Outcome {
        verdict: findings::verdict(analysis, &findings),
        gone: only(&was, &kinds),
        new: only(&kinds, &was),
        kinds,
        melt_pressure_mpa: crate::units::in_mpa(pressure),
        shot_g: shot.map(|shot| crate::units::in_grams(shot.total)),
        clamp_margin: evaluation.clamping.margin(),
        fill_margin: filled.and_then(|it| it.margin(pressure.value)),
        filled_fraction: filled.map(|it| it.run.filled),
        cycle_s: evaluation.timing.cycle.as_ref().map(|cycle| cycle.total.value),
        ejection_n: ejection.map(|it| it.force().typical.value),
    }
}

/// A step that was tried, and how far it is from now, negative below it.
struct Attempt {
    away: f64,
    tried: Tried,
}

/// Whether a step that turns something asks more of the press than it gives now, and of air more
/// than a common compressor gives.
fn asks_more(factor: Factor, tried: &[Attempt], turns: &[Turn]) -> bool {
    let is_more = |it: &&Attempt| match factor {
        Factor::RamDiameter => it.away < 0.0,
        Factor::Air => {
            let bar = it.tried.value.unwrap_or(0.0);
            it.away > 0.0 && 1e5 * bar > SHOP_AIR_PA * (1.0 + 1e-6)
        }
        _ => it.away > 0.0,
    };
    let turns_one =
        |it: &Attempt| turns.iter().any(|turn| turn.at.contains(&it.tried.text));
    tried.iter().filter(is_more).any(turns_one)
}

/// For each kind in `findings`, which are sorted worst first, the nearest step that turns it.
fn turns(findings: &[Finding], tried: &[Attempt]) -> Vec<Turn> {
    let mut near: Vec<&Attempt> = tried.iter().collect();
    near.sort_by(|a, b| a.away.abs().total_cmp(&b.away.abs()));
    let mut reported: Vec<Kind> = Vec::new();
    let mut turns = Vec::new();
    for finding in findings {
        // What is not said to the program no step can turn.
        if !reported.contains(&finding.kind) && finding.kind != Kind::MissingInput {
            reported.push(finding.kind);
            turns.push(turn(finding, tried, &near));
        }
    }
    turns
}

/// What turns the kind of `finding`, its worst; `near` are the steps of `tried`, nearest first.
fn turn(finding: &Finding, tried: &[Attempt], near: &[&Attempt]) -> Turn {
    let turned = near.iter().find_map(|Attempt { away, tried }| {
        less_severe(tried, finding).map(|(outcome, gone)| (*away, tried, outcome, gone))
    });
    let by_value = turned.filter(|(_, tried, ..)| tried.value.is_some());
    let not_yet = by_value.and_then(|(away, ..)| {
        let mut closer = near.iter().filter(|Attempt { away: other, tried }| {
            other.signum() == away.signum()
                && other.abs() < away.abs()
                && tried.outcome.is_ok()
        });
        closer.next_back().map(|closer| closer.tried.text.clone())
    });
    let at = by_value.map_or_else(
        || {
            let all = tried.iter().filter(|it| less_severe(&it.tried, finding).is_some());
            all.map(|it| it.tried.text.clone()).collect()
        },
        |(_, tried, ..)| vec![tried.text.clone()],
    );
    Turn {
        kind: finding.kind,
        title: finding.title.clone(),
        severity: finding.severity,
        at,
        not_yet,
        gone: turned.is_some_and(|(.., gone)| gone),
        then: turned.map_or_else(Vec::new, |(.., outcome, _)| outcome.new.clone()),
    }
}

/// What comes of a step at which the kind of `finding`, its worst, is less severe or gone, and
/// whether it is gone.
fn less_severe<'a>(tried: &'a Tried, finding: &Finding) -> Option<(&'a Outcome, bool)> {
    let outcome = tried.outcome.as_ref().ok()?;
    let now = outcome.kinds.get(&finding.kind);
    let is_milder = now.is_none_or(|now| *now > finding.severity);
    is_milder.then_some((outcome, now.is_none()))
}

#[cfg(test)]
mod tests;
