//! One check behind the page: the same calls as those of `goodshot check`, reported step by
//! step.

use std::sync::Arc;

use anyhow::{Result, bail};

use crate::analysis::{AnalysisError, Stage};
use crate::cli::given_args::PlasticChoice;
use crate::cli::run_check::{self, Judged, Step};
use crate::compare;
use crate::compare::bundle::Compared;
use crate::compare::comparison::Comparison;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::report::bundle::NamedFile;
use crate::schema::Report;
use crate::settings::Settings;

/// What a check does, in order, and what the page calls it.
pub(super) const STEPS: [Step; 7] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
    Step::Stage(Stage::Milling),
    Step::Stage(Stage::Press),
    Step::Stage(Stage::Filling),
    Step::Drawing,
];

/// A part as it was uploaded.
pub(super) struct Part {
    /// Its name without folders.
    pub(super) name: String,
    /// Its file.
    pub(super) bytes: Vec<u8>,
}

/// A file of the user's: a press, plastics or cutters.
pub(super) struct Own<T> {
    /// Its name without folders.
    pub(super) file: String,
    /// What it holds.
    pub(super) holds: T,
}

/// What is to be checked, and with what.
pub(super) struct Job {
    pub(super) part: Arc<Part>,
    pub(super) part_number: u64,
    pub(super) press: Option<Arc<Own<Press>>>,
    pub(super) plastics: Arc<Own<Plastics>>,
    pub(super) plastic: PlasticChoice,
    pub(super) settings: Settings,
    /// The same as a command.
    pub(super) typed: String,
}

/// An answer, ready to be shown.
pub(super) struct Answer {
    pub(super) report: Report,
    pub(super) files: Vec<NamedFile>,
    /// What changed since the answer before.
    pub(super) changed: Option<Comparison>,
    /// The same as a command.
    pub(super) typed: String,
}

/// The answer before, for comparing.
pub(super) struct Last {
    part_number: u64,
    judged: Judged,
}

/// Checks; `show` hears the place of each step in [`STEPS`].
pub(super) fn run(
    job: &Job,
    last: Option<&Last>,
    show: &dyn Fn(usize),
) -> Result<(Answer, Last)> {
    let report_step = |step: Step| {
        if let Some(place) = STEPS.iter().position(|other| *other == step) {
            show(place);
        }
    };
    let press = match &job.press {
        Some(own) => own.holds.clone(),
        None => Press::builtin()?,
    };
    let (plastics, plastic) = (&job.plastics.holds, &job.plastic);
    let setup = run_check::setup_of(press, job.press.is_some(), plastics, plastic)?;
    let Part { name, bytes } = &*job.part;
    let mut judged = run_check::judge(bytes, name, setup, &job.settings, &report_step)?;
    run_check::try_first_changes(&mut judged, &job.settings, &report_step);
    go_on(job)?;
    let mut files = run_check::files(&judged, &report_step)?;
    go_on(job)?;
    let changed = last.map(|last| changed(last, &judged, job, &mut files)).transpose()?;
    let report = judged.report.clone();
    let answer = Answer { report, files, changed, typed: job.typed.clone() };
    Ok((answer, Last { part_number: job.part_number, judged }))
}

/// Ends the work where a stop was asked for.
fn go_on(job: &Job) -> Result<()> {
    if job.settings.stop.is_asked() {
        bail!(AnalysisError::Stopped);
    }
    Ok(())
}

/// What changed; where it is another part, its files go beside those of the report.
fn changed(
    last: &Last,
    judged: &Judged,
    job: &Job,
    files: &mut Vec<NamedFile>,
) -> Result<Comparison> {
    if last.part_number == job.part_number {
        return Ok(compare::compare(&last.judged.report, &judged.report, None));
    }
    let compared = compare::bundle::write(last.judged.checked(), judged.checked())?;
    let Compared { comparison, files: more } = compared;
    files.extend(more);
    Ok(comparison)
}
