//! `goodshot check`: from a part's file to its report's files.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};

use super::args::Check;
use super::files;
use super::terminal::{self, Progress};
use crate::analysis::{self, Shop};
use crate::report::model::Report;
use crate::report::{assemble, bundle, json};

/// Checks every part; the worst answer counts.
pub(super) fn run(args: &Check, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    if args.schema {
        writeln!(out, "{}", serde_json::to_string_pretty(&json::schema())?)?;
        return Ok(0);
    }
    let shop = files::shop(
        args.press.as_deref(),
        args.plastics.as_deref(),
        args.plastic.as_deref(),
    )?;
    let folders = folders(args)?;
    files::can_hold(&args.out)?;
    let mut worst = None;
    let mut reports = Vec::new();
    for (part, folder) in args.parts.iter().zip(&folders) {
        let progress = Progress::new(terminal && !args.quiet);
        let answer = one(args, part, folder, shop.clone(), &progress);
        drop(progress);
        let code = match answer {
            Ok(report) => {
                if !args.json && !args.quiet {
                    super::say(terminal::summary(&report, folder, out))?;
                }
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
    if args.json {
        super::say(print_json(&reports, args.parts.len(), out))?;
    }
    Ok(worst.unwrap_or(super::COULD_NOT_RUN))
}

fn print_json(
    reports: &[Report],
    asked: usize,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    match reports {
        [] => Ok(()),
        [one] if asked == 1 => out.write_all(json::write(one)?.as_bytes()),
        all => writeln!(out, "{}", serde_json::to_string_pretty(all)?),
    }
}

fn one(
    args: &Check,
    part: &Path,
    folder: &Path,
    shop: Shop,
    progress: &Progress,
) -> Result<Report> {
    let bytes = files::read_part(part)?;
    let name = part.file_name().unwrap_or_default().to_string_lossy();
    let told = |stage: analysis::Stage| progress.tell(format!("{name}: {stage}"));
    let analysis = analysis::run(&bytes, shop, &args.settings(), &told)
        .with_context(|| part.display().to_string())?;
    drop(bytes);
    let report = assemble::report(&analysis, &name);
    progress.tell(format!("{name}: drawing"));
    let bundle = bundle::of(&analysis, &report).context("could not draw the report")?;
    progress.tell(format!("{name}: writing"));
    files::write_all(folder, &bundle)?;
    Ok(report)
}

/// A folder for each part, named like it.
fn folders(args: &Check) -> Result<Vec<PathBuf>> {
    if fs::metadata(&args.out).is_ok_and(|out| !out.is_dir()) {
        bail!(
            "{}: is a file, not a folder: give another folder with --out",
            args.out.display()
        );
    }
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
