//! From the bytes of a part to its mold: what `goodshot mold` and the page share.

use anyhow::{Context, Result};

use super::run_check::{self, Judged, Step};
use crate::analysis::mold::{self as mold_design, MoldChoices, MoldDesign};
use crate::analysis::{self, Setup};
use crate::report::bundle::NamedFile;
use crate::report::mold::bundle;
use crate::schema::Report;
use crate::schema::mold::{MoldReport, assemble};
use crate::settings::Settings;

/// A mold with everything that is known of it.
pub(super) struct Made {
    judged: Judged,
    design: MoldDesign,
    /// What is said of it.
    pub(super) report: MoldReport,
}

impl Made {
    /// What the whole check says of the part in this mold.
    pub(super) fn check(&self) -> &Report {
        &self.judged.report
    }
}

/// The mold of the part in `bytes`, called `name`; `show` hears of each step. Cutters and gate
/// of `choices` are those of `settings`.
///
/// # Errors
/// When the part cannot be read, or no mold can be made of it.
pub(super) fn make(
    bytes: impl AsRef<[u8]>,
    name: &str,
    setup: Setup,
    settings: &Settings,
    choices: &MoldChoices,
    show: &dyn Fn(Step),
) -> Result<Made> {
    let choices = MoldChoices {
        milling: settings.milling.clone(),
        gate: settings.fill.gate,
        ..choices.clone()
    };
    // The cutters go over the finished halves; over the part alone only where it is judged so.
    let mut settings = settings.clone();
    settings.milling.skip |= !settings.milling.as_milled;
    mold_design::may_measure(analysis::extents(bytes.as_ref(), &settings)?)
        .context("no mold")?;
    let report_stage = |stage| show(Step::Stage(stage));
    let setup = run_check::bought(setup, &settings);
    let mut analysis = analysis::run(bytes, setup, &settings, &report_stage)?;
    show(Step::Halves);
    let design = mold_design::design(&analysis, &choices).context("no mold")?;
    if !analysis.as_milled {
        // The finished halves say more than the part alone.
        analysis.cutting.clone_from(&design.cutting);
    }
    let mut judged = run_check::assembled(analysis, name, &settings);
    run_check::try_first_changes(&mut judged, &settings, show);
    let report = assemble::report(&judged.analysis, &design, &judged.report);
    Ok(Made { judged, design, report })
}

/// All files of the mold.
///
/// # Errors
/// When a picture cannot be drawn or a file cannot be packed.
pub(super) fn files(made: &Made, show: &dyn Fn(Step)) -> Result<Vec<NamedFile>> {
    show(Step::Drawing);
    bundle::write(&made.judged.analysis, &made.design, &made.report)
        .context("could not draw the mold")
}
