//! `goodshot why`: the causes of a bad part, ranked by its own numbers.

use std::io::Write;

use anyhow::{Context, Error, Result};

use super::args::Why;
use super::summary::Screen;
use super::terminal::Progress;
use crate::analysis::repeat::Reshaped;
use crate::cli::run_check::Step;
use crate::cli::{files, run_check};
use crate::diagnosis::shot::MoldedShot;
use crate::diagnosis::{self, Diagnosis};
use crate::process::press::Press;
use crate::report::diagnosis::lines;
use crate::variations::steps::Case;

/// Ranks the causes; the exit code only says whether there was an answer.
pub(super) fn run(args: &Why, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    args.given.is_metric()?;
    // The mold was cut for the usual temperatures; those of the shot are what it was run at.
    let mut sheet = args.given.clone();
    (sheet.melt, sheet.mold) = (None, None);
    let setup = run_check::setup(&sheet)?;
    let settings = run_check::settings(&sheet)?;
    // Refused here where the melt would not flow so.
    setup
        .plastic
        .clone()
        .at_temperatures(args.given.melt, args.given.mold)
        .map_err(Error::msg)?;
    let shot = shot(args, &setup.press)?;
    let part = &args.part;
    let progress = Progress::new(terminal);
    let bytes = files::read_part(part)?;
    let name = run_check::name_of(part);
    let report_step = |step: Step| progress.show(format!("{name}: {step}"));
    let base = Case { setup: setup.clone(), settings, part: Reshaped::default() };
    let mut judged = run_check::judge(bytes, &name, setup, &base.settings, &report_step)
        .with_context(|| part.display().to_string())?;
    let report_trial = |trial: &str| progress.show(format!("{name}: trying: {trial}"));
    let found =
        diagnosis::diagnose(&mut judged.analysis, &base, &shot, args.seen, &report_trial);
    let mut found = found.with_context(|| part.display().to_string())?;
    found.file = name.clone();
    drop(progress);
    super::say(show(&found, args.json, out))?;
    Ok(0)
}

fn show(found: &Diagnosis, as_json: bool, out: &mut dyn Write) -> std::io::Result<()> {
    if as_json {
        return writeln!(out, "{}", serde_json::to_string_pretty(found)?);
    }
    let screen = Screen::of_output();
    for line in lines(found) {
        let text = super::terminal::plain(&line.text);
        writeln!(out, "{}", screen.wrap(&" ".repeat(line.indent), line.indent, &text))?;
    }
    Ok(())
}

/// How the shot was made.
fn shot(args: &Why, press: &Press) -> Result<MoldedShot> {
    let set = args.set.as_deref().map(|text| press.pressure_when_set(text));
    let pressure = set.transpose().map_err(|why| Error::msg(format!("--set: {why}")))?;
    Ok(MoldedShot {
        pressure,
        melt: args.given.melt,
        mold: args.given.mold,
        held: args.held,
        cooled: args.cooled,
        in_barrel: args.in_barrel,
        dried: args.dried,
        number: args.shot,
        was_good: args.was_good,
    })
}
