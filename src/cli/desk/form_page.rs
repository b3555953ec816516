//! A file of the user's as a form in a dialog: its fields, and what comes of them beside.

use maud::{Markup, html};

/// What a form says of itself.
pub(super) struct FormFrame<'a> {
    /// What the names of its elements begin with.
    pub(super) id: &'a str,
    /// Its title.
    pub(super) title: &'a str,
    /// What it is called in the file.
    pub(super) name: &'a str,
    /// What the button says that takes it.
    pub(super) takes: &'a str,
    /// What stands above what comes of it.
    pub(super) results: &'a str,
    /// The name of the file that it saves.
    pub(super) file: &'a str,
}

/// The dialog with `fields` in it.
pub(super) fn dialog(frame: &FormFrame<'_>, fields: &Markup) -> Markup {
    let FormFrame { id, title, name, takes, results, file } = frame;
    let of = |end: &str| format!("{id}-{end}");
    html! {
        dialog id=(of("dialog")) aria-labelledby=(of("title")) {
            form id=(of("form")) novalidate {
                h2 id=(of("title")) { (title) }
                div.form-grid {
                    div.form-fields {
                        div.field {
                            label for=(of("name")) { "Name" }
                            input id=(of("name")) name="name" type="text" value=(name) autocomplete="off";
                        }
                        (fields)
                    }
                    div.form-results {
                        h3 id=(of("facts-title")) { (results) }
                        dl id=(of("facts")) aria-live="polite" aria-labelledby=(of("facts-title")) {}
                        p.problem id=(of("problem")) role="alert" tabindex="-1" hidden {}
                    }
                }
                div.form-acts {
                    button type="submit" { (takes) }
                    a.second.button id=(of("save")) download=(file) href="data:," { "Save as a file" }
                    label.second.button for=(of("load")) { "Open a file" }
                    input.unseen id=(of("load")) type="file" accept=".toml";
                    button.second id=(of("close")) type="button" { "Close" }
                }
            }
        }
    }
}

/// A number with its unit chosen beside it.
pub(super) struct QuantityField<'a> {
    /// The element.
    pub(super) id: &'a str,
    /// Its name in the form.
    pub(super) name: &'a str,
    /// What the page calls it.
    pub(super) label: &'a str,
    /// What may stand beside the number; the first one does at first where `first` has none.
    pub(super) units: &'a [&'a str],
    /// What it begins with; empty for what most leave out.
    pub(super) first: &'a str,
}

/// The field and its units.
pub(super) fn quantity(field: &QuantityField<'_>) -> Markup {
    let QuantityField { id, name, label, units, first } = field;
    let (number, unit) = first.split_once(' ').unwrap_or((first, ""));
    html! {
        label for=(id) { (label) }
        span.quantity {
            input id=(id) name=(name) type="text" inputmode="decimal" value=(number)
                autocomplete="off" spellcheck="false";
            select data-unit-of=(name) aria-label=(format!("Unit of {label}")) {
                @for each in *units { option value=(each) selected[*each == unit] { (each) } }
            }
        }
    }
}
