//! What stays on this machine: the files of the user's shop that a check used, and how the page
//! was set. Everything of it is shown on the page and can be erased there.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::State as Shared;
use serde::Deserialize;
use serde_json::{Value, json};

use super::State;
use crate::cli::desk::form_fields::{Chosen, Request};
use crate::cli::desk::job::Own;
use crate::cli::desk::uploads::{Answered, Refused, asked};
use crate::cli::files::{OWN_CUTTERS, OWN_PLASTICS, OWN_PRESS};
use crate::cli::own_folder::{self, SETTINGS, Settings};

/// Everything that the page may keep.
const ALL: [&str; 4] = [OWN_PRESS, OWN_PLASTICS, OWN_CUTTERS, SETTINGS];

/// How the page is set.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PageSettings {
    checks_by_itself: bool,
    shows_choices: bool,
}

/// A file that is to be erased.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Named {
    name: String,
}

/// What was last chosen besides files, as options.
pub(super) fn last_chosen() -> Chosen {
    let Settings { plastic, units, .. } = own_folder::settings().unwrap_or_default();
    let both = [("plastic", plastic), ("units", units)];
    both.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))).collect()
}

/// How the page was set, and what is kept.
pub(super) fn session(state: &State) -> [Value; 2] {
    let Settings { checks_by_itself, shows_choices, .. } =
        own_folder::settings().unwrap_or_default();
    let settings =
        json!({ "checks_by_itself": checks_by_itself, "shows_choices": shows_choices });
    [settings, kept(state)]
}

fn kept(state: &State) -> Value {
    let folder = own_folder::folder();
    let files = ALL.iter().filter(|name| own_folder::file(name).is_some());
    let broken = own_folder::settings().err().map(|why| format!("{why:#}"));
    json!({
        "folder": folder.map(|folder| own_folder::shown(&folder)),
        "files": files.collect::<Vec<_>>(),
        "problem": broken.or_else(|| state.store.keeping_problem()),
    })
}

/// What is kept.
pub(super) async fn show(Shared(state): Shared<Arc<State>>) -> Json<Value> {
    Json(kept(&state))
}

/// Erases one of the files.
pub(super) async fn erase(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Value>> {
    let Named { name } = asked(&body)?;
    // A name of the list, never a path.
    let name = ALL.into_iter().find(|known| *known == name);
    let name = name.ok_or_else(|| Refused::gone("file"))?;
    own_folder::erase(name).map_err(|why| Refused::bad(format!("{why:#}")))?;
    state.store.set_keeping_problem(None);
    Ok(Json(kept(&state)))
}

/// Keeps how the page is set.
pub(super) async fn set(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Value>> {
    let PageSettings { checks_by_itself, shows_choices } = asked(&body)?;
    if own_folder::folder().is_some() {
        let kept = own_folder::settings().unwrap_or_default();
        let wanted = Settings { checks_by_itself, shows_choices, ..kept };
        let done = own_folder::keep_settings(&wanted);
        state.store.set_keeping_problem(done.err().map(|why| format!("{why:#}")));
    }
    Ok(Json(kept(&state)))
}

/// Keeps what a check uses: files that were brought to the page, plastic and units.
pub(super) fn keep_used(state: &State, request: &Request) {
    if own_folder::folder().is_none() {
        return;
    }
    let store = &state.store;
    let press = request.press.and_then(|id| store.press(id));
    let plastics = request.plastics.and_then(|id| store.plastics(id));
    let cutters = request.cutters.and_then(|id| store.cutters(id));
    let texts = [
        (OWN_PRESS, text(press.as_deref())),
        (OWN_PLASTICS, text(plastics.as_deref())),
        (OWN_CUTTERS, text(cutters.as_deref())),
    ];
    let used = texts.into_iter().filter_map(|(name, text)| Some((name, text?)));
    let mut done: Vec<anyhow::Result<()>> =
        used.map(|(name, text)| own_folder::keep(name, &text).map(drop)).collect();
    let chosen = |option: &str| {
        let found = request.chosen.iter().find(|(name, _)| name == option);
        found.map(|(_, value)| value.trim().to_owned()).filter(|value| !value.is_empty())
    };
    let kept = own_folder::settings().unwrap_or_default();
    let wanted = Settings { plastic: chosen("plastic"), units: chosen("units"), ..kept };
    done.push(own_folder::keep_settings(&wanted));
    let problem = done.into_iter().find_map(Result::err);
    store.set_keeping_problem(problem.map(|why| format!("{why:#}")));
}

/// The text of a file that was brought to the page.
fn text<T>(own: Option<&Own<T>>) -> Option<Arc<str>> {
    own.filter(|own| own.is_new).and_then(|own| own.text.clone())
}
