//! How thick the metal is that a set of cutters leaves, and where.
//!
//! A cutter stays off a wall that it stands beside by as much as the grid is coarse; straight
//! up that is the whole height of the wall. So what is left is measured in space: the distance
//! from the wanted surface to where the cutters have been. In a corner of the plan that a
//! cutter of radius R rounds off it is R (√2 − 1), as on the drawing, and beside a wall that
//! runs askew of the grid no more than a cell or two.

use rayon::prelude::*;

use crate::mold::milling::height_field::Field;

/// Where a wall runs askew of the grid, cells beside a corner keep up to √5 of their edges that
/// no round cutter would leave (a box turned by 17° shows it).
pub const BLUR_CELLS: f64 = 2.3;
/// Metal is reported from so many cells on. Where the round of a cutter runs out along a curved
/// wall up to 3.1 are the grid's (the feet of gear teeth show it): on half the cell they are gone.
pub const REPORTED_CELLS: f64 = 3.2;

/// Thinner metal within so many cells of a place belongs to it.
const RIM_CELLS: usize = 3;

/// Where a place has more than this share of its thickest metal, the place itself is asked
/// what would take it, not its corners.
const CORE: f64 = 0.85;

/// What is farther to the side than this is measured straight up, mm.
const WIDEST_MM: f64 = 2.5;

/// Thickness of the metal between `wanted` and `cut`, both of the same grid of `cell` mm: the
/// distance in mm from each wanted height to the nearest place above the cut ones.
pub fn thickness(wanted: &Field, cut: &Field, cell: f64) -> Field {
    thickness_on(wanted, cut, cell, |_| true)
}

/// The same on the cells that are `asked`, and nothing elsewhere.
pub fn thickness_on(
    wanted: &Field,
    cut: &Field,
    cell: f64,
    asked: impl Fn(usize) -> bool + Sync,
) -> Field {
    let rings = rings(cell, WIDEST_MM);
    let values = (0..wanted.values.len())
        .into_par_iter()
        .map(|at| {
            let up = cut.values[at] - wanted.values[at];
            if up <= 1e-9 || !asked(at) {
                return 0.0;
            }
            nearest([wanted, cut], at, up, &rings)
        })
        .collect();
    Field { size: wanted.size, values }
}

/// Whether no more than `limit` mm is left at each of `cells`.
pub fn thin_at(fields: [&Field; 2], cells: &[usize], cell: f64, limit: f64) -> Vec<bool> {
    let rings = rings(cell, limit);
    let [wanted, cut] = fields;
    let thin = |&at: &usize| {
        let up = cut.values[at] - wanted.values[at];
        up <= limit || nearest(fields, at, up, &rings) <= limit
    };
    cells.par_iter().map(thin).collect()
}

/// Offsets up to `most` mm and their lengths in mm, nearest first.
fn rings(cell: f64, most: f64) -> Vec<([i32; 2], f64)> {
    let reach = (most / cell) as i32;
    let mut rings = Vec::new();
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            let far = f64::from(dx).hypot(f64::from(dy)) * cell;
            if far > 0.0 && far <= most {
                rings.push(([dx, dy], far));
            }
        }
    }
    rings.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    rings
}

fn nearest(
    [wanted, cut]: [&Field; 2],
    at: usize,
    up: f64,
    rings: &[([i32; 2], f64)],
) -> f64 {
    let ([x, y], [wide, high]) = (cut.place(at), cut.size);
    let own = wanted.values[at];
    let mut least = up;
    for &([dx, dy], far) in rings {
        if far >= least {
            break;
        }
        let (column, row) =
            (x.wrapping_add_signed(dx as isize), y.wrapping_add_signed(dy as isize));
        if column < wide && row < high {
            let above = (cut.at(column, row) - own).max(0.0);
            // Both are far from the limits of a number, so their squares are exact enough.
            least = least.min((far * far + above * above).sqrt());
        }
    }
    least
}

/// A connected place where metal is left.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its cells, ascending.
    pub cells: Vec<usize>,
    /// The cell with the thickest metal.
    pub worst: usize,
    /// That thickness, mm.
    pub left: f64,
    /// A cell in the middle of its thick metal.
    pub core: usize,
}

/// The places where more than `limit` mm is left among the cells that are `judged`, worst
/// first. Each takes in the thinner rim within [`RIM_CELLS`] of it.
pub fn places(
    left: &Field,
    limit: f64,
    rim: f64,
    judged: impl Fn(usize) -> bool,
) -> Vec<Place> {
    let mut owner = vec![0_usize; left.values.len()];
    let is_core = |cell: usize| left.values[cell] > limit && judged(cell);
    let mut places: Vec<Place> = Vec::new();
    for seed in 0..left.values.len() {
        if owner[seed] != 0 || !is_core(seed) {
            continue;
        }
        let name = places.len() + 1;
        let mut cells = vec![seed];
        owner[seed] = name;
        let mut next = 0;
        while let Some(&cell) = cells.get(next) {
            next += 1;
            for other in left.around(cell, 1) {
                if owner[other] == 0 && is_core(other) {
                    owner[other] = name;
                    cells.push(other);
                }
            }
        }
        let most = cells.iter().map(|&cell| left.values[cell]).fold(0.0, f64::max);
        // Of cells that are alike the middle one: the floor of a slot, not its end.
        let middle = |least: f64| {
            let mut alike: Vec<usize> =
                cells.iter().copied().filter(|&it| left.values[it] >= least).collect();
            alike.sort_unstable();
            alike.get(alike.len() / 2).copied().unwrap_or(seed)
        };
        let (worst, core) = (middle(most - 1e-6), middle(CORE * most));
        places.push(Place { left: left.values[worst], worst, core, cells });
    }
    for (index, place) in places.iter_mut().enumerate() {
        let core = place.cells.clone();
        for cell in core {
            for other in left.around(cell, RIM_CELLS) {
                if owner[other] == 0 && left.values[other] > rim && judged(other) {
                    owner[other] = index + 1;
                    place.cells.push(other);
                }
            }
        }
        place.cells.sort_unstable();
    }
    places.sort_by(|a, b| b.left.total_cmp(&a.left).then(a.worst.cmp(&b.worst)));
    places
}

#[cfg(test)]
mod tests {
    use super::{places, thickness};
    use crate::mold::milling::height_field::Field;

    /// Metal 3 high and two cells wide beside a wall: at its foot the open side is two cells
    /// away, whatever its height.
    #[test]
    fn thickness_is_a_distance_in_space() {
        let wanted = Field::from_fn([9, 5], |x, _| if x < 3 { 3.0 } else { 0.0 });
        let cut = Field::from_fn([9, 5], |x, _| if x < 5 { 3.0 } else { 0.0 });
        let left = thickness(&wanted, &cut, 0.1);
        assert!(
            (left.at(3, 2) - 0.2).abs() < 1e-12 && (left.at(4, 2) - 0.1).abs() < 1e-12
        );
        assert!(left.at(2, 2).abs() < 1e-12 && left.at(5, 2).abs() < 1e-12);
        let low = Field::from_fn([9, 5], |x, _| if x < 3 { 3.0 } else { 0.05 });
        let left = thickness(&wanted, &low, 0.1);
        assert!((left.at(6, 2) - 0.05).abs() < 1e-12, "straight up is nearer");
    }

    #[test]
    fn places_are_apart_and_worst_first() {
        let left = Field::from_fn([12, 4], |x, y| match (x, y) {
            (1, 1) => 0.5,
            (2, 2) => 0.7,
            (8, 1) => 0.9,
            (9, 1) => 0.2,
            _ => 0.0,
        });
        let found = places(&left, 0.4, 0.1, |_| true);
        let seen: Vec<(f64, usize)> =
            found.iter().map(|p| (p.left, p.cells.len())).collect();
        assert_eq!(seen, [(0.9, 2), (0.7, 2)]);
        assert_eq!(places(&left, 0.4, 0.1, |cell| cell % 12 < 5).len(), 1);
    }
}
