//! The user's own files of a press, of plastics and of cutters: read as the command line
//! reads them, and kept.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Query, State as Shared};
use serde_json::{Value, json};

use super::store::Store;
use super::{State, page};
use crate::cli::desk::job::Own;
use crate::cli::desk::uploads::{Answered, Named, Refused, plain_name};
use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;

/// The file, called `default` when it has no name, and what `read` makes of its text.
fn own<T, E: ToString>(
    name: &str,
    default: &str,
    body: &[u8],
    read: impl FnOnce(&str) -> Result<T, E>,
) -> Answered<Own<T>> {
    let file = plain_name(name, default);
    let text = std::str::from_utf8(body)
        .map_err(|_| Refused::bad(format!("{file}: is not a text file")))?;
    match read(text) {
        Ok(holds) => Ok(Own { file, text: Some(text.into()), holds, is_new: true }),
        Err(why) => Err(Refused::bad(format!("{file}: {}", why.to_string()))),
    }
}

/// What the list of presses shows.
pub(super) fn presses(store: &Store) -> Vec<Value> {
    let all = store.presses();
    all.iter().map(|(id, press)| shown_press(*id, press)).collect()
}

/// What the list of files of plastics shows.
pub(super) fn plastics(store: &Store) -> Vec<Value> {
    let all = store.all_plastics();
    all.iter().map(|(id, plastics)| shown_plastics(*id, plastics)).collect()
}

/// What the list of files of cutters shows.
pub(super) fn cutters(store: &Store) -> Vec<Value> {
    let all = store.all_cutters();
    all.iter().map(|(id, cutters)| shown_cutters(*id, cutters)).collect()
}

fn shown_press(id: u64, press: &Own<Press>) -> Value {
    let name = format!("{} ({})", press.holds.name, press.file);
    json!({ "press": id, "name": name })
}

fn shown_plastics(id: u64, plastics: &Own<Plastics>) -> Value {
    let choices = page::choices(&plastics.holds);
    json!({ "plastics": id, "name": plastics.file, "choices": choices })
}

fn shown_cutters(id: u64, cutters: &Own<CutterList>) -> Value {
    let count = cutters.holds.cutters.len();
    let name = format!("{} ({}, {count} cutters)", cutters.holds.name, cutters.file);
    json!({ "cutters": id, "name": name })
}

/// A press.
pub(super) async fn add_press(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    body: Bytes,
) -> Answered<Json<Value>> {
    let press = Arc::new(own(&named.name, "press.toml", &body, Press::parse)?);
    let id = state.store.add_press(Arc::clone(&press));
    Ok(Json(shown_press(id, &press)))
}

/// Plastics over the built-in ones; answered with what can then be chosen, and the first plastic
/// that the file brings or changes.
pub(super) async fn add_plastics(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    body: Bytes,
) -> Answered<Json<Value>> {
    let read = |text: &str| Plastics::builtin()?.with_user_file(text);
    let plastics = Arc::new(own(&named.name, "plastics.toml", &body, read)?);
    let known = Plastics::builtin().map_err(|why| Refused::bad(why.to_string()))?;
    let is_own = |key: &str| known.find(key).ok() != plastics.holds.find(key).ok();
    let choices = page::choices(&plastics.holds);
    let first = choices.iter().map(|(key, _)| key).find(|key| is_own(key)).cloned();
    let id = state.store.add_plastics(Arc::clone(&plastics));
    let mut shown = shown_plastics(id, &plastics);
    shown["first"] = json!(first);
    Ok(Json(shown))
}

/// Cutters.
pub(super) async fn add_cutters(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    body: Bytes,
) -> Answered<Json<Value>> {
    let read = CutterList::parse;
    let cutters = Arc::new(own(&named.name, "cutters.toml", &body, read)?);
    let id = state.store.add_cutters(Arc::clone(&cutters));
    Ok(Json(shown_cutters(id, &cutters)))
}
