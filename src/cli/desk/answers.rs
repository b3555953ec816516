//! What the page shows of a run that is done. Every name is escaped here.

use maud::{Markup, html};

use super::fields;
use crate::cli::desk::form_fields::{MOLD_SWITCHES, MOLD_VALUES};
use crate::compare::comparison::Comparison;
use crate::compare::html as compared;
use crate::findings::Verdict;
use crate::report::first_screen::{class, first_screen};
use crate::report::mold::{html as mold, outline};
use crate::report::quantities;
use crate::schema::mold::MoldReport;
use crate::schema::{Report, words};
use crate::units::format;

/// The answer of a check, what changed, and how its mold is made.
pub(super) fn check(
    report: &Report,
    changed: Option<&Comparison>,
    typed: &str,
) -> String {
    let head = Head {
        class: class(report.verdict),
        sign: words::verdict_sign(report.verdict),
        words: words::verdict(report.verdict),
    };
    let piece = html! {
        (headline(&head))
        (first_screen(report, &[], false))
        (make_mold(report.verdict))
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

/// The mold that was made.
pub(super) fn made_mold(report: &MoldReport, typed: &str) -> String {
    let [x, y, z] = report.size_mm.map(format::number);
    let words = mold::verdict_words(report);
    let head = Head {
        class: mold::verdict_class(report),
        sign: words::verdict_sign(mold::verdict_of(report)),
        words: &words,
    };
    let piece = html! {
        (headline(&head))
        p.meaning {
            "The mold of " (report.file) ": a block of " (x) " × " (y) " × " (z) " mm, two plates of " (report.alloy)
            "; parting " (outline::parting(report)) "; core on the " (report.core_side) " side."
        }
        (mold::part_check(report))
        (mold::failed(report))
        (terminal(typed))
    };
    piece.into_string()
}

/// What changed from one check that was chosen to another.
pub(super) fn comparison(comparison: &Comparison) -> String {
    let (before, after) = (&comparison.before.file, &comparison.after.file);
    let piece = html! {
        h2 #verdict tabindex="-1" {
            "From " (before) " to " (after)
        }
        (what_changed(comparison))
    };
    piece.into_string()
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

struct Head<'a> {
    class: &'a str,
    sign: &'a str,
    words: &'a str,
}

fn headline(head: &Head<'_>) -> Markup {
    html! {
        section.verdict-of.(head.class) {
            h2.verdict #verdict tabindex="-1" {
                span.sign aria-hidden="true" { (head.sign) }
                span.words { (head.words) }
            }
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
