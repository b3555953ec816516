//! `goodshot calibrate`: from a log of shots to what they say of press and plastic.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};

use super::args::Calibrate;
use super::summary::Screen;
use super::terminal::{Progress, plain};
use crate::analysis::Setup;
use crate::analysis::calibration::{Calibrated, LoggedPart, calibrate};
use crate::analysis::filling;
use crate::analysis::test_piece::{settings_for, stl_bytes};
use crate::cli::run_check::Step;
use crate::cli::{files, run_check};
use crate::mold::test_piece::file as piece_file;
use crate::process::calibration::file::Calibration;
use crate::process::calibration::log::LoggedShot;
use crate::report::calibration::lines;
use crate::settings::Settings;
use crate::units::Pressure;
use crate::units::us_words::ShownUnits;

/// Exit code when a shot contradicts the others.
const CONTRADICTED: u8 = 1;

/// Reads the log, and writes what it says.
pub(super) fn run(args: &Calibrate, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    if args.given.calibration.is_some() {
        bail!(
            "--calibration is for checks: a log is judged without what earlier shots said"
        );
    }
    let log = files::shots(&args.log)?;
    let at = args.log.display();
    let folder = args.log.parent().unwrap_or(Path::new(""));
    let (setup, _) = run_check::setup_without_calibration(&args.given)?;
    let settings = run_check::settings(&args.given)?;
    let pressures: Vec<Pressure> = log
        .iter()
        .map(|shot| {
            let set = setup.press.pressure_when_set(&shot.set);
            set.map_err(|why| anyhow!("{at}: line {}, set: {why}", shot.line))
        })
        .collect::<Result<_>>()?;
    let (names, of_shot) = parts_of(&log);
    let progress = Progress::new(terminal);
    let mut parts = Vec::new();
    for name in names {
        let show = |what: String| progress.show(format!("{name}: {what}"));
        parts.push(logged_part(name, folder, &setup, &settings, &show)?);
    }
    let shots: Vec<(&LoggedShot, usize, Pressure)> = log
        .iter()
        .zip(of_shot)
        .zip(pressures)
        .map(|((shot, part), pressure)| (shot, part, pressure))
        .collect();
    let found = calibrate(&parts, &shots, filling::prior(&setup.plastic));
    drop(progress);
    let sound = found.shots.iter().filter(|shot| shot.contradicts.is_none());
    let useful = sound.filter(|shot| shot.observation.is_ok()).count();
    if useful == 0 {
        let why = found.shots.iter().find_map(|shot| shot.observation.as_ref().err());
        bail!("{at}: no shot says anything: {}", why.map_or("", String::as_str));
    }
    let (press, plastic) = (&setup.press.name, &setup.plastic.name);
    let mut written = Calibration::new(&found.known, press, plastic, useful);
    written.date = args.date.clone().unwrap_or_default();
    write(&args.out, &written.write()?)?;
    super::say(show(&found, &parts, settings.shown_units, &args.out, out))?;
    let is_contradicted = found.shots.iter().any(|shot| shot.contradicts.is_some());
    Ok(if is_contradicted { CONTRADICTED } else { 0 })
}

/// The names of the parts in the order of the log, and for each shot which of them it is.
fn parts_of(log: &[LoggedShot]) -> (Vec<&str>, Vec<usize>) {
    let mut names: Vec<&str> = Vec::new();
    let mut of_shot = Vec::new();
    for shot in log {
        let known = names.iter().position(|name| *name == shot.part);
        of_shot.push(known.unwrap_or(names.len()));
        if known.is_none() {
            names.push(&shot.part);
        }
    }
    (names, of_shot)
}

/// What the test piece is called in a log.
const TEST_PIECE: &str = "test piece";

/// The part `name` of the log in `folder`, checked and filled at many pressures.
fn logged_part(
    name: &str,
    folder: &Path,
    setup: &Setup,
    settings: &Settings,
    show: &dyn Fn(String),
) -> Result<LoggedPart> {
    let is_piece = name == TEST_PIECE;
    let file = folder.join(if is_piece { piece_file::NAME } else { name });
    let piece = is_piece.then(|| files::test_piece(&file)).transpose()?;
    let (bytes, settings) = match &piece {
        Some(piece) => (stl_bytes(piece), settings_for(settings, &setup.press)),
        None => (files::read_part(&file)?, settings.clone()),
    };
    let show_step = |step: Step| show(step.to_string());
    let judged = run_check::judge(bytes, name, setup.clone(), &settings, &show_step)
        .with_context(|| file.display().to_string())?;
    show("filling it at many pressures".to_owned());
    let analysis = judged.analysis;
    let answering = analysis.answering().map_err(|why| anyhow!("{name}: {why}"))?;
    let answering =
        answering.ok_or_else(|| anyhow!("{name}: no pressure tried fills it"))?;
    Ok(LoggedPart { name: name.to_owned(), analysis, answering, piece })
}

fn show(
    found: &Calibrated,
    parts: &[LoggedPart],
    units: ShownUnits,
    file: &Path,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    let screen = Screen::of_output();
    for line in lines(found, parts) {
        let indent = " ".repeat(line.indent);
        let text = units.write(&plain(&line.text));
        writeln!(out, "{}", screen.wrap(&indent, line.indent, &text))?;
    }
    let file = file.display();
    let used = format!(
        "{file} holds it: checks in this folder use it if it is called {}, others with --calibration {file}",
        files::OWN_CALIBRATION
    );
    writeln!(out, "{}", screen.wrap("", 0, &plain(&used)))
}

/// The whole file or none.
fn write(file: &Path, text: &str) -> Result<()> {
    let mut beside = file.as_os_str().to_owned();
    beside.push(".new");
    let beside = PathBuf::from(beside);
    let failed = || format!("{}: could not be written", file.display());
    fs::write(&beside, text).with_context(failed)?;
    fs::rename(&beside, file)
        .inspect_err(|_| {
            // What is left of it is of no use; where it cannot be removed, it stays.
            let _ = fs::remove_file(&beside);
        })
        .with_context(failed)
}
