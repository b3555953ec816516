//! What is asked of the page, as an [`Order`] with everything that it names at hand.

use axum::body::Bytes;

use super::State;
use crate::cli::desk::form_fields::{self, Chosen, Form, Request};
use crate::cli::desk::job::Own;
use crate::cli::desk::order::{Earlier, Order, OwnText, PartHead, Sources, Task};
use crate::cli::desk::run::{Choice, Done};
use crate::cli::desk::uploads::{Answered, Refused};
use crate::cli::{run_check, why};
use crate::process::press::Press;

/// Of the newest checks of other parts so many are looked at for one of the same part.
const OTHERS: usize = 3;

/// An order with the bytes of its parts.
pub(super) struct FullOrder {
    pub(super) order: Order,
    pub(super) parts: Vec<Bytes>,
}

impl FullOrder {
    /// Adds a part.
    fn push(&mut self, name: &str, bytes: Bytes) {
        let length = bytes.len() as u64;
        self.order.parts.push(PartHead { name: name.to_owned(), length });
        self.parts.push(bytes);
    }
}

/// What was asked for by its number, if anything was and it is still there.
fn held<T>(
    id: Option<u64>,
    find: impl FnOnce(u64) -> Option<T>,
    what: &str,
) -> Answered<Option<T>> {
    id.map(|id| find(id).ok_or_else(|| Refused::gone(what))).transpose()
}

fn own_text<T>(own: Option<&Own<T>>) -> Option<OwnText> {
    let own = own?;
    Some(OwnText { file: own.file.clone(), text: own.text.as_deref()?.to_owned() })
}

/// With what a part is to be checked.
fn sources(state: &State, request: &Request) -> Answered<Sources> {
    let store = &state.store;
    let press = held(request.press, |id| store.press(id), "press")?;
    let own = held(request.plastics, |id| store.plastics(id), "plastics file")?;
    let cutters = held(request.cutters, |id| store.cutters(id), "cutters file")?;
    let words = form_fields::words(Form::Check, &request.chosen)?;
    let given = form_fields::given(&words)?;
    let settings = given.settings(cutters.as_ref().map(|own| &own.holds));
    if settings.milling.skip && cutters.is_some() {
        return Err(Refused::at(
            "no-mill",
            "your own cutters and \"Do not look at the cutters\" exclude each other: \
             choose one of them",
        ));
    }
    let plastics = own.as_deref().unwrap_or(&state.plastics);
    run_check::plastic(&plastics.holds, &given.plastic_choice())
        .map_err(|why| Refused::at("plastic", why.to_string()))?;
    Ok(Sources {
        press: own_text(press.as_deref()),
        plastics: own_text(Some(plastics)),
        cutters: own_text(cutters.as_deref()),
        words,
    })
}

/// What would be typed for the same in a terminal.
fn typed(command: &str, part: &str, sources: &Sources, more: &[String]) -> String {
    let name = |own: &Option<OwnText>| own.as_ref().map(|own| own.file.clone());
    let files = [
        ("press", name(&sources.press)),
        ("plastics", name(&sources.plastics)),
        ("tools", name(&sources.cutters)),
    ];
    let files = files.each_ref().map(|(option, file)| (*option, file.as_deref()));
    let mut words = match command {
        "why" => form_fields::without_heat(&sources.words),
        _ => sources.words.clone(),
    };
    words.extend_from_slice(more);
    form_fields::as_typed(command, part, &files, &words)
}

/// A run of one part.
fn of_part(state: &State, request: &Request, task: Task) -> Answered<FullOrder> {
    let part = request.part.ok_or_else(|| Refused::at("part", "drop a part first"))?;
    let part = state.store.part(part).ok_or_else(|| Refused::gone("part"))?;
    let sources = sources(state, request)?;
    let (command, more) = match &task {
        Task::Mold(more) => ("mold", more.as_slice()),
        Task::Diagnosis(more) => ("why", more.as_slice()),
        _ => ("check", [].as_slice()),
    };
    let typed = typed(command, &part.name, &sources, more);
    let order = Order { task, sources, typed, parts: Vec::new() };
    let mut full = FullOrder { order, parts: Vec::new() };
    full.push(&part.name, part.bytes.clone());
    Ok(full)
}

/// A check of the part that is asked for.
///
/// # Errors
/// When something that it names is not there, or a choice is not understood.
pub(super) fn check(state: &State, request: &Request) -> Answered<FullOrder> {
    let task = Task::Check { same: None, others: Vec::new() };
    of_part(state, request, task)
}

/// Adds to a check that is about to begin what it is compared with: the newest report on the
/// same file, or else the newest checks of other files.
pub(super) fn add_earlier(state: &State, request: &Request, full: &mut FullOrder) {
    let done = state.store.with_runs(|runs| runs.checks());
    let of_same = |done: &&Done| done.request.part == request.part;
    let newest = done.iter().find(of_same).map(|done| done.report());
    let mut earlier = Vec::new();
    if newest.is_none() {
        for done in done.iter().take(OTHERS) {
            let part = done.request.part.and_then(|part| state.store.part(part));
            let Some((part, check)) = part.zip(earlier_check(state, done)) else {
                continue;
            };
            full.push(&part.name, part.bytes.clone());
            earlier.push(check);
        }
    }
    if let Task::Check { same, others } = &mut full.order.task {
        *same = newest;
        *others = earlier;
    }
}

fn earlier_check(state: &State, done: &Done) -> Option<Earlier> {
    let sources = sources(state, &done.request).ok()?;
    Some(Earlier { report: done.report(), sources })
}

/// The mold of what was checked.
///
/// # Errors
/// As [`check`].
pub(super) fn mold(
    state: &State,
    request: &Request,
    chosen: &Chosen,
) -> Answered<FullOrder> {
    let words = form_fields::words(Form::Mold, chosen)?;
    form_fields::hardware(&words)?
        .choices()
        .map_err(|why| Refused::at("travel", why.to_string()))?;
    of_part(state, request, Task::Mold(words))
}

/// Why a part that was checked came out bad.
///
/// # Errors
/// As [`check`].
pub(super) fn diagnosis(
    state: &State,
    request: &Request,
    chosen: &Chosen,
) -> Answered<FullOrder> {
    let more = form_fields::words(Form::Shot, chosen)?;
    let check = form_fields::words(Form::Check, &request.chosen)?;
    let args = form_fields::shot(&check, &more)?;
    let press = held(request.press, |id| state.store.press(id), "press")?;
    let press = match &press {
        Some(own) => own.holds.clone(),
        None => Press::builtin().map_err(|why| Refused::bad(why.to_string()))?,
    };
    why::shot(&args, &press).map_err(|wrong| {
        let said = format!("{wrong:#}");
        Refused::at("set", said.trim_start_matches("--set: "))
    })?;
    of_part(state, request, Task::Diagnosis(more))
}

/// A comparison of two checks; of their shapes too where they are of two files that are still
/// kept.
///
/// # Errors
/// When one of them is no longer kept.
pub(super) fn comparison(state: &State, both: [&Done; 2]) -> Answered<FullOrder> {
    let gone = || Refused::gone("check");
    let [before, after] = both.map(|done| earlier_check(state, done));
    let (before, after) = before.zip(after).ok_or_else(gone)?;
    let sources = after.sources.clone();
    let (typed, parts) = (String::new(), Vec::new());
    let order = Order {
        task: Task::Comparison(Box::new([before, after])),
        sources,
        typed,
        parts,
    };
    let mut full = FullOrder { order, parts: Vec::new() };
    let [old, new] = both.map(|done| {
        done.request.part.and_then(|part| Some((part, state.store.part(part)?)))
    });
    if let Some(((old_id, old), (new_id, new))) = old.zip(new)
        && old_id != new_id
    {
        full.push(&old.name, old.bytes.clone());
        full.push(&new.name, new.bytes.clone());
    }
    Ok(full)
}

/// What was chosen, for the table of runs.
pub(super) fn choices(
    state: &State,
    request: &Request,
    mold: Option<&Chosen>,
) -> Vec<Choice> {
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
