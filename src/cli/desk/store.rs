//! What the page holds in memory: parts, the user's files, what was last chosen and runs, the
//! newest of each. A page that is loaded again finds all of it here.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::Semaphore;

use crate::cli::desk::form_fields::Request;
use crate::cli::desk::job::{Own, Part};
use crate::cli::desk::runs::Runs;
use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;

/// Largest part, MB.
pub(super) const MOST_MB: usize = 200;
/// Largest file of a press, of plastics or of cutters, KB.
pub(super) const MOST_TABLE_KB: usize = 256;
/// Bytes that all parts together may hold; the newest part stays in any case.
const PARTS_BYTES: usize = (2 * MOST_MB) << 20;
/// Parts that are kept.
const PARTS: usize = 32;
/// Files of presses, of plastics and of cutters that are kept, of each kind.
const TABLES: usize = 20;
/// Parts that are read at once.
const READ_AT_ONCE: usize = 2;
/// Runs that go on at once.
pub(super) const AT_ONCE: usize = 2;

/// Everything.
pub(super) struct Store {
    contents: Mutex<Contents>,
    /// Held while a part is read.
    pub(super) reading: Semaphore,
    /// Held while a run goes on.
    pub(super) running: Arc<Semaphore>,
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
    runs: Runs,
    choices: Option<Request>,
    keeping_problem: Option<String>,
    notice: Option<String>,
}

impl Default for Store {
    fn default() -> Self {
        Self {
            contents: Mutex::default(),
            reading: Semaphore::new(READ_AT_ONCE),
            running: Arc::new(Semaphore::new(AT_ONCE)),
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
    pub(super) fn add_press(&self, press: Arc<Own<Press>>) -> u64 {
        self.add_table(|contents| &mut contents.presses, press)
    }

    /// Keeps plastics; their number.
    pub(super) fn add_plastics(&self, plastics: Arc<Own<Plastics>>) -> u64 {
        self.add_table(|contents| &mut contents.plastics, plastics)
    }

    /// Keeps cutters; their number.
    pub(super) fn add_cutters(&self, cutters: Arc<Own<CutterList>>) -> u64 {
        self.add_table(|contents| &mut contents.cutters, cutters)
    }

    fn add_table<T>(
        &self,
        list: fn(&mut Contents) -> &mut Tables<T>,
        own: Arc<Own<T>>,
    ) -> u64 {
        let mut contents = self.contents();
        let id = contents.number();
        push(list(&mut contents), id, own, TABLES);
        id
    }

    /// The next number, and what is done with the runs under it.
    pub(super) fn number_run<T>(
        &self,
        work: impl FnOnce(&mut Runs, u64) -> T,
    ) -> (u64, T) {
        let mut contents = self.contents();
        let id = contents.number();
        (id, work(&mut contents.runs, id))
    }

    /// What is done with the runs.
    pub(super) fn with_runs<T>(&self, work: impl FnOnce(&mut Runs) -> T) -> T {
        work(&mut self.contents().runs)
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

    /// What was last chosen on the page.
    pub(super) fn choices(&self) -> Option<Request> {
        self.contents().choices.clone()
    }

    /// Keeps what was chosen on the page.
    pub(super) fn keep_choices(&self, choices: Request) {
        self.contents().choices = Some(choices);
    }

    /// Why something could not be kept on this machine.
    pub(super) fn keeping_problem(&self) -> Option<String> {
        self.contents().keeping_problem.clone()
    }

    /// Remembers why something could not be kept on this machine, or that all could.
    pub(super) fn set_keeping_problem(&self, problem: Option<String>) {
        self.contents().keeping_problem = problem;
    }

    /// What the page should say of the folder that is watched.
    pub(super) fn notice(&self) -> Option<String> {
        self.contents().notice.clone()
    }

    /// Has the page say something of the folder that is watched, or nothing.
    pub(super) fn set_notice(&self, notice: Option<String>) {
        self.contents().notice = notice;
    }

    /// Number and part of all parts, the oldest first.
    pub(super) fn parts(&self) -> Vec<(u64, Arc<Part>)> {
        self.contents().parts.iter().cloned().collect()
    }

    /// Number and press of all presses, the oldest first.
    pub(super) fn presses(&self) -> Vec<(u64, Arc<Own<Press>>)> {
        self.contents().presses.iter().cloned().collect()
    }

    /// Number and plastics of all files of plastics, the oldest first.
    pub(super) fn all_plastics(&self) -> Vec<(u64, Arc<Own<Plastics>>)> {
        self.contents().plastics.iter().cloned().collect()
    }

    /// Number and cutters of all files of cutters, the oldest first.
    pub(super) fn all_cutters(&self) -> Vec<(u64, Arc<Own<CutterList>>)> {
        self.contents().cutters.iter().cloned().collect()
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

#[cfg(test)]
mod tests {
    use super::{PARTS, Store};
    use crate::cli::desk::job::Part;

    #[test]
    fn only_the_newest_parts_are_kept() {
        let store = Store::default();
        let part = || Part {
            name: "a".to_owned(),
            seen: String::new(),
            bytes: vec![0; 10].into(),
        };
        let first = store.add_part(part());
        let later: Vec<u64> = (0..PARTS).map(|_| store.add_part(part())).collect();
        assert!(store.part(first).is_none());
        assert!(later.iter().all(|&id| store.part(id).is_some()));
        assert!(store.press(first).is_none());
    }
}
