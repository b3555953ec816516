//! The page and the pieces that are put into it. Every name is escaped here.

use maud::{DOCTYPE, Markup, html};

use super::State;
use super::store::{END, MOST_MB, MOST_TABLE_KB};
use crate::cli::desk::form_fields::{Field, SWITCHES, VALUES};
use crate::cli::desk::job::{Answer, STEPS};
use crate::cli::run_check::DEFAULT_PLASTIC;
use crate::compare::html as compared;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::report::first_screen::{class, first_screen};
use crate::report::quantities;
use crate::schema::words;

/// What the page looks like: as the report and the comparison do, and its own.
pub(super) fn style() -> String {
    [crate::report::html::STYLE, compared::MORE, include_str!("desk.css")].concat()
}

/// What the page does: a plain script in one block, so that its names stay within it.
pub(super) const SCRIPT: &str =
    concat!("\"use strict\";\n{\n", include_str!("desk.js"), "}\n");

/// The page before anything was dropped on it.
pub(super) fn whole(state: &State) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "goodshot" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="desk.css";
                script src="desk.js" defer {}
            }
            body data-most-mb=(MOST_MB) data-most-table-kb=(MOST_TABLE_KB) {
                header.top { div {
                    h1 { "goodshot" }
                    p.lead { "If I mill this mold today, will I get a good part out of my press?" }
                } }
                main {
                    noscript { p { "This page needs scripts. Without them, \"goodshot check part.stl\" in a terminal gives the same report." } }
                    div.desk {
                        (form(state))
                        div.answers {
                            p #error role="alert" hidden {}
                            section #progress aria-label="Progress" hidden {
                                h2 { "Checking" }
                                ol #steps {}
                                p.said #step role="status" {}
                                button.second #stop type="button" { "Stop" }
                            }
                            p #stopped role="status" {}
                            div #answer {
                                p.empty { "The answer appears here. Nothing leaves this machine." }
                            }
                        }
                    }
                    section #report hidden {
                        h2 { "Report" }
                        ul #files {}
                        iframe #page title="The whole report" sandbox="allow-scripts allow-downloads" {}
                    }
                }
            }
        }
    };
    page.into_string()
}

fn form(state: &State) -> Markup {
    html! {
        form #form novalidate {
            div.drop #drop {
                label for="part" { "Your part" }
                p.hint #drop-hint { "Drop an STL file here, or choose one" }
                input #part type="file" accept=".stl" aria-describedby="drop-hint";
                p #part-name role="status" {}
            }
            div.field data-takes="plastics" {
                label for="plastic" { "Plastic" }
                select #plastic name="plastic" {
                    @for (value, text) in choices(&state.plastics.holds) {
                        option value=(value) selected[value == DEFAULT_PLASTIC] { (text) }
                    }
                }
                label.second for="plastics" { "Known plastics" }
                (own_file(&OwnFile { id: "plastics", is_built_in: &state.plastics.file,
                    label: "Your own plastics file (TOML)", template: "goodshot plastics --template" }))
            }
            div.field data-takes="press" {
                label for="press" { "Press" }
                (own_file(&OwnFile { id: "press", is_built_in: "Built-in example press",
                    label: "Your own press file (TOML)", template: "goodshot press --template" }))
            }
            div.field data-takes="tools" {
                label for="tools" { "Cutters" }
                (own_file(&OwnFile { id: "tools", is_built_in: "Built-in list of cutters",
                    label: "Your own cutters file (TOML)", template: "goodshot cutters --template" }))
            }
            div.field {
                label for="pull" { "Mold opens along" }
                input #pull name="pull" type="text" list="pulls" placeholder="chosen for you"
                    autocomplete="off" spellcheck="false" aria-describedby="pull-hint";
                datalist #pulls {
                    @for axis in ["+z", "-z", "+x", "-x", "+y", "-y"] { option value=(axis) {} }
                }
                p.hint #pull-hint { "+z, -x or three numbers such as 0,0.5,1" }
            }
            div.field {
                label for="unit" { "Unit of the file" }
                select #unit name="unit" {
                    option value="" { "mm (assumed)" }
                    @for unit in ["mm", "cm", "m", "in"] { option value=(unit) { (unit) } }
                }
            }
            details {
                summary { "More choices" }
                @for each in &VALUES { (value(each)) }
                @for each in &SWITCHES { (switch(each)) }
            }
            button #check type="submit" disabled { "Check" }
        }
    }
}

/// Where a file of the user's may be given.
struct OwnFile<'a> {
    id: &'a str,
    /// What there is without one.
    is_built_in: &'a str,
    label: &'a str,
    template: &'a str,
}

fn own_file(own: &OwnFile<'_>) -> Markup {
    let OwnFile { id, is_built_in, label, template } = own;
    let file = format!("{id}-file");
    let hint = format!("{id}-hint");
    html! {
        select id=(id) { option value="" { (is_built_in) } }
        label.second for=(file) { (label) }
        input id=(file) type="file" accept=".toml" aria-describedby=(hint);
        p.hint id=(hint) { "“" (template) "” writes one to fill in. Choose it, or drop it here." }
    }
}

/// What can be chosen of `plastics`: the value, and what is shown of it.
pub(super) fn choices(plastics: &Plastics) -> Vec<(String, String)> {
    let known = plastics.iter().filter(|(_, plastic)| plastic.refuse.is_none());
    known
        .map(|(key, plastic)| {
            let Plastic { name, description, .. } = plastic;
            let text = if description.is_empty() {
                name.clone()
            } else {
                format!("{name} – {description}")
            };
            (key.to_owned(), text)
        })
        .collect()
}

fn value(field: &Field) -> Markup {
    html! {
        div.field {
            label for=(field.option) { (field.label) }
            input id=(field.option) name=(field.option) type="text" autocomplete="off"
                spellcheck="false" placeholder={ "such as " (field.example) };
        }
    }
}

fn switch(field: &Field) -> Markup {
    html! {
        div.switch {
            input id=(field.option) name=(field.option) type="checkbox";
            label for=(field.option) { (field.label) }
        }
    }
}

/// What a check does, in order, as the page lists it.
pub(super) fn steps() -> Vec<String> {
    STEPS.iter().map(ToString::to_string).collect()
}

/// The step in words, at `step` of [`steps`].
pub(super) fn step(step: usize) -> String {
    let what = STEPS.get(step.min(END - 1)).map(ToString::to_string).unwrap_or_default();
    format!("Step {} of {END}: {what}", step.min(END - 1) + 1)
}

/// An answer, what changed, and where its files are.
pub(super) fn answer(answer: &Answer) -> String {
    let report = &answer.report;
    let piece = html! {
        section.verdict-of.(class(report.verdict)) {
            h2.verdict #verdict tabindex="-1" {
                span.sign aria-hidden="true" { (words::verdict_sign(report.verdict)) }
                span.words { (words::verdict(report.verdict)) }
            }
        }
        (first_screen(report, &[], false))
        @if let Some(changed) = &answer.changed {
            section.changed {
                h2 { "What changed" }
                (compared::head(changed))
                (compared::body(changed, &[]))
            }
        }
        section {
            h2 { "The same in a terminal" }
            div.scroll tabindex="0" role="region" aria-label="Command" {
                pre { code { (answer.typed) } }
            }
        }
    };
    quantities::mark(&piece.into_string(), report.shown_units)
}
