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
use serde::Deserialize;
use serde_json::{Value, json};

use super::fields::{self, Asked};
use super::kept::{AT_ONCE, MOST_MB, MOST_PRESS_KB, Run};
use super::work::{self, Answer, Job, OwnPress, Part};
use super::{State, guard, page};
use crate::mesh::heal::{self, HealSettings};
use crate::mesh::stl;
use crate::process::press::Press;
use crate::report::words;

/// What the page asks for is a few hundred bytes.
const MOST_ASKED: usize = 16 << 10;
/// Letters of a file name that are kept.
const MOST_NAME: usize = 100;

/// Why a request has no answer: one line for the user.
struct Refused(StatusCode, String);

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let Self(status, why) = self;
        (status, Json(json!({ "error": why.replace('\n', " ") }))).into_response()
    }
}

impl Refused {
    fn bad(why: impl Into<String>) -> Self {
        Self(StatusCode::BAD_REQUEST, why.into())
    }

    fn gone(what: &str) -> Self {
        Self(
            StatusCode::NOT_FOUND,
            format!("this {what} is no longer kept: load it again"),
        )
    }

    fn busy(why: impl Into<String>) -> Self {
        Self(StatusCode::TOO_MANY_REQUESTS, why.into())
    }
}

type Answered<T> = Result<T, Refused>;

/// Everything, behind the guard.
pub(super) fn all(state: Arc<State>) -> Router {
    let limit = |bytes: usize| DefaultBodyLimit::max(bytes);
    let at = |place: &str| format!("/{}{place}", state.token);
    Router::new()
        .route(&at("/"), get(whole))
        .route(&at("/desk.css"), get(style))
        .route(&at("/desk.js"), get(script))
        .route(&at("/parts"), post(add_part).layer(limit(MOST_MB << 20)))
        .route(&at("/presses"), post(add_press).layer(limit(MOST_PRESS_KB << 10)))
        .route(&at("/runs"), post(begin).layer(limit(MOST_ASKED)))
        .route(&at("/runs/{run}"), get(how_far))
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

#[derive(Deserialize)]
struct Named {
    #[serde(default)]
    name: String,
}

/// The name of a file without folders and without what is no letter; never a path.
fn plain_name(name: &str, otherwise: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let letters = last.chars().filter(|c| !c.is_control()).take(MOST_NAME);
    let plain: String = letters.collect();
    let plain = plain.trim();
    if plain.chars().all(|c| c == '.' || c == ' ') { otherwise } else { plain }.to_owned()
}

/// Too much is told before it is read, where the request says how much it is.
fn size(
    headers: &HeaderMap,
    most: usize,
    body: Result<Bytes, BytesRejection>,
) -> Answered<Bytes> {
    let told =
        headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    let told = told.and_then(|length| length.parse::<usize>().ok()).unwrap_or(0);
    let too_large = || {
        let most = if most >= 1 << 20 {
            format!("{} MB", most >> 20)
        } else {
            format!("{} KB", most >> 10)
        };
        Refused(
            StatusCode::PAYLOAD_TOO_LARGE,
            format!("the file is too large: {most} at most; a coarser export is enough"),
        )
    };
    if told > most {
        return Err(too_large());
    }
    body.map_err(|error| {
        if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
            too_large()
        } else {
            Refused::bad("the file did not arrive whole: try again")
        }
    })
}

async fn add_part(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    headers: HeaderMap,
    request: axum::extract::Request,
) -> Answered<Json<Value>> {
    let name = plain_name(&named.name, "part.stl");
    let Ok(_held) = state.kept.uploads.try_acquire() else {
        return Err(Refused::busy("other files are being read: try again in a moment"));
    };
    let most = MOST_MB << 20;
    size(&headers, most, Ok(Bytes::new()))?;
    let bytes = size(&headers, most, take(request).await)?;
    let read =
        tokio::task::spawn_blocking(move || look(&bytes).map(|seen| (seen, bytes)));
    let read = read.await.map_err(|_| Refused::bad("this file cannot be read"))?;
    let (seen, bytes) = read.map_err(|why| Refused::bad(format!("{name}: {why}")))?;
    let part = state.kept.add_part(Part { name: name.clone(), bytes: bytes.to_vec() });
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
        healed.mesh.bounds().size().iter().map(|edge| words::number(*edge)).collect();
    let facets = words::count(Some(healed.mesh.facets().len()));
    Ok(format!("{}, {facets} facets", edges.join(" × ")))
}

async fn add_press(
    Shared(state): Shared<Arc<State>>,
    Query(named): Query<Named>,
    headers: HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Answered<Json<Value>> {
    let bytes = size(&headers, MOST_PRESS_KB << 10, body)?;
    let file = plain_name(&named.name, "press.toml");
    let text = std::str::from_utf8(&bytes)
        .map_err(|_| Refused::bad(format!("{file}: is not a text file")))?;
    let press =
        Press::parse(text).map_err(|why| Refused::bad(format!("{file}: {why}")))?;
    let name = format!("{} ({file})", press.name);
    let press = state.kept.add_press(OwnPress { file, press });
    Ok(Json(json!({ "press": press, "name": name })))
}

async fn begin(
    Shared(state): Shared<Arc<State>>,
    body: Result<Bytes, BytesRejection>,
) -> Answered<Json<Value>> {
    let body = body.map_err(|_| Refused::bad("that is more than can be asked"))?;
    let asked: Asked = serde_json::from_slice(&body)
        .map_err(|why| Refused::bad(format!("this cannot be asked: {why}")))?;
    let part = state.kept.part(asked.part).ok_or_else(|| Refused::gone("part"))?;
    let press =
        asked.press.map(|id| state.kept.press(id).ok_or_else(|| Refused::gone("press")));
    let press = press.transpose()?;
    let words = fields::words(&asked).map_err(Refused::bad)?;
    let given = fields::given(&words).map_err(Refused::bad)?;
    if let Some(plastic) = given.plastic.as_deref() {
        let found = state.plastics.find(plastic);
        found.map_err(|why| Refused::bad(why.to_string()))?;
    }
    let Ok(permit) = Arc::clone(&state.kept.checks).try_acquire_owned() else {
        return Err(Refused::busy(format!(
            "{AT_ONCE} checks are running: wait until one is done"
        )));
    };
    let typed =
        fields::as_typed(&part.name, press.as_ref().map(|own| own.file.as_str()), &words);
    let job = Job { part, part_number: asked.part, press, given, typed };
    let run = state.kept.begin();
    tokio::task::spawn_blocking(move || {
        let _held = permit;
        check(&state, run, &job);
    });
    Ok(Json(json!({ "run": run, "steps": page::steps() })))
}

/// Runs to its end, whatever that is.
fn check(state: &State, run: u64, job: &Job) {
    let kept = &state.kept;
    let tell = |step: usize| kept.set(run, Run::At(step));
    let last = kept.last();
    let work = || work::run(job, &state.plastics, last.as_deref(), &tell);
    let ended = std::panic::catch_unwind(std::panic::AssertUnwindSafe(work));
    let is = match ended {
        Ok(Ok((answer, last))) => {
            kept.set_last(last);
            Run::Done(Arc::new(answer))
        }
        Ok(Err(error)) => Run::Failed(format!("{}: {error:#}", job.part.name)),
        Err(_) => Run::Failed(format!("{}: the check broke off", job.part.name)),
    };
    kept.set(run, is);
}

async fn how_far(
    Shared(state): Shared<Arc<State>>,
    Path(run): Path<u64>,
) -> Answered<Json<Value>> {
    let run = state.kept.run(run).ok_or_else(|| Refused::gone("check"))?;
    Ok(Json(match run {
        Run::At(step) => json!({ "state": "at", "step": step, "said": page::step(step) }),
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
    let Some(Run::Done(answer)) = state.kept.run(run) else {
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

#[cfg(test)]
mod tests {
    use super::plain_name;

    #[test]
    fn a_name_is_never_a_path() {
        for (name, plain) in [
            ("plug.stl", "plug.stl"),
            ("../../etc/passwd", "passwd"),
            (r"C:\parts\plug.stl", "plug.stl"),
            ("..", "part.stl"),
            ("", "part.stl"),
            ("a/..", "part.stl"),
            ("a\0b\r\nc.stl", "abc.stl"),
            ("/", "part.stl"),
        ] {
            assert_eq!(plain_name(name, "part.stl"), plain, "{name:?}");
        }
        assert_eq!(plain_name(&"x".repeat(5000), "part.stl").len(), 100);
    }
}
