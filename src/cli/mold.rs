//! `goodshot mold`: from a part's file to the files of its mold.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use super::mold_args::Mold;
use super::summary::{self, Screen};
use super::terminal::{Progress, plain};
use super::test_piece::{self, Piece};
use crate::analysis::test_piece::settings_for;
use crate::cli::report_folder::{self, Place};
use crate::cli::run_check::Step;
use crate::cli::run_mold::{self, Made};
use crate::cli::{files, run_check};
use crate::findings::Verdict;
use crate::report::mold::bundle::PIECE;
use crate::report::mold::{bundle, html, outline};
use crate::schema::mold::MoldReport;
use crate::schema::mold::test_piece::sheet;
use crate::units::format;

/// Checks the part and draws its mold; the exit code is that of the check, and no better than
/// *fix first* where a check of the mold does not hold. What is not to be cut is drawn only when
/// the user wants it anyway.
pub(super) fn run(args: &Mold, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    let choices = args.hardware.choices()?;
    let setup = run_check::setup(&args.given)?;
    let settings = run_check::settings(&args.given)?;
    let part = args.part.as_deref().unwrap_or(Path::new(PIECE));
    let own_name = files::folder_name(part)?;
    report_folder::prepare(&args.out)?;
    let progress = Progress::new(terminal && !args.quiet);
    let name = run_check::name_of(part);
    let report_step = |step: Step| progress.show(format!("{name}: {step}"));
    let piece =
        args.test_piece.then(|| test_piece::piece(&setup, &settings, &report_step));
    let piece = piece.transpose()?;
    let (bytes, settings) = match &piece {
        Some(piece) => (piece.stl.clone(), settings_for(&settings, &setup.press)),
        None => (files::read_part(part)?, settings),
    };
    let mut made = run_mold::make(bytes, &name, setup, &settings, &choices, &report_step)
        .with_context(|| part.display().to_string())?;
    made.report.test_piece = piece.as_ref().map(|it| sheet(&it.sized, &it.shots));
    let is_drawn = args.anyway || made.check().verdict != Verdict::DoNotCut;
    let folder = args.out.join(own_name).join("mold");
    if is_drawn {
        let mut files = run_mold::files(&made, &report_step)?;
        files.extend(piece.into_iter().flat_map(Piece::files));
        report_step(Step::Writing);
        let place = Place { out: &args.out, folder: &folder, own: &bundle::OWN };
        report_folder::write(place, &files)?;
    }
    drop(progress);
    let report = &made.report;
    if args.json {
        super::say(out.write_all(&bundle::json(report)?))?;
    } else if !args.quiet {
        super::say(summary(&made, is_drawn.then_some(&folder), out))?;
    }
    Ok(super::exit_code(html::verdict_of(report)))
}

/// The answer of the check, and what matters of the mold, in few lines; `folder` is where its
/// files went.
fn summary(
    made: &Made,
    folder: Option<&PathBuf>,
    to: &mut dyn Write,
) -> std::io::Result<()> {
    let report = &made.report;
    summary::answer(made.check(), Screen::of_output(), to)?;
    writeln!(to)?;
    let Some(folder) = folder else {
        return writeln!(
            to,
            "  No mold is drawn: the check says not to cut it. --anyway draws it, with these reasons in its papers."
        );
    };
    for line in facts(report) {
        writeln!(to, "{}", report.shown_units.write(&line))?;
    }
    let page = folder.join("mold.html");
    writeln!(to, "  Files     {}", plain(&page.display().to_string()))
}

/// What matters of a mold, a line each.
fn facts(report: &MoldReport) -> Vec<String> {
    let [x, y, z] = report.size_mm.map(format::number);
    let mut lines = vec![
        format!(
            "  Mold      {x} × {y} × {z} mm, pins in the core half, on the {} side",
            report.core_side
        ),
        format!("  Parting   {}", outline::parting(report)),
        format!("  Scale     {}", outline::grows(report)),
    ];
    lines.extend(outline::gate(report).map(|line| format!("  Gate      {line}")));
    let failed = outline::failed(report);
    let known = report.checks.iter().filter(|check| check.ok.is_some()).count();
    if failed.is_empty() {
        lines.push(format!("  Checks    all {known} of the mold hold"));
    } else {
        lines.push(format!(
            "  Checks    {} of {known} of the mold do not hold:",
            failed.len()
        ));
        lines.extend(failed.iter().map(|line| format!("            {line}")));
    }
    let shots = report.test_piece.iter().flat_map(|piece| &piece.shots);
    lines.extend(shots.map(|shot| {
        format!(
            "  Shot      {}: should reach about {:.0} mm, in {} mm of wall",
            shot.set_to,
            shot.reaches_mm,
            format::number(shot.wall_mm)
        )
    }));
    lines
}
