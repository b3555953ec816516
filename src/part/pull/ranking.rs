//! Which of two directions is better, and which of many are worth keeping.

use std::cmp::Ordering;

use super::are_within;
use crate::geom::Direction;

/// Score of being trapped at all.
pub(super) const TRAPS: f64 = 10.0;

/// Scores closer than this are one, and so much of what is trapped is sampling noise.
const TIE: [f64; 2] = [0.02, 0.1];

/// A part axis with so many times the score of the best will not become the best.
const HOPELESS: f64 = 3.0;

/// What a direction is ranked by.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rank {
    pub(super) direction: Direction,
    /// Place among the candidates: earlier ones win ties.
    pub(super) place: usize,
    /// Lower is better.
    pub(super) score: f64,
    /// What of the score is for what is trapped.
    pub(super) trapped: f64,
}

/// A direction that was tried.
pub(super) trait Ranked {
    /// What it is ranked by.
    fn rank(&self) -> Rank;
}

/// The better first, of equals the earlier candidate.
pub(super) fn by_score<T: Ranked>(a: &T, b: &T) -> Ordering {
    let [a, b] = [a, b].map(Ranked::rank);
    a.score.total_cmp(&b.score).then(a.place.cmp(&b.place))
}

/// Best first; among those that cannot be reported from the best the first candidate leads.
pub(super) fn rank<T: Ranked + Copy>(tried: &mut [T]) {
    tried.sort_by(by_score);
    let Some(best) = tried.first().copied() else { return };
    let ties = tried.iter().filter(|one| are_as_good(&best, *one)).count();
    tried[..ties].sort_by_key(|one| one.rank().place);
}

/// Whether two directions cannot be reported apart.
pub(super) fn are_as_good<T: Ranked>(a: &T, b: &T) -> bool {
    let [a, b] = [a, b].map(Ranked::rank);
    let beyond = (a.trapped.max(b.trapped) - TRAPS).max(0.0);
    let noise = TIE[0] + TIE[1] * beyond;
    (a.score - b.score).abs() <= noise
}

/// Keeps the first `most` that differ, and of the candidates the first few `always`: the
/// part axes, which a person asks for first, stay while they may turn out best.
pub(super) fn keep_distinct<T: Ranked>(
    sorted: &mut Vec<T>,
    most: usize,
    always: usize,
    apart_deg: f64,
) {
    let hopeless =
        sorted.first().map_or(0.0, |best| HOPELESS * best.rank().score + TRAPS);
    let mut kept: Vec<T> = Vec::new();
    let mut others = 0;
    for one in sorted.drain(..) {
        let Rank { direction, place, score, .. } = one.rank();
        let near = |known: &T| are_within(known.rank().direction, direction, apart_deg);
        let stays = place < always && score <= hopeless;
        if stays || others < most && !kept.iter().any(near) {
            others += usize::from(!stays);
            kept.push(one);
        }
    }
    *sorted = kept;
}
