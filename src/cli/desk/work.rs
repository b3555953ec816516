//! One check behind the page: the same calls as those of `goodshot check`, told step by
//! step.

use std::sync::Arc;

use anyhow::Result;

use crate::analysis::Stage;
use crate::cli::given_args::Given;
use crate::cli::judge::{self, Judged, Step};
use crate::compare::{self, bundle::Compared, model::Comparison};
use crate::process::plastics::Plastics;
use crate::process::press::Press;
use crate::report::bundle::NamedFile;
use crate::report::model::Report;

/// What a check does, in order, and what the page calls it.
pub(super) const STEPS: [Step; 6] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
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

/// A press as it was uploaded.
pub(super) struct OwnPress {
    /// The name of its file.
    pub(super) file: String,
    /// The press.
    pub(super) press: Press,
}

/// What is to be checked, and with what.
pub(super) struct Job {
    pub(super) part: Arc<Part>,
    pub(super) part_number: u64,
    pub(super) press: Option<Arc<OwnPress>>,
    pub(super) given: Given,
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

/// Checks; `tell` hears the place of each step in [`STEPS`].
pub(super) fn run(
    job: &Job,
    plastics: &Plastics,
    last: Option<&Last>,
    tell: &dyn Fn(usize),
) -> Result<(Answer, Last)> {
    let told = |step: Step| {
        if let Some(place) = STEPS.iter().position(|other| *other == step) {
            tell(place);
        }
    };
    let press = match &job.press {
        Some(own) => own.press.clone(),
        None => Press::builtin()?,
    };
    let plastic = job.given.plastic.as_deref();
    let shop = judge::shop_of((press, job.press.is_some()), plastics, plastic)?;
    let Part { name, bytes } = &*job.part;
    let judged = judge::judge(bytes, name, shop, &job.given.settings(None), &told)?;
    let mut files = judge::files(&judged, &told)?;
    let changed = last.map(|last| changed(last, &judged, job, &mut files)).transpose()?;
    let report = judged.report.clone();
    let answer = Answer { report, files, changed, typed: job.typed.clone() };
    Ok((answer, Last { part_number: job.part_number, judged }))
}

/// What changed; where it is another part, its files go beside those of the report.
fn changed(
    last: &Last,
    judged: &Judged,
    job: &Job,
    files: &mut Vec<NamedFile>,
) -> Result<Comparison> {
    if last.part_number == job.part_number {
        return Ok(compare::of(&last.judged.report, &judged.report, None));
    }
    let compared = compare::bundle::of(last.judged.checked(), judged.checked())?;
    let Compared { comparison, files: more } = compared;
    files.extend(more);
    Ok(comparison)
}
