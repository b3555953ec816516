//! Which finding of the new part is which of the old: of one kind, near the same place.

use crate::compare::comparison::{Changed, Findings};
use crate::findings::{Finding, Kind};
use crate::geom::{Aabb, Point};
use crate::part::pose::Pose;
use crate::schema::{BoundingBox, Report};
use crate::units::format;

/// Places of one kind nearer than this share of the part's diagonal are the same place: the
/// worst point of a wall wanders along it with the least change.
const NEAR: f64 = 0.1;

/// There is one of these of a part at most; its place is only where it shows.
const OF_THE_WHOLE: [Kind; 3] = [Kind::ShortShot, Kind::FillMargin, Kind::Parting];

/// A value that is this much of itself or of its limit apart is another value: less is how much the same
/// part reads from tessellation to tessellation.
const APART: f64 = 0.01;

/// The findings of both, side by side; `pose` lays the old part on the new one.
pub(super) fn pair(before: &Report, after: &Report, pose: &Pose) -> Findings {
    let [old, new] = [&before.findings, &after.findings];
    let near = NEAR * diagonal(before).max(diagonal(after));
    let mut candidates = Vec::new();
    for (i, a) in old.iter().enumerate() {
        for (j, b) in new.iter().enumerate().filter(|(_, b)| b.kind == a.kind) {
            let of_whole = OF_THE_WHOLE.contains(&a.kind);
            let away = match (a.at_mm.is_some(), b.at_mm.is_some()) {
                _ if of_whole => Some(0.0),
                (true, true) => apart(&moved(span(before, a), pose), &span(after, b)),
                (false, false) => Some(0.0),
                _ => None,
            };
            if let Some(away) = away.filter(|away| *away <= near) {
                // Of several as near, those that say the same belong together.
                candidates.push((away, a.title != b.title, i, j));
            }
        }
    }
    candidates
        .sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2, a.3).cmp(&(b.1, b.2, b.3))));
    let mut of_old = vec![None; old.len()];
    let mut taken = vec![false; new.len()];
    for (.., i, j) in candidates {
        if of_old[i].is_none() && !taken[j] {
            of_old[i] = Some(j);
            taken[j] = true;
        }
    }
    let pairs = old.iter().zip(&of_old).filter_map(|(a, j)| Some((a, &new[(*j)?])));
    let (changed, same): (Vec<_>, Vec<_>) = pairs.partition(|(a, b)| differ(a, b));
    let changed = changed.into_iter().map(|(a, b)| Changed {
        better: is_better(a, b),
        before: a.clone(),
        after: b.clone(),
    });
    let still = |by: Pose| Still { near, by };
    let gone = left(old, |i| of_old[i].is_none());
    let new_ones = left(new, |j| !taken[j]);
    let (gone, kept) = still(*pose).sift(before, gone, after);
    let (new_ones, known) = still(pose.back()).sift(after, new_ones, before);
    Findings {
        gone,
        new: new_ones,
        changed: changed.collect(),
        same: same.len() + kept + known,
    }
}

fn left(all: &[Finding], is_left: impl Fn(usize) -> bool) -> Vec<Finding> {
    let all = all.iter().enumerate();
    all.filter(|(i, _)| is_left(*i)).map(|(_, finding)| finding.clone()).collect()
}

/// Of one kind only the worst are findings, so one that is no longer among them may still be
/// there: the report lists all places.
struct Still {
    /// Places nearer than this are the same place, mm.
    near: f64,
    /// Lays the findings on the other part.
    by: Pose,
}

impl Still {
    /// Of the findings `left` of `own` those that `other` really does not have, and how many
    /// it does have.
    fn sift(
        &self,
        own: &Report,
        left: Vec<Finding>,
        other: &Report,
    ) -> (Vec<Finding>, usize) {
        let mut places = unlisted(other);
        let count = left.len();
        let mut is_gone = |finding: &Finding| {
            if finding.at_mm.is_none() {
                return true;
            }
            let span = moved(span(own, finding), &self.by);
            let away = |place: &BoundingBox| apart(&span, place).unwrap_or(f64::INFINITY);
            let here = places
                .iter()
                .enumerate()
                .filter(|(_, (kind, place))| {
                    *kind == finding.kind && away(place) <= self.near
                })
                .min_by(|a, b| away(&a.1.1).total_cmp(&away(&b.1.1)));
            let here = here.map(|(at, _)| at);
            // Each place stands for one finding.
            here.map(|at| places.remove(at)).is_none()
        };
        let gone: Vec<Finding> =
            left.into_iter().filter(|finding| is_gone(finding)).collect();
        let kept = count - gone.len();
        (gone, kept)
    }
}

/// Every place of the kinds of which only the worst are findings, those left out.
fn unlisted(report: &Report) -> Vec<(Kind, BoundingBox)> {
    let point = |at: [f64; 3]| BoundingBox { min: at, max: at };
    let walls = &report.thickness;
    let faces =
        report.draft.faces.iter().map(|it| (Kind::Draft, it.at_mm, point(it.at_mm)));
    let traps = report.undercut.regions.iter();
    let traps = traps.map(|it| (Kind::Undercut, it.at_mm, point(it.at_mm)));
    let thin = walls.thin.iter().map(|it| (Kind::ThinWall, it.at_mm, it.box_mm));
    let thick = walls.thick.iter().map(|it| (Kind::ThickWall, it.at_mm, it.box_mm));
    let welds = report.fill.weld_lines.iter().flatten();
    let welds = welds.map(|it| (Kind::Weld, it.at_mm, point(it.at_mm)));
    let air = report.fill.trapped_air.iter().flatten();
    let air = air.map(|it| (Kind::TrappedAir, it.at_mm, point(it.at_mm)));
    let all = faces.chain(traps).chain(thin).chain(thick).chain(welds).chain(air);
    let is_listed = |kind: Kind, at: [f64; 3]| {
        let mut own = report.findings.iter().filter(|finding| finding.kind == kind);
        own.any(|finding| finding.at_mm.is_some_and(|place| same_place(place, at)))
    };
    all.filter(|(kind, at, _)| !is_listed(*kind, *at))
        .map(|(kind, _, place)| (kind, place))
        .collect()
}

fn diagonal(report: &Report) -> f64 {
    let bounds = report.part.bounding_box_mm;
    let squared = |axis: usize| (bounds.max[axis] - bounds.min[axis]).powi(2);
    (0..3).map(squared).sum::<f64>().sqrt()
}

/// What a finding spans: the box of its wall where it has one, otherwise its place.
fn span(report: &Report, finding: &Finding) -> BoundingBox {
    let at = finding.at_mm.unwrap_or_default();
    let walls = &report.thickness;
    let regions = walls.thin.iter().chain(&walls.thick);
    let own = regions.into_iter().find(|region| same_place(region.at_mm, at));
    own.map_or(BoundingBox { min: at, max: at }, |region| region.box_mm)
}

fn moved(span: BoundingBox, by: &Pose) -> BoundingBox {
    let bounds = Aabb { min: Point::from(span.min), max: Point::from(span.max) };
    let Aabb { min, max } = by.bounds(&bounds);
    BoundingBox { min: min.into(), max: max.into() }
}

fn same_place(a: [f64; 3], b: [f64; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9)
}

/// How far two boxes are apart, mm; `None` where that is no number.
fn apart(a: &BoundingBox, b: &BoundingBox) -> Option<f64> {
    let gap = |axis: usize| {
        (a.min[axis] - b.max[axis]).max(b.min[axis] - a.max[axis]).max(0.0).powi(2)
    };
    let away = (0..3).map(gap).sum::<f64>().sqrt();
    away.is_finite().then_some(away)
}

fn differ(a: &Finding, b: &Finding) -> bool {
    // Two drafts of nothing differ in nothing, however many times as large one is.
    let least =
        [a.limit, b.limit].into_iter().flatten().map(f64::abs).fold(0.0, f64::max);
    let moved = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => {
            (a - b).abs() > APART * a.abs().max(b.abs()).max(least)
                && format::number(a) != format::number(b)
        }
        (a, b) => a.is_some() != b.is_some(),
    };
    a.severity != b.severity || moved(a.value, b.value) || moved(a.limit, b.limit)
}

/// Milder, or as grave and nearer to its limit.
fn is_better(a: &Finding, b: &Finding) -> Option<bool> {
    if a.severity != b.severity {
        return Some(b.severity > a.severity);
    }
    let [old, new] = [a, b].map(|f| Some((f.value? - f.limit?) / f.limit?.abs()));
    let (old, new) = (old?, new?);
    let same_side = old * new > 0.0;
    let apart = (old.abs() - new.abs()).abs() > 1e-9;
    (same_side && apart && old.is_finite() && new.is_finite())
        .then(|| new.abs() < old.abs())
}

#[cfg(test)]
mod tests {
    use crate::compare::comparison::Findings;
    use nalgebra::Rotation3;

    use crate::findings::{Finding, Kind, Severity};
    use crate::geom::Vector;
    use crate::part::pose::Pose;
    use crate::schema::fixtures;
    use crate::schema::{BoundingBox, Region, Report};

    /// A part of 30 × 40 × 120 mm: 130 of diagonal, so that places within 13 are the same.
    fn report(found: &[(Kind, f64, Option<f64>)]) -> Report {
        let mut report = fixtures::report();
        report.part.bounding_box_mm =
            BoundingBox { min: [0.0; 3], max: [30.0, 40.0, 120.0] };
        report.thickness.thin.clear();
        report.thickness.thick.clear();
        let like = Finding {
            severity: Severity::Fix,
            limit: Some(0.8),
            unit: "mm".to_owned(),
            ..report.findings[0].clone()
        };
        report.findings = found
            .iter()
            .map(|&(kind, value, at)| Finding {
                kind,
                value: Some(value),
                at_mm: at.map(|z| [15.0, 20.0, z]),
                ..like.clone()
            })
            .collect();
        report
    }

    fn paired(old: &Report, new: &Report) -> Findings {
        super::pair(old, new, &Pose::still())
    }

    fn counts(findings: &Findings) -> [usize; 4] {
        let Findings { gone, new, changed, same } = findings;
        [gone.len(), new.len(), changed.len(), *same]
    }

    #[test]
    fn the_same_kind_near_the_same_place_is_the_same_finding() {
        let old = report(&[
            (Kind::ThinWall, 0.5, Some(10.0)),
            (Kind::ThinWall, 0.6, Some(50.0)),
            (Kind::Shot, 90.0, None),
        ]);
        // One moved by 12, one went 70 away, one of another kind came to its place.
        let new = report(&[
            (Kind::ThinWall, 0.5, Some(22.0)),
            (Kind::ThinWall, 0.6, Some(120.0)),
            (Kind::ThickWall, 0.6, Some(50.0)),
            (Kind::Shot, 90.2, None),
        ]);
        assert_eq!(counts(&paired(&old, &new)), [1, 2, 0, 2]);
        assert_eq!(counts(&paired(&new, &old)), [2, 1, 0, 2]);
        assert_eq!(counts(&paired(&old, &old)), [0, 0, 0, 3]);
        let none = report(&[]);
        assert_eq!(counts(&paired(&old, &none)), [3, 0, 0, 0]);
    }

    #[test]
    fn the_nearest_of_several_is_taken() {
        let old = report(&[
            (Kind::ThinWall, 0.5, Some(10.0)),
            (Kind::ThinWall, 0.6, Some(20.0)),
        ]);
        let new = report(&[
            (Kind::ThinWall, 0.6, Some(20.0)),
            (Kind::ThinWall, 0.5, Some(10.0)),
        ]);
        assert_eq!(counts(&paired(&old, &new)), [0, 0, 0, 2]);
    }

    #[test]
    fn a_wall_is_the_same_wall_wherever_it_is_worst() {
        let wall = |at: f64| {
            let mut one = report(&[(Kind::ThinWall, 0.5, Some(at))]);
            one.thickness.thin = vec![Region {
                area_mm2: 90.0,
                value_mm: 0.5,
                at_mm: [15.0, 20.0, at],
                box_mm: BoundingBox { min: [0.0, 20.0, 0.0], max: [30.0, 20.0, 110.0] },
            }];
            one
        };
        assert_eq!(counts(&paired(&wall(5.0), &wall(105.0))), [0, 0, 0, 1]);
    }

    #[test]
    fn nearer_to_the_limit_is_better() {
        let at = |value: f64| report(&[(Kind::ThinWall, value, Some(10.0))]);
        for (old, new, better) in [(0.5, 0.7, true), (0.7, 0.5, false)] {
            let seen = paired(&at(old), &at(new));
            assert_eq!(counts(&seen), [0, 0, 1, 0]);
            assert_eq!(seen.changed[0].better, Some(better));
        }
        assert_eq!(
            counts(&paired(&at(0.7), &at(0.702))),
            [0, 0, 0, 1],
            "within what repeats"
        );
        let mut less_severe = at(0.7);
        less_severe.findings[0].severity = Severity::Note;
        assert_eq!(paired(&at(0.7), &less_severe).changed[0].better, Some(true));
        assert_eq!(paired(&less_severe, &at(0.7)).changed[0].better, Some(false));
    }

    #[test]
    fn a_shift_moves_the_places_and_of_the_whole_part_there_is_one() {
        let old = report(&[
            (Kind::ThinWall, 0.5, Some(10.0)),
            (Kind::ShortShot, 90.0, Some(10.0)),
        ]);
        let new = report(&[
            (Kind::ThinWall, 0.5, Some(90.0)),
            (Kind::ShortShot, 90.0, Some(30.0)),
        ]);
        assert_eq!(counts(&paired(&old, &new)), [1, 1, 0, 1]);
        let by = Pose::shifted(Vector::new(0.0, 0.0, 80.0));
        assert_eq!(counts(&super::pair(&old, &new, &by)), [0, 0, 0, 2]);
        // Half a turn about x through the middle of the height brings 10 to 90 as well.
        let turn = Rotation3::from_axis_angle(&Vector::x_axis(), std::f64::consts::PI);
        let by = Pose { turn, shift: Vector::new(0.0, 40.0, 100.0) };
        assert_eq!(counts(&super::pair(&old, &new, &by)), [0, 0, 0, 2]);
    }

    #[test]
    fn what_is_no_longer_among_the_worst_is_still_there() {
        let wall = |at: f64| Region {
            area_mm2: 90.0,
            value_mm: 0.5,
            at_mm: [15.0, 20.0, at],
            box_mm: BoundingBox { min: [15.0, 20.0, at], max: [15.0, 20.0, at] },
        };
        let mut old = report(&[
            (Kind::ThinWall, 0.5, Some(10.0)),
            (Kind::ThinWall, 0.5, Some(50.0)),
        ]);
        old.thickness.thin = vec![wall(10.0), wall(50.0)];
        let mut new = report(&[(Kind::ThinWall, 0.5, Some(90.0))]);
        new.thickness.thin = vec![wall(90.0), wall(10.0)];
        // The wall at 10 is there and not reported of; that at 50 is gone, that at 90 is new.
        assert_eq!(counts(&paired(&old, &new)), [1, 1, 0, 1]);
        assert_eq!(counts(&paired(&new, &old)), [1, 1, 0, 1]);
        new.thickness.thin.pop();
        assert_eq!(counts(&paired(&old, &new)), [2, 1, 0, 0]);
    }
}
