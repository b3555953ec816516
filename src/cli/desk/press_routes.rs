//! What the form of the press answers: what the press can do and its file, or what is wrong.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::State as Shared;
use serde_json::{Value, json};

use super::State;
use crate::cli::desk::press_form::{self, Filled};
use crate::cli::desk::uploads::{Answered, Refused, asked};
use crate::cli::press::facts::facts;
use crate::cli::run_check::DEFAULT_PLASTIC;

/// What the press of the form can do, as `goodshot press` works it out, and its file.
pub(super) async fn work_out(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Value>> {
    let filled: Filled = asked(&body)?;
    let (press, text) = match press_form::press(&filled) {
        Ok(made) => made,
        Err(wrong) => {
            let errors: Vec<Value> = wrong
                .iter()
                .map(|it| json!({ "field": it.field, "why": it.why }))
                .collect();
            return Ok(Json(json!({ "errors": errors })));
        }
    };
    let plastics = &state.plastics.holds;
    // A plastic of the user's own file is not known here.
    let plastic =
        plastics.find(&filled.plastic).or_else(|_| plastics.find(DEFAULT_PLASTIC));
    let plastic = plastic.map_err(|why| Refused::bad(why.to_string()))?;
    let facts = facts(&press, plastic);
    Ok(Json(json!({ "errors": [], "facts": facts, "text": text })))
}

/// What stands in the form for a press file.
pub(super) async fn fill(body: Bytes) -> Answered<Json<Filled>> {
    let text = std::str::from_utf8(&body)
        .map_err(|_| Refused::bad("this is not a text file"))?;
    press_form::fill(text).map(Json).map_err(|why| Refused::bad(why.to_string()))
}
