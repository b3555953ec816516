//! `goodshot check`: from a part's file to its report's files.

use std::cmp::Reverse;
use std::collections::{BTreeMap, VecDeque};
use std::ffi::OsString;
use std::io::{self, Write};
use std::num::NonZero;
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

use anyhow::{Context, Result, anyhow, bail};

use super::args::Check;
use super::files;
use super::report_folder::{self, Place};
use super::stage_times::StageTimes;
use super::summary::{self, Screen};
use super::terminal::Progress;
use crate::analysis::Setup;
use crate::cli::run_check;
use crate::process::plastic::library::Plastics;
use crate::report::bundle::OWN;
use crate::report::json;
use crate::schema::Report;
use crate::settings::Settings;
use crate::variations;

/// Checks every part; the worst answer counts.
pub(super) fn run(args: &Check, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    if args.schema {
        out.write_all(json::JSON_SCHEMA.as_bytes())?;
        return Ok(0);
    }
    let (setup, plastics) = run_check::setup_and_plastics(&args.given)?;
    let readable = |wish| variations::steps::readable(wish, &plastics);
    args.vary.iter().try_for_each(readable).map_err(|why| anyhow!("--vary: {why}"))?;
    let settings = run_check::settings(&args.given)?;
    let folders = folders(args)?;
    report_folder::prepare(&args.out)?;
    let screen = Screen::of_output();
    let progress = Progress::new(terminal && !args.quiet);
    let mut worst = None;
    let mut reports = Vec::new();
    let inputs = Inputs { args, setup: &setup, settings: &settings, plastics: &plastics };
    // Where nothing can be printed any more, the parts are still checked and written.
    let mut printed = Ok(());
    inputs.check_in_order(&folders, &progress, |index, event| match event {
        // The answer is shown as soon as it is known; pictures and files take longer.
        Event::Answered(report) if printed.is_ok() => {
            printed = progress.pause(|| {
                super::say(summary::summary(&report, &folders[index], screen, out))?;
                super::say(out.flush())
            });
        }
        Event::Answered(_) => {}
        Event::Done(Ok(report)) => {
            worst = Some(super::worse(worst, super::exit_code(report.verdict)));
            reports.push(*report);
        }
        Event::Done(Err(error)) => {
            progress.pause(|| super::complain(&error));
            worst = Some(super::worse(worst, super::COULD_NOT_RUN));
        }
    });
    drop(progress);
    printed?;
    if reports.len() > 1 && !args.json && !args.quiet {
        super::say(summary::table(&reports, screen, out))?;
    }
    if args.json {
        super::say(print_json(&reports, args.parts.len(), out))?;
    }
    Ok(worst.unwrap_or(super::COULD_NOT_RUN))
}

/// What becomes known of a part.
enum Event {
    /// Its answer.
    Answered(Box<Report>),
    /// Its report is written, or it could not be checked.
    Done(Result<Box<Report>>),
}

/// With what every part is checked.
struct Inputs<'a> {
    args: &'a Check,
    setup: &'a Setup,
    settings: &'a Settings,
    plastics: &'a Plastics,
}

/// Parts are checked at once while their files together have no more bytes than this: as many
/// take about a gigabyte of memory.
const MOST_BYTES_AT_ONCE: u64 = 64 << 20;

impl Inputs<'_> {
    /// Checks the parts, several at once where they are small; `on_event` gets what becomes known
    /// of them in their order.
    fn check_in_order(
        &self,
        folders: &[PathBuf],
        progress: &Progress,
        mut on_event: impl FnMut(usize, Event),
    ) {
        let (sender, receiver) = mpsc::channel();
        let next = AtomicUsize::new(0);
        let check_rest = |sender: mpsc::Sender<(usize, Event)>| {
            loop {
                let index = next.fetch_add(1, Ordering::Relaxed);
                let Some(folder) = folders.get(index) else { break };
                let one = || self.one(index, folder, folders.len(), progress, &sender);
                // One part that breaks off does not hide the others.
                let done =
                    panic::catch_unwind(AssertUnwindSafe(one)).unwrap_or_else(|_| {
                        Err(anyhow!(
                            "{}: the check broke off",
                            self.args.parts[index].display()
                        ))
                    });
                // The receiver listens as long as there are senders.
                let _ = sender.send((index, Event::Done(done.map(Box::new))));
            }
        };
        thread::scope(|scope| {
            for _ in 0..self.at_once() {
                let sender = sender.clone();
                scope.spawn(|| check_rest(sender));
            }
            drop(sender);
            let mut early: BTreeMap<usize, VecDeque<Event>> = BTreeMap::new();
            let mut current = 0;
            for (index, event) in receiver {
                early.entry(index).or_default().push_back(event);
                while let Some(event) =
                    early.get_mut(&current).and_then(VecDeque::pop_front)
                {
                    let is_done = matches!(event, Event::Done(_));
                    on_event(current, event);
                    current += usize::from(is_done);
                }
            }
        });
    }

    /// How many parts are checked at once.
    fn at_once(&self) -> usize {
        if self.args.timings {
            return 1;
        }
        let size = |part: &PathBuf| part.metadata().map_or(0, |file| file.len());
        let mut sizes: Vec<u64> = self.args.parts.iter().map(size).collect();
        sizes.sort_unstable_by_key(|&size| Reverse(size));
        let cores = thread::available_parallelism().map_or(1, NonZero::get);
        let bytes: u64 = sizes.iter().take(cores).sum();
        if bytes > MOST_BYTES_AT_ONCE { 1 } else { cores.min(sizes.len()) }
    }

    /// Checks one part, reports its answer and writes its report.
    fn one(
        &self,
        index: usize,
        folder: &Path,
        of: usize,
        progress: &Progress,
        sender: &mpsc::Sender<(usize, Event)>,
    ) -> Result<Report> {
        let Self { args, setup, settings, plastics } = *self;
        let part = &args.parts[index];
        let times = StageTimes::default();
        times.begin("reading the file");
        let bytes = files::read_part(part)?;
        let name = run_check::name_of(part);
        let which = match of {
            1 => name.clone(),
            all => format!("{} of {all}, {name}", index + 1),
        };
        let show_stage = |stage: String| {
            progress.show(format!("{which}: {stage}"));
            times.begin(stage);
        };
        let report_step = |step: run_check::Step| show_stage(step.to_string());
        let judged =
            run_check::judge(bytes, &name, setup.clone(), settings, &report_step);
        let mut judged = judged.with_context(|| part.display().to_string())?;
        run_check::try_first_changes(&mut judged, settings, &report_step);
        let report_variation = |step: &str| show_stage(format!("what if {step}"));
        let settings = settings.clone();
        run_check::vary(&mut judged, settings, &args.vary, plastics, &report_variation);
        if !args.json && !args.quiet {
            let answer = Event::Answered(Box::new(judged.report.clone()));
            // The receiver listens as long as there are senders.
            let _ = sender.send((index, answer));
        }
        let files = run_check::files(&judged, &report_step)?;
        report_step(run_check::Step::Writing);
        let place = Place { out: &args.out, folder, own: &OWN };
        report_folder::write(place, &files)?;
        if args.timings {
            // Standard output is the answer's; where this cannot be written, nothing can be said.
            let _ = progress.pause(|| write!(io::stderr(), "{name}\n{times}"));
        }
        Ok(judged.report)
    }
}

fn print_json(reports: &[Report], count: usize, out: &mut dyn Write) -> io::Result<()> {
    match reports {
        [] => Ok(()),
        [one] if count == 1 => out.write_all(json::write(one)?.as_bytes()),
        all => writeln!(out, "{}", serde_json::to_string_pretty(all)?),
    }
}

/// A folder for each part, named like it.
pub(super) fn folders(args: &Check) -> Result<Vec<PathBuf>> {
    files::is_folder(&args.out)?;
    let mut taken: BTreeMap<OsString, &Path> = BTreeMap::new();
    let mut folders = Vec::new();
    for part in &args.parts {
        let name = files::folder_name(part)?;
        if let Some(other) = taken.insert(name.clone(), part) {
            bail!(
                "{} and {} would share the report folder {}: rename one or use two --out folders",
                other.display(),
                part.display(),
                Path::new(&name).display()
            );
        }
        folders.push(args.out.join(name));
    }
    Ok(folders)
}
