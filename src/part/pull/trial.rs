//! What one direction would mean: a first look on samples, then its depth and height, then
//! its parting, each building on the one before.

use super::drawn_draft::{self, Wall};
use super::ranking::{Rank, Ranked, TRAPS};
use super::{Criteria, Scored, candidates::Candidate};
use crate::geom::Direction;
use crate::mesh::samples::Samples;
use crate::part::Part;
use crate::part::draft;
use crate::part::halves::Half;
use crate::part::parting;
use crate::part::undercut::{self, Release};

/// Faces whose draft counts in the score, largest first.
const FITTED: usize = 2000;

/// On larger meshes the parting of the directions that are only weighed is left out: it
/// looks from every upright facet and would cost more than all the rest.
const PARTED: usize = 200_000;

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

/// The depth of a direction is that of so many of its trapped regions, the largest.
const REGIONS: usize = 6;

/// Score of a direction that no wall was drawn for.
const UNDRAWN: f64 = 1.0;

/// Walls that lean more than this are not walls.
const STANDING_DEG: f64 = 45.0;

/// Tries directions on one part.
#[derive(Clone, Copy)]
pub(super) struct Trials<'a> {
    pub(super) part: &'a Part,
    pub(super) criteria: Criteria,
}

/// What the score adds up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Terms {
    /// Score of what is trapped.
    trapped: f64,
    /// Area of walls with less draft than they need, upright ones left out, mm².
    short_area: f64,
    /// Share of the walls that were drawn with draft for it.
    drawn_share: f64,
    /// Score of the parting.
    parting: f64,
    /// Extent along the direction, mm.
    pub(super) height: f64,
    /// Projected area, mm².
    pub(super) projected_area: f64,
}

/// A direction as a first look on samples has it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tried {
    pub(super) direction: Direction,
    /// Place among the candidates.
    pub(super) place: usize,
    /// Whether nothing on the part suggests it.
    pub(super) is_tilted: bool,
    trapped_area: f64,
    trapped_volume: f64,
    lowest_draft_deg: Option<f64>,
    pub(super) terms: Terms,
    /// Lower is better.
    pub(super) score: f64,
}

/// A direction of which the exact height is known, and how deep it is trapped.
#[derive(Clone, Copy, Debug)]
pub(super) struct Deep {
    pub(super) tried: Tried,
    trapped_depth: Option<f64>,
}

/// A direction of which the parting is known too.
#[derive(Clone, Copy, Debug)]
pub(super) struct Parted {
    pub(super) deep: Deep,
    parting_rise: Option<f64>,
    score: f64,
}

impl Ranked for Tried {
    fn rank(&self) -> Rank {
        let Self { direction, place, score, terms: Terms { trapped, .. }, .. } = *self;
        Rank { direction, place, score, trapped }
    }
}

impl Ranked for Deep {
    fn rank(&self) -> Rank {
        self.tried.rank()
    }
}

impl Ranked for Parted {
    fn rank(&self) -> Rank {
        Rank { score: self.score, ..self.deep.rank() }
    }
}

impl Parted {
    /// What is reported of it; `tied` is whether it is as good as the best.
    pub(super) fn scored(&self, tied: bool) -> Scored {
        let Self { deep: Deep { tried, trapped_depth }, parting_rise, score } = *self;
        Scored {
            direction: tried.direction,
            trapped_area: tried.trapped_area,
            trapped_volume: tried.trapped_volume,
            trapped_depth,
            short_area: tried.terms.short_area,
            lowest_draft_deg: tried.lowest_draft_deg,
            parting_rise,
            height: tried.terms.height,
            projected_area: tried.terms.projected_area,
            score,
            tied,
        }
    }
}

/// What the fitted faces say about a direction.
struct Drafts {
    /// Area of walls with less draft than they need, upright ones left out, mm².
    short_area: f64,
    /// Area of planes square to it, mm².
    square_area: f64,
    /// Least draft of any wall that stands along it, degrees.
    lowest_deg: Option<f64>,
    /// Share of the walls that were drawn with draft for it.
    drawn_share: f64,
}

impl Trials<'_> {
    /// What `candidate` would mean, on `samples`.
    pub(super) fn quick(&self, samples: &Samples, candidate: &Candidate) -> Tried {
        let Candidate { direction, place, named } = *candidate;
        let bvh = &self.part.bvh;
        let release = Release::along(bvh, samples, direction);
        let trapped_area = release.trapped_area(samples);
        let trapped_volume = undercut::volume(bvh, samples, &release, direction);
        let Drafts { short_area, square_area, lowest_deg, drawn_share } =
            self.drafts(direction, named);
        let area = area(samples);
        let terms = Terms {
            // What the chord error alone may trap is left out.
            trapped: tilted(!named)
                * self.volume_score(trapped_volume - self.noise() * trapped_area, area),
            short_area,
            drawn_share,
            parting: STEPPED[1] * (1.0 - square_area / area).max(0.0),
            // The samples reach within a spacing of the ends, enough to compare by.
            height: draft::extent(samples.points.iter().copied(), direction),
            projected_area: release.projected_area(samples, direction),
        };
        Tried {
            direction,
            place,
            is_tilted: !named,
            trapped_area,
            trapped_volume,
            lowest_draft_deg: lowest_deg,
            terms,
            score: self.sum(&terms, area),
        }
    }

    /// Draft is drawn for directions that the part suggests, not for one between them.
    fn drafts(&self, direction: Direction, named: bool) -> Drafts {
        let (mut square_area, mut lowest_deg) = (0.0, None);
        let mut walls = Vec::new();
        for face in self.part.faces.list.iter().take(FITTED) {
            let Some(draft) = draft::fitted_deg(&self.part.mesh, face, direction) else {
                continue;
            };
            if draft > 90.0 - draft::UPRIGHT_DEG {
                square_area += face.area;
            } else if draft < STANDING_DEG {
                lowest_deg =
                    Some(lowest_deg.map_or(draft, |known: f64| known.min(draft)));
                walls.push(Wall { face, draft_deg: draft });
            }
        }
        let find = || drawn_draft::find(&self.part.mesh, &walls, direction);
        let drawn = named.then(find).flatten();
        let needed = self.criteria.rule.required_deg(0.0);
        // Where the designer drew a draft for this direction, more of it is easily drawn.
        let is_short = |wall: &&Wall<'_>| {
            (draft::UPRIGHT_DEG..needed).contains(&wall.draft_deg)
                && !drawn.is_some_and(|drawn| drawn.has(wall))
        };
        let short = walls.iter().filter(is_short).map(|wall| wall.face.area);
        let short_area = short.fold(0.0, |sum, area| sum + area);
        let drawn_share = drawn.map_or(0.0, |drawn| drawn.share);
        Drafts { short_area, square_area, lowest_deg, drawn_share }
    }

    /// Adds what takes longer: the exact height, and how deep it is trapped.
    pub(super) fn deep(&self, samples: &Samples, tried: Tried) -> Deep {
        let Part { mesh, bvh, .. } = self.part;
        let direction = tried.direction;
        let release = Release::along(bvh, samples, direction);
        let depth =
            undercut::depth_of_largest(bvh, samples, &release, direction, REGIONS);
        let traps = depth.is_none_or(|depth| depth > self.noise());
        let share = depth.map_or(1.0, |depth| depth / self.diagonal());
        let area = area(samples);
        let trapped = if traps {
            TRAPS
                + tilted(tried.is_tilted) * self.volume_score(tried.trapped_volume, area)
                + DEPTH * share
        } else {
            0.0
        };
        let height = draft::height(mesh, direction);
        let terms = Terms { trapped, height, ..tried.terms };
        let tried = Tried { terms, score: self.sum(&terms, area), ..tried };
        Deep { tried, trapped_depth: depth }
    }

    /// Adds how far the parting is from flat.
    pub(super) fn parted(&self, deep: Deep) -> Parted {
        let Tried { direction, terms, score, .. } = deep.tried;
        if self.part.mesh.facets().len() > PARTED {
            return Parted { deep, parting_rise: None, score };
        }
        // Which half is the core moves the line along upright walls, not its rise.
        let parting_rise = parting::find(self.part, direction, Half::Minus).rise;
        let [least, most] = STEPPED;
        let parting = parting_rise.map_or(most, |rise| match rise {
            ..=0.0 => 0.0,
            _ => least + (most - least) * (rise / terms.height).min(1.0),
        });
        Parted { deep, parting_rise, score: score - terms.parting + parting }
    }

    /// The sum of all terms on a surface of `area` mm².
    fn sum(&self, terms: &Terms, area: f64) -> f64 {
        let held = self.criteria.held_area.filter(|&held| held > 0.0);
        let use_of_clamp = held.map_or(0.0, |held| terms.projected_area / held);
        terms.trapped
            + 2.0 * terms.short_area / area
            + UNDRAWN * (1.0 - terms.drawn_share)
            + terms.parting
            + terms.height / self.diagonal()
            + CLAMPED[0] * use_of_clamp.min(1.0)
            + CLAMPED[1] * (use_of_clamp - 1.0).clamp(0.0, 1.0)
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
