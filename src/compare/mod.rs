//! What a revision changed: two reports on the same part in, one [`Comparison`] out.
//!
//! | question | file |
//! |---|---|
//! | what may be said about a revision | [`comparison`] |
//! | which finding of the new part is which of the old | [`finding_pairs`] |
//! | which numbers changed | [`numbers`] |
//! | what did the surface do | [`shape`] |
//! | what changed, in a few lines for a terminal | [`lines`] |
//! | what does every readable comparison say, in its order | [`outline`] |
//! | `compare.md` | [`markdown`] |
//! | `compare.html` | [`html`] |
//! | where did walls and surface change, as pictures | [`pictures`] |
//! | all files of one comparison | [`bundle`] |
//!
//! [`compare`] judges; the renderers only say it.

pub mod comparison;
mod finding_pairs;
mod numbers;
pub mod shape;
pub mod lines;
pub mod outline;
mod markdown;
pub mod html;
mod pictures;
pub mod bundle;

use crate::compare::comparison::{Comparison, Findings, Outcome, SCHEMA, Shape, Side};
use crate::findings::{Severity, Verdict};
use crate::part::pose::Pose;
use crate::schema::Report;

/// What changed from `before` to `after`; `shape` is what the surface did, where both parts
/// are at hand.
pub fn compare(before: &Report, after: &Report, shape: Option<Shape>) -> Comparison {
    let pose = shape.as_ref().map_or_else(Pose::still, Shape::pose);
    let findings = finding_pairs::pair(before, after, &pose);
    let side = |report: &Report| Side {
        file: report.part.file.clone(),
        verdict: report.verdict,
    };
    Comparison {
        schema: SCHEMA,
        tool: after.tool.clone(),
        shown_units: before.shown_units,
        before: side(before),
        after: side(after),
        outcome: outcome(before.verdict, after.verdict, &findings),
        settings: numbers::settings(before, after, &pose),
        numbers: numbers::compare(before, after),
        findings,
        shape,
    }
}

/// Whether the revision is for the better. The verdict decides; where it is the same, what
/// is new or more severe does, and only where nothing is, what is gone or less severe.
fn outcome(before: Verdict, after: Verdict, findings: &Findings) -> Outcome {
    let counts = |severity: Severity| severity != Severity::Note;
    let more_severe = |up: bool| {
        findings.changed.iter().any(|pair| {
            let (old, new) = (pair.before.severity, pair.after.severity);
            if up { new < old } else { old < new }
        })
    };
    let is_new = findings.new.iter().any(|finding| counts(finding.severity));
    let is_gone = findings.gone.iter().any(|finding| counts(finding.severity));
    match (rank(before), rank(after)) {
        (Some(old), Some(new)) if old < new => Outcome::Worse,
        (Some(old), Some(new)) if new < old => Outcome::Better,
        _ if is_new || more_severe(true) => Outcome::Worse,
        (_, None) => Outcome::Unknown,
        (None, Some(new)) => {
            if new == 0 {
                Outcome::Better
            } else {
                Outcome::Unknown
            }
        }
        _ if is_gone || more_severe(false) => Outcome::Better,
        _ => Outcome::Same,
    }
}

/// How bad a verdict is; `None` for one that is open.
fn rank(verdict: Verdict) -> Option<u8> {
    match verdict {
        Verdict::Cut => Some(0),
        Verdict::FixFirst => Some(1),
        Verdict::DoNotCut => Some(2),
        Verdict::Unknown => None,
    }
}

#[cfg(test)]
mod tests {
    use super::compare;
    use crate::compare::comparison::Outcome;
    use crate::findings::{Severity, Verdict};
    use crate::schema::Report;
    use crate::schema::fixtures;

    fn report(verdict: Verdict, severities: &[Severity]) -> Report {
        let mut report = fixtures::report();
        let like = report.findings[0].clone();
        report.findings = severities
            .iter()
            .map(|&severity| crate::findings::Finding { severity, ..like.clone() })
            .collect();
        report.verdict = verdict;
        report
    }

    #[test]
    fn the_verdict_decides_and_then_what_is_new() {
        use Severity::{Fix, Note, Stop};
        let [cut, fix, not, open] = [
            report(Verdict::Cut, &[Note]),
            report(Verdict::FixFirst, &[Fix, Note]),
            report(Verdict::DoNotCut, &[Stop, Fix]),
            report(Verdict::Unknown, &[Note]),
        ];
        let more = report(Verdict::FixFirst, &[Fix, Fix, Note]);
        for (before, after, outcome) in [
            (&cut, &cut, Outcome::Same),
            (&cut, &fix, Outcome::Worse),
            (&not, &fix, Outcome::Better),
            (&fix, &more, Outcome::Worse),
            (&more, &fix, Outcome::Better),
            (&open, &open, Outcome::Unknown),
            (&fix, &open, Outcome::Unknown),
            (&open, &cut, Outcome::Better),
            (&open, &fix, Outcome::Worse),
        ] {
            assert_eq!(compare(before, after, None).outcome, outcome);
        }
    }
}
