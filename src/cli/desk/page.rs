//! The page before anything was dropped on it.

use maud::{DOCTYPE, Markup, html};

use super::State;
use super::fields::{self, OwnFile};
use super::press_page;
use super::store::{MOST_MB, MOST_TABLE_KB};
use crate::cli::desk::form_fields::{SWITCHES, VALUES};
use crate::cli::run_check::DEFAULT_PLASTIC;
use crate::compare::html as compared;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;

/// What the page looks like: as the report and the comparison do, and its own.
pub(super) fn style() -> String {
    [crate::report::html::STYLE, compared::MORE, include_str!("desk.css")].concat()
}

/// What the page does: plain scripts in one block, so that their names stay within it. A
/// constant stands before whatever needs its value to begin.
pub(super) const SCRIPT: &str = concat!(
    "\"use strict\";\n{\n",
    include_str!("script/elements.js"),
    include_str!("script/server.js"),
    include_str!("script/errors.js"),
    include_str!("script/choices.js"),
    include_str!("script/answer.js"),
    include_str!("script/runs.js"),
    include_str!("script/files.js"),
    include_str!("script/press.js"),
    include_str!("script/start.js"),
    "}\n"
);

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
                        (answers())
                    }
                }
                (press_page::dialog())
            }
        }
    };
    page.into_string()
}

/// Where everything that goodshot answers stands.
fn answers() -> Markup {
    html! {
        div.answers {
            section #runs aria-labelledby="runs-title" hidden {
                h2 #runs-title { "Checks so far" }
                div.scroll tabindex="0" role="group" aria-label="Table of checks" {
                    table.list {
                        thead { tr {
                            th scope="col" { span.unseen { "Compare" } }
                            th scope="col" { "Part" }
                            th scope="col" { "Changed" }
                            th scope="col" { "Answer" }
                            th scope="col" { span.unseen { "Open or stop" } }
                        } }
                        tbody #run-rows {}
                    }
                }
                button.second #compare type="button" disabled { "Compare the two marked" }
            }
            p #error role="alert" tabindex="-1" hidden {}
            section #progress aria-label="Progress" hidden {
                h2 #progress-title { "Checking" }
                ol #steps {}
                p.said #step role="status" {}
                button.second #stop type="button" { "Stop" }
            }
            p #stopped role="status" {}
            div #stale role="status" {
                p #stale-why hidden {}
                button #again type="button" hidden { "Check again" }
            }
            div #answer {
                p.empty { "The answer appears here. Nothing leaves this machine." }
            }
            section #report hidden {
                h2 #report-title { "Report" }
                ul #files {}
                iframe #page title="The whole report" sandbox="allow-scripts allow-downloads" {}
            }
        }
    }
}

fn form(state: &State) -> Markup {
    html! {
        form #form novalidate {
            div.drop #drop {
                label for="part" { "Your part" }
                p.hint #drop-hint { "Drop STL files here, or choose some" }
                input #part name="part" type="file" accept=".stl" multiple aria-describedby="drop-hint";
                p #part-name role="status" {}
            }
            details.choices #choices open {
                summary { "Plastic, press and other choices" }
                div.field data-takes="plastics" {
                    label for="plastic" { "Plastic" }
                    select #plastic name="plastic" {
                        @for (value, text) in choices(&state.plastics.holds) {
                            option value=(value) selected[value == DEFAULT_PLASTIC] { (text) }
                        }
                    }
                    label.second for="plastics" { "Known plastics" }
                    (fields::own_file(&OwnFile { id: "plastics", is_built_in: &state.plastics.file,
                        label: "Your own plastics file (TOML)", template: "goodshot plastics --template" }))
                }
                div.field data-takes="press" {
                    label for="press" { "Press" }
                    button.second.small #press-describe type="button" { "Describe your press" }
                    (fields::own_file(&OwnFile { id: "press", is_built_in: "Built-in example press",
                        label: "Your own press file (TOML)", template: "goodshot press --template" }))
                }
                div.field data-takes="tools" {
                    label for="tools" { "Cutters" }
                    (fields::own_file(&OwnFile { id: "tools", is_built_in: "Built-in list of cutters",
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
                    summary { "More choices" span #more-chosen {} }
                    @for each in &VALUES { (fields::value(each)) }
                    @for each in &SWITCHES { (fields::switch(each)) }
                }
            }
            button #check type="submit" disabled { "Check" }
        }
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
