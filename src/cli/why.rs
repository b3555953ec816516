//! `goodshot why`: the causes of a bad part, ranked by its own numbers.

use std::io::Write;

use anyhow::{Context, Error, Result};

use super::args::Why;
use super::given_args::Given;
use super::summary::Screen;
use super::terminal::Progress;
use crate::analysis::Setup;
use crate::analysis::repeat::Reshaped;
use crate::cli::run_check::Step;
use crate::cli::{files, run_check};
use crate::diagnosis::shot::MoldedShot;
use crate::diagnosis::{self, Diagnosis};
use crate::process::press::Press;
use crate::report::diagnosis::lines;
use crate::settings::Settings;
use crate::variations::steps::Case;

/// Ranks the causes; the exit code only says whether there was an answer.
pub(super) fn run(args: &Why, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    let sheet = as_cut(&args.given);
    let mold = CutMold {
        setup: run_check::setup(&sheet)?,
        settings: run_check::settings(&sheet)?,
    };
    is_sound(args, &mold)?;
    let part = &args.part;
    let progress = Progress::new(terminal);
    let bytes = files::read_part(part)?;
    let name = run_check::name_of(part);
    let show_step = |step: String| progress.show(format!("{name}: {step}"));
    let found = diagnose(args, bytes, &name, mold, &show_step);
    let found = found.with_context(|| part.display().to_string())?;
    drop(progress);
    super::say(show(&found, args.json, out))?;
    Ok(0)
}

/// With what a mold was cut.
pub(super) struct CutMold {
    /// Press and plastic.
    pub(super) setup: Setup,
    /// How the part is looked at.
    pub(super) settings: Settings,
}

/// What was given for the mold: it was cut for the usual temperatures; those of the shot are
/// what it was run at.
pub(super) fn as_cut(given: &Given) -> Given {
    Given { melt: None, mold: None, ..given.clone() }
}

/// Whether the shot can have been made as it was said.
///
/// # Errors
/// When the melt would not flow so, or the press is not set so.
pub(super) fn is_sound(args: &Why, mold: &CutMold) -> Result<()> {
    let plastic = mold.setup.plastic.clone();
    plastic.at_temperatures(args.given.melt, args.given.mold).map_err(Error::msg)?;
    shot(args, &mold.setup.press).map(drop)
}

/// The causes of what `args` has seen on the part in `bytes`; `show` hears what is done.
///
/// # Errors
/// When the part cannot be read, or how it fills is not known.
pub(super) fn diagnose(
    args: &Why,
    bytes: impl AsRef<[u8]>,
    name: &str,
    mold: CutMold,
    show: &dyn Fn(String),
) -> Result<Diagnosis> {
    let CutMold { setup, settings } = mold;
    let shot = shot(args, &setup.press)?;
    let base = Case { setup: setup.clone(), settings, part: Reshaped::default() };
    let report_step = |step: Step| show(step.to_string());
    let mut judged = run_check::judge(bytes, name, setup, &base.settings, &report_step)?;
    let report_trial = |trial: &str| show(format!("trying: {trial}"));
    let mut found = diagnosis::diagnose(
        &mut judged.analysis,
        &base,
        &shot,
        args.seen,
        &report_trial,
    )?;
    name.clone_into(&mut found.file);
    Ok(found)
}

fn show(found: &Diagnosis, as_json: bool, out: &mut dyn Write) -> std::io::Result<()> {
    if as_json {
        return writeln!(out, "{}", serde_json::to_string_pretty(found)?);
    }
    let screen = Screen::of_output();
    for line in lines(found) {
        let text = found.shown_units.write(&super::terminal::plain(&line.text));
        writeln!(out, "{}", screen.wrap(&" ".repeat(line.indent), line.indent, &text))?;
    }
    Ok(())
}

/// How the shot was made.
///
/// # Errors
/// When the press is not set so.
pub(super) fn shot(args: &Why, press: &Press) -> Result<MoldedShot> {
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
