//! The strip as a closed solid: sections square to its middle line, joined one to the next.
//!
//! A section has six corners: two at the back, two at the edges of the face, and two near its
//! middle, between which the face of the marked side rises. Where the wall steps down it does so
//! over a ramp of 45°.

use super::spiral::{Place, Spiral};
use super::{BETWEEN_MM, CORNER_MM, LONG_MARK, MARK_EVERY_MM, MARK_HIGH_MM, TestPiece};
use crate::geom::Point;
use crate::mesh::TriMesh;

/// Sections are no farther apart than this, mm: on the tightest bend the chord stays within
/// 2 µm of the arc at the edge of the strip.
const APART_MM: f64 = 0.5;
/// Half the width of the slope between both sides of the face, mm.
const MIDDLE_MM: f64 = 0.15;
/// Half the width of the flat at the inner end, mm.
const TIP_MM: f64 = 1.0;
/// Steps of a rounded corner.
const ROUND: u32 = 10;
/// No mark is nearer to a step than this, mm.
const CLEAR_MM: f64 = 2.0;

/// What a strip looks like at one place.
struct Section {
    half_width: f64,
    /// Height of the side without and of the side with short marks.
    high: [f64; 2],
}

/// The solid.
pub(super) fn mesh(piece: &TestPiece) -> TriMesh {
    let spiral = Spiral::new(piece.length(), piece.width + BETWEEN_MM);
    let lean = piece.draft_deg.to_radians().tan();
    let places = places(piece);
    let points: Vec<Point> =
        places.iter().flat_map(|&at| corners(piece, &spiral, lean, at)).collect();
    let mut facets = Vec::new();
    for first in (0..places.len() as u32 - 1).map(|section| 6 * section) {
        for corner in 0..6 {
            let [a, b] = [first + corner, first + (corner + 1) % 6];
            facets.extend([[a, b + 6, b], [a, a + 6, b + 6]]);
        }
    }
    let last = points.len() as u32 - 6;
    for corner in 1..5 {
        facets.push([0, corner, corner + 1]);
        facets.push([last, last + corner + 1, last + corner]);
    }
    TriMesh::new(points, facets)
}

/// Volume up to a length along the middle line, mm³: sections times ways between them, as the
/// middle of a section runs along the middle line.
pub(super) fn volume_to(piece: &TestPiece, reached: f64) -> f64 {
    let lean = piece.draft_deg.to_radians().tan();
    let area = |at: f64| {
        let Section { half_width, high } = section(piece, at);
        high.iter().map(|high| high * (half_width - 0.5 * lean * high)).sum::<f64>()
    };
    let places = places(piece);
    let pairs = places.windows(2).take_while(|pair| pair[0] < reached);
    pairs
        .map(|pair| {
            let end = pair[1].min(reached);
            0.5 * (area(pair[0]) + area(end)) * (end - pair[0])
        })
        .sum()
}

/// Where sections stand along the middle line.
fn places(piece: &TestPiece) -> Vec<f64> {
    let length = piece.length();
    let mut places = vec![0.0, length];
    let round = |radius: f64| {
        (1..=ROUND).map(move |step| {
            let angle = std::f64::consts::FRAC_PI_2 * f64::from(step) / f64::from(ROUND);
            radius * (1.0 - angle.cos())
        })
    };
    places.extend(round(CORNER_MM));
    places.extend(round(tip_radius(piece)).map(|off| length - off));
    for (end, pair) in piece.ends().iter().zip(piece.steps.windows(2)) {
        places.extend([*end, end + (pair[0].wall - pair[1].wall).abs()]);
    }
    for (at, _) in marks(piece) {
        let half = piece.mark / 2.0;
        let far = half + MARK_HIGH_MM;
        places.extend([at - far, at - half, at + half, at + far]);
    }
    places.sort_by(f64::total_cmp);
    places.dedup_by(|next, before| *next - *before < 1e-3);
    // The end itself stays.
    if let Some(last) = places.last_mut() {
        *last = length;
    }
    let ends = places.clone();
    for pair in ends.windows(2) {
        let pieces = ((pair[1] - pair[0]) / APART_MM).ceil().max(1.0);
        let between = (1..pieces as u32)
            .map(|step| pair[0] + (pair[1] - pair[0]) * f64::from(step) / pieces);
        places.extend(between);
    }
    places.sort_by(f64::total_cmp);
    places
}

fn tip_radius(piece: &TestPiece) -> f64 {
    piece.width / 2.0 - TIP_MM
}

/// The marks: where, and whether across the whole strip.
fn marks(piece: &TestPiece) -> Vec<(f64, bool)> {
    let length = piece.length();
    let count = (length / MARK_EVERY_MM) as u32;
    let ends = piece.ends();
    let is_clear = |at: f64| {
        let from_step = |end: &f64| at <= end - CLEAR_MM || at >= end + 2.0 * CLEAR_MM;
        at >= CORNER_MM + piece.mark
            && at <= length - tip_radius(piece) - piece.mark
            && ends.iter().all(from_step)
    };
    let all = (1..=count).map(|number| {
        (f64::from(number) * MARK_EVERY_MM, number.is_multiple_of(LONG_MARK))
    });
    all.filter(|(at, _)| is_clear(*at)).collect()
}

fn section(piece: &TestPiece, at: f64) -> Section {
    let length = piece.length();
    let rounded = |inset: f64, radius: f64| {
        let short = (radius - inset).max(0.0);
        radius - (radius * radius - short * short).max(0.0).sqrt()
    };
    let cut = rounded(at, CORNER_MM).max(rounded(length - at, tip_radius(piece)));
    let wall = wall(piece, at);
    let raised = |of: &dyn Fn(bool) -> bool| {
        let near = marks(piece).into_iter().filter(|(_, is_long)| of(*is_long));
        let heights = near.map(|(mark, _)| {
            let past = (at - mark).abs() - piece.mark / 2.0;
            (MARK_HIGH_MM - past).clamp(0.0, MARK_HIGH_MM)
        });
        heights.fold(0.0, f64::max)
    };
    let high = [wall + raised(&|is_long| is_long), wall + raised(&|_| true)];
    Section { half_width: piece.width / 2.0 - cut, high }
}

/// The wall at a place, on its way down where it steps.
fn wall(piece: &TestPiece, at: f64) -> f64 {
    let first = piece.steps.first().map_or(0.0, |step| step.wall);
    let pairs = piece.ends().into_iter().zip(piece.steps.windows(2));
    pairs.fold(first, |wall, (end, pair)| {
        let change = pair[1].wall - pair[0].wall;
        wall + (at - end).clamp(0.0, change.abs()) * change.signum()
    })
}

/// The six corners of the section at a place: at the back from left to right, at the face from
/// right to left, seen along the flow.
fn corners(piece: &TestPiece, spiral: &Spiral, lean: f64, at: f64) -> [Point; 6] {
    let Section { half_width, high } = section(piece, at);
    let [left, right] = high;
    let place = |at: f64, aside: f64, z: f64| {
        let Place { at: [x, y], along: [u, v] } = spiral.at(at);
        Point::new(x - v * aside, y + u * aside, z)
    };
    // The ends lean as the sides do.
    let inward = 1.0 - 2.0 * at / piece.length();
    let over = |aside: f64, z: f64| place(at + lean * z * inward, aside, z);
    [
        place(at, half_width, 0.0),
        place(at, -half_width, 0.0),
        over(-(half_width - lean * right), right),
        over(-MIDDLE_MM, right),
        over(MIDDLE_MM, left),
        over(half_width - lean * left, left),
    ]
}
