//! What runs answer: checks, molds and comparisons that begin, go on, stop and are done.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use anyhow::Result;
use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, State as Shared};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};

use super::{State, answers, package};
use crate::analysis::mold::MoldChoices;
use crate::cli::desk::form_fields::{self, Chosen, Form, Request};
use crate::cli::desk::job::{self, Before, CHECK_STEPS, Checked, Job, MOLD_STEPS};
use crate::cli::desk::runs::{Answer, Choice, Kind, MOST_WAITING, NewRun, Row, Run};
use crate::cli::desk::uploads::{Answered, Refused, asked};
use crate::cli::run_check::{self, Step};
use crate::report::first_screen;
use crate::report::mold::html as mold_page;
use crate::schema::{Report, words};
use crate::settings::{Settings, Stop};

/// The name under which all files of a run are had at once.
const ALL_FILES: &str = "all.zip";

/// A mold of what was checked.
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

/// What a run does.
enum Work {
    Check(Box<Job>),
    Mold(Box<Job>, Box<MoldChoices>),
    Comparison(Box<[Side; 2]>, Stop),
}

/// One side of a comparison.
struct Side {
    report: Arc<Report>,
    checked: Option<Arc<Checked>>,
}

/// Begins a check.
pub(super) async fn check(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    let request: Request = asked(&body)?;
    let job = job(&state, &request, &Command::Check)?;
    let new = NewRun {
        kind: Kind::Check,
        part: job.part.name.clone(),
        choices: choices(&state, &request, None),
        steps: CHECK_STEPS.iter().map(ToString::to_string).collect(),
        stop: job.settings.stop.clone(),
        request: request.clone(),
    };
    let begun = begin(&state, new, Work::Check(Box::new(job)))?;
    state.store.keep_choices(request);
    Ok(begun)
}

/// Begins a mold of what was checked.
pub(super) async fn mold(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    let MoldRequest { run, chosen } = asked(&body)?;
    let request = state.store.with_runs(|runs| runs.request(run));
    let request = request.ok_or_else(|| Refused::gone("check"))?;
    let words = form_fields::words(Form::Mold, &chosen)?;
    let wanted = form_fields::hardware(&words)?
        .choices()
        .map_err(|why| Refused::at("travel", why.to_string()))?;
    let job = job(&state, &request, &Command::Mold(words))?;
    let new = NewRun {
        kind: Kind::Mold,
        part: job.part.name.clone(),
        choices: choices(&state, &request, Some(&chosen)),
        steps: MOLD_STEPS.iter().map(ToString::to_string).collect(),
        stop: job.settings.stop.clone(),
        request,
    };
    begin(&state, new, Work::Mold(Box::new(job), Box::new(wanted)))
}

/// Begins a comparison of two checks.
pub(super) async fn comparison(
    Shared(state): Shared<Arc<State>>,
    body: Bytes,
) -> Answered<Json<Row>> {
    let Pair { before, after } = asked(&body)?;
    let kept = state.store.checked();
    let side = |id: u64| {
        let report = state.store.with_runs(|runs| runs.report(id));
        let checked = kept.iter().find(|(run, _)| *run == id);
        let checked = checked.map(|(_, checked)| Arc::clone(checked));
        report.map(|report| Side { report, checked })
    };
    let (Some(before), Some(side)) = (side(before), side(after)) else {
        return Err(Refused::gone("check"));
    };
    let request = state.store.with_runs(|runs| runs.request(after));
    let request = request.ok_or_else(|| Refused::gone("check"))?;
    let stop = Stop::default();
    let part = format!("{} → {}", before.report.part.file, side.report.part.file);
    let new = NewRun {
        kind: Kind::Comparison,
        part,
        choices: Vec::new(),
        steps: vec!["comparing".to_owned()],
        stop: stop.clone(),
        request,
    };
    begin(&state, new, Work::Comparison(Box::new([before, side]), stop))
}

/// What was asked for by its number, if anything was and it is still there.
fn held<T>(
    id: Option<u64>,
    find: impl FnOnce(u64) -> Option<T>,
    what: &str,
) -> Answered<Option<T>> {
    id.map(|id| find(id).ok_or_else(|| Refused::gone(what))).transpose()
}

/// The command that a run stands for.
enum Command {
    Check,
    /// With the words that a check does not know.
    Mold(Vec<String>),
}

/// What is to be checked or made, with everything that it names at hand.
fn job(state: &State, request: &Request, command: &Command) -> Answered<Job> {
    let store = &state.store;
    let part_number =
        request.part.ok_or_else(|| Refused::at("part", "drop a part first"))?;
    let part = store.part(part_number).ok_or_else(|| Refused::gone("part"))?;
    let press = held(request.press, |id| store.press(id), "press")?;
    let own = held(request.plastics, |id| store.plastics(id), "plastics file")?;
    let cutters = held(request.cutters, |id| store.cutters(id), "cutters file")?;
    let mut words = form_fields::words(Form::Check, &request.chosen)?;
    let given = form_fields::given(&words)?;
    let settings = given.settings(cutters.as_ref().map(|own| &own.holds));
    if settings.milling.skip && cutters.is_some() {
        return Err(Refused::at(
            "no-mill",
            "your own cutters and \"Do not look at the cutters\" exclude each other: \
             choose one of them",
        ));
    }
    let plastics = own.as_ref().map_or_else(|| Arc::clone(&state.plastics), Arc::clone);
    let plastic = given.plastic_choice();
    run_check::plastic(&plastics.holds, &plastic)
        .map_err(|why| Refused::at("plastic", why.to_string()))?;
    let plastics_file = own.as_ref().map(|own| own.file.as_str());
    let files = [
        ("press", press.as_ref().map(|own| own.file.as_str())),
        ("plastics", plastics_file.or(state.plastics_file.as_deref())),
        ("tools", cutters.as_ref().map(|own| own.file.as_str())),
    ];
    let name = match command {
        Command::Check => "check",
        Command::Mold(more) => {
            // A mold is written in millimeters.
            words.retain(|word| !word.starts_with("--units="));
            words.extend(more.iter().cloned());
            "mold"
        }
    };
    let typed = form_fields::as_typed(name, &part.name, &files, &words);
    let settings = Settings { stop: Stop::default(), ..settings };
    Ok(Job { part, part_number, press, plastics, plastic, settings, typed })
}

/// What was chosen, for the table of runs.
fn choices(state: &State, request: &Request, mold: Option<&Chosen>) -> Vec<Choice> {
    let store = &state.store;
    let files = [
        ("Press", request.press.and_then(|id| Some(store.press(id)?.file.clone()))),
        (
            "Known plastics",
            request.plastics.and_then(|id| Some(store.plastics(id)?.file.clone())),
        ),
        ("Cutters", request.cutters.and_then(|id| Some(store.cutters(id)?.file.clone()))),
    ];
    let files = files.into_iter().filter_map(|(name, file)| Some((name, file?)));
    let chosen = form_fields::described(Form::Check, &request.chosen);
    let of_mold =
        mold.into_iter().flat_map(|mold| form_fields::described(Form::Mold, mold));
    let chosen = chosen.chain(of_mold).map(|(name, value)| (name, value.to_owned()));
    files
        .chain(chosen)
        .map(|(name, value)| Choice { name: name.to_owned(), value })
        .collect()
}

/// Puts a run into the line.
fn begin(state: &Arc<State>, new: NewRun, work: Work) -> Answered<Json<Row>> {
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
        // What breaks off there is caught there.
        let _ = tokio::task::spawn_blocking(move || do_work(&state, run, &work)).await;
    });
    Ok(Json(row))
}

/// Runs to its end, whatever that is.
fn do_work(state: &State, run: u64, work: &Work) {
    let set = |is: Run| state.store.with_runs(|runs| runs.set(run, is));
    let (name, stop) = match work {
        Work::Check(job) | Work::Mold(job, _) => {
            (format!("{}: ", job.part.name), &job.settings.stop)
        }
        Work::Comparison(_, stop) => (String::new(), stop),
    };
    if stop.is_asked() {
        return set(Run::Stopped);
    }
    set(Run::At(0));
    let ended = catch_unwind(AssertUnwindSafe(|| answer_of(state, run, work)));
    set(match ended {
        Ok(Ok(answer)) => Run::Done(Arc::new(answer)),
        Ok(Err(_)) if stop.is_asked() => Run::Stopped,
        Ok(Err(error)) => Run::Failed(format!("{name}{error:#}")),
        Err(_) => Run::Failed(format!("{name}the run broke off")),
    });
}

fn answer_of(state: &State, run: u64, work: &Work) -> Result<Answer> {
    let show = |steps: &[Step], step: Step| {
        if let Some(place) = steps.iter().position(|other| *other == step) {
            state.store.with_runs(|runs| runs.set(run, Run::At(place)));
        }
    };
    match work {
        Work::Check(job) => checked(state, run, job, &|step| show(&CHECK_STEPS, step)),
        Work::Mold(job, choices) => {
            let (report, files) =
                job::mold(job, choices, &|step| show(&MOLD_STEPS, step))?;
            Ok(Answer {
                said: mold_page::verdict_words(&report),
                look: mold_page::verdict_class(&report),
                piece: answers::made_mold(&report, &job.typed),
                files,
                page: Some("mold.html"),
            })
        }
        Work::Comparison(sides, _) => {
            let [before, after] = &**sides;
            let (comparison, files) = job::compare_two(
                [&before.report, &after.report],
                [before.checked.as_deref(), after.checked.as_deref()],
            )?;
            let page = files.iter().any(|file| file.name == "compare.html");
            Ok(Answer {
                said: crate::compare::lines::outcome(comparison.outcome).to_owned(),
                look: "",
                piece: answers::comparison(&comparison),
                files,
                page: page.then_some("compare.html"),
            })
        }
    }
}

fn checked(state: &State, run: u64, job: &Job, show: &dyn Fn(Step)) -> Result<Answer> {
    let store = &state.store;
    let before = Before {
        same: store.with_runs(|runs| runs.newest_report(Some(job.part_number))),
        others: store.checked().into_iter().map(|(_, checked)| checked).collect(),
    };
    let done = job::check(job, &before, show)?;
    let report = &done.checked.judged.report;
    let answer = Answer {
        said: words::verdict(report.verdict).to_owned(),
        look: first_screen::class(report.verdict),
        piece: answers::check(report, done.changed.as_ref(), &job.typed),
        files: done.files,
        page: Some("report.html"),
    };
    store.with_runs(|runs| runs.keep_report(run, report.clone()));
    store.keep_checked(run, Arc::new(done.checked));
    Ok(answer)
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
    Json(json!({ "runs": state.store.with_runs(|runs| runs.rows()) }))
}

/// How far a run is, with all that came of it when it is done.
pub(super) async fn answer(
    Shared(state): Shared<Arc<State>>,
    Path(run): Path<u64>,
) -> Answered<Json<Value>> {
    let found = state.store.with_runs(|runs| Some((runs.run(run)?, runs.row(run)?)));
    let (run, row) = found.ok_or_else(|| Refused::gone("run"))?;
    let mut reply = json!(row);
    match run {
        Run::Done(answer) => {
            let names: Vec<&str> =
                answer.files.iter().map(|file| file.name.as_str()).collect();
            reply["answer"] = json!(answer.piece);
            reply["files"] = json!(names);
            reply["page"] = json!(answer.page);
        }
        Run::Failed(why) => reply["error"] = json!(why),
        _ => {}
    }
    Ok(Json(reply))
}

/// A file of a run, by its name in the list; no path is ever opened.
pub(super) async fn file(
    Shared(state): Shared<Arc<State>>,
    Path((run, name)): Path<(u64, String)>,
) -> Answered<Response> {
    let Some(Run::Done(answer)) = state.store.with_runs(|runs| runs.run(run)) else {
        return Err(Refused::gone("report"));
    };
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
