//! Candidate directions, their scores, the best few.
//!
//! Candidates ([`candidates`]) are the part axes, what the faces and the hull of the part
//! suggest, and a sphere of directions; a direction and its opposite are one. All are
//! tried on few samples, the better ones again on more; where a direction of the sphere
//! is as good as any that the part suggests, it is turned until it gets no better
//! ([`refine`]). The score, lower is better, adds up, heaviest first:
//!
//! - **trapped**: zero where nothing is trapped by more than the chord error, else 10, and
//!   more with trapped volume (100 000 × volume / (area × diagonal), ten times that along a
//!   direction that nothing on the part suggests: tilted, it would have to free the part
//!   to be worth it) and with depth (10 × depth / diagonal);
//! - **draft**: 2 × area of walls short of it / area. Upright walls do not count: draft can
//!   be added to them, and tilting the whole part to give them some is no answer. Nor does
//!   draft that the designer drew for this direction, even where it is less than asked;
//! - **drawn**: 1 less the share of the walls that lean to this direction by one angle, all
//!   around it ([`drawn_draft`]): the designer drew them for it;
//! - **parting**: nothing when flat, else 0.5 to 2 as it rises from little to the height of
//!   the part; before it is known, 2 × area not in planes square to the pull / area;
//! - **height** of the mold: height / diagonal;
//! - **clamp**: 0.1 × projected area / the area that the clamp holds shut, and beyond it
//!   up to 0.4 more: a weak clamp is no reason to mill a disc on edge.
//!
//! Directions whose scores cannot be reported apart are ties: the first candidate wins, part
//! axes before others.

mod candidates;
mod ranking;
mod drawn_draft;
mod trial;
mod refine;

use rayon::prelude::*;

use crate::geom::Direction;
use crate::part::Part;
use crate::part::draft::Rule;
use crate::part::undercut::Undercut;
use candidates::Candidate;
use trial::{Deep, Parted, Trials, Tried};

/// Candidates closer than this are one.
const SAME_DEG: f64 = 0.1;

/// Samples and survivors of each round: a trapped share is reported to about 1 % on the
/// first, to 0.1 % on the last.
const ROUNDS: [(usize, usize); 2] = [(600, 24), (4000, 8)];

/// Of two directions closer than this the worse is not followed up.
const DISTINCT_DEG: f64 = 5.0;

/// Of two listed directions closer than this the worse is left out: it says nothing new.
const LISTED_DEG: f64 = 15.0;

/// Heights and projected areas of symmetric directions agree to this share; areas are sampled.
const ALIKE: [f64; 2] = [0.01, 0.05];

/// Directions that are listed.
const LISTED: usize = 5;

/// What is asked of a direction, besides coming out.
#[derive(Clone, Copy, Debug)]
pub struct Criteria {
    /// Draft that walls need.
    pub rule: Rule,
    /// Projected area of the part that the clamp holds shut, mm²; `None` when not known.
    pub held_area: Option<f64>,
}

impl Criteria {
    /// One degree of draft, and a clamp that nothing is known of.
    pub const DEFAULT: Self = Self { rule: Rule::DEFAULT, held_area: None };
}

/// One direction and what it would mean.
#[derive(Clone, Copy, Debug)]
pub struct Scored {
    /// The direction, its largest component positive.
    pub direction: Direction,
    /// Trapped area, mm².
    pub trapped_area: f64,
    /// Trapped volume, mm³.
    pub trapped_volume: f64,
    /// Depth of the deepest of its largest trapped regions, mm; `None` where nothing frees
    /// one of them.
    pub trapped_depth: Option<f64>,
    /// Area of walls with less draft than they need, upright ones left out, mm².
    pub short_area: f64,
    /// Least draft of any wall that stands along it, degrees; `None` without such walls.
    pub lowest_draft_deg: Option<f64>,
    /// How far the parting line is from flat, mm; `None` without a line around the part.
    pub parting_rise: Option<f64>,
    /// Extent along it, mm.
    pub height: f64,
    /// Projected area along it, mm²; from samples, exact for the one that is chosen.
    pub projected_area: f64,
    /// Lower is better.
    pub score: f64,
    /// Whether it is as good as the best, as far as the score can tell, and of the same
    /// height and projected area: the other direction of a symmetric part.
    pub tied: bool,
}

/// The best directions for `part`, best first; then `given`, where it is not among them.
pub fn best(part: &Part, criteria: Criteria, given: Option<Direction>) -> Vec<Scored> {
    let trials = Trials { part, criteria };
    let finalists = finalists(&trials, candidates::list(part));
    // Where symmetry makes the given one equal to another, it stays in the list itself.
    let is_new =
        |one: &Direction| !finalists.iter().any(|it| are_one(it.tried.direction, *one));
    let added = given.filter(is_new).map(|direction| {
        let few = part.samples.thinned(ROUNDS[1].0);
        let first = trials.quick(&few, &Candidate::named(direction, usize::MAX));
        trials.parted(trials.deep(&few, first))
    });
    let mut list: Vec<Parted> =
        finalists.into_iter().map(|one| trials.parted(one)).collect();
    ranking::rank(&mut list);
    list.extend(added);
    let first = list.first().copied();
    let tied = |index: usize, one: &Parted| {
        index > 0 && first.is_some_and(|it| is_tied(&it, one))
    };
    list.iter().enumerate().map(|(index, one)| one.scored(tied(index, one))).collect()
}

/// The few best of `candidates`, all but their parting known.
fn finalists(trials: &Trials<'_>, mut candidates: Vec<Candidate>) -> Vec<Deep> {
    let samples = &trials.part.samples;
    let mut tried: Vec<Tried> = Vec::new();
    for (count, survivors) in ROUNDS {
        let few = samples.thinned(count);
        tried = candidates.par_iter().map(|one| trials.quick(&few, one)).collect();
        if count == ROUNDS[1].0 {
            tried.extend(refine::refine(trials, &tried));
        }
        tried.sort_by(ranking::by_score);
        ranking::keep_distinct(&mut tried, survivors, candidates::AXES, DISTINCT_DEG);
        let kept = |one: &Candidate| tried.iter().any(|it| it.place == one.place);
        candidates.retain(kept);
    }
    let few = samples.thinned(ROUNDS[1].0);
    let mut deep: Vec<Deep> =
        tried.into_iter().map(|one| trials.deep(&few, one)).collect();
    ranking::rank(&mut deep);
    ranking::keep_distinct(&mut deep, LISTED, 0, LISTED_DEG);
    deep
}

/// Whether `one` is the other direction of a part that is symmetric about `best`.
fn is_tied(best: &Parted, one: &Parted) -> bool {
    let alike =
        |a: f64, b: f64, share: f64| (a - b).abs() <= share * a.abs().max(b.abs());
    let [a, b] = [best, one].map(|it| it.deep.tried.terms);
    ranking::are_as_good(best, one)
        && alike(b.height, a.height, ALIKE[0])
        && alike(b.projected_area, a.projected_area, ALIKE[1])
}

/// The same list, where the direction that was chosen as `pull` has what was measured along
/// it on all samples, and its exact projected area, mm².
#[must_use]
pub fn with_measured(
    alternatives: Vec<Scored>,
    pull: Direction,
    undercut: &Undercut,
    projected_area: f64,
) -> Vec<Scored> {
    let measured = |one: Scored| {
        if !are_one(one.direction, pull) {
            return one;
        }
        Scored {
            trapped_area: undercut.area,
            trapped_volume: undercut.volume,
            trapped_depth: undercut.deepest(),
            projected_area,
            ..one
        }
    };
    alternatives.into_iter().map(measured).collect()
}

/// Whether two directions are the same or opposite, within what is reported apart.
fn are_one(a: Direction, b: Direction) -> bool {
    are_within(a, b, SAME_DEG)
}

fn are_within(a: Direction, b: Direction, degrees: f64) -> bool {
    a.vector().cross(&b.vector()).norm() < degrees.to_radians().sin()
}
