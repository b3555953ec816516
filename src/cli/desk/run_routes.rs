//! What runs answer: checks, molds and comparisons that begin, go on, stop and are done.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State as Shared};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};

use super::orders::{self, FullOrder};
use super::{State, kept_routes, package, processes};
use crate::cli::desk::form_fields::{Chosen, Request};
use crate::cli::desk::job::{CHECK_STEPS, DIAGNOSIS_STEPS, MOLD_STEPS};
use crate::cli::desk::messages::Message;
use crate::cli::desk::run::{Answer, Done, Kind, NewRun, Run};
use crate::cli::desk::runs::{MOST_WAITING, Row};
use crate::cli::desk::uploads::{Answered, Refused, asked};
use crate::cli::run_check::Step;

/// The name under which all files of a run are had at once.
const ALL_FILES: &str = "all.zip";

/// A mold of what was checked, or a bad shot of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MoldRequest {
    /// The check.
    run: u64,
    /// Option and value.
    chosen: Chosen,
}

/// Two checks.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Pair {
    before: u64,
    after: u64,
}

/// Begins a check.
pub(super) async fn check(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    let request: Request = asked(&body)?;
    begin_check(&state, request, false)
}

/// Begins a check of what `request` names; `is_from_folder` where the part came into the folder
/// that is watched.
///
/// # Errors
/// When something that it names is not there, a choice is not understood, or too many wait.
pub(super) fn begin_check(
    state: &Arc<State>,
    request: Request,
    is_from_folder: bool,
) -> Answered<Json<Row>> {
    let full = orders::check(state, &request)?;
    let new = NewRun {
        kind: Kind::Check,
        part: name_of(&full),
        choices: orders::choices(state, &request, None),
        steps: in_words(&CHECK_STEPS),
        request: request.clone(),
        is_from_folder,
    };
    let begun = begin(state, new, full)?;
    kept_routes::keep_used(state, &request);
    state.store.keep_choices(request);
    Ok(begun)
}

fn name_of(full: &FullOrder) -> String {
    full.order.parts.first().map_or_else(String::new, |head| head.name.clone())
}

/// Begins a mold of what was checked.
pub(super) async fn mold(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    begin_after_check(&state, &body, Kind::Mold)
}

/// Begins to look for the cause of a bad part that was checked.
pub(super) async fn diagnosis(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    begin_after_check(&state, &body, Kind::Diagnosis)
}

/// Begins a mold, or else a diagnosis, of what was checked.
fn begin_after_check(
    state: &Arc<State>,
    body: &Bytes,
    kind: Kind,
) -> Answered<Json<Row>> {
    let MoldRequest { run, chosen } = asked(body)?;
    let request = state.store.with_runs(|runs| runs.request(run));
    let request = request.ok_or_else(|| Refused::gone("check"))?;
    let (full, mold_choices, steps) = if kind == Kind::Mold {
        (orders::mold(state, &request, &chosen)?, Some(&chosen), in_words(&MOLD_STEPS))
    } else {
        let full = orders::diagnosis(state, &request, &chosen)?;
        (full, None, in_words(&DIAGNOSIS_STEPS))
    };
    let new = NewRun {
        kind,
        part: name_of(&full),
        choices: orders::choices(state, &request, mold_choices),
        steps,
        request,
        is_from_folder: false,
    };
    begin(state, new, full)
}

fn in_words(steps: &[Step]) -> Vec<String> {
    steps.iter().map(ToString::to_string).collect()
}

/// Begins a comparison of two checks.
pub(super) async fn comparison(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    let Pair { before, after } = asked(&body)?;
    let checks = state.store.with_runs(|runs| runs.checks());
    let find = |id: u64| checks.iter().find(|done: &&Done| done.run == id);
    let (before, after) =
        find(before).zip(find(after)).ok_or_else(|| Refused::gone("check"))?;
    let full = orders::comparison(&state, [before, after])?;
    let new = NewRun {
        kind: Kind::Comparison,
        part: format!("{} → {}", before.part, after.part),
        choices: Vec::new(),
        steps: vec!["comparing".to_owned()],
        request: after.request.clone(),
        is_from_folder: false,
    };
    begin(&state, new, full)
}

/// Puts a run into the line.
fn begin(state: &Arc<State>, new: NewRun, full: FullOrder) -> Answered<Json<Row>> {
    let (is_check, request) = (new.kind == Kind::Check, new.request.clone());
    let (run, row) = state
        .store
        .number_run(|runs, id| if runs.begin(id, new) { runs.row(id) } else { None });
    let row = row.ok_or_else(|| {
        Refused::busy(format!(
            "{MOST_WAITING} runs are waiting: stop one, or wait until one is done"
        ))
    })?;
    let state = Arc::clone(state);
    tokio::spawn(async move {
        let Ok(_held) = Arc::clone(&state.store.running).acquire_owned().await else {
            return;
        };
        let mut full = full;
        if is_check {
            orders::add_earlier(&state, &request, &mut full);
        }
        let work = move || do_work(&state, run, &full);
        // Nothing in there breaks off but the run itself, in its own process.
        let _ = tokio::task::spawn_blocking(work).await;
    });
    Ok(Json(row))
}

/// Runs to its end, whatever that is.
fn do_work(state: &State, run: u64, full: &FullOrder) {
    let set = |is: Run| state.store.with_runs(|runs| runs.set(run, is));
    if state.store.with_runs(|runs| runs.is_ending(run)) {
        return set(Run::Stopped);
    }
    let running = match processes::start() {
        Ok(running) => running,
        Err(error) => return set(Run::Failed(format!("{error:#}"))),
    };
    let process = running.process.clone();
    state.store.with_runs(|runs| runs.start(run, process));
    let mut hear = |message: Message, files| match message {
        Message::Step(step) => set(Run::At(step)),
        Message::Read(shown) => {
            let page = Arc::new(Answer::new(shown, files));
            state.store.with_runs(|runs| runs.show_part(run, page));
        }
        Message::Answered(shown) => {
            let answer = Arc::new(Answer::new(shown, files));
            state.store.with_runs(|runs| runs.answer_early(run, answer));
        }
        Message::Done(shown) => set(Run::Done(Arc::new(Answer::new(shown, files)))),
        Message::Failed(why) => set(Run::Failed(why)),
    };
    let followed = processes::follow(running, &full.order, &full.parts, &mut hear);
    if let Err(error) = followed {
        let was_stopped = state.store.with_runs(|runs| runs.is_ending(run));
        let part = name_of(full);
        set(if was_stopped {
            Run::Stopped
        } else {
            Run::Failed(format!("{part}: {error:#}"))
        });
    }
}

/// Ends a run before it is done.
pub(super) async fn stop(
    Shared(state): Shared<Arc<State>>,
    Path(run): Path<u64>,
) -> Answered<Json<Value>> {
    let run = state.store.with_runs(|runs| runs.stop(run));
    let run = run.ok_or_else(|| Refused::gone("run"))?;
    Ok(Json(json!({ "stopped": matches!(run, Run::Stopping | Run::Stopped) })))
}

/// All runs.
pub(super) async fn list(Shared(state): Shared<Arc<State>>) -> Json<Value> {
    let rows = state.store.with_runs(|runs| runs.rows());
    Json(json!({ "runs": rows, "notice": state.store.notice() }))
}

/// How far a run is, with all that came of it when it is done.
pub(super) async fn answer(
    Shared(state): Shared<Arc<State>>,
    Path(run): Path<u64>,
) -> Answered<Json<Value>> {
    let found = state
        .store
        .with_runs(|runs| Some((runs.run(run)?, runs.row(run)?, runs.answer(run))));
    let (run, row, answer) = found.ok_or_else(|| Refused::gone("run"))?;
    let mut reply = json!(row);
    if let Some(answer) = answer {
        let names: Vec<&str> =
            answer.files.iter().map(|file| file.name.as_str()).collect();
        reply["answer"] = json!(answer.piece);
        reply["files"] = json!(names);
        reply["page"] = json!(answer.page);
    }
    if let Run::Failed(why) = run {
        reply["error"] = json!(why);
    }
    Ok(Json(reply))
}

/// A file of a run, by its name in the list; no path is ever opened.
pub(super) async fn file(
    Shared(state): Shared<Arc<State>>,
    Path((run, name)): Path<(u64, String)>,
) -> Answered<Response> {
    let answer = state.store.with_runs(|runs| runs.answer(run));
    let answer = answer.ok_or_else(|| Refused::gone("report"))?;
    if name == ALL_FILES && !answer.files.is_empty() {
        let packed = tokio::task::spawn_blocking(move || package::zip(&answer.files));
        let Ok(Ok(bytes)) = packed.await else {
            return Err(Refused::bad("the files cannot be packed: load them one by one"));
        };
        return Ok(([(header::CONTENT_TYPE, "application/zip")], bytes).into_response());
    }
    let found = answer.files.iter().find(|file| file.name == name);
    let found = found.ok_or_else(|| Refused::gone("file"))?;
    let kind = match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("md") => "text/plain; charset=utf-8",
        Some("json") => "application/json",
        Some("png") => "image/png",
        _ => "application/octet-stream",
    };
    let mut response =
        ([(header::CONTENT_TYPE, kind)], found.bytes.clone()).into_response();
    if kind.starts_with("text/html") {
        // The page carries its own policy; here it is also kept away from this one.
        let boxed = HeaderValue::from_static(
            "sandbox allow-scripts allow-downloads; frame-ancestors 'self'",
        );
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, boxed);
    }
    Ok(response)
}
