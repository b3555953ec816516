//! The user's own files of a press, of plastics and of cutters: read as the command line
//! reads them, and kept.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Query, State as Shared};
use axum::http::HeaderMap;
use serde_json::{Value, json};

use super::store::MOST_TABLE_KB;
use super::{State, page};
use crate::cli::desk::job::Own;
use crate::cli::desk::uploads::{Answered, Named, Refused, plain_name, size};
use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;

type Body = Result<Bytes, BytesRejection>;

/// The file, called `default` when it has no name, and what `read` makes of its text.
fn own<T, E: ToString>(
    name: &str,
    default: &str,
    headers: &HeaderMap,
    body: Body,
    read: impl FnOnce(&str) -> Result<T, E>,
) -> Answered<Own<T>> {
    let bytes = size(headers, MOST_TABLE_KB << 10, body)?;
    let file = plain_name(name, default);
    let text = std::str::from_utf8(&bytes)
        .map_err(|_| Refused::bad(format!("{file}: is not a text file")))?;
    match read(text) {
        Ok(holds) => Ok(Own { file, holds }),
        Err(why) => Err(Refused::bad(format!("{file}: {}", why.to_string()))),
    }
}

/// A press.
pub(super) async fn add_press(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    headers: HeaderMap,
    body: Body,
) -> Answered<Json<Value>> {
    let press = own(&named.name, "press.toml", &headers, body, Press::parse)?;
    let name = format!("{} ({})", press.holds.name, press.file);
    let press = state.store.add_press(press);
    Ok(Json(json!({ "press": press, "name": name })))
}

/// Plastics over the built-in ones; told with what can then be chosen, and the first plastic
/// that the file brings or changes.
pub(super) async fn add_plastics(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    headers: HeaderMap,
    body: Body,
) -> Answered<Json<Value>> {
    let read = |text: &str| Plastics::builtin()?.with_user_file(text);
    let plastics = own(&named.name, "plastics.toml", &headers, body, read)?;
    let choices = page::choices(&plastics.holds);
    let known = Plastics::builtin().map_err(|why| Refused::bad(why.to_string()))?;
    let is_own = |key: &str| known.find(key).ok() != plastics.holds.find(key).ok();
    let first = choices.iter().map(|(key, _)| key).find(|key| is_own(key)).cloned();
    let name = plastics.file.clone();
    let plastics = state.store.add_plastics(plastics);
    Ok(Json(json!({
        "plastics": plastics, "name": name, "choices": choices, "first": first,
    })))
}

/// Cutters.
pub(super) async fn add_cutters(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    headers: HeaderMap,
    body: Body,
) -> Answered<Json<Value>> {
    let cutters = own(&named.name, "cutters.toml", &headers, body, CutterList::parse)?;
    let count = cutters.holds.cutters.len();
    let name = format!("{} ({}, {count} cutters)", cutters.holds.name, cutters.file);
    let cutters = state.store.add_cutters(cutters);
    Ok(Json(json!({ "cutters": cutters, "name": name })))
}
