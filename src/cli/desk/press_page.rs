//! The press as a form: its fields with their units, drawings, and what comes of them beside.

use maud::{Markup, html};

use super::form_page::{self, FormFrame, QuantityField};
use super::press_drawings::drawing;
use crate::cli::desk::press_form::{
    CLAMPS, DRIVES, FIELDS, Holds, PressField, is_part_of,
};

/// The dialog with the form.
pub(super) fn dialog() -> Markup {
    let frame = FormFrame {
        id: "press",
        title: "Your press",
        name: "our press",
        takes: "Use this press",
        results: "What it can do",
        file: "press.toml",
    };
    let fields = html! {
        (choice("drive", "What pushes the ram", &DRIVES))
        (group("Ram and barrel", &["ram"]))
        (choice("clamp", "What holds the mold", &CLAMPS))
        (group("Nozzle", &["nozzle", "nozzle.spring"]))
        details {
            summary { "Plates of the mold, as far as you know them" }
            (group("Plates", &["mold"]))
        }
    };
    form_page::dialog(&frame, &fields)
}

/// Radio buttons with drawings, and the fields of each.
fn choice(name: &str, title: &str, kinds: &[(&str, &str)]) -> Markup {
    html! {
        fieldset {
            legend { (title) }
            div.kinds {
                @for (i, (kind, label)) in kinds.iter().enumerate() {
                    label.kind {
                        input type="radio" name=(name) value=(kind) checked[i == 0];
                        (drawing(kind))
                        span { (label) }
                    }
                }
            }
            @for it in FIELDS.iter().filter(|it| belongs(it, name)) {
                @let of: Vec<&str> = kinds.iter().map(|(kind, _)| *kind)
                    .filter(|kind| is_part_of(kind, kinds, it)).collect();
                div.field data-kind=(name) data-of=(of.join(" ")) hidden[!of.contains(&kinds[0].0)] { (inner(it)) }
            }
        }
    }
}

/// Whether a field stands below the choice of that name.
fn belongs(field: &PressField, name: &str) -> bool {
    field.table == name || field.table.starts_with(&format!("{name}."))
}

fn group(title: &str, tables: &[&str]) -> Markup {
    html! {
        fieldset {
            legend { (title) }
            @for it in FIELDS.iter().filter(|it| tables.contains(&it.table)) {
                div.field { (inner(it)) }
            }
        }
    }
}

/// Label, number and unit of one field.
fn inner(field: &PressField) -> Markup {
    let name = field.name();
    let id = format!("press-{name}");
    if let Holds::Quantity(units) | Holds::OneOfTwo(units, _) = field.holds {
        let PressField { label, first, .. } = field;
        let (id, name) = (&id, &name);
        return form_page::quantity(&QuantityField { id, name, label, units, first });
    }
    html! {
        label for=(id) { (field.label) }
        @match field.holds {
            Holds::Choice(choices) => {
                select id=(id) name=(name) {
                    @for each in choices { option value=(each) selected[*each == field.first] { (each) } }
                }
            }
            Holds::Count | Holds::Number => {
                input id=(id) name=(name) type="text" inputmode="decimal" value=(field.first) autocomplete="off";
            }
            Holds::Text | Holds::Quantity(_) | Holds::OneOfTwo(..) => {
                input id=(id) name=(name) type="text" value=(field.first) autocomplete="off" spellcheck="false";
            }
        }
    }
}
