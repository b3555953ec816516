//! A plastic of the user's own as a form: like a known one, but for what its bag says.

use maud::{Markup, html};

use super::form_page::{self, FormFrame, QuantityField};
use crate::cli::desk::plastic_form::{FIELDS, PlasticField};
use crate::cli::run_check::DEFAULT_PLASTIC;

/// The groups of the form: a title, and the keys whose fields stand there.
const GROUPS: [(&str, &[&str]); 3] = [
    ("How it flows, by its data sheet", &["mfr"]),
    ("Temperatures", &["melt_temperature", "mold_temperature"]),
    ("Shrinkage and drying", &["shrinkage", "drying"]),
];

/// The dialog with the form; `known` are the plastics that it may be like, with what is shown of
/// each.
pub(super) fn dialog(known: &[(String, String)]) -> Markup {
    let frame = FormFrame {
        id: "plastic",
        title: "Your plastic",
        name: "our caps",
        takes: "Use this plastic",
        results: "What it is taken for",
        file: "plastics.toml",
    };
    let fields = html! {
        div.field {
            label for="plastic-like" { "Like" }
            select #plastic-like name="like" {
                @for (key, text) in known { option value=(key) selected[key == DEFAULT_PLASTIC] { (text) } }
            }
            p.hint { "What stands in no field below is taken from it." }
        }
        @for (title, keys) in GROUPS {
            fieldset {
                legend { (title) }
                @for it in FIELDS.iter().filter(|it| keys.contains(&it.key)) {
                    div.field { (inner(it)) }
                }
            }
        }
        div.field {
            label for="plastic-source" { "Where these values are from" }
            input #plastic-source name="source" type="text" value="data sheet of the bag" autocomplete="off";
        }
    };
    form_page::dialog(&frame, &fields)
}

fn inner(field: &PlasticField) -> Markup {
    let name = &field.name();
    let id = &format!("plastic-{name}");
    let PlasticField { label, units, .. } = field;
    if !units.is_empty() {
        return form_page::quantity(&QuantityField { id, name, label, units, first: "" });
    }
    html! {
        label for=(id) { (label) }
        input id=(id) name=(name) type="text" autocomplete="off" spellcheck="false";
    }
}
