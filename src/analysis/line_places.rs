//! Places on the lines around the part where a gate or a vent may be cut.

use crate::analysis::Analysis;
use crate::geom::Point;

/// Places on the lines around the part that are looked at for gate and vents, mm apart.
const PLACES_MM: f64 = 2.0;

/// At the most so many of them: on longer lines they lie farther apart.
const MOST_PLACES: f64 = 20_000.0;

/// `gate`, and then every place on the lines around the part, the nearest first: where no way
/// leads out, or the gate hardly opens, it moves.
pub(super) fn from_gate(analysis: &Analysis, gate: Point) -> Vec<Point> {
    let mut places = line_places(analysis);
    places.sort_by(|a, b| {
        let far = |at: &Point| nalgebra::distance_squared(at, &gate);
        far(a).total_cmp(&far(b))
    });
    places.insert(0, gate);
    places
}

/// Places on the lines around the part.
fn line_places(analysis: &Analysis) -> Vec<Point> {
    let lines: Vec<Vec<Point>> =
        analysis.release.parting.outer().map(|line| line.closed()).collect();
    let length = |ends: &[Point]| nalgebra::distance(&ends[0], &ends[1]);
    let whole: f64 = lines.iter().flat_map(|line| line.windows(2)).map(length).sum();
    let step = PLACES_MM.max(whole / MOST_PLACES);
    let mut places = Vec::new();
    for line in &lines {
        for ends in line.windows(2) {
            let pieces = (length(ends) / step).ceil().max(1.0);
            let mut at = 0.5;
            while at < pieces {
                places.push(ends[0] + (ends[1] - ends[0]) * (at / pieces));
                at += 1.0;
            }
        }
    }
    places
}

/// Those places, the ones that fill last first.
pub(super) fn vent_places(analysis: &Analysis, gate: Option<Point>) -> Vec<Point> {
    let late = |at: &Point| {
        let far = gate.map_or(0.0, |gate| nalgebra::distance(&gate, at));
        let time = analysis
            .filling
            .as_ref()
            .ok()
            .map(|filled| filled.arrival_s(at).unwrap_or(f64::INFINITY));
        (time.unwrap_or(0.0), far)
    };
    let mut timed: Vec<((f64, f64), Point)> =
        line_places(analysis).into_iter().map(|at| (late(&at), at)).collect();
    timed.sort_by(|(a, _), (b, _)| b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1)));
    timed.into_iter().map(|(_, at)| at).collect()
}
