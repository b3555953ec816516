//! What the forms of plastic and cutters answer: what comes of them and their file, or what is wrong.

use axum::Json;
use axum::body::Bytes;
use serde_json::{Value, json};

use crate::cli::desk::cutter_form::{self, FilledCutters};
use crate::cli::desk::form_fields::Wrong;
use crate::cli::desk::plastic_form::{self, FilledPlastic};
use crate::cli::desk::uploads::{Answered, Refused, asked};

/// What is wrong, as a form shows it.
fn errors(wrong: &[Wrong]) -> Json<Value> {
    let all: Vec<Value> =
        wrong.iter().map(|it| json!({ "field": it.field, "why": it.why })).collect();
    Json(json!({ "errors": all }))
}

fn text(body: &[u8]) -> Answered<&str> {
    std::str::from_utf8(body).map_err(|_| Refused::bad("this is not a text file"))
}

/// What comes of the plastic of the form.
pub(super) async fn plastic(body: Bytes) -> Answered<Json<Value>> {
    let filled: FilledPlastic = asked(&body)?;
    Ok(match plastic_form::make(&filled) {
        Ok(made) => Json(json!({ "errors": [], "facts": made.facts, "text": made.text })),
        Err(wrong) => errors(&wrong),
    })
}

/// What stands in the form for a file of plastics.
pub(super) async fn fill_plastic(body: Bytes) -> Answered<Json<FilledPlastic>> {
    let filled = plastic_form::fill(text(&body)?);
    filled.map(Json).map_err(|why| Refused::bad(why.to_string()))
}

/// What comes of the cutters of the form.
pub(super) async fn cutters(body: Bytes) -> Answered<Json<Value>> {
    let filled: FilledCutters = asked(&body)?;
    Ok(match cutter_form::make(&filled) {
        Ok(made) => Json(json!({ "errors": [], "facts": made.facts, "text": made.text })),
        Err(wrong) => errors(&[wrong]),
    })
}

/// What stands in the form for a file of cutters.
pub(super) async fn fill_cutters(body: Bytes) -> Answered<Json<FilledCutters>> {
    let filled = cutter_form::fill(text(&body)?);
    filled.map(Json).map_err(|why| Refused::bad(why.to_string()))
}
