//! The user's own cutters as a form: one row each.

use maud::{Markup, html};

use super::form_page::{self, FormFrame};
use crate::cli::desk::cutter_form::{self, FIELDS, KINDS};
use crate::mold::milling::CutterList;

/// The dialog with the form. Its rows are made from one that stands in it as a pattern; it begins
/// with the list of the template.
pub(super) fn dialog() -> Markup {
    let frame = FormFrame {
        id: "cutter",
        title: "Your cutters",
        name: "our cutters",
        takes: "Use these cutters",
        results: "What they are",
        file: "cutters.toml",
    };
    let first = cutter_form::fill(CutterList::template()).ok();
    let first = first.and_then(|first| serde_json::to_string(&first).ok());
    let fields = html! {
        div.field {
            label for="cutter-holder" { "Diameter of the holder or collet nut" }
            input #cutter-holder name="holder" type="text" value="25 mm" autocomplete="off" spellcheck="false";
        }
        div.field {
            label for="cutter-unit" { "A size without a unit is in" }
            select #cutter-unit { option value="mm" { "mm" } option value="in" { "in" } }
        }
        div #cutter-rows data-first=[first] {}
        template #cutter-row {
            fieldset.cutter {
                legend { "Cutter " span data-is="number" {} }
                div.field {
                    label data-for="kind" { "Form" }
                    select data-key="kind" {
                        @for (kind, text) in KINDS { option value=(kind) { (text) } }
                    }
                }
                @for (key, label, example) in FIELDS {
                    div.field {
                        label data-for=(key) { (label) }
                        input data-key=(key) type="text" autocomplete="off" spellcheck="false"
                            placeholder={ "such as " (example) };
                    }
                }
                div.field {
                    label data-for="name" { "Its name" }
                    input data-key="name" type="text" autocomplete="off" placeholder="by its size";
                }
                button.second.small type="button" data-is="remove" { "Remove" }
            }
        }
        p { button.second.small #cutter-add type="button" { "Add a cutter" } }
    };
    form_page::dialog(&frame, &fields)
}
