//! `goodshot mold`: from a part's file to the files of its mold.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result};

use super::mold_args::Mold;
use super::terminal::Progress;
use crate::cli::report_folder::{self, Place};
use crate::cli::run_check::Step;
use crate::cli::{files, run_check, run_mold};
use crate::report::mold::{bundle, outline};
use crate::schema::mold::MoldReport;
use crate::units::format;

/// Draws the mold; the exit code says whether every check holds.
pub(super) fn run(args: &Mold, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    let choices = args.hardware.choices()?;
    args.given.is_metric()?;
    let setup = run_check::setup(&args.given)?;
    let settings = run_check::settings(&args.given)?;
    let part = &args.part;
    let own_name = files::folder_name(part)?;
    report_folder::prepare(&args.out)?;
    let progress = Progress::new(terminal && !args.quiet);
    let bytes = files::read_part(part)?;
    let name = run_check::name_of(part);
    let report_step = |step: Step| progress.show(format!("{name}: {step}"));
    let made = run_mold::make(&bytes, &name, setup, &settings, &choices, &report_step)
        .with_context(|| part.display().to_string())?;
    drop(bytes);
    let files = run_mold::files(&made, &report_step)?;
    let report = made.report;
    report_step(Step::Writing);
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
    let parting = outline::parting(report);
    writeln!(to, "  parting   {parting}, core on the {} side", report.core_side)?;
    writeln!(to, "  scale     {}", outline::grows(report))?;
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
    let page = folder.join("mold.html");
    writeln!(to, "  files     {}", plain(&page.display().to_string()))
}
