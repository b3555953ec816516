//! The page before anything was dropped on it.

use maud::{DOCTYPE, Markup, html};

use super::State;
use super::fields::{self, OwnFile};
use super::store::{MOST_MB, MOST_TABLE_KB};
use super::{cutter_page, plastic_page, press_page};
use crate::cli::desk::offered_fields::{Field, SWITCHES, VALUES};
use crate::cli::run_check::DEFAULT_PLASTIC;
use crate::compare::html as compared;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::viewer;

/// What the page looks like: as the report and the comparison do, and its own.
pub(super) fn style() -> String {
    [crate::report::html::STYLE, compared::MORE, include_str!("desk.css")].concat()
}

/// What the page does: plain scripts in one block with those that show a report, so that their
/// names stay within it.
pub(super) fn script() -> String {
    ["\"use strict\";\n{\n", viewer::PIECES, SCRIPT, "}\n"].concat()
}

/// A constant stands before whatever needs its value to begin.
const SCRIPT: &str = concat!(
    include_str!("script/elements.js"),
    include_str!("script/server.js"),
    include_str!("script/errors.js"),
    include_str!("script/choices.js"),
    include_str!("script/kept.js"),
    include_str!("script/report.js"),
    include_str!("script/answer.js"),
    include_str!("script/runs.js"),
    include_str!("script/files.js"),
    include_str!("script/forms.js"),
    include_str!("script/press.js"),
    include_str!("script/plastic.js"),
    include_str!("script/cutters.js"),
    include_str!("script/start.js"),
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
            body data-most-mb=(MOST_MB) data-most-table-kb=(MOST_TABLE_KB) data-watches=[state.folder.as_deref()] {
                header.bar {
                    h1 { "goodshot" }
                    p.lead { "If I mill this mold today, will I get a good part out of my press?" }
                    button.second.small #drawer-switch type="button" aria-expanded="true" aria-controls="form" { "Hide choices" }
                }
                main {
                    noscript { p { "This page needs scripts. Without them, \"goodshot check part.stl\" in a terminal gives the same report." } }
                    div.desk {
                        (form(state))
                        (answers(state))
                    }
                }
                (press_page::dialog())
                (plastic_page::dialog(&choices(&state.plastics.holds)))
                (cutter_page::dialog())
            }
        }
    };
    page.into_string()
}

/// Where everything that goodshot answers stands.
fn answers(state: &State) -> Markup {
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
            p.problem #notice role="status" hidden {}
            div #stale role="status" {
                p #stale-why hidden {}
                button #again type="button" hidden { "Check again" }
            }
            div #answer {
                p.empty {
                    "The answer appears here. Nothing leaves this machine."
                    @if let Some(folder) = &state.folder { " A part that is exported to " (folder) " is checked at once." }
                }
            }
            section #files-box hidden {
                h2 { "Files" }
                p { button.second.small #print type="button" { "Print, or save as PDF" } }
                ul #files {}
            }
        }
    }
}

fn form(state: &State) -> Markup {
    html! {
        form.drawer #form novalidate {
            div.drop #drop {
                label for="part" { "Your part" }
                p.hint #drop-hint { "Drop STL files here, or choose some" }
                input #part name="part" type="file" accept=".stl" multiple aria-describedby="drop-hint";
                p #part-name role="status" {}
            }
            details.choices #choices open {
                summary { "Plastic, press and other choices" }
                (lists(state))
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
                @for each in VALUES.iter().filter(|each| is_at_hand(each)) { (fields::value(each)) }
                details {
                    summary { "More choices" span #more-chosen {} }
                    @for each in VALUES.iter().filter(|each| !is_at_hand(each)) { (fields::value(each)) }
                    @for each in &SWITCHES { (fields::switch(each)) }
                }
            }
            (bottom())
        }
    }
}

/// Whether a choice is one that most make: it is not folded away.
fn is_at_hand(field: &Field) -> bool {
    ["gate", "melt", "mold"].contains(&field.option)
}

/// The lists of the user's files, and where each is given or described.
fn lists(state: &State) -> Markup {
    html! {
        div.field data-takes="plastics" {
            label for="plastic" { "Plastic" }
            select #plastic name="plastic" {
                @for (value, text) in choices(&state.plastics.holds) {
                    option value=(value) selected[value == DEFAULT_PLASTIC] { (text) }
                }
            }
            button.second.small.describe #plastic-describe type="button" { "Describe your plastic" }
            label.second for="plastics" { "Known plastics" }
            (fields::own_file(&OwnFile { id: "plastics", is_built_in: &state.plastics.file,
                label: "Your own plastics file (TOML)", template: "goodshot plastics --template" }))
        }
        div.field data-takes="press" {
            label for="press" { "Press" }
            button.second.small.describe #press-describe type="button" { "Describe your press" }
            (fields::own_file(&OwnFile { id: "press", is_built_in: "Built-in example press",
                label: "Your own press file (TOML)", template: "goodshot press --template" }))
        }
        div.field data-takes="tools" {
            label for="tools" { "Cutters" }
            button.second.small.describe #cutter-describe type="button" { "Describe your cutters" }
            (fields::own_file(&OwnFile { id: "tools", is_built_in: "Built-in list of cutters",
                label: "Your own cutters file (TOML)", template: "goodshot cutters --template" }))
        }
    }
}

/// Where a check begins, and what is kept of it.
fn bottom() -> Markup {
    html! {
        div.go-on {
            button #check type="submit" disabled { "Check" }
            div.switch {
                input #by-itself type="checkbox" checked;
                label for="by-itself" { "Check by itself after a change, where that takes less than 5 s" }
            }
        }
        details.kept {
            summary { "Kept on this machine" }
            p.hint #kept-folder tabindex="-1" {}
            ul #kept-files {}
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
