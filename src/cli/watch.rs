//! `goodshot check --watch`: answers again when the CAD exports again, and says what
//! changed.
//!
//! The folders of the files are watched, not the files: many programs write a new file and
//! put it in the place of the old one. A file counts as written when it has been still for
//! a while, and a file that cannot be read gets a second chance, so that one which is half
//! written gives no false alarm. Where a folder reports nothing, as on some network drives,
//! the files are looked at every few seconds. Files are written between two waits only, so
//! the end never leaves half a report.

use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use anyhow::{Context, Result, anyhow};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use tokio::runtime::Builder;
use tokio::sync::mpsc::{self, UnboundedReceiver};
use tokio::time::sleep;

use super::args::Check;
use super::report_folder::{self, Place};
use super::summary::{self, Screen};
use super::terminal::{self, Progress};
use super::{check, files};
use crate::cli::run_check::{self, Judged};
use crate::compare::{self, shape};
use crate::report::bundle::{NamedFile, OWN};

/// A file that did not change for twice as long is written.
const STILL: Duration = Duration::from_millis(300);

/// So long a file that cannot be read may take to become one that can.
const PATIENCE: Duration = Duration::from_millis(1500);

/// How often the files are looked at when nothing is reported of them.
const LOOK: Duration = Duration::from_secs(2);

/// Checks the parts, then waits for changes until it is interrupted. The last answers
/// count.
pub(super) fn run(args: Check, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    let folders = check::folders(&args)?;
    run_check::setup(&args.given)?;
    run_check::settings(&args.given)?;
    for part in &args.parts {
        files::read_part(part)?;
    }
    report_folder::prepare(&args.out)?;
    let mut watch = Watch::begin(args, folders, terminal)?;
    let runtime = Builder::new_current_thread().enable_all().build()?;
    let ended = runtime.block_on(async {
        tokio::select! {
            biased;
            stop = tokio::signal::ctrl_c() => Ok(stop?),
            failed = watch.forever(out) => failed,
        }
    });
    // A check under way is given up.
    runtime.shutdown_background();
    ended?;
    let codes = watch.parts.iter().filter_map(|part| part.code);
    let worst = codes.fold(None, |worst, code| Some(super::worse(worst, code)));
    Ok(worst.unwrap_or(super::COULD_NOT_RUN))
}

/// Size and time of a file; `None` while it is not there.
type Stamp = Option<(u64, SystemTime)>;

struct Watch {
    args: Arc<Check>,
    terminal: bool,
    parts: Vec<Part>,
    /// The parts, then press, plastics and cutters.
    files: Vec<PathBuf>,
    stamps: Vec<Stamp>,
    /// What each file held when it was last answered for.
    held: Vec<Option<u64>>,
    changed: UnboundedReceiver<()>,
    _watcher: RecommendedWatcher,
}

struct Part {
    folder: PathBuf,
    last: Option<Judged>,
    code: Option<u8>,
}

/// A part that was checked, its files, and what its own file held.
struct Answer {
    judged: Judged,
    files: Vec<NamedFile>,
    held: u64,
}

impl Watch {
    fn begin(args: Check, folders: Vec<PathBuf>, terminal: bool) -> Result<Self> {
        let tables = run_check::own_files(&args.given).into_iter().flatten();
        let files: Vec<PathBuf> = args.parts.iter().cloned().chain(tables).collect();
        let (show, changed) = mpsc::unbounded_channel();
        let mut watcher =
            notify::recommended_watcher(move |event: notify::Result<Event>| {
                let is_change =
                    event.is_ok_and(|e| !matches!(e.kind, EventKind::Access(_)));
                if is_change {
                    // Nobody listens any more at the end.
                    let _ = show.send(());
                }
            })?;
        let mut around: Vec<&Path> = files.iter().map(|file| folder_of(file)).collect();
        around.sort_unstable();
        around.dedup();
        for folder in around {
            let unwatched = || format!("{}: cannot be watched", folder.display());
            watcher.watch(folder, RecursiveMode::NonRecursive).with_context(unwatched)?;
        }
        let part = |folder| Part { folder, last: None, code: None };
        Ok(Self {
            terminal,
            parts: folders.into_iter().map(part).collect(),
            stamps: stamps(&files),
            held: files.iter().map(|file| held(file)).collect(),
            args: Arc::new(args),
            files,
            changed,
            _watcher: watcher,
        })
    }

    /// Only a failure to speak or to write ends it.
    async fn forever(&mut self, out: &mut dyn Write) -> Result<()> {
        let mut due: Vec<usize> = (0..self.parts.len()).collect();
        let mut is_first = true;
        loop {
            for part in due {
                self.answer(part, out).await?;
            }
            if std::mem::take(&mut is_first) {
                writeln!(out, "watching for changes; Ctrl-C ends")?;
            }
            out.flush()?;
            due = self.next_change().await;
        }
    }

    /// Checks one part, writes its report and says what is new.
    async fn answer(&mut self, part: usize, out: &mut dyn Write) -> Result<()> {
        loop {
            let before = self.stamps.clone();
            match self.check(part).await {
                Ok(answer) => return self.show(part, answer, out),
                Err(error) => {
                    // Perhaps it is half written.
                    sleep(PATIENCE).await;
                    if stamps(&self.files) == before {
                        super::complain(&error);
                        self.parts[part].code = Some(super::COULD_NOT_RUN);
                        return Ok(());
                    }
                    self.be_still().await;
                    self.remember();
                }
            }
        }
    }

    async fn check(&self, part: usize) -> Result<Answer> {
        let (args, terminal) = (Arc::clone(&self.args), self.terminal);
        let work = move || {
            let path = &args.parts[part];
            let progress = Progress::new(terminal);
            let name = run_check::name_of(path);
            let report_step =
                |step: run_check::Step| progress.show(format!("{name}: {step}"));
            let setup = run_check::setup(&args.given)?;
            let bytes = files::read_part(path)?;
            let held = hash(&bytes);
            let settings = run_check::settings(&args.given)?;
            let mut judged =
                run_check::judge(bytes, &name, setup, &settings, &report_step)
                    .with_context(|| path.display().to_string())?;
            run_check::try_first_changes(&mut judged, &settings, &report_step);
            let files = run_check::files(&judged, &report_step)?;
            Ok(Answer { judged, files, held })
        };
        let done = tokio::task::spawn_blocking(work).await;
        done.map_err(|_| anyhow!("{}: the check broke off", self.files[part].display()))?
    }

    fn show(&mut self, part: usize, answer: Answer, out: &mut dyn Write) -> Result<()> {
        let Answer { judged, files, held } = answer;
        let Part { folder, last, code } = &mut self.parts[part];
        let place = Place { out: &self.args.out, folder, own: &OWN };
        report_folder::write(place, &files)?;
        match last {
            None => super::say(summary::summary(
                &judged.report,
                folder,
                Screen::of_output(),
                out,
            ))?,
            Some(last) => {
                let shape = shape::measure(&last.analysis, &judged.analysis).shape;
                let changed = compare::compare(&last.report, &judged.report, Some(shape));
                super::say(terminal::compared(&changed, None, out))?;
            }
        }
        *code = Some(super::exit_code(judged.report.verdict));
        *last = Some(judged);
        self.held[part] = Some(held);
        Ok(())
    }

    /// Waits until a file holds something else; the parts that must be checked again.
    async fn next_change(&mut self) -> Vec<usize> {
        loop {
            tokio::select! {
                _ = self.changed.recv() => {}
                () = sleep(LOOK) => {}
            }
            while self.changed.try_recv().is_ok() {}
            if stamps(&self.files) == self.stamps {
                continue;
            }
            self.be_still().await;
            let changed = self.remember();
            let count = self.parts.len();
            // Another press, plastic or cutter concerns every part.
            let all = changed.iter().any(|&file| file >= count);
            let due: Vec<usize> =
                (0..count).filter(|part| all || changed.contains(part)).collect();
            if !due.is_empty() {
                return due;
            }
        }
    }

    /// Waits until all files are there and no longer change.
    async fn be_still(&mut self) {
        let mut calm = 0;
        self.stamps = stamps(&self.files);
        while calm < 2 {
            sleep(STILL).await;
            let now = stamps(&self.files);
            let is_calm = now == self.stamps && now.iter().all(Option::is_some);
            calm = if is_calm { calm + 1 } else { 0 };
            self.stamps = now;
        }
    }

    /// Takes note of what the files hold now; those that held something else before.
    fn remember(&mut self) -> Vec<usize> {
        let now: Vec<Option<u64>> = self.files.iter().map(|file| held(file)).collect();
        let old = std::mem::replace(&mut self.held, now);
        (0..old.len()).filter(|&file| old[file] != self.held[file]).collect()
    }
}

fn folder_of(file: &Path) -> &Path {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

fn stamps(files: &[PathBuf]) -> Vec<Stamp> {
    let stamp = |file: &PathBuf| {
        let found = std::fs::metadata(file).ok()?;
        Some((found.len(), found.modified().unwrap_or(SystemTime::UNIX_EPOCH)))
    };
    files.iter().map(stamp).collect()
}

fn held(file: &Path) -> Option<u64> {
    files::read_part(file).ok().map(|bytes| hash(&bytes))
}

fn hash(bytes: &[u8]) -> u64 {
    let mut hasher = DefaultHasher::new();
    bytes.hash(&mut hasher);
    hasher.finish()
}
