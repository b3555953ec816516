//! The measured part, molded again by the model: at another pressure, colder, with another
//! gate. The feed stays as the mold was cut.

use super::change::Change;
use crate::analysis::Analysis;
use crate::analysis::filling::{FillingStudy, NotFilled};
use crate::analysis::repeat::Measured;
use crate::process::evaluation::RequiredBand;
use crate::process::evaluation::pressure_window::Limit;
use crate::settings::Settings;
use crate::units::{Force, Pressure, Quantity, Time};
use crate::variations::steps::Case;

/// What the model says of one case.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Melt pressure that fills; infinite where none tried does.
    pub takes: RequiredBand,
    /// Share of the part that fills at the pressure that was pushed with.
    pub filled: f64,
    /// Whether that is all of it.
    pub fills: bool,
    /// Share of the wall that is frozen where fronts meet, at the worst weld line; `None`
    /// where none meet.
    pub weld_frozen: Option<f64>,
    /// What gives way first; `None` where nothing is known to.
    pub limit: Option<Limit>,
    /// Until the gate, or what else is first, is frozen.
    pub hold: Option<Time>,
    /// Until the part is stiff.
    pub cool: Option<Time>,
    /// Force that holds the part on its core.
    pub grip: Option<Force>,
}

/// Molds the part again.
pub struct Bench<'a> {
    analysis: &'a mut Analysis,
    measured: Measured,
    before: Result<FillingStudy, NotFilled>,
    /// The mold as it was cut, run as its sheet says.
    base: Case,
}

impl<'a> Bench<'a> {
    /// The bench for `analysis`, which is that of `base`. It is changed by every case until
    /// [`Self::close`] puts it back.
    pub fn open(analysis: &'a mut Analysis, base: &Case) -> Self {
        let measured = analysis.measured();
        let base = as_cut(base, analysis);
        let before = std::mem::replace(&mut analysis.filling, Err(NotFilled::Skipped));
        Self { analysis, measured, before, base }
    }

    /// What comes of these changes, pushed with `pushed`.
    pub fn mold(&mut self, changes: &[Change], pushed: Pressure) -> Outcome {
        let mut case = self.base.clone();
        let mut pressure = pushed;
        for change in changes {
            case = change.applied_to(&case);
            if let Change::Pressure(set) = change {
                pressure = *set;
            }
        }
        self.again(&case);
        let (analysis, settings) = (&mut *self.analysis, &case.settings);
        let press = analysis.setup.press.clone();
        // Feed and plates are those of the whole press; only the filling is pushed with less.
        analysis.setup.press = press.turned_to(pressure);
        let before = self.before.as_ref().ok();
        analysis.filling = analysis.fill_again(settings, case.part.walls, before);
        analysis.setup.press = press;
        analysis.follow_filling(settings);
        outcome(analysis)
    }

    /// Puts the analysis back.
    pub fn close(mut self, base: &Case) {
        self.again(base);
        self.analysis.filling = self.before;
        self.analysis.follow_filling(&base.settings);
    }

    fn again(&mut self, case: &Case) {
        let Case { setup, settings, part } = case;
        self.analysis.again(&self.measured, setup, settings, *part);
    }
}

/// `base` with the feed that `analysis` sized for it: another temperature cuts no other gate.
fn as_cut(base: &Case, analysis: &Analysis) -> Case {
    let mut case = base.clone();
    let Ok(design) = &analysis.evaluation.feed_design else { return case };
    let feed = &design.feed;
    let Settings { choices, .. } = &mut case.settings;
    choices.feed.layout = Some(feed.layout);
    choices.feed.sprue_inlet = Some(feed.sprue.inlet);
    if let Some(runner) = feed.runner {
        choices.feed.runner_diameter = Some(runner.diameter);
    }
    if !feed.gate.is_round {
        choices.feed.gate_depth = Some(feed.gate.depth);
        choices.feed.gate_width = Some(feed.gate.width);
        choices.feed.gate_land = Some(feed.gate.land);
    }
    case
}

/// What `analysis` says.
pub(super) fn outcome(analysis: &Analysis) -> Outcome {
    let evaluation = &analysis.evaluation;
    let filled = analysis.filling.as_ref().ok();
    let frozen =
        filled.into_iter().flat_map(|it| it.welds.iter().map(|weld| weld.frozen));
    let timing = &evaluation.timing;
    let ruled = |time: &crate::process::thermal::cycle::Ruled| time.time;
    Outcome {
        takes: filled.and_then(FillingStudy::known).map_or_else(never, |it| it.required),
        filled: filled.map_or(0.0, |it| it.run.filled),
        fills: filled.is_some_and(|it| it.run.fills),
        weld_frozen: frozen.max_by(f64::total_cmp),
        limit: evaluation.window.first_limit().copied(),
        hold: timing.hold.as_ref().map(ruled),
        cool: timing.cool.as_ref().map(ruled),
        grip: evaluation.ejection.as_ref().ok().map(|it| it.force().typical),
    }
}

/// No pressure fills.
fn never() -> RequiredBand {
    let never = Pressure::from_si(f64::INFINITY);
    RequiredBand { best: never, expected: never, worst: never }
}
