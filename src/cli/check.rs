//! `goodshot check`: from a part's file to its report's files.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};

use super::args::Check;
use super::files;
use super::summary::{self, Screen};
use super::terminal::Progress;
use crate::analysis::Setup;
use crate::cli::run_check::{self, Judged};
use crate::process::plastic::library::Plastics;
use crate::report::json;
use crate::schema::Report;
use crate::settings::Settings;
use crate::variations;

/// Checks every part; the worst answer counts.
pub(super) fn run(args: &Check, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    if args.schema {
        writeln!(out, "{}", serde_json::to_string_pretty(&json::schema())?)?;
        return Ok(0);
    }
    let (setup, plastics) = run_check::setup_and_plastics(&args.given)?;
    let readable = |wish| variations::steps::readable(wish, &plastics);
    args.vary.iter().try_for_each(readable).map_err(|why| anyhow!("--vary: {why}"))?;
    let settings = run_check::settings(&args.given)?;
    let folders = folders(args)?;
    files::can_hold(&args.out)?;
    let screen = Screen::of_output();
    let mut worst = None;
    let mut reports = Vec::new();
    for (number, (part, folder)) in args.parts.iter().zip(&folders).enumerate() {
        let progress = Progress::new(terminal && !args.quiet);
        let files = PartFiles { part, folder, of: [number + 1, folders.len()] };
        // The answer is shown as soon as it is known; pictures and files take longer.
        let mut show = |report: &Report| match args.json || args.quiet {
            true => Ok(()),
            false => progress.pause(|| {
                super::say(summary::summary(report, folder, screen, out))?;
                super::say(out.flush())
            }),
        };
        let answer =
            one(args, files, setup.clone(), &settings, &plastics, &progress, &mut show);
        drop(progress);
        let code = match answer {
            Ok(Judged { report, .. }) => {
                let code = super::exit_code(report.verdict);
                reports.push(report);
                code
            }
            Err(error) => {
                super::complain(&error);
                super::COULD_NOT_RUN
            }
        };
        worst = Some(super::worse(worst, code));
    }
    if reports.len() > 1 && !args.json && !args.quiet {
        super::say(summary::table(&reports, screen, out))?;
    }
    if args.json {
        super::say(print_json(&reports, args.parts.len(), out))?;
    }
    Ok(worst.unwrap_or(super::COULD_NOT_RUN))
}

fn print_json(
    reports: &[Report],
    count: usize,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    match reports {
        [] => Ok(()),
        [one] if count == 1 => out.write_all(json::write(one)?.as_bytes()),
        all => writeln!(out, "{}", serde_json::to_string_pretty(all)?),
    }
}

/// Where a part is read and its report written.
#[derive(Clone, Copy)]
pub(super) struct PartFiles<'a> {
    /// The file of the part.
    pub(super) part: &'a Path,
    /// The folder of its report.
    pub(super) folder: &'a Path,
    /// Its number and how many there are.
    pub(super) of: [usize; 2],
}

/// Checks one part, shows its answer and writes its report.
pub(super) fn one(
    args: &Check,
    PartFiles { part, folder, of }: PartFiles<'_>,
    setup: Setup,
    settings: &Settings,
    plastics: &Plastics,
    progress: &Progress,
    show: &mut dyn FnMut(&Report) -> Result<()>,
) -> Result<Judged> {
    let bytes = files::read_part(part)?;
    let name = run_check::name_of(part);
    let which = match of {
        [_, 1] => name.clone(),
        [number, all] => format!("{number} of {all}, {name}"),
    };
    let report_step = |step: run_check::Step| progress.show(format!("{which}: {step}"));
    let mut judged = run_check::judge(&bytes, &name, setup, settings, &report_step)
        .with_context(|| part.display().to_string())?;
    drop(bytes);
    let report_variation = |step: &str| progress.show(format!("{which}: what if {step}"));
    run_check::vary(
        &mut judged,
        settings.clone(),
        &args.vary,
        plastics,
        &report_variation,
    );
    show(&judged.report)?;
    let files = run_check::files(&judged, &report_step)?;
    report_step(run_check::Step::Writing);
    files::write_all(folder, &files)?;
    Ok(judged)
}

/// A folder for each part, named like it.
pub(super) fn folders(args: &Check) -> Result<Vec<PathBuf>> {
    files::is_folder(&args.out)?;
    let mut taken: BTreeMap<OsString, &Path> = BTreeMap::new();
    let mut folders = Vec::new();
    for part in &args.parts {
        let stem =
            part.file_stem().ok_or_else(|| anyhow!("{}: is no file", part.display()))?;
        if let Some(other) = taken.insert(stem.to_owned(), part) {
            bail!(
                "{} and {} would share the report folder {}: rename one or use two --out folders",
                other.display(),
                part.display(),
                Path::new(stem).display()
            );
        }
        folders.push(args.out.join(stem));
    }
    Ok(folders)
}
