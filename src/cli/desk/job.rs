//! One run behind the page: the same calls as those of `goodshot check`, `goodshot mold` and
//! `goodshot compare`, reported step by step.

use std::sync::Arc;

use anyhow::{Result, bail};
use axum::body::Bytes;

use crate::analysis::mold::MoldChoices;
use crate::analysis::{AnalysisError, Setup, Stage};
use crate::cli::given_args::PlasticChoice;
use crate::cli::run_check::{self, Judged, Step};
use crate::cli::run_mold;
use crate::compare;
use crate::compare::bundle::{self, Compared};
use crate::compare::comparison::Comparison;
use crate::compare::shape;
use crate::geom::Vector;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::report::bundle::NamedFile;
use crate::schema::Report;
use crate::schema::mold::MoldReport;
use crate::settings::Settings;

/// What a check does, in order.
pub(super) const CHECK_STEPS: [Step; 7] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
    Step::Stage(Stage::Milling),
    Step::Stage(Stage::Press),
    Step::Stage(Stage::Filling),
    Step::Drawing,
];

/// What the making of a mold does, in order.
pub(super) const MOLD_STEPS: [Step; 7] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
    Step::Stage(Stage::Press),
    Step::Stage(Stage::Filling),
    Step::Halves,
    Step::Drawing,
];

/// Of two states of one part the longest, the middle and the shortest edge of the box differ
/// by no more than this factor; what differs by more is not even laid over the other.
const MOST_GROWN: f64 = 2.0;

/// A part as it was uploaded.
pub(super) struct Part {
    /// Its name without folders.
    pub(super) name: String,
    /// Its size and facets in words.
    pub(super) seen: String,
    /// Its file.
    pub(super) bytes: Bytes,
}

/// A file of the user's: a press, plastics or cutters.
pub(super) struct Own<T> {
    /// Its name without folders.
    pub(super) file: String,
    /// What it holds.
    pub(super) holds: T,
}

/// A part, and with what it is made.
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

/// All numbers of a check that is done, for comparing.
pub(super) struct Checked {
    pub(super) part_number: u64,
    pub(super) judged: Judged,
}

/// What came of a check.
pub(super) struct CheckAnswer {
    pub(super) checked: Checked,
    pub(super) files: Vec<NamedFile>,
    /// What changed since the check of the same part before.
    pub(super) changed: Option<Comparison>,
}

/// The checks that a new one may be compared with.
pub(super) struct Before {
    /// The newest report on the very same file.
    pub(super) same: Option<Arc<Report>>,
    /// Checks with all their numbers, the newest first.
    pub(super) others: Vec<Arc<Checked>>,
}

/// Checks; `show` hears of each step.
pub(super) fn check(
    job: &Job,
    before: &Before,
    show: &dyn Fn(Step),
) -> Result<CheckAnswer> {
    let Part { name, bytes, .. } = &*job.part;
    let mut judged = run_check::judge(bytes, name, setup(job)?, &job.settings, show)?;
    run_check::try_first_changes(&mut judged, &job.settings, show);
    go_on(job)?;
    let mut files = run_check::files(&judged, show)?;
    go_on(job)?;
    let changed = changed(before, &judged, &mut files)?;
    let checked = Checked { part_number: job.part_number, judged };
    Ok(CheckAnswer { checked, files, changed })
}

/// Makes a mold; `show` hears of each step.
pub(super) fn mold(
    job: &Job,
    choices: &MoldChoices,
    show: &dyn Fn(Step),
) -> Result<(MoldReport, Vec<NamedFile>)> {
    let Part { name, bytes, .. } = &*job.part;
    let made = run_mold::make(bytes, name, setup(job)?, &job.settings, choices, show)?;
    go_on(job)?;
    let files = run_mold::files(&made, show)?;
    go_on(job)?;
    Ok((made.report, files))
}

/// With what the part is made.
fn setup(job: &Job) -> Result<Setup> {
    let press = match &job.press {
        Some(own) => own.holds.clone(),
        None => Press::builtin()?,
    };
    run_check::setup_of(press, job.press.is_some(), &job.plastics.holds, &job.plastic)
}

/// Ends the work where a stop was asked for.
fn go_on(job: &Job) -> Result<()> {
    if job.settings.stop.is_asked() {
        bail!(AnalysisError::Stopped);
    }
    Ok(())
}

/// What changed since the newest check of the same file, or of another state of the same
/// part: then the files of the comparison go beside those of the report. An unrelated part
/// is not compared.
fn changed(
    before: &Before,
    judged: &Judged,
    files: &mut Vec<NamedFile>,
) -> Result<Option<Comparison>> {
    if let Some(same) = &before.same {
        return Ok(Some(compare::compare(same, &judged.report, None)));
    }
    for other in before.others.iter().map(|other| &other.judged) {
        if !may_be_one_part(&other.report, &judged.report) {
            continue;
        }
        let seen = shape::measure(&other.analysis, &judged.analysis);
        if !seen.shape.is_match {
            continue;
        }
        let compared = bundle::write_seen(other.checked(), judged.checked(), seen)?;
        let Compared { comparison, files: more } = compared;
        files.extend(more);
        return Ok(Some(comparison));
    }
    Ok(None)
}

/// Whether two parts are near enough in size to be two states of one.
fn may_be_one_part(one: &Report, other: &Report) -> bool {
    let edges = |report: &Report| {
        let bounds = &report.part.bounding_box_mm;
        let size = Vector::from(bounds.max) - Vector::from(bounds.min);
        let mut edges = [size.x, size.y, size.z];
        edges.sort_by(f64::total_cmp);
        edges
    };
    let pairs = edges(one).into_iter().zip(edges(other));
    pairs.into_iter().all(|(a, b)| a <= MOST_GROWN * b && b <= MOST_GROWN * a)
}

/// What changed from one check that was chosen to another, with its files where the shapes
/// are at hand.
pub(super) fn compare_two(
    reports: [&Report; 2],
    checked: [Option<&Checked>; 2],
) -> Result<(Comparison, Vec<NamedFile>)> {
    if let [Some(before), Some(after)] = checked
        && before.part_number != after.part_number
    {
        let [before, after] = [before, after].map(|it| it.judged.checked());
        let Compared { comparison, files } = bundle::write(before, after)?;
        return Ok((comparison, files));
    }
    let [before, after] = reports;
    Ok((compare::compare(before, after, None), Vec::new()))
}
