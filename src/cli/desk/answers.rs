//! What the page shows beside the report of a run. Every name is escaped here.

use maud::{Markup, html};

use super::{fields, symptom_drawings};
use crate::cli::desk::offered_fields::{
    MOLD_SWITCHES, MOLD_VALUES, SHOT_SWITCHES, SHOT_VALUES,
};
use crate::compare::comparison::Comparison;
use crate::compare::html as compared;
use crate::diagnosis::symptom::Symptom;
use crate::findings::Verdict;
use crate::report::quantities;
use crate::schema::{Report, words};

/// What stands beside the report of a check: what changed, and how its mold is made.
pub(super) fn check(
    report: &Report,
    changed: Option<&Comparison>,
    typed: &str,
) -> String {
    let piece = html! {
        (make_mold(report.verdict))
        (bad_part())
        @if let Some(changed) = changed { (what_changed(changed)) }
        (terminal(typed))
    };
    quantities::mark(&piece.into_string(), report.shown_units)
}

/// Where the mold of the part is made: behind a warning where the part should not be cut.
fn make_mold(verdict: Verdict) -> Markup {
    html! {
        section.make {
            h2 { "The mold" }
            @if verdict == Verdict::Cut {
                (mold_form())
            } @else {
                details {
                    summary { "Make the mold all the same" }
                    p.warning {
                        "The answer is “" (words::verdict(verdict)) "”: metal that is cut now may have to be cut again. "
                        "Look at “Do first” before."
                    }
                    (mold_form())
                }
            }
        }
    }
}

fn mold_form() -> Markup {
    html! {
        form #mold-form novalidate {
            button type="submit" { "Make the mold" }
            details {
                summary { "Choices of the mold" }
                @for each in &MOLD_VALUES { (fields::value(each)) }
                @for each in &MOLD_SWITCHES { (fields::switch(each)) }
            }
        }
    }
}

/// Where one says what a bad part shows.
fn bad_part() -> Markup {
    html! {
        section.make {
            h2 { "A part came out bad" }
            details {
                summary { "Find the cause by this part's own numbers" }
                form #shot-form novalidate {
                    fieldset.seen {
                        legend { "What does it show?" }
                        div.kinds {
                            @for (i, symptom) in Symptom::ALL.into_iter().enumerate() {
                                label.kind {
                                    input type="radio" name="seen" value=(symptom.name()) checked[i == 0];
                                    (symptom_drawings::drawing(symptom))
                                    span { (symptom.meaning()) }
                                }
                            }
                        }
                    }
                    div.shot-fields {
                        @for each in SHOT_VALUES.iter().filter(|each| each.option != "seen") {
                            (fields::value_of("shot", each))
                        }
                    }
                    @for each in &SHOT_SWITCHES { (fields::switch(each)) }
                    p.hint { "What you leave open is taken as the process sheet has it." }
                    button type="submit" { "Find the cause" }
                }
            }
        }
    }
}

/// What stands beside what was made: how it is asked for in a terminal.
pub(super) fn made(typed: &str) -> String {
    terminal(typed).into_string()
}

fn what_changed(comparison: &Comparison) -> Markup {
    html! {
        section.changed {
            h2 { "What changed" }
            (compared::head(comparison))
            (compared::body(comparison, &[]))
        }
    }
}

fn terminal(typed: &str) -> Markup {
    html! {
        section {
            h2 { "The same in a terminal" }
            div.scroll tabindex="0" role="region" aria-label="Command" {
                pre { code { (typed) } }
            }
        }
    }
}
