//! The addresses of the page and what each answers.

use std::sync::Arc;

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{DefaultBodyLimit, Path, Query, State as Shared};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::{Html, IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde_json::{Value, json};

use super::store::{AT_ONCE, MOST_MB, MOST_TABLE_KB, Run};
use super::{State, guard, page, tables};
use crate::cli::desk::form_fields::{self, Request};
use crate::cli::desk::job::{self, Answer, Job, Part};
use crate::cli::desk::uploads::{Answered, Named, Refused, plain_name, size};
use crate::cli::run_check;
use crate::mesh::heal::{self, HealSettings};
use crate::mesh::stl;
use crate::schema::words;
use crate::settings::{Settings, Stop};
use crate::units::format;

/// What the page asks for is a few hundred bytes.
const MOST_ASKED: usize = 16 << 10;

/// Everything, behind the guard.
pub(super) fn all(state: Arc<State>) -> Router {
    let limit = |bytes: usize| DefaultBodyLimit::max(bytes);
    let at = |place: &str| format!("/{}{place}", state.token);
    let most_table = MOST_TABLE_KB << 10;
    Router::new()
        .route(&at("/"), get(whole))
        .route(&at("/desk.css"), get(style))
        .route(&at("/desk.js"), get(script))
        .route(&at("/parts"), post(add_part).layer(limit(MOST_MB << 20)))
        .route(&at("/presses"), post(tables::add_press).layer(limit(most_table)))
        .route(&at("/plastics"), post(tables::add_plastics).layer(limit(most_table)))
        .route(&at("/cutters"), post(tables::add_cutters).layer(limit(most_table)))
        .route(&at("/runs"), post(begin).layer(limit(MOST_ASKED)))
        .route(&at("/runs/{run}"), get(how_far))
        .route(&at("/runs/{run}/stop"), post(stop).layer(limit(MOST_ASKED)))
        .route(&at("/runs/{run}/{*file}"), get(file))
        .fallback(unknown)
        .layer(from_fn_with_state(Arc::clone(&state), guard::guard))
        .with_state(state)
}

async fn unknown() -> Response {
    let why = "there is nothing here: use the whole address that goodshot printed\n";
    (StatusCode::NOT_FOUND, why).into_response()
}

async fn whole(Shared(state): Shared<Arc<State>>) -> Html<String> {
    Html(page::whole(&state))
}

async fn style() -> Response {
    ([(header::CONTENT_TYPE, "text/css; charset=utf-8")], page::style()).into_response()
}

async fn script() -> Response {
    ([(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], page::SCRIPT)
        .into_response()
}

async fn add_part(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    headers: HeaderMap,
    request: axum::extract::Request,
) -> Answered<Json<Value>> {
    let name = plain_name(&named.name, "part.stl");
    let Ok(_held) = state.store.uploads.try_acquire() else {
        return Err(Refused::busy("other files are being read: try again in a moment"));
    };
    let most = MOST_MB << 20;
    size(&headers, most, Ok(Bytes::new()))?;
    let bytes = size(&headers, most, take(request).await)?;
    let read =
        tokio::task::spawn_blocking(move || look(&bytes).map(|seen| (seen, bytes)));
    let read = read.await.map_err(|_| Refused::bad("this file cannot be read"))?;
    let (seen, bytes) = read.map_err(|why| Refused::bad(format!("{name}: {why}")))?;
    let part = state.store.add_part(Part { name: name.clone(), bytes: bytes.to_vec() });
    Ok(Json(json!({ "part": part, "name": name, "seen": seen })))
}

/// The body of a request, within its limit.
async fn take(request: axum::extract::Request) -> Result<Bytes, BytesRejection> {
    use axum::extract::FromRequest;
    Bytes::from_request(request, &()).await
}

/// Whether the bytes hold a part, and its size in the numbers of the file.
fn look(bytes: &[u8]) -> Result<String, String> {
    let stl = stl::read(bytes).map_err(|error| error.to_string())?;
    let settings = HealSettings { close_holes: false };
    let healed =
        heal::heal(&stl.scaled(1.0), settings).map_err(|error| error.to_string())?;
    let edges: Vec<String> =
        healed.mesh.bounds().size().iter().map(|edge| format::number(*edge)).collect();
    let facets = format::count(Some(healed.mesh.facets().len()));
    Ok(format!("{}, {facets} facets", edges.join(" × ")))
}

async fn begin(
    Shared(state): Shared<Arc<State>>,
    body: Result<Bytes, BytesRejection>,
) -> Answered<Json<Value>> {
    let body = body.map_err(|_| Refused::bad("that is more than can be asked"))?;
    let request: Request = serde_json::from_slice(&body)
        .map_err(|why| Refused::bad(format!("this cannot be asked: {why}")))?;
    let stop = Stop::default();
    let job = job(&state, &request, &stop)?;
    let Ok(permit) = Arc::clone(&state.store.checks).try_acquire_owned() else {
        return Err(Refused::busy(format!(
            "{AT_ONCE} checks are running: stop one, or wait until one is done"
        )));
    };
    let run = state.store.begin(&stop);
    tokio::task::spawn_blocking(move || {
        let _held = permit;
        check(&state, run, &job);
    });
    Ok(Json(json!({ "run": run, "steps": page::steps() })))
}

/// What was asked for by its number, if anything was and it is still there.
fn held<T>(
    id: Option<u64>,
    find: impl FnOnce(u64) -> Option<T>,
    what: &str,
) -> Answered<Option<T>> {
    id.map(|id| find(id).ok_or_else(|| Refused::gone(what))).transpose()
}

/// What is to be checked, with everything that it names at hand.
fn job(state: &State, request: &Request, stop: &Stop) -> Answered<Job> {
    let store = &state.store;
    let part = store.part(request.part).ok_or_else(|| Refused::gone("part"))?;
    let press = held(request.press, |id| store.press(id), "press")?;
    let own = held(request.plastics, |id| store.plastics(id), "plastics file")?;
    let cutters = held(request.cutters, |id| store.cutters(id), "cutters file")?;
    let words = form_fields::words(request).map_err(Refused::bad)?;
    let given = form_fields::given(&words).map_err(Refused::bad)?;
    let settings = given.settings(cutters.as_ref().map(|own| &own.holds));
    if settings.milling.skip && cutters.is_some() {
        return Err(Refused::bad(
            "your own cutters and \"Do not look at the cutters\" exclude each other: \
             choose one of them",
        ));
    }
    let plastics = own.as_ref().map_or_else(|| Arc::clone(&state.plastics), Arc::clone);
    let plastic = given.plastic_choice();
    run_check::plastic(&plastics.holds, &plastic)
        .map_err(|why| Refused::bad(why.to_string()))?;
    let plastics_file = own.as_ref().map(|own| own.file.as_str());
    let files = [
        ("press", press.as_ref().map(|own| own.file.as_str())),
        ("plastics", plastics_file.or(state.plastics_file.as_deref())),
        ("tools", cutters.as_ref().map(|own| own.file.as_str())),
    ];
    let typed = form_fields::as_typed(&part.name, &files, &words);
    let settings = Settings { stop: stop.clone(), ..settings };
    let part_number = request.part;
    Ok(Job { part, part_number, press, plastics, plastic, settings, typed })
}

/// Runs to its end, whatever that is.
fn check(state: &State, run: u64, job: &Job) {
    let store = &state.store;
    let show = |step: usize| store.set(run, Run::At(step));
    let last = store.last();
    let work = || job::run(job, last.as_deref(), &show);
    let ended = std::panic::catch_unwind(std::panic::AssertUnwindSafe(work));
    let is = match ended {
        Ok(Ok((answer, last))) => {
            store.set_last(last);
            Run::Done(Arc::new(answer))
        }
        Ok(Err(_)) if job.settings.stop.is_asked() => Run::Stopped,
        Ok(Err(error)) => Run::Failed(format!("{}: {error:#}", job.part.name)),
        Err(_) => Run::Failed(format!("{}: the check broke off", job.part.name)),
    };
    store.set(run, is);
}

/// Ends a run before it is done.
async fn stop(
    Shared(state): Shared<Arc<State>>,
    Path(run): Path<u64>,
) -> Answered<Json<Value>> {
    let run = state.store.stop(run).ok_or_else(|| Refused::gone("check"))?;
    Ok(Json(json!({ "stopped": matches!(run, Run::Stopping | Run::Stopped) })))
}

async fn how_far(
    Shared(state): Shared<Arc<State>>,
    Path(run): Path<u64>,
) -> Answered<Json<Value>> {
    let run = state.store.run(run).ok_or_else(|| Refused::gone("check"))?;
    Ok(Json(match run {
        Run::At(step) => json!({ "state": "at", "step": step, "said": page::step(step) }),
        Run::Stopping => json!({ "state": "stopping", "said": "Stopping" }),
        Run::Stopped => json!({ "state": "stopped" }),
        Run::Failed(why) => json!({ "state": "failed", "error": why }),
        Run::Done(answer) => json!({
            "state": "done",
            "said": words::verdict(answer.report.verdict),
            "answer": page::answer(&answer),
            "files": answer.files.iter().map(|file| &file.name).collect::<Vec<_>>(),
        }),
    }))
}

/// A file of a report, by its name in the list; no path is ever opened.
async fn file(
    Shared(state): Shared<Arc<State>>,
    Path((run, name)): Path<(u64, String)>,
) -> Answered<Response> {
    let Some(Run::Done(answer)) = state.store.run(run) else {
        return Err(Refused::gone("report"));
    };
    let Answer { files, .. } = &*answer;
    let found = files.iter().find(|file| file.name == name);
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
