//! How the report speaks: the words for each verdict and severity, and for yes and no.
//! Numbers and units are written by [`crate::units::format`].

use crate::findings::answer::JudgedWith;
use crate::findings::{Severity, Verdict};
use crate::schema::{PressureWindow, Report};
use crate::units::format::NOT_KNOWN;

/// The answer in a few words.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "Cut it",
        Verdict::FixFirst => "Fix first",
        Verdict::DoNotCut => "Do not cut",
        Verdict::Unknown => "Cannot tell yet",
    }
}

/// The answer in a sentence.
pub fn verdict_meaning(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "Nothing was found that speaks against milling this mold today.",
        Verdict::FixFirst => {
            "A good part is unlikely until the findings marked Fix are cured."
        }
        Verdict::DoNotCut => {
            "No good part can come out of this mold on this press; see the findings marked Stop."
        }
        Verdict::Unknown => {
            "An input is missing, so nobody can tell; the findings say which one."
        }
    }
}

/// A sign to go with the verdict, so that it never hangs on color.
pub fn verdict_sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "✓",
        Verdict::FixFirst => "!",
        Verdict::DoNotCut => "✕",
        Verdict::Unknown => "?",
    }
}

/// The name of a severity.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "Stop",
        Severity::Fix => "Fix",
        Severity::Note => "Note",
    }
}

/// A sign for what was found about a question, so that it never hangs on color.
pub fn sign(severity: Option<Severity>, known: bool) -> &'static str {
    match severity {
        Some(Severity::Stop) => "✕",
        Some(Severity::Fix) => "!",
        _ if !known => "?",
        Some(Severity::Note) | None => "✓",
    }
}

/// The same in words, for those who do not see it.
pub fn state(severity: Option<Severity>, known: bool) -> &'static str {
    match severity {
        Some(Severity::Stop) => "(stop)",
        Some(Severity::Fix) => "(fix)",
        _ if !known => "(open)",
        Some(Severity::Note) | None => "",
    }
}

/// "Judged with PP (assumed); …".
pub fn judged_with(all: &[JudgedWith]) -> String {
    let each = all.iter().map(|it| {
        let doubt = it.doubt.as_ref().map(|doubt| format!(" ({doubt})"));
        format!("{}{}", it.what, doubt.unwrap_or_default())
    });
    format!("Judged with {}.", each.collect::<Vec<_>>().join(", "))
}

/// "Pressure: fills at …, holds to …; the press has …: begin with …".
pub fn window(window: &PressureWindow) -> String {
    let known = [window.range.as_str(), window.advice.as_str()];
    let known: Vec<&str> = known.into_iter().filter(|it| !it.is_empty()).collect();
    format!("Pressure: {}.", known.join("; "))
}

/// "15 causes, 36 findings".
pub fn counted(report: &Report) -> String {
    let count = |number: usize, one: &str| match number {
        1 => format!("1 {one}"),
        _ => format!("{number} {one}s"),
    };
    format!(
        "{}, {}",
        count(report.causes.len(), "cause"),
        count(report.findings.len(), "finding")
    )
}

/// Yes, no, or that it is not known.
pub fn yes(value: Option<bool>) -> &'static str {
    match value {
        Some(true) => "yes",
        Some(false) => "no",
        None => NOT_KNOWN,
    }
}

/// A name from the program's vocabulary in plain letters.
pub fn plain(name: &str) -> String {
    name.replace('_', " ")
}
