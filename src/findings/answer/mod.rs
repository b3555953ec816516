//! The answer on one screen: why, what it was judged with, six questions ([`questions`]), and what
//! to do first.

mod questions;

use crate::analysis::Analysis;
use crate::findings::causes::Cause;
use crate::findings::filling_remedies::NOT_ENOUGH;
use crate::findings::{Kind, Severity, Verdict, assumptions, verdict_of};
use crate::units::format::{ascii_point, lowered, three_digits};
pub use questions::Question;
use questions::number;
use serde::{Deserialize, Serialize};

/// A gate that was moved by more than this is not the one that the user meant, mm.
const MOVED_MM: f64 = 0.1;

/// So many changes are what a person takes on at once.
const STEPS: usize = 3;

/// What a person reads first.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Answer {
    /// The verdict's reason in one sentence.
    pub why: String,
    /// What comes before anything else: a missing input, a probable wrong unit, danger.
    pub before_all: Vec<String>,
    /// What it was judged with.
    pub judged_with: Vec<JudgedWith>,
    /// Six questions about the mold, in the order of a shot.
    pub questions: Vec<QuestionAnswer>,
    /// The fewest changes that lift the verdict, at most three, in their order.
    pub do_first: Vec<FirstChange>,
    /// What is left once these are done.
    pub then: String,
}

/// Something that the verdict depends on.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct JudgedWith {
    /// What it is.
    pub what: String,
    /// Why that may not be yours, such as "assumed"; `null` where it was given.
    pub doubt: Option<String>,
}

/// One of the six questions.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct QuestionAnswer {
    /// The question, such as "Comes out".
    pub question: String,
    /// The worst that was found about it; `null` where nothing was found.
    pub severity: Option<Severity>,
    /// Whether it could be answered.
    pub known: bool,
    /// Its number, and the worst cause.
    pub text: String,
}

/// One change.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FirstChange {
    /// Number of the cause that it cures, from 1.
    pub cause: usize,
    /// What to do, a verb with a size.
    pub change: String,
}

/// The first screen.
pub fn answer(analysis: &Analysis, causes: &[Cause], verdict: Verdict) -> Answer {
    let steps = steps(causes);
    Answer {
        why: why(causes, verdict),
        before_all: before_all(analysis, causes),
        judged_with: judged_with(analysis),
        questions: Question::ALL.map(|it| answered(it, analysis, causes)).to_vec(),
        then: then(analysis, causes, &steps),
        do_first: steps,
    }
}

fn why(causes: &[Cause], verdict: Verdict) -> String {
    let of = |severity: Severity| causes.iter().filter(move |it| it.severity == severity);
    let leads = |severity: Severity, one: &str, many: &str| {
        let first = of(severity).next().map_or("", |it| it.title.as_str());
        match of(severity).count() {
            0 | 1 => format!("{first}."),
            2 => format!("{first}; 1 other cause {one}."),
            count => format!("{first}; {} other causes {many}.", count - 1),
        }
    };
    match verdict {
        Verdict::DoNotCut => leads(Severity::Stop, "stops it too", "stop it too"),
        Verdict::FixFirst => leads(Severity::Fix, "to fix", "to fix"),
        Verdict::Unknown if is_unit_open(causes) => {
            "The unit of the file is not sure, and everything else depends on it."
                .to_owned()
        }
        Verdict::Unknown => "An input is missing, so nobody can tell yet.".to_owned(),
        Verdict::Cut => {
            "Nothing was found that speaks against milling this mold today.".to_owned()
        }
    }
}

fn before_all(analysis: &Analysis, causes: &[Cause]) -> Vec<String> {
    let missing = assumptions::missing(analysis);
    let missing = missing.iter().map(|line| format!("Cannot tell: {line}."));
    let unit = causes
        .first()
        .filter(|_| is_unit_open(causes))
        .map(|it| format!("Cannot tell: {}. {}", lowered(&it.title), ended(&it.change)));
    let urgent = causes.iter().filter(|cause| {
        let is_urgent = matches!(cause.kind, Kind::PlasticRefused | Kind::Nozzle);
        is_urgent && cause.severity < Severity::Note
    });
    let filled = analysis.filling.as_ref().ok();
    let moved = filled.and_then(|it| Some((it.gate_moved?, it.gate)));
    let moved = moved.filter(|(moved, _)| *moved > MOVED_MM).map(|(moved, gate)| {
        format!(
            "The gate was moved by {} mm, to {}: gates stand on the surface.",
            three_digits(moved),
            ascii_point(gate)
        )
    });
    unit.into_iter()
        .chain(missing)
        .chain(moved)
        .chain(urgent.map(|it| format!("{}. {}", it.title, ended(&it.change))))
        .collect()
}

/// Whether the first cause is a unit that is open.
fn is_unit_open(causes: &[Cause]) -> bool {
    causes.first().is_some_and(|it| super::leads(it.kind, it.severity))
}

/// With a period, unless it ends with a sign already.
pub fn ended(text: &str) -> String {
    let is_open =
        text.ends_with(|last: char| last.is_alphanumeric() || ")°²³%".contains(last));
    format!("{text}{}", if is_open { "." } else { "" })
}

fn judged_with(analysis: &Analysis) -> Vec<JudgedWith> {
    let setup = &analysis.setup;
    let line = |what: &str, given: bool, doubt: &str| JudgedWith {
        what: what.to_owned(),
        doubt: (!given).then(|| doubt.to_owned()),
    };
    let cutters = analysis.cutting.as_ref().ok().map(|cutting| {
        let count = cutting.list.cutters.len();
        line(&format!("{count} cutters"), cutting.given, "a usual set, not yours")
    });
    let unit = format!("a file in {}", analysis.unit.name());
    let mut all = vec![
        line(&setup.plastic.name, setup.plastic_given, "assumed"),
        line(&setup.press.name, setup.press_given, "an example, not yours"),
        line(&unit, analysis.unit_given, "assumed"),
    ];
    all.extend(cutters);
    let found = assumptions::found_in_words(&setup.found);
    all.extend(found.map(|what| JudgedWith { what, doubt: None }));
    all
}

fn answered(question: Question, analysis: &Analysis, causes: &[Cause]) -> QuestionAnswer {
    let number = number(question, analysis);
    let own = || causes.iter().filter(|it| Question::about(it.kind) == Some(question));
    let worst = own().next();
    let more = own().filter(|it| it.severity < Severity::Note).count();
    let blocks = worst.filter(|it| it.severity < Severity::Note).map(|it| {
        let more =
            if more > 1 { format!(", and {} more", more - 1) } else { String::new() };
        format!("{}{more}", lowered(&it.title))
    });
    let known = number.is_some();
    let number = number.or_else(|| blocks.is_none().then(|| "not worked out".to_owned()));
    let text = [number, blocks].into_iter().flatten().collect::<Vec<_>>().join("; ");
    QuestionAnswer {
        question: question.name().to_owned(),
        severity: worst.map(|it| it.severity),
        known,
        text,
    }
}

/// The changes that lift the verdict: what stops first, then what is to be fixed. One change
/// that cures several causes is one step.
fn steps(causes: &[Cause]) -> Vec<FirstChange> {
    let mut steps: Vec<FirstChange> = Vec::new();
    let blocking = causes.iter().zip(1..);
    for (cause, number) in blocking.filter(|(it, _)| it.severity < Severity::Note) {
        let known = steps.iter().any(|step| step.change == cause.change);
        if !known && !cause.change.is_empty() {
            steps.push(FirstChange { cause: number, change: cause.change.clone() });
        }
    }
    // In another unit there are other causes.
    steps.truncate(if is_unit_open(causes) { 1 } else { STEPS });
    steps
}

/// What is left when the steps are done: every other cause that was found.
fn then(analysis: &Analysis, causes: &[Cause], steps: &[FirstChange]) -> String {
    if steps.is_empty() {
        return String::new();
    }
    if is_unit_open(causes) {
        return "What was found besides may be gone in the right unit.".to_owned();
    }
    let done = |cause: &Cause| {
        let is_step = steps.iter().any(|step| step.change == cause.change);
        is_step && !cause.change.contains(NOT_ENOUGH)
    };
    let left: Vec<&Cause> = causes.iter().filter(|cause| !done(cause)).collect();
    let severities = left.iter().map(|cause| cause.severity);
    what_is_left(steps.len(), None, verdict_of(analysis, severities), &left)
}

/// What is left after so many steps, and the verdict of that; `fills` says how the part then
/// fills, where that was worked out.
pub fn what_is_left(
    steps: usize,
    fills: Option<&str>,
    verdict: Verdict,
    left: &[&Cause],
) -> String {
    let these = match steps {
        1 => "With this done",
        2 => "With both done",
        _ => "With these three done",
    };
    let these = match fills {
        None => format!("{these},"),
        Some(fills) => format!("{these} it {fills};"),
    };
    let blocking = left.iter().filter(|it| it.severity < Severity::Note).count();
    let next = left.first().map_or_else(String::new, |it| lowered(&it.title));
    match verdict {
        Verdict::Cut => {
            format!("{these} nothing else was found: check the changed part again.")
        }
        Verdict::Unknown => format!("{these} only a missing input keeps it open."),
        Verdict::FixFirst | Verdict::DoNotCut if blocking == 1 => {
            format!("{these} one cause is left: {next}.")
        }
        Verdict::FixFirst | Verdict::DoNotCut => {
            format!("{these} {blocking} causes are left, first: {next}.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Answer, answer};
    use crate::analysis::Analysis;
    use crate::findings::causes;
    use crate::findings::fixtures::{
        analysis, fixture_settings, plug, setup, unfilled_settings, with,
    };
    use crate::findings::{Severity, Verdict, judge, verdict};
    use crate::mesh::shapes;

    fn answered(analysis: &Analysis) -> (Answer, Verdict) {
        let findings = judge(analysis);
        let causes = causes::group(analysis, &findings);
        let verdict = verdict(analysis, &findings);
        (answer(analysis, &causes, verdict), verdict)
    }

    #[test]
    fn a_sound_part_has_six_good_answers_and_nothing_to_do() {
        let (answer, verdict) = answered(&analysis(&plug()));
        assert_eq!(verdict, Verdict::Cut);
        assert!(answer.do_first.is_empty() && answer.before_all.is_empty());
        assert_eq!(answer.questions.len(), 6);
        for it in &answer.questions {
            assert!(
                it.known && it.severity.is_none_or(|it| it == Severity::Note),
                "{it:?}"
            );
        }
        // What was not given is marked.
        assert!(answer.judged_with.iter().any(|it| it.doubt.is_some()));
    }

    #[test]
    fn an_open_unit_is_the_only_step() {
        let tiny = shapes::cuboid(4.0, 3.0, 2.0);
        let (answer, verdict) = answered(&with(&tiny, setup("pp"), &unfilled_settings()));
        assert_eq!(verdict, Verdict::Unknown);
        let first = &answer.before_all[0];
        assert!(
            first.starts_with("Cannot tell: looks like inches: the part measures 4 ×")
        );
        assert!(first.contains("Run again with --unit in"), "{first}");
        let steps: Vec<&str> =
            answer.do_first.iter().map(|it| it.change.as_str()).collect();
        assert_eq!(steps, ["Run again with --unit in"]);
    }

    #[test]
    fn a_missing_clamp_comes_before_anything_else() {
        let mut setup = setup("pp");
        setup.press.clamp = None;
        let (answer, verdict) = answered(&with(&plug(), setup, &fixture_settings()));
        assert_eq!(verdict, Verdict::Unknown);
        assert!(answer.before_all[0].contains("[clamp]"), "{:?}", answer.before_all);
        let shut = answer.questions.iter().find(|it| it.question == "Stays shut");
        assert!(!shut.unwrap().known);
    }

    /// A box of 20 mm without draft, too thick: two causes, cured by two changes; then only the
    /// filling is open, which was not looked at.
    #[test]
    fn the_steps_lift_the_verdict() {
        let block = shapes::cuboid(20.0, 20.0, 20.0);
        let (answer, verdict) =
            answered(&with(&block, setup("pp"), &unfilled_settings()));
        assert_eq!(verdict, Verdict::FixFirst);
        let changes: Vec<&str> =
            answer.do_first.iter().map(|it| it.change.as_str()).collect();
        assert_eq!(changes.len(), 2, "{changes:?}");
        assert!(changes.iter().any(|it| it.starts_with("Draft the 4 faces to")));
        assert!(changes.iter().any(|it| it.starts_with("Core the thick section out")));
        assert_eq!(answer.then, "With both done, only a missing input keeps it open.");
    }
}
