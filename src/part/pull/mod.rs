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
//!   be added to them, and tilting the whole part to give them some is no answer;
//! - **parting**: nothing when flat, else 0.5 to 2 as it rises from little to the height of
//!   the part; before it is known, 2 × area not in planes square to the pull / area;
//! - **height** of the mold: height / diagonal;
//! - **clamp**: 0.1 × projected area / the area that the clamp holds shut, and beyond it
//!   up to 0.4 more: a weak clamp is no reason to mill a disc on edge.
//!
//! Directions whose scores cannot be reported apart are ties: the first candidate wins, part
//! axes before others.

mod candidates;
mod refine;

use std::cmp::Ordering;

use rayon::prelude::*;

use crate::geom::Direction;
use crate::mesh::samples::Samples;
use crate::part::draft::{self, Rule};
use crate::part::halves::Half;
use crate::part::parting::{self, Part};
use crate::part::undercut::{self, Release, Undercut};
use candidates::Candidate;

/// Faces whose draft counts in the score, largest first.
const FITTED: usize = 2000;

/// On larger meshes the parting of the directions that are only weighed is left out: it
/// looks from every upright facet and would cost more than all the rest.
const PARTED: usize = 200_000;

/// Candidates closer than this are one.
const SAME_DEG: f64 = 0.1;

/// Of two directions closer than this the worse is not followed up.
const DISTINCT_DEG: f64 = 5.0;

/// Of two listed directions closer than this the worse is left out: it says nothing new.
const LISTED_DEG: f64 = 15.0;

/// Score of being trapped at all.
const TRAPS: f64 = 10.0;

/// Weight of the trapped volume as a share of area × diagonal.
const VOLUME: f64 = 1e5;

/// Weight of that along a direction that nothing on the part suggests.
const TILTED: f64 = 10.0;

/// Weight of the trapped depth as a share of the diagonal.
const DEPTH: f64 = 10.0;

/// Score of a parting that is not flat, least and most.
const STEPPED: [f64; 2] = [0.5, 2.0];

/// Weight of the projected area as a share of what the clamp holds, up to it and beyond.
const CLAMPED: [f64; 2] = [0.1, 0.4];

/// Scores closer than this are one, and so much of what is trapped is sampling noise.
const TIE: [f64; 2] = [0.02, 0.1];

/// A part axis with so many times the score of the best will not become the best.
const HOPELESS: f64 = 3.0;

/// The depth of a direction is that of so many of its trapped regions, the largest.
const REGIONS: usize = 6;

/// Heights and shadows of symmetric directions agree to this share; shadows are sampled.
const ALIKE: [f64; 2] = [0.01, 0.05];

/// Walls that lean more than this are not walls.
const STANDING_DEG: f64 = 45.0;

/// Samples and survivors of each round: a trapped share is reported to about 1 % on the
/// first, to 0.1 % on the last.
const ROUNDS: [(usize, usize); 2] = [(600, 24), (4000, 8)];

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
    /// Score of what is trapped.
    trapped: f64,
    /// Score of the parting.
    parting: f64,
    /// Place among the candidates.
    place: usize,
    /// Whether nothing on the part suggests it.
    is_tilted: bool,
}

/// The best directions for `part`, best first; then `given`, where it is not among them.
pub fn best(
    part: Part<'_>,
    samples: &Samples,
    criteria: Criteria,
    given: Option<Direction>,
) -> Vec<Scored> {
    let scorer = Scorer { part, criteria };
    let mut scored = scorer.finalists(samples, candidates::list(part));
    let few = samples.thinned(ROUNDS[1].0);
    let known = |scored: &[Scored], one: Direction| {
        scored.iter().any(|known| are_one(known.direction, one))
    };
    // Where symmetry makes the given one equal to another, it stays in the list itself.
    let added = given.filter(|&one| !known(&scored, one)).map(|direction| {
        let place = usize::MAX;
        scorer.parted(
            scorer.deep(&few, scorer.quick(&few, &Candidate::named(direction, place))),
        )
    });
    scored = scored.into_iter().map(|one| scorer.parted(one)).collect();
    rank(&mut scored);
    scored.extend(added);
    mark_ties(&mut scored);
    scored
}

/// Gives the direction that was chosen what was measured along it on all samples, and its
/// exact projected area, mm².
pub fn settle(
    alternatives: &mut [Scored],
    pull: Direction,
    undercut: &Undercut,
    projected_area: f64,
) {
    for chosen in alternatives.iter_mut().filter(|one| are_one(one.direction, pull)) {
        chosen.trapped_area = undercut.area;
        chosen.trapped_volume = undercut.volume;
        chosen.trapped_depth = undercut.deepest();
        chosen.projected_area = projected_area;
    }
}

/// Whether two directions are the same or opposite, within what is reported apart.
fn are_one(a: Direction, b: Direction) -> bool {
    are_within(a, b, SAME_DEG)
}

fn are_within(a: Direction, b: Direction, degrees: f64) -> bool {
    a.vector().cross(&b.vector()).norm() < degrees.to_radians().sin()
}

/// The better first, of equals the earlier candidate.
fn by_score(a: &Scored, b: &Scored) -> Ordering {
    a.score.total_cmp(&b.score).then(a.place.cmp(&b.place))
}

/// Best first; among those that cannot be reported from the best the first candidate leads.
fn rank(scored: &mut [Scored]) {
    scored.sort_by(by_score);
    let Some(best) = scored.first().copied() else { return };
    let ties = scored.iter().filter(|one| best.is_as_good(one)).count();
    scored[..ties].sort_by_key(|one| one.place);
}

fn mark_ties(scored: &mut [Scored]) {
    let Some(best) = scored.first().copied() else { return };
    let alike =
        |a: f64, b: f64, share: f64| (a - b).abs() <= share * a.abs().max(b.abs());
    for one in scored.iter_mut().skip(1) {
        one.tied = best.is_as_good(one)
            && alike(one.height, best.height, ALIKE[0])
            && alike(one.projected_area, best.projected_area, ALIKE[1]);
    }
}

impl Scored {
    /// Whether the two cannot be reported apart.
    fn is_as_good(&self, other: &Self) -> bool {
        let beyond = (self.trapped.max(other.trapped) - TRAPS).max(0.0);
        let noise = TIE[0] + TIE[1] * beyond;
        (self.score - other.score).abs() <= noise
    }
}

/// Judges directions for one part.
#[derive(Clone, Copy)]
struct Scorer<'a> {
    part: Part<'a>,
    criteria: Criteria,
}

impl Scorer<'_> {
    /// The few best of `candidates`, all but their parting known.
    fn finalists(
        &self,
        samples: &Samples,
        mut candidates: Vec<Candidate>,
    ) -> Vec<Scored> {
        let mut scored: Vec<Scored> = Vec::new();
        for (count, survivors) in ROUNDS {
            let few = samples.thinned(count);
            scored = candidates.par_iter().map(|one| self.quick(&few, one)).collect();
            if count == ROUNDS[1].0 {
                scored.extend(refine::refine(self, samples, &scored));
            }
            scored.sort_by(by_score);
            keep_distinct(&mut scored, survivors, candidates::AXES, DISTINCT_DEG);
            let kept = |one: &Candidate| scored.iter().any(|it| it.place == one.place);
            candidates.retain(kept);
        }
        let few = samples.thinned(ROUNDS[1].0);
        scored = scored.into_iter().map(|one| self.deep(&few, one)).collect();
        rank(&mut scored);
        keep_distinct(&mut scored, LISTED, 0, LISTED_DEG);
        scored
    }

    /// What `candidate` would mean, on `samples`.
    fn quick(&self, samples: &Samples, candidate: &Candidate) -> Scored {
        let Part { bvh, faces, .. } = self.part;
        let direction = candidate.direction;
        let release = Release::along(bvh, samples, direction);
        let trapped_area = release.trapped_area(samples);
        let trapped_volume = undercut::volume(bvh, samples, &release, direction);
        let mut short_area = 0.0;
        let mut square_area = 0.0;
        let mut lowest = None::<f64>;
        for face in faces.list.iter().take(FITTED) {
            let Some(draft) = draft::fitted_deg(face, direction) else { continue };
            if draft > 90.0 - draft::UPRIGHT_DEG {
                square_area += face.area;
            } else if draft < STANDING_DEG {
                lowest = Some(lowest.map_or(draft, |known| known.min(draft)));
                let is_short = draft >= draft::UPRIGHT_DEG
                    && draft < self.criteria.rule.required_deg(0.0);
                short_area += if is_short { face.area } else { 0.0 };
            }
        }
        let area = area(samples);
        let scored = Scored {
            direction,
            trapped_area,
            trapped_volume,
            trapped_depth: Some(0.0),
            short_area,
            lowest_draft_deg: lowest,
            parting_rise: None,
            // The samples reach within a spacing of the ends, enough to compare by.
            height: draft::extent(samples.points.iter().copied(), direction),
            projected_area: release.projected_area(samples, direction),
            score: 0.0,
            tied: false,
            // What the chord error alone may trap is left out.
            trapped: tilted(!candidate.named)
                * self.volume_score(trapped_volume - self.noise() * trapped_area, area),
            is_tilted: !candidate.named,
            parting: STEPPED[1] * (1.0 - square_area / area).max(0.0),
            place: candidate.place,
        };
        self.summed(scored, area)
    }

    /// Adds what takes longer: the exact height, and how deep it is trapped.
    fn deep(&self, samples: &Samples, scored: Scored) -> Scored {
        let Part { mesh, bvh, .. } = self.part;
        let direction = scored.direction;
        let release = Release::along(bvh, samples, direction);
        let depth =
            undercut::depth_of_largest(bvh, samples, &release, direction, REGIONS);
        let traps = depth.is_none_or(|depth| depth > self.noise());
        let share = depth.map_or(1.0, |depth| depth / self.diagonal());
        let area = area(samples);
        let trapped = if traps {
            TRAPS
                + tilted(scored.is_tilted)
                    * self.volume_score(scored.trapped_volume, area)
                + DEPTH * share
        } else {
            0.0
        };
        let deeper = Scored {
            trapped_depth: depth,
            height: draft::height(mesh, direction),
            trapped,
            ..scored
        };
        self.summed(deeper, area)
    }

    /// Adds how far the parting is from flat.
    fn parted(&self, scored: Scored) -> Scored {
        if self.part.mesh.facets().len() > PARTED {
            return scored;
        }
        // Which half is the core moves the line along upright walls, not its rise.
        let parting_rise = parting::find(self.part, scored.direction, Half::Minus).rise;
        let [least, most] = STEPPED;
        let parting = parting_rise.map_or(most, |rise| match rise {
            ..=0.0 => 0.0,
            _ => least + (most - least) * (rise / scored.height).min(1.0),
        });
        let score = scored.score - scored.parting + parting;
        Scored { parting_rise, score, parting, ..scored }
    }

    /// The sum of all terms.
    fn summed(&self, scored: Scored, area: f64) -> Scored {
        let held = self.criteria.held_area.filter(|&held| held > 0.0);
        let use_of_clamp = held.map_or(0.0, |held| scored.projected_area / held);
        let score = scored.trapped
            + 2.0 * scored.short_area / area
            + scored.parting
            + scored.height / self.diagonal()
            + CLAMPED[0] * use_of_clamp.min(1.0)
            + CLAMPED[1] * (use_of_clamp - 1.0).clamp(0.0, 1.0);
        Scored { score, ..scored }
    }

    fn volume_score(&self, volume: f64, area: f64) -> f64 {
        VOLUME * volume.max(0.0) / (area * self.diagonal())
    }

    fn noise(&self) -> f64 {
        undercut::least_depth(self.part.faces.chord_error)
    }

    fn diagonal(&self) -> f64 {
        self.part.bvh.diagonal().max(f64::MIN_POSITIVE)
    }
}

fn tilted(is: bool) -> f64 {
    if is { TILTED } else { 1.0 }
}

fn area(samples: &Samples) -> f64 {
    samples.area_each * samples.len().max(1) as f64
}

/// Keeps the first `most` that differ, and of the candidates the first few `always`: the
/// part axes, which a person asks for first, stay while they may turn out best.
fn keep_distinct(sorted: &mut Vec<Scored>, most: usize, always: usize, apart: f64) {
    let hopeless = sorted.first().map_or(0.0, |best| HOPELESS * best.score + TRAPS);
    let mut kept: Vec<Scored> = Vec::new();
    let mut others = 0;
    for one in sorted.drain(..) {
        let near = |known: &Scored| are_within(known.direction, one.direction, apart);
        let stays = one.place < always && one.score <= hopeless;
        if stays || others < most && !kept.iter().any(near) {
            others += usize::from(!stays);
            kept.push(one);
        }
    }
    *sorted = kept;
}
