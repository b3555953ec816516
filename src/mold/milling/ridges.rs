//! The ridges that flat cutters leave on slopes, and the time that finer steps would take.
//!
//! A flat end cuts a slope in stairs. With passes `s` apart along the surface each stair is
//! s·cos θ wide and s·sin θ high on a slope of θ to the plane of the table, and the metal in it
//! is s·sin θ·cos θ thick: nothing on floors and upright walls, most at 45°, and s times the
//! draft on a wall that is drafted. Balls and rounded corners step by what leaves
//! [`SCALLOP_MM`] everywhere.

use super::cutter::Cutter;
use super::outcome::MillingOutcome;
use super::pace::{FEED_MM_S, SCALLOP_MM};
use crate::geom::{Direction, Point, Vector};
use crate::part::halves::Half;

/// Ridges up to this are polished out by hand, mm (judgment).
pub const POLISHED_MM: f64 = 0.02;

/// Share of the sloped area of a cutter whose ridges are no higher than what is reported: the
/// last few points lie on edges.
const MOST_AREA: f64 = 0.98;

/// A place on the finished surface.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Where, in the pose that the halves were simulated in.
    pub at: Point,
    /// Out of the part.
    pub normal: Vector,
    /// Which half forms it.
    pub half: Half,
    /// The area that it stands for, mm².
    pub area: f64,
}

/// What one cutter leaves on slopes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ridges {
    /// Height of the ridges square to the surface, mm.
    pub height: f64,
    /// More minutes for steps that leave no more than [`POLISHED_MM`].
    pub more_min: f64,
}

/// Thickness of the metal that a flat cutter leaves with passes `step` mm apart along a slope
/// of `slope` radians to the table, mm.
pub fn of_flat(step: f64, slope: f64) -> f64 {
    step * slope.sin().abs() * slope.cos().abs()
}

/// The ridges of each cutter of `list` over `places` of a part that opens along `pull`.
pub fn measure(
    milled: &MillingOutcome,
    list: &[Cutter],
    places: &[Place],
    pull: Direction,
) -> Vec<Ridges> {
    let grid = &milled.halves.grid;
    let mut slopes: Vec<Vec<[f64; 2]>> = vec![Vec::new(); list.len()];
    for place in places {
        let Some(cell) = grid.cell_at(grid.frame.flatten(&place.at)) else { continue };
        let cutter = usize::from(milled.cut(place.half).nearest[cell]);
        let is_flat = list.get(cutter).is_some_and(|cutter| cutter.corner <= 0.0);
        if is_flat {
            let slope = pull.dot(&place.normal).clamp(-1.0, 1.0).acos();
            slopes[cutter].push([slope, place.area]);
        }
    }
    let each = slopes.into_iter().zip(&milled.uses).zip(list);
    each.map(|((slopes, it), cutter)| {
        let feed = cutter.feed.unwrap_or(FEED_MM_S);
        of_cutter(slopes, it.step, feed)
    })
    .collect()
}

/// The ridges of one flat cutter over slopes with their areas.
fn of_cutter(mut slopes: Vec<[f64; 2]>, step: f64, feed: f64) -> Ridges {
    let ridge = |slope: f64| of_flat(step, slope);
    slopes.retain(|[slope, _]| ridge(*slope) > SCALLOP_MM);
    slopes.sort_by(|a, b| ridge(a[0]).total_cmp(&ridge(b[0])));
    let all: f64 = slopes.iter().map(|[_, area]| area).sum();
    let mut below = 0.0;
    let most = slopes.iter().find(|[_, area]| {
        below += area;
        below >= MOST_AREA * all
    });
    let finer = |[slope, area]: &[f64; 2]| {
        let times = (ridge(*slope) / POLISHED_MM).max(1.0);
        (times - 1.0) * area / (step * feed)
    };
    Ridges {
        height: most.map_or(0.0, |[slope, _]| ridge(*slope)),
        more_min: slopes.iter().map(finer).sum::<f64>() / 60.0,
    }
}

#[cfg(test)]
mod tests {
    use super::{POLISHED_MM, of_cutter, of_flat};

    /// A flat end of 6 mm steps down a slope in passes; what stays above the slope is measured
    /// on a grid of 0.02 mm: a wall of 3° of draft, a slope of 45°, a floor that rises by 10°.
    #[test]
    fn ridges_are_those_of_a_simulated_cut() {
        const CELL: f64 = 0.02;
        for (slope_deg, step) in [(87.0_f64, 2.4), (45.0, 0.8), (10.0, 1.5)] {
            let slope = slope_deg.to_radians();
            let (rise, run) = (step * slope.sin(), step * slope.cos());
            let passes = 6;
            let long = f64::from(passes) * run;
            // Seen from the side: the end, 6 mm wide, touches the slope with its far corner.
            let tips: Vec<[f64; 2]> = (0..=passes)
                .map(|pass| [f64::from(pass) * run, f64::from(pass) * rise])
                .collect();
            let cells = (long / CELL).ceil().max(200.0) as usize;
            let mut thickest = 0.0_f64;
            for cell in 0..cells {
                let x = long * (cell as f64 + 0.5) / cells as f64;
                let lowest = tips
                    .iter()
                    .filter(|[corner, _]| x <= *corner && x >= corner - 6.0)
                    .map(|[_, z]| *z)
                    .fold(f64::INFINITY, f64::min);
                let above = lowest - x * slope.tan();
                thickest = thickest.max(above * slope.cos());
            }
            let known = of_flat(step, slope);
            assert!((thickest - known).abs() < CELL, "{slope_deg}: {thickest} {known}");
        }
        // The draft of 3° at a side step of 2.4 mm: an eighth of a millimeter.
        assert!((of_flat(2.4, 87_f64.to_radians()) - 0.1254).abs() < 1e-4);
        assert!(of_flat(2.4, 90_f64.to_radians()) < 1e-12);
    }

    /// 1000 mm² of a wall of 3° in steps of 2.4 mm at 10 mm/s: 0.1254 mm are 6.27 times too
    /// much, so 5.27 times 41.7 s more.
    #[test]
    fn finer_steps_take_their_time() {
        let slope = 87_f64.to_radians();
        let ridges = of_cutter(vec![[slope, 1000.0], [0.0, 500.0]], 2.4, 10.0);
        assert!((ridges.height - 0.1254).abs() < 1e-4);
        let times = of_flat(2.4, slope) / POLISHED_MM - 1.0;
        assert!((ridges.more_min - times * 1000.0 / 24.0 / 60.0).abs() < 1e-9);
        assert!((ridges.more_min - 3.66).abs() < 0.01, "{}", ridges.more_min);
    }
}
