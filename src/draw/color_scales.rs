//! What the pictures and the page color: a value for every sample or facet, and its scale.

use rayon::prelude::*;

use crate::analysis::Analysis;
use crate::analysis::filling::FillingStudy;
use crate::draw::palette::{Kind, Limit, Scale};
use crate::draw::problems::Problem;
use crate::findings::{Severity, draft_severity};
use crate::geom::{Point, Vector};
use crate::mesh::samples::Samples;
use crate::part::draft;
use crate::part::halves::Side;
use crate::part::thickness;

/// Draft maps show up to this angle; beyond it a face is no wall.
const STEEPEST_DEG: f64 = 10.0;

/// The values of one part and the scales that they are shown on.
pub struct Colorings {
    /// Thickness by ball at each sample, mm; rims show the wall beside them.
    pub balls: Vec<Option<f64>>,
    /// Draft of each facet, degrees.
    pub drafts: Vec<Option<f64>>,
    /// How each sample leaves the mold.
    pub kinds: Vec<Option<Kind>>,
    /// What is wrong at each sample.
    pub problems: Vec<Option<Problem>>,
    /// The cell of the filling under each sample; empty where nobody looked.
    pub cells: Vec<usize>,
    /// When the front reaches each sample, s; empty where nobody looked.
    pub arrivals: Vec<Option<f64>>,
    /// Of thickness.
    pub wall_scale: Scale,
    /// Of draft.
    pub draft_scale: Scale,
    /// Of time.
    pub time_scale: Scale,
}

impl Colorings {
    /// Those of `analysis`.
    pub fn collect(analysis: &Analysis) -> Self {
        let samples = &analysis.part.samples;
        let drafts = draft::of_facets(&analysis.part, analysis.release.formed());
        let filled = analysis.filling.as_ref().ok();
        let cells = filled.map_or_else(Vec::new, |filled| cells(filled, samples));
        let came = |filled: &FillingStudy| -> Vec<Option<f64>> {
            let arrival_s = &filled.run.arrival_s;
            cells.iter().map(|&cell| arrival_s.get(cell).copied().flatten()).collect()
        };
        let arrivals = filled.map_or_else(Vec::new, came);
        let sides = &analysis.release.sides;
        Self {
            balls: thickness::filled(samples, &analysis.walls.thickness.ball),
            drafts: drafts.into_iter().map(Some).collect(),
            kinds: sides.iter().map(|&side| Some(kind(side))).collect(),
            problems: problems(analysis),
            wall_scale: wall_scale(analysis),
            draft_scale: draft_scale(analysis),
            time_scale: Scale::fitting(&arrivals, Vec::new(), "s")
                .with_lines("not filled"),
            cells,
            arrivals,
        }
    }
}

/// Trapped, short of draft, too thick, too thin: the first that holds for a sample. Where the
/// filling was worked out it says what a thin wall does.
fn problems(analysis: &Analysis) -> Vec<Option<Problem>> {
    let samples = &analysis.part.samples;
    let mut problems = vec![None; samples.len()];
    let mut mark = |samples: &[usize], problem: Problem| {
        for &sample in samples {
            problems[sample] = Some(problem);
        }
    };
    let walls = &analysis.walls;
    let thin = if analysis.filling.is_ok() { &[][..] } else { &walls.thin[..] };
    for (extremes, problem) in [(thin, Problem::Thin), (&walls.thick[..], Problem::Thick)]
    {
        extremes.iter().for_each(|wall| mark(&wall.region.samples, problem));
    }
    let release = &analysis.release;
    // What is worth a note only is no problem.
    let steep = release.short.iter().filter(|it| draft_severity(it) < Severity::Note);
    let mut short = vec![false; analysis.part.faces.list.len()];
    steep.for_each(|face| short[face.face] = true);
    let is_short = |sample: &usize| {
        let face = analysis.part.faces.of_facet[samples.facets[*sample] as usize];
        short[face as usize] && release.sides[*sample] != Side::Trapped
    };
    let steep: Vec<usize> = (0..samples.len()).filter(is_short).collect();
    mark(&steep, Problem::NoDraft);
    for &region in release.causes.iter().flatten() {
        mark(&release.undercut.regions[region].region.samples, Problem::Trapped);
    }
    problems
}

fn draft_scale(analysis: &Analysis) -> Scale {
    let rule = analysis.release.rule;
    Scale::angle(STEEPEST_DEG, rule.least_deg, "°")
        .marking(rule.least_deg, "needed by a low wall")
        .marking(rule.required_deg(analysis.release.height), "by the tallest")
}

fn wall_scale(analysis: &Analysis) -> Scale {
    let limit = |value: f64, label: &str| Limit { value, label: label.to_owned() };
    let limits = analysis.walls.limits.as_ref().map_or_else(
        |_| Vec::new(),
        |limits| {
            let [low, high] = [limits.low, limits.high].map(crate::units::in_mm);
            vec![limit(low, "least"), limit(high, "most")]
        },
    );
    Scale::fitting(&analysis.walls.thickness.ball, limits, "mm")
}

/// The cell under each sample. A surface point's own cell may hold a sliver: half a cell
/// inside is the wall itself.
fn cells(filled: &FillingStudy, samples: &Samples) -> Vec<usize> {
    let inward = 0.5 * filled.cells.edge_mm();
    let places = samples.points.par_iter().zip(&samples.normals);
    let inside = |(point, normal): (&Point, &Vector)| point - normal * inward;
    places.map(|place| filled.cells.nearest(&inside(place))).collect()
}

/// The kind of a side.
pub(crate) fn kind(side: Side) -> Kind {
    match side {
        Side::Cavity => Kind::Cavity,
        Side::Core => Kind::Core,
        Side::Upright => Kind::Upright,
        Side::Trapped => Kind::Trapped,
    }
}
