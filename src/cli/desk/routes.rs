//! The addresses of the page, and what the page itself and its parts answer.

use std::sync::Arc;

use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Query, State as Shared};
use axum::http::{StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::{Html, IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde_json::{Value, json};

use super::bodies::{self, BodyLimit};
use super::store::{MOST_MB, MOST_TABLE_KB};
use super::{
    State, form_routes, guard, kept_routes, page, press_routes, run_routes, tables,
};
use crate::cli::desk::form_fields::Request;
use crate::cli::desk::job::Part;
use crate::cli::desk::uploads::{Answered, Named, Refused, asked, plain_name};
use crate::mesh::heal::{self, HealSettings};
use crate::mesh::stl;
use crate::units::format;

/// What the page asks for is a few hundred bytes.
const MOST_ASKED: usize = 16 << 10;
/// All bodies that arrive at once may hold so many bytes.
const MOST_ARRIVING: usize = (2 * MOST_MB) << 20;

/// Everything, behind the guard.
pub(super) fn all(state: Arc<State>) -> Router {
    let budget = bodies::budget(MOST_ARRIVING);
    let limit = |most: usize| {
        let limit = BodyLimit { most, budget: Arc::clone(&budget) };
        from_fn_with_state(limit, bodies::receive)
    };
    let at = |place: &str| format!("/{}{place}", state.token);
    let most_table = MOST_TABLE_KB << 10;
    Router::new()
        .route(&at("/"), get(whole))
        .route(&at("/desk.css"), get(style))
        .route(&at("/desk.js"), get(script))
        .route(&at("/parts"), post(add_part).layer(limit(MOST_MB << 20)))
        .route(&at("/presses"), post(tables::add_press).layer(limit(most_table)))
        .route(&at("/press-forms"), post(press_routes::work_out).layer(limit(MOST_ASKED)))
        .route(&at("/press-files"), post(press_routes::fill).layer(limit(most_table)))
        .route(&at("/plastic-forms"), post(form_routes::plastic).layer(limit(MOST_ASKED)))
        .route(
            &at("/plastic-files"),
            post(form_routes::fill_plastic).layer(limit(most_table)),
        )
        .route(&at("/cutter-forms"), post(form_routes::cutters).layer(limit(most_table)))
        .route(
            &at("/cutter-files"),
            post(form_routes::fill_cutters).layer(limit(most_table)),
        )
        .route(&at("/plastics"), post(tables::add_plastics).layer(limit(most_table)))
        .route(&at("/cutters"), post(tables::add_cutters).layer(limit(most_table)))
        .route(&at("/session"), get(session))
        .route(&at("/settings"), post(kept_routes::set).layer(limit(MOST_ASKED)))
        .route(&at("/kept"), get(kept_routes::show))
        .route(&at("/kept/erase"), post(kept_routes::erase).layer(limit(MOST_ASKED)))
        .route(&at("/choices"), post(choose).layer(limit(MOST_ASKED)))
        .route(
            &at("/runs"),
            get(run_routes::list).post(run_routes::check).layer(limit(MOST_ASKED)),
        )
        .route(&at("/molds"), post(run_routes::mold).layer(limit(MOST_ASKED)))
        .route(&at("/diagnoses"), post(run_routes::diagnosis).layer(limit(MOST_ASKED)))
        .route(&at("/comparisons"), post(run_routes::comparison).layer(limit(MOST_ASKED)))
        .route(&at("/runs/{run}"), get(run_routes::answer))
        .route(&at("/runs/{run}/stop"), post(run_routes::stop).layer(limit(MOST_ASKED)))
        .route(&at("/runs/{run}/{*file}"), get(run_routes::file))
        .layer(DefaultBodyLimit::disable())
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
    ([(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], page::script())
        .into_response()
}

/// Everything that a page which is loaded again shows as it was.
async fn session(Shared(state): Shared<Arc<State>>) -> Json<Value> {
    let store = &state.store;
    let parts: Vec<Value> = store
        .parts()
        .iter()
        .map(|(id, part)| json!({ "part": id, "name": part.name, "seen": part.seen }))
        .collect();
    let [settings, kept] = kept_routes::session(&state);
    Json(json!({
        "settings": settings,
        "kept": kept,
        "parts": parts,
        "press": tables::presses(store),
        "plastics": tables::plastics(store),
        "tools": tables::cutters(store),
        "choices": store.choices(),
        "runs": store.with_runs(|runs| runs.rows()),
    }))
}

/// Keeps what was chosen, for a page that is loaded again.
async fn choose(Shared(state): Shared<Arc<State>>, body: Bytes) -> Answered<Json<Value>> {
    let request: Request = asked(&body)?;
    state.store.keep_choices(request);
    Ok(Json(json!({})))
}

async fn add_part(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    bytes: Bytes,
) -> Answered<Json<Value>> {
    let name = plain_name(&named.name, "part.stl");
    let Ok(_held) = state.store.reading.acquire().await else {
        return Err(Refused::busy("other files are being read: try again in a moment"));
    };
    let held = bytes.clone();
    let read = tokio::task::spawn_blocking(move || look(&held));
    let read = read.await.map_err(|_| Refused::bad("this file cannot be read"))?;
    let seen = read.map_err(|why| Refused::bad(format!("{name}: {why}")))?;
    let kept = Part { name: name.clone(), seen: seen.clone(), bytes };
    let part = state.store.add_part(kept);
    Ok(Json(json!({ "part": part, "name": name, "seen": seen })))
}

/// Whether the bytes hold a part, and its size in the numbers of the file.
///
/// # Errors
/// When they hold none.
pub(super) fn look(bytes: &[u8]) -> Result<String, String> {
    let stl = stl::read(bytes).map_err(|error| error.to_string())?;
    let settings = HealSettings { close_holes: false };
    let healed =
        heal::heal(stl.scaled(1.0), settings).map_err(|error| error.to_string())?;
    let edges: Vec<String> =
        healed.mesh.bounds().size().iter().map(|edge| format::number(*edge)).collect();
    let facets = format::count(Some(healed.mesh.facets().len()));
    Ok(format!("{}, {facets} facets", edges.join(" × ")))
}
