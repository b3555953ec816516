//! Fields of the page's forms.

use maud::{Markup, html};

use crate::cli::desk::offered_fields::Field;

/// Where a file of the user's may be given.
pub(super) struct OwnFile<'a> {
    /// The list that it goes into.
    pub(super) id: &'a str,
    /// What there is without one.
    pub(super) is_built_in: &'a str,
    /// What is asked for.
    pub(super) label: &'a str,
    /// The command that writes one to fill in.
    pub(super) template: &'a str,
}

/// The list of the user's files of one kind, and where another one is given.
pub(super) fn own_file(own: &OwnFile<'_>) -> Markup {
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

/// A choice that needs a value.
pub(super) fn value(field: &Field) -> Markup {
    with_id(field.option, field)
}

/// The same in a form whose fields are called as those of another one; `form` tells them apart.
pub(super) fn value_of(form: &str, field: &Field) -> Markup {
    with_id(&format!("{form}-{}", field.option), field)
}

fn with_id(id: &str, field: &Field) -> Markup {
    html! {
        div.field {
            label for=(id) { (field.label) }
            input id=(id) name=(field.option) type="text" autocomplete="off"
                spellcheck="false" placeholder={ "such as " (field.example) };
        }
    }
}

/// A choice that is made or not.
pub(super) fn switch(field: &Field) -> Markup {
    html! {
        div.switch {
            input id=(field.option) name=(field.option) type="checkbox";
            label for=(field.option) { (field.label) }
        }
    }
}
