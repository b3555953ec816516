//! How the report speaks: the words for each verdict and severity, and for yes and no.
//! Numbers and units are written by [`crate::units::format`].

use crate::findings::{Severity, Verdict};
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
