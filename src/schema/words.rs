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

/// "2 stop it, 7 to fix, 5 notes".
pub fn counted(report: &Report) -> String {
    let of = |severity: Severity| {
        report.causes.iter().filter(|cause| cause.severity == severity).count()
    };
    let notes = of(Severity::Note);
    let all = [
        (
            of(Severity::Stop),
            if of(Severity::Stop) == 1 { "stops it" } else { "stop it" },
        ),
        (of(Severity::Fix), "to fix"),
        (notes, if notes == 1 { "note" } else { "notes" }),
    ];
    let said = all.iter().filter(|(count, _)| *count > 0);
    let said: Vec<String> = said.map(|(count, what)| format!("{count} {what}")).collect();
    if said.is_empty() { "Nothing was found".to_owned() } else { said.join(", ") }
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
