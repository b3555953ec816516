//! What the part needs through the other layouts of the feed.

use rayon::prelude::*;

use super::with_feed::with_feed;
use super::{FillCase, FillingStudy, Injection, place};
use crate::analysis::Setup;
use crate::fill::cells::Cells;
use crate::fill::drive::Drive;
use crate::fill::gate::Gate;
use crate::fill::prepared::{Case, PreparedCavity};
use crate::fill::required_pressure::{self, RequiredPressure};
use crate::geom::Point;
use crate::part::Part;
use crate::process::evaluation::Evaluation;
use crate::process::evaluation::feed::FeedAlternative;
use crate::process::evaluation::feed_layouts::{FACE_NEEDS, MARK};
use crate::process::feed::layout::FeedLayout;
use crate::settings::Settings;

/// Melt pressure that fills through another layout, Pa; `None` where no pressure tried does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeededThrough {
    /// The layout.
    pub layout: FeedLayout,
    /// Pa.
    pub needed_pa: Option<f64>,
}

/// Each alternative of the feed, tried on the coarse cells and scaled to what the fine ones said
/// of the chosen one.
pub(super) fn needed(
    input: FillCase<'_>,
    coarse: &Cells,
    injection: &Injection<'_>,
    least: &RequiredPressure,
    wanted: Option<Point>,
) -> Vec<NeededThrough> {
    let Ok(design) = &input.evaluation.feed_design else { return Vec::new() };
    let RequiredPressure::Pressure { rough_pa, .. } = *least else { return Vec::new() };
    let tried = design.alternatives.par_iter().map(|alternative| NeededThrough {
        layout: alternative.feed.layout,
        needed_pa: needed_through(
            input,
            coarse,
            injection,
            alternative,
            rough_pa,
            wanted,
        )
        .map(|pa| pa / least.rough_over_fine()),
    });
    tried.collect()
}

impl FillingStudy {
    /// Whether a sprue on the face of the part, which nobody spoke against, shortens the way of
    /// the melt by more than its mark weighs.
    pub(in crate::analysis) fn face_shortens(
        &self,
        evaluation: &Evaluation,
        setup: &Setup,
        settings: &Settings,
    ) -> bool {
        let Settings { choices, fill, .. } = settings;
        let is_free = choices.feed.layout.is_none()
            && choices.runner_length.is_none()
            && !choices.feed.has_edge_measures()
            && fill.gate.is_none()
            && fill.show_faces.is_empty();
        let own = evaluation.feed_design.as_ref().ok().map(|design| design.feed.layout);
        let needed = self.needed_through(FeedLayout::Direct);
        let known = self.known().map(|known| known.required.expected);
        let (Some(needed), Some(known), true) = (needed, known, is_free) else {
            return false;
        };
        own != Some(FeedLayout::Direct)
            && needed <= known * FACE_NEEDS
            && known - needed > setup.press.melt_pressure() * MARK
    }
}

fn needed_through(
    input: FillCase<'_>,
    coarse: &Cells,
    injection: &Injection<'_>,
    alternative: &FeedAlternative,
    near_pa: f64,
    wanted: Option<Point>,
) -> Option<f64> {
    let FeedAlternative { feed, .. } = alternative;
    let near = Drive { pressure_pa: near_pa, ..*injection.drive };
    let ask = |drive: &Drive<'_>| {
        let own = Injection { melt: injection.melt, drive, gate: &feed.gate };
        let at = place(input, coarse, &own, None, wanted).at;
        let Part { mesh, bvh, .. } = input.part;
        let gates = [Gate::of_feed(at, &feed.gate)];
        let case = Case { cells: coarse, mesh, bvh, gates: &gates, melt: injection.melt };
        let rough = PreparedCavity::new(&case).ok()?.in_long_steps();
        let apart = required_pressure::COMPARED_APART;
        required_pressure::least_of(&rough, injection.melt, drive, apart).ok()?
    };
    with_feed(input, feed, &input.setup.plastic, &near, ask).ok()?
}
