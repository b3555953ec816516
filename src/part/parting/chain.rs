//! Segments → closed loops.
//!
//! At a corner where several loops touch, the line goes on as far to the left as it can,
//! so that loops touch but do not cross, whatever the order of the facets.

use std::cmp::Ordering;

use super::lines::{Node, Segment};
use crate::geom::{Frame, Point, Vector, winding};

/// A line of the parting.
pub(super) struct Ring {
    /// Its corners, from the least one on.
    pub(super) points: Vec<Point>,
    /// Its segments, as indices.
    pub(super) segments: Vec<usize>,
    /// Area across the pull, positive when it runs counter-clockwise seen from the + end.
    pub(super) area: f64,
    pub(super) is_closed: bool,
}

/// All rings through `segments`; `place` tells where a node is.
pub(super) fn rings(
    segments: &[Segment],
    place: impl Fn(Node) -> Point,
    frame: Frame,
) -> Vec<Ring> {
    let mut order: Vec<usize> = (0..segments.len()).collect();
    order.sort_by_key(|&at| (segments[at].from, segments[at].to));
    let mut enters: Vec<Node> = segments.iter().map(|segment| segment.to).collect();
    enters.sort_unstable();
    let mut taken = vec![false; segments.len()];
    let mut rings = Vec::new();
    // Lines that nothing enters begin first: those of an open surface.
    let (begun, closed): (Vec<usize>, Vec<usize>) =
        order.iter().partition(|&&at| enters.binary_search(&segments[at].from).is_err());
    for start in begun.into_iter().chain(closed) {
        if taken[start] {
            continue;
        }
        let mut own = Vec::new();
        let mut at = start;
        loop {
            taken[at] = true;
            own.push(at);
            let node = segments[at].to;
            if node == segments[start].from {
                break;
            }
            let first = order.partition_point(|&other| segments[other].from < node);
            let onward = order[first..]
                .iter()
                .copied()
                .take_while(|&other| segments[other].from == node)
                .filter(|&other| !taken[other]);
            let flat = |from: Node, to: Node| {
                let along = place(to) - place(from);
                [frame.right.dot(&along), frame.up.dot(&along)]
            };
            let came = flat(segments[at].from, node);
            let turn = |&other: &usize| {
                let goes = flat(node, segments[other].to);
                let cross = came[0] * goes[1] - came[1] * goes[0];
                cross.atan2(came[0] * goes[0] + came[1] * goes[1])
            };
            match onward.max_by(|a, b| turn(a).total_cmp(&turn(b))) {
                Some(other) => at = other,
                None => break,
            }
        }
        rings.push(Ring::new(own, segments, &place, frame));
    }
    rings
}

impl Ring {
    fn new(
        mut own: Vec<usize>,
        segments: &[Segment],
        place: &impl Fn(Node) -> Point,
        frame: Frame,
    ) -> Self {
        let ends = own.first().zip(own.last());
        let is_closed = ends.is_some_and(|(a, b)| segments[*a].from == segments[*b].to);
        let start = |at: &usize| place(segments[*at].from);
        if is_closed {
            let least = (0..own.len())
                .min_by(|&a, &b| compare(Some(&start(&own[a])), Some(&start(&own[b]))));
            own.rotate_left(least.unwrap_or(0));
        }
        let mut points: Vec<Point> = own.iter().map(start).collect();
        if !is_closed {
            points.extend(own.last().map(|&last| place(segments[last].to)));
        }
        let area = frame.along.dot(&area(&points));
        Self { points, segments: own, area, is_closed }
    }

    pub(super) fn first(&self) -> Option<&Point> {
        self.points.first()
    }

    pub(super) fn length(&self) -> f64 {
        self.pairs().map(|(a, b)| (b - a).norm()).sum()
    }

    fn pairs(&self) -> impl Iterator<Item = (&Point, &Point)> {
        let count = self.points.len();
        let pairs = if self.is_closed { count } else { count.saturating_sub(1) };
        (0..pairs).map(move |i| (&self.points[i], &self.points[(i + 1) % count]))
    }

    /// The middle of the line, and a normal of the surface across it.
    pub(super) fn middle(&self) -> (Point, Vector) {
        let mut sum = Vector::zeros();
        let mut total = 0.0;
        for (a, b) in self.pairs() {
            let length = (b - a).norm();
            sum += nalgebra::center(a, b).coords * length;
            total += length;
        }
        let middle = if total > 0.0 { Point::from(sum / total) } else { Point::origin() };
        (middle, area(&self.points))
    }

    /// The corners, without those that lie within `slack` of the line between others.
    pub(super) fn thinned(&self, slack: f64) -> Vec<Point> {
        let mut kept: Vec<Point> = Vec::new();
        let mut skipped: Vec<Point> = Vec::new();
        for (i, point) in self.points.iter().enumerate() {
            let next = match self.points.get(i + 1) {
                Some(next) => Some(next),
                None if self.is_closed => self.points.first(),
                None => None,
            };
            skipped.push(*point);
            let straight = kept.last().zip(next).is_some_and(|(from, to)| {
                skipped.iter().all(|point| is_between(point, from, to, slack))
            });
            if !straight {
                kept.push(*point);
                skipped.clear();
            }
        }
        kept
    }
}

fn is_between(point: &Point, from: &Point, to: &Point, slack: f64) -> bool {
    let along = to - from;
    let square = along.norm_squared();
    let share = if square > 0.0 { (point - from).dot(&along) / square } else { 0.0 };
    (0.0..=1.0).contains(&share) && (from + along * share - point).norm() <= slack
}

/// Vector area of a closed line: its length is the area, counted about the first corner
/// so that a part far away keeps its digits.
fn area(points: &[Point]) -> Vector {
    let Some(first) = points.first() else { return Vector::zeros() };
    points.windows(2).map(|pair| (pair[0] - first).cross(&(pair[1] - first)) / 2.0).sum()
}

/// Places of a ring that are asked whether they lie inside the others.
const ASKED: usize = 9;

/// Which rings run around the part: counter-clockwise, and not inside the others.
pub(super) fn outer(rings: &[&Ring], frame: Frame) -> Vec<bool> {
    let flat: Vec<Vec<[f64; 2]>> = rings
        .iter()
        .map(|ring| ring.points.iter().map(|point| frame.flatten(point)).collect())
        .collect();
    let is_inside = |own: usize, at: &[f64; 2]| {
        let others = flat.iter().enumerate().filter(|&(other, _)| other != own);
        // A ring that is no larger cannot hold this one.
        let larger = others.filter(|&(i, _)| rings[i].area.abs() > rings[own].area);
        larger.map(|(_, corners)| winding(corners, *at)).sum::<i32>() > 0
    };
    (0..rings.len())
        .map(|own| {
            let step = flat[own].len().div_ceil(ASKED).max(1);
            let input: Vec<bool> =
                flat[own].iter().step_by(step).map(|at| is_inside(own, at)).collect();
            let inside = input.iter().filter(|&&is| is).count();
            rings[own].area > 0.0 && inside * 2 <= input.len()
        })
        .collect()
}

/// By first, second, third coordinate.
pub(super) fn compare(a: Option<&Point>, b: Option<&Point>) -> Ordering {
    let key = |point: Option<&Point>| point.map_or([0.0; 3], |it| [it.x, it.y, it.z]);
    let [a, b] = [key(a), key(b)];
    a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])).then(a[2].total_cmp(&b[2]))
}
