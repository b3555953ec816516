//! `goodshot mold`: from a part's file to the files of its mold.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result};

use super::mold_args::Mold;
use super::terminal::Progress;
use crate::analysis;
use crate::analysis::mold as mold_design;
use crate::cli::report_folder::{self, Place};
use crate::cli::{files, run_check};
use crate::report::mold::{self, bundle};
use crate::schema::mold::MoldReport;
use crate::schema::mold::assemble;
use crate::units::format;

/// Draws the mold; the exit code says whether every check holds.
pub(super) fn run(args: &Mold, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    let mut choices = args.choices()?;
    args.given.is_metric()?;
    let setup = run_check::setup(&args.given)?;
    let mut settings = run_check::settings(&args.given)?;
    choices.milling = settings.milling.clone();
    choices.gate = settings.fill.gate;
    // The cutters go over the finished halves; over the part alone only where it is judged so.
    settings.milling.skip |= !settings.milling.as_milled;
    let part = &args.part;
    let own_name = files::folder_name(part)?;
    report_folder::prepare(&args.out)?;
    let progress = Progress::new(terminal && !args.quiet);
    let bytes = files::read_part(part)?;
    let name = part.file_name().unwrap_or_default().to_string_lossy();
    let no_mold = || format!("{}: no mold", part.display());
    let size = analysis::extents(&bytes, &settings)
        .with_context(|| part.display().to_string())?;
    mold_design::may_measure(size).with_context(no_mold)?;
    let report_stage = |stage: analysis::Stage| progress.show(format!("{name}: {stage}"));
    let analysis = analysis::run(&bytes, setup, &settings, &report_stage)
        .with_context(|| part.display().to_string())?;
    drop(bytes);
    progress.show(format!("{name}: cutting the halves"));
    let tooled = mold_design::design(&analysis, &choices).with_context(no_mold)?;
    let report = assemble::report(&analysis, &tooled, &name);
    progress.show(format!("{name}: drawing"));
    let files =
        bundle::write(&analysis, &tooled, &report).context("could not draw the mold")?;
    progress.show(format!("{name}: writing"));
    let folder = args.out.join(own_name).join("mold");
    let place = Place { out: &args.out, folder: &folder, own: &bundle::OWN };
    report_folder::write(place, &files)?;
    drop(progress);
    if args.json {
        super::say(out.write_all(&bundle::json(&report)?))?;
    } else if !args.quiet {
        super::say(summary(&report, &folder, out))?;
    }
    let holds = report.checks.iter().all(|check| check.ok != Some(false));
    Ok(u8::from(!holds))
}

/// What matters of a mold, in few lines.
fn summary(
    report: &MoldReport,
    folder: &Path,
    to: &mut dyn Write,
) -> std::io::Result<()> {
    let plain = |text: &str| text.replace(char::is_control, " ");
    let [x, y, z] = report.size_mm.map(format::number);
    writeln!(to, "{}: a mold of {x} × {y} × {z} mm", plain(&report.file))?;
    let parting = mold::markdown::parting(report);
    writeln!(to, "  parting   {parting}, core on the {} side", report.core_side)?;
    writeln!(to, "  scale     {}", mold::markdown::grows(report))?;
    let failed: Vec<&str> = report
        .checks
        .iter()
        .filter(|check| check.ok == Some(false))
        .map(|check| check.name.as_str())
        .collect();
    let known = report.checks.iter().filter(|check| check.ok.is_some()).count();
    if failed.is_empty() {
        writeln!(to, "  checks    all {known} hold")?;
    } else {
        writeln!(to, "  checks    {} of {known} do not hold:", failed.len())?;
        for name in failed {
            writeln!(to, "            {name}")?;
        }
    }
    let page = folder.join("mold.md");
    writeln!(to, "  files     {}", plain(&page.display().to_string()))
}
