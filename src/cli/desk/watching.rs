//! `goodshot desk FOLDER`: a part that is exported into the folder is checked by itself, with what
//! is chosen on the page.
//!
//! A file counts as written when it has been still for a while, and one that cannot be read gets a
//! second chance. Where the system says nothing of a folder, as on some network drives, it is looked
//! at every few seconds.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use anyhow::{Context, Result, bail};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use tokio::sync::mpsc::{self, UnboundedReceiver};
use tokio::time::sleep;

use super::store::MOST_MB;
use super::{State, routes, run_routes};
use crate::cli::desk::form_fields::Request;
use crate::cli::desk::job::Part;
use crate::cli::{files, run_check};

/// A file that did not change for twice as long is written.
const STILL: Duration = Duration::from_millis(300);
/// So long a file that cannot be read may take to become one that can.
const PATIENCE: Duration = Duration::from_millis(1500);
/// How often the folder is looked at when nothing is said of it.
const LOOK: Duration = Duration::from_secs(2);

/// Size and time of a file.
type Stamp = (u64, SystemTime);

/// A folder whose parts are checked as they come.
pub(super) struct Watch {
    folder: PathBuf,
    /// The parts as they were last seen.
    seen: BTreeMap<PathBuf, Stamp>,
    changed: UnboundedReceiver<()>,
    _watcher: RecommendedWatcher,
}

impl Watch {
    /// Begins to watch `folder`.
    ///
    /// # Errors
    /// When there is no such folder, or it cannot be watched.
    pub(super) fn begin(folder: &Path) -> Result<Self> {
        if !folder.is_dir() {
            bail!(
                "{}: is no folder: name the one that your CAD program exports to",
                folder.display()
            );
        }
        let (tell, changed) = mpsc::unbounded_channel();
        let mut watcher =
            notify::recommended_watcher(move |event: notify::Result<Event>| {
                let is_change =
                    event.is_ok_and(|it| !matches!(it.kind, EventKind::Access(_)));
                if is_change {
                    // Nobody listens any more at the end.
                    let _ = tell.send(());
                }
            })?;
        let unwatched = || format!("{}: cannot be watched", folder.display());
        watcher.watch(folder, RecursiveMode::NonRecursive).with_context(unwatched)?;
        let mut seen = parts(folder);
        // The newest part is checked at once, older ones only when they change.
        let newest = seen.iter().max_by_key(|(_, (_, written))| *written);
        if let Some(newest) = newest.map(|(file, _)| file.clone()) {
            seen.remove(&newest);
        }
        Ok(Self { folder: folder.to_owned(), seen, changed, _watcher: watcher })
    }

    /// Checks what comes, until the program ends.
    pub(super) async fn forever(mut self, state: Arc<State>) {
        loop {
            let now = self.be_still().await;
            let changed: Vec<PathBuf> = now
                .iter()
                .filter(|(file, stamp)| self.seen.get(*file) != Some(stamp))
                .map(|(file, _)| file.clone())
                .collect();
            self.seen = now;
            for file in changed {
                self.check(&state, &file).await;
            }
            tokio::select! {
                _ = self.changed.recv() => {}
                () = sleep(LOOK) => {}
            }
            while self.changed.try_recv().is_ok() {}
        }
    }

    /// Waits until no part changes any more; the parts as they are then.
    async fn be_still(&self) -> BTreeMap<PathBuf, Stamp> {
        let mut before = parts(&self.folder);
        if before == self.seen {
            return before;
        }
        let mut calm = 0;
        while calm < 2 {
            sleep(STILL).await;
            let now = parts(&self.folder);
            calm = if now == before { calm + 1 } else { 0 };
            before = now;
        }
        before
    }

    /// Begins the check of one part.
    async fn check(&mut self, state: &Arc<State>, file: &Path) {
        let name = run_check::name_of(file);
        let notice = match read(file).await {
            Ok(part) => begin(state, part),
            Err(why) => {
                // Perhaps it is half written: the next look sees that it has changed.
                sleep(PATIENCE).await;
                let is_same = parts(&self.folder).get(file) == self.seen.get(file);
                is_same.then_some(why)
            }
        };
        state.store.set_notice(notice.map(|why| format!("{name}: {why}")));
    }
}

/// The parts in a folder, with their stamps.
fn parts(folder: &Path) -> BTreeMap<PathBuf, Stamp> {
    let is_part =
        |file: &Path| file.extension().is_some_and(|end| end.eq_ignore_ascii_case("stl"));
    let all = fs::read_dir(folder).into_iter().flatten().flatten();
    let parts = all.filter_map(|entry| {
        let found = fs::metadata(entry.path()).ok()?;
        let written = found.modified().unwrap_or(SystemTime::UNIX_EPOCH);
        let is_part = found.is_file() && is_part(&entry.path());
        is_part.then(|| (entry.path(), (found.len(), written)))
    });
    parts.collect()
}

/// Reads a part as the page takes it in.
async fn read(file: &Path) -> Result<Part, String> {
    let file = file.to_owned();
    let read = tokio::task::spawn_blocking(move || {
        let length = fs::metadata(&file).map_or(0, |found| found.len());
        if length > (MOST_MB as u64) << 20 {
            return Err(format!("is too large: {MOST_MB} MB at most"));
        }
        let bytes = files::read_part(&file).map_err(|why| format!("{why:#}"))?;
        let seen = routes::look(&bytes)?;
        Ok(Part { name: run_check::name_of(&file), seen, bytes: bytes.into() })
    });
    read.await.unwrap_or_else(|_| Err("cannot be read".to_owned()))
}

/// Begins the check of a part with what is chosen on the page; why it does not begin.
fn begin(state: &Arc<State>, part: Part) -> Option<String> {
    let part = Some(state.store.add_part(part));
    let chosen = state.store.choices();
    let request = match chosen {
        Some(chosen) => Request { part, ..chosen },
        None => {
            let (press, plastics, cutters) = (None, None, None);
            Request { part, press, plastics, cutters, chosen: Vec::new() }
        }
    };
    run_routes::begin_check(state, request, true).err().map(|refused| refused.why)
}
