//! What the page holds in memory: parts, the user's files and runs, the newest of each.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::Semaphore;

use crate::cli::desk::job::{Answer, Last, Own, Part, STEPS};
use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::settings::Stop;

/// Largest part, MB.
pub(super) const MOST_MB: usize = 200;
/// Largest file of a press, of plastics or of cutters, KB.
pub(super) const MOST_TABLE_KB: usize = 256;
/// Bytes that all parts together may hold; the newest part stays in any case.
const PARTS_BYTES: usize = (2 * MOST_MB) << 20;
/// Parts that are kept.
const PARTS: usize = 8;
/// Files of presses, of plastics and of cutters that are kept, of each kind.
const TABLES: usize = 20;
/// Answers that are kept.
const RUNS: usize = 8;
/// Files that are taken in at once.
const UPLOADS: usize = 2;
/// Checks that run at once.
pub(super) const AT_ONCE: usize = 2;

/// How far a run is.
#[derive(Clone)]
pub(super) enum Run {
    /// At this step of [`STEPS`].
    At(usize),
    /// Its end was asked for, and is near.
    Stopping,
    /// It was ended.
    Stopped,
    /// Done.
    Done(Arc<Answer>),
    /// No answer, and why.
    Failed(String),
}

/// Everything.
pub(super) struct Store {
    contents: Mutex<Contents>,
    /// Held while a file is taken in.
    pub(super) uploads: Semaphore,
    /// Held while a check runs.
    pub(super) checks: Arc<Semaphore>,
}

/// Files of one kind by their numbers.
type Tables<T> = VecDeque<(u64, Arc<Own<T>>)>;

#[derive(Default)]
struct Contents {
    count: u64,
    parts: VecDeque<(u64, Arc<Part>)>,
    presses: Tables<Press>,
    plastics: Tables<Plastics>,
    cutters: Tables<CutterList>,
    runs: VecDeque<(u64, Run)>,
    stops: VecDeque<(u64, Stop)>,
    last: Option<Arc<Last>>,
}

impl Default for Store {
    fn default() -> Self {
        Self {
            contents: Mutex::default(),
            uploads: Semaphore::new(UPLOADS),
            checks: Arc::new(Semaphore::new(AT_ONCE)),
        }
    }
}

impl Store {
    fn contents(&self) -> MutexGuard<'_, Contents> {
        // Nothing is left half done under the lock.
        self.contents.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps a part; its number.
    pub(super) fn add_part(&self, part: Part) -> u64 {
        let mut contents = self.contents();
        let id = contents.number();
        contents.parts.push_back((id, Arc::new(part)));
        let held = |contents: &Contents| {
            contents.parts.iter().map(|(_, part)| part.bytes.len()).sum::<usize>()
        };
        while contents.parts.len() > 1
            && (contents.parts.len() > PARTS || held(&contents) > PARTS_BYTES)
        {
            contents.parts.pop_front();
        }
        id
    }

    /// Keeps a press; its number.
    pub(super) fn add_press(&self, press: Own<Press>) -> u64 {
        self.add_table(|contents| &mut contents.presses, press)
    }

    /// Keeps plastics; their number.
    pub(super) fn add_plastics(&self, plastics: Own<Plastics>) -> u64 {
        self.add_table(|contents| &mut contents.plastics, plastics)
    }

    /// Keeps cutters; their number.
    pub(super) fn add_cutters(&self, cutters: Own<CutterList>) -> u64 {
        self.add_table(|contents| &mut contents.cutters, cutters)
    }

    fn add_table<T>(&self, of: fn(&mut Contents) -> &mut Tables<T>, own: Own<T>) -> u64 {
        let mut contents = self.contents();
        let id = contents.number();
        push(of(&mut contents), id, Arc::new(own), TABLES);
        id
    }

    /// Begins a run that `stop` ends; its number.
    pub(super) fn begin(&self, stop: &Stop) -> u64 {
        let mut contents = self.contents();
        let id = contents.number();
        push(&mut contents.runs, id, Run::At(0), RUNS + AT_ONCE);
        push(&mut contents.stops, id, stop.clone(), RUNS + AT_ONCE);
        id
    }

    /// Asks for the end of a run that goes on; how it then stands, if it is still there.
    pub(super) fn stop(&self, id: u64) -> Option<Run> {
        let mut contents = self.contents();
        let stop = find(&contents.stops, id)?;
        let (_, run) = contents.runs.iter_mut().find(|(other, _)| *other == id)?;
        if matches!(run, Run::At(_)) {
            stop.ask();
            *run = Run::Stopping;
        }
        Some(run.clone())
    }

    /// The part of that number, if it is still there.
    pub(super) fn part(&self, id: u64) -> Option<Arc<Part>> {
        find(&self.contents().parts, id)
    }

    /// The press of that number, if it is still there.
    pub(super) fn press(&self, id: u64) -> Option<Arc<Own<Press>>> {
        find(&self.contents().presses, id)
    }

    /// The plastics of that number, if they are still there.
    pub(super) fn plastics(&self, id: u64) -> Option<Arc<Own<Plastics>>> {
        find(&self.contents().plastics, id)
    }

    /// The cutters of that number, if they are still there.
    pub(super) fn cutters(&self, id: u64) -> Option<Arc<Own<CutterList>>> {
        find(&self.contents().cutters, id)
    }

    /// The run of that number, if it is still there.
    pub(super) fn run(&self, id: u64) -> Option<Run> {
        find(&self.contents().runs, id)
    }

    /// The run of that number is here now; one that is about to stop only ends.
    pub(super) fn set(&self, id: u64, run: Run) {
        let mut contents = self.contents();
        let Some((_, known)) = contents.runs.iter_mut().find(|(other, _)| *other == id)
        else {
            return;
        };
        if !(matches!(known, Run::Stopping) && matches!(run, Run::At(_))) {
            *known = run;
        }
    }

    /// The answer before, for comparing.
    pub(super) fn last(&self) -> Option<Arc<Last>> {
        self.contents().last.clone()
    }

    /// The answer to compare the next one with.
    pub(super) fn set_last(&self, last: Last) {
        self.contents().last = Some(Arc::new(last));
    }
}

impl Contents {
    fn number(&mut self) -> u64 {
        self.count += 1;
        self.count
    }
}

fn push<T>(contents: &mut VecDeque<(u64, T)>, id: u64, one: T, most: usize) {
    contents.push_back((id, one));
    while contents.len() > most {
        contents.pop_front();
    }
}

fn find<T: Clone>(contents: &VecDeque<(u64, T)>, id: u64) -> Option<T> {
    contents.iter().find(|(other, _)| *other == id).map(|(_, one)| one.clone())
}

/// Where the steps end; a run at this step is about to be done.
pub(super) const END: usize = STEPS.len();

#[cfg(test)]
mod tests {
    use super::{PARTS, Run, Store};
    use crate::cli::desk::job::Part;
    use crate::settings::Stop;

    #[test]
    fn only_the_newest_are_kept() {
        let store = Store::default();
        let part = |size: usize| Part { name: "a".to_owned(), bytes: vec![0; size] };
        let first = store.add_part(part(10));
        let later: Vec<u64> = (0..PARTS).map(|_| store.add_part(part(10))).collect();
        assert!(store.part(first).is_none());
        assert!(later.iter().all(|&id| store.part(id).is_some()));
        let run = store.begin(&Stop::default());
        store.set(run, Run::Failed("no".to_owned()));
        assert!(matches!(store.run(run), Some(Run::Failed(why)) if why == "no"));
        assert!(store.run(first).is_none() && store.press(run).is_none());
    }

    #[test]
    fn a_run_that_is_to_stop_ends_and_does_not_go_on() {
        let store = Store::default();
        let stop = Stop::default();
        let run = store.begin(&stop);
        assert!(matches!(store.stop(run), Some(Run::Stopping)) && stop.is_asked());
        store.set(run, Run::At(3));
        assert!(matches!(store.run(run), Some(Run::Stopping)));
        store.set(run, Run::Stopped);
        assert!(matches!(store.stop(run), Some(Run::Stopped)));
        assert!(store.stop(run + 1).is_none());
        // One that is done stays done.
        let done = store.begin(&Stop::default());
        store.set(done, Run::Failed("no".to_owned()));
        assert!(matches!(store.stop(done), Some(Run::Failed(_))));
    }
}
