//! The first screen of a page: verdict, why, the six questions, what to do first, and what it
//! was judged with.

use maud::{Markup, html};

use crate::report::cause_list::source;

use crate::findings::{Severity, Verdict};
use crate::schema::{Report, words};

/// The verdict with its sign.
pub(crate) fn verdict(verdict: Verdict) -> Markup {
    html! {
        p.verdict {
            span.sign aria-hidden="true" { (words::verdict_sign(verdict)) }
            span.words { (words::verdict(verdict)) }
        }
    }
}

/// The class that a verdict's colors go by.
pub(crate) fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "cut",
        Verdict::FixFirst => "fix_first",
        Verdict::DoNotCut => "do_not_cut",
        Verdict::Unknown => "unknown",
    }
}

/// The class that the colors of a severity go by.
fn severity_class(severity: Option<Severity>, known: bool) -> &'static str {
    match severity {
        Some(Severity::Stop) => "stop",
        Some(Severity::Fix) => "fix",
        _ if !known => "open",
        Some(Severity::Note) | None => "good",
    }
}

/// Why, the six questions, what to do first, and what it was judged with.
///
/// `details` has a picture of the worst place by the number of a cause.
pub(crate) fn first_screen(report: &Report, details: &[(usize, &[u8])]) -> Markup {
    let answer = &report.answer;
    html! {
        section.answer aria-label="The answer" {
            p.meaning { (answer.why) }
            @if !answer.before_all.is_empty() {
                ul.before { @for line in &answer.before_all { li { (line) } } }
            }
            dl.questions {
                @for it in &answer.questions {
                    div class=(severity_class(it.severity, it.known)) {
                        dt {
                            span.sign aria-hidden="true" { (words::sign(it.severity, it.known)) }
                            (it.question)
                            span.quiet { " " (words::state(it.severity, it.known)) }
                        }
                        dd { (it.text) }
                    }
                }
            }
            @if !answer.do_first.is_empty() {
                h2 { "Do first" }
                ol.first_steps {
                    @for step in &answer.do_first {
                        li {
                            @if let Some((_, png)) = details.iter().find(|(known, _)| *known == step.cause) {
                                img.step alt="" src=(source(png));
                            }
                            a href=(format!("#cause-{}", step.cause)) { (step.change) }
                        }
                    }
                }
                p.then { (answer.then) }
            }
            p.window { (words::window(&report.pressure_window)) }
            p.judged { (words::judged_with(&answer.judged_with)) }
            p.counted { (words::counted(report)) "." }
        }
    }
}
