//! From the bytes of a part to its report: what every command that checks a part shares.

use std::fmt;
use std::path::{Path, PathBuf};

use anyhow::{Context, Error, Result, bail};

use super::files;
use super::given_args::{Given, PlasticChoice};
use super::own_folder;
use crate::analysis;
use crate::analysis::repeat::Reshaped;
use crate::analysis::{Analysis, Found, Setup, Stage};
use crate::compare::bundle::Checked;
use crate::process::calibration::file::Calibration;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::report::bundle::{self, NamedFile};
use crate::report::what_if;
use crate::schema::Report;
use crate::schema::assemble;
use crate::settings::Settings;
use crate::units::us_words::ShownUnits;
use crate::variations::{self, factors::FactorRequest, steps::Case, together};

/// The plastic where none is named: easy to get, forgiving, and what the workshops that
/// published their records ended up with.
pub(super) const DEFAULT_PLASTIC: &str = "pp";

/// A part with its answer.
pub(super) struct Judged {
    /// Every number.
    pub(super) analysis: Analysis,
    /// What is said of them.
    pub(super) report: Report,
}

impl Judged {
    /// The same for a comparison.
    pub(super) fn checked(&self) -> Checked<'_> {
        Checked { analysis: &self.analysis, report: &self.report }
    }
}

/// What is done now, for a progress line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Step {
    /// A stage of the analysis.
    Stage(Stage),
    /// A test piece of this length, mm.
    Strip(f64),
    /// What is left when the first changes are made at once.
    Together,
    /// The halves of the mold.
    Halves,
    /// What each cause of a bad part would do.
    Causes,
    /// The pictures.
    Drawing,
    /// The files.
    Writing,
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stage(stage) => stage.fmt(f),
            Self::Strip(length) => write!(f, "filling a strip of {length:.0} mm"),
            Self::Together => f.write_str("trying the first changes together"),
            Self::Halves => f.write_str("cutting the halves"),
            Self::Causes => f.write_str("trying the causes"),
            Self::Drawing => f.write_str("drawing"),
            Self::Writing => f.write_str("writing"),
        }
    }
}

/// The answer for the part in `bytes`, called `name`; `show` hears of each step.
pub(super) fn judge(
    bytes: impl AsRef<[u8]>,
    name: &str,
    setup: Setup,
    settings: &Settings,
    show: &dyn Fn(Step),
) -> Result<Judged> {
    let report_stage = |stage| show(Step::Stage(stage));
    let setup = bought(setup, settings);
    let analysis = analysis::run(bytes, setup, settings, &report_stage)?;
    Ok(assembled(analysis, name, settings))
}

/// The same, with what is bought in inches where the user reads inches.
pub(super) fn bought(mut setup: Setup, settings: &Settings) -> Setup {
    if settings.shown_units == ShownUnits::UsCustomary {
        setup.press.buys_in_inches();
    }
    setup
}

/// The answer to a part that is analyzed.
pub(super) fn assembled(analysis: Analysis, name: &str, settings: &Settings) -> Judged {
    let mut report = assemble::report(&analysis, name);
    report.shown_units = settings.shown_units;
    Judged { analysis, report }
}

/// Puts into the answer what is left when its first changes are made at once.
pub(super) fn try_first_changes(
    judged: &mut Judged,
    settings: &Settings,
    show: &dyn Fn(Step),
) {
    show(Step::Together);
    let base = base(&judged.analysis, settings.clone());
    let Report { causes, answer, .. } = &mut judged.report;
    let left = together::check(&mut judged.analysis, &base, causes, &answer.do_first);
    if let Some(left) = left {
        answer.then = left;
    }
}

/// Adds to the report what comes of varying each of `requests`; `show` hears of each step.
pub(super) fn vary(
    judged: &mut Judged,
    settings: Settings,
    requests: &[FactorRequest],
    plastics: &Plastics,
    show: &dyn Fn(&str),
) {
    if requests.is_empty() {
        return;
    }
    let base = base(&judged.analysis, settings);
    let varied = variations::run(&mut judged.analysis, &base, requests, plastics, show);
    judged.report.what_if = what_if::assemble(&varied);
}

/// What was checked, as the case that others differ from.
fn base(analysis: &Analysis, settings: Settings) -> Case {
    Case { setup: analysis.setup.clone(), settings, part: Reshaped::default() }
}

/// All files of its report.
pub(super) fn files(judged: &Judged, show: &dyn Fn(Step)) -> Result<Vec<NamedFile>> {
    show(Step::Drawing);
    bundle::write(&judged.analysis, &judged.report).context("could not draw the report")
}

/// The settings of the run, the file of cutters read.
pub(super) fn settings(given: &Given) -> Result<Settings> {
    let tools = own_tools(given);
    let cutters = tools.as_deref().map(files::cutters).transpose()?;
    Ok(given.settings(cutters.as_ref()))
}

/// The press and the plastic.
pub(super) fn setup(given: &Given) -> Result<Setup> {
    Ok(setup_and_plastics(given)?.0)
}

/// The press and the plastic, and all plastics that there are.
pub(super) fn setup_and_plastics(given: &Given) -> Result<(Setup, Plastics)> {
    let (mut setup, plastics) = setup_without_calibration(given)?;
    let own = given.calibration.as_deref();
    let Some(file) = files::given_or_own(own, files::OWN_CALIBRATION) else {
        return Ok((setup, plastics));
    };
    let calibration = files::calibration(&file)?;
    let Calibration { press, plastic, .. } = &calibration;
    if (press, plastic) == (&setup.press.name, &setup.plastic.name) {
        if own.is_none() {
            setup.found.push(files::found(&file));
        }
        setup.plastic = setup.plastic.calibrated_by(calibration);
    } else if own.is_some() {
        // One that was only found is of another press or plastic, and says nothing here.
        bail!(
            "{}: holds shots of {plastic} on \"{press}\", not of {} on \"{}\"",
            file.display(),
            setup.plastic.name,
            setup.press.name
        );
    }
    Ok((setup, plastics))
}

/// The same without what shots said.
pub(super) fn setup_without_calibration(given: &Given) -> Result<(Setup, Plastics)> {
    let [own_press, own_plastics, _] = own_files(given);
    let plastics = files::plastics(own_plastics.as_deref())?;
    let press = files::press(own_press.as_deref())?;
    let mut choice = given.plastic_choice();
    let last = if choice.name.is_none() { last_plastic()? } else { None };
    if let Some((name, _)) = &last {
        choice.name = Some(name.clone());
    }
    let mut setup = setup_of(press, own_press.is_some(), &plastics, &choice)?;
    setup.found = found(given);
    setup.found.extend(last.map(|(_, found)| found));
    Ok((setup, plastics))
}

/// The files of press, plastics and cutters: given, or found in the working folder.
pub(super) fn own_files(given: &Given) -> [Option<PathBuf>; 3] {
    [
        files::given_or_own(given.press.as_deref(), files::OWN_PRESS),
        files::given_or_own(given.plastics.as_deref(), files::OWN_PLASTICS),
        own_tools(given),
    ]
}

fn own_tools(given: &Given) -> Option<PathBuf> {
    let tools = given.milling.tools.as_deref();
    // Where nobody looks at the cutters, theirs are not read.
    let is_looked_at = tools.is_some() || !given.milling.no_mill;
    is_looked_at.then(|| files::given_or_own(tools, files::OWN_CUTTERS)).flatten()
}

/// The plastic that was last chosen on the page, and where that stands.
fn last_plastic() -> Result<Option<(String, Found)>> {
    let Some(file) = own_folder::file(own_folder::SETTINGS) else { return Ok(None) };
    let Some(name) = own_folder::settings()?.plastic else { return Ok(None) };
    let folder = Some(own_folder::shown(&file));
    let found = Found { what: format!("plastic {name}"), folder };
    Ok(Some((name, found)))
}

/// Those of them that were found, not given.
fn found(given: &Given) -> Vec<Found> {
    let given_files = [&given.press, &given.plastics, &given.milling.tools];
    let own = own_files(given).into_iter().zip(given_files);
    let found = own.filter(|(_, given)| given.is_none()).filter_map(|(own, _)| own);
    found.map(|file| files::found(&file)).collect()
}

/// A press, whether the user gave it, and the plastic that was named or the usual one, at
/// the temperatures that were given.
pub(super) fn setup_of(
    press: Press,
    press_given: bool,
    plastics: &Plastics,
    choice: &PlasticChoice,
) -> Result<Setup> {
    Ok(Setup {
        press,
        press_given,
        plastic: plastic(plastics, choice)?,
        plastic_given: choice.name.is_some(),
        sources: plastics.sources(),
        found: Vec::new(),
    })
}

/// The plastic that was named or the usual one, at the temperatures that were given.
pub(super) fn plastic(plastics: &Plastics, choice: &PlasticChoice) -> Result<Plastic> {
    let usual = plastics.find(choice.name.as_deref().unwrap_or(DEFAULT_PLASTIC))?;
    usual.clone().at_temperatures(choice.melt, choice.mold).map_err(Error::msg)
}

/// What the report calls the file: its name without folders.
pub(super) fn name_of(part: &Path) -> String {
    part.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
