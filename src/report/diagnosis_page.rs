//! The causes of a bad part as one page that needs nothing else.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::diagnosis::Diagnosis;
use crate::diagnosis::cause::{Cause, Standing};
use crate::report::diagnosis::{CAUTION, NONE_LEFT, standing};
use crate::report::html::{STYLE, policy, shown_key};
use crate::report::quantities;
use crate::units::format;

/// `diagnosis` as one page.
pub fn write(diagnosis: &Diagnosis) -> String {
    let Diagnosis { file, plastic, press, seen, taken, causes, .. } = diagnosis;
    let (out, in_question): (Vec<&Cause>, Vec<&Cause>) =
        causes.iter().partition(|cause| cause.standing == Standing::Excluded);
    let page = html! {
        (DOCTYPE)
        html lang="en" data-units=(shown_key(diagnosis.shown_units)) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "What went wrong: " (file) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header.top { h1 { "What went wrong: " (file) } }
                main {
                    p.meaning { "Seen: " (seen.meaning()) }
                    p { (file) " in " (plastic) " on the " (press) }
                    @if !taken.is_empty() {
                        ul { @for line in taken { li { "Taken: " (line) } } }
                    }
                    section.found #causes {
                        h2 { @if in_question.is_empty() { "Nearest causes" } @else { "Change one thing at a time, in this order" } }
                        @if in_question.is_empty() { p { (NONE_LEFT) } }
                        ol.causes { @for (cause, number) in in_question.iter().zip(1..) { (one(cause, number)) } }
                    }
                    @if !out.is_empty() {
                        section {
                            h2 { "Excluded by their numbers" }
                            ul { @for cause in &out { li { (format::capitalized(&cause.title)) ": " (cause.evidence) } } }
                        }
                    }
                    p.quiet { (CAUTION) }
                }
            }
        }
    };
    let mut page = quantities::mark(&page.into_string(), diagnosis.shown_units);
    page.push('\n');
    page
}

/// A cause with its numbers, what to look at and what to change.
fn one(cause: &Cause, number: usize) -> Markup {
    html! {
        li.cause {
            span.number { (number) }
            div {
                h3 { span.severity.note { (standing(cause)) } (format::capitalized(&cause.title)) }
                dl.questions {
                    @for (name, text) in [("Numbers", &cause.evidence), ("Look", &cause.look), ("Change", &cause.change), ("Then", &cause.then)] {
                        div { dt { (name) } dd { (text) } }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::diagnosis::Diagnosis;
    use crate::diagnosis::cause::{Cause, Standing};
    use crate::diagnosis::symptom::Symptom;
    use crate::units::us_words::ShownUnits;

    #[test]
    fn every_cause_stands_there_and_names_are_only_text() {
        let cause = |title: &str, standing| Cause {
            standing,
            evidence: "3 <b>of</b> 4".to_owned(),
            ..Cause::new("x", title)
        };
        let page = write(&Diagnosis {
            file: "<script>.stl".to_owned(),
            plastic: "PP".to_owned(),
            press: "our press".to_owned(),
            seen: Symptom::Short,
            shown_units: ShownUnits::default(),
            pushed_mpa: 20.0,
            taken: Vec::new(),
            causes: vec![
                cause("the mold is cold", Standing::Likely),
                cause("the bag is thick", Standing::Excluded),
            ],
        });
        assert!(!page.contains("<script") && !page.contains("<b>"), "{page}");
        assert!(page.contains("The mold is cold") && page.contains("The bag is thick"));
        assert_eq!(page.matches("class=\"cause\"").count(), 1);
        for outside in ["http:", "https:", "url(", "@import", "javascript:", " style=\""]
        {
            assert!(!page.contains(outside), "{outside}");
        }
    }
}
