//! Where a sprue can stand on the part: a flat face across the pull that one half forms, seen
//! from outside, as near to the middle as can be.
//!
//! Places between two samples are missed where the flat face is smaller than their spacing.

use crate::geom::{Direction, Frame, Point};
use crate::mesh::bvh::Bvh;
use crate::part::Part;
use crate::part::halves::Half;

/// A face counts as across the pull when its normal is within this of it, as a cosine: 2.5°.
const ACROSS: f64 = 0.999;
/// A flat place rises and falls by less than this, mm.
const FLAT_MM: f64 = 0.05;
/// Samples that are tried, the nearest to the middle first.
const TRIED: usize = 200;
/// Directions in which a place is looked at around its middle.
const AROUND: u32 = 12;
/// Diameters of flat places, mm: the widest that any sprue needs first, and the narrowest that
/// a sprue of a 2 mm orifice stands on last.
const ROOMS_MM: [f64; 7] = [10.0, 9.0, 8.0, 7.0, 6.0, 5.0, 4.0];

/// A flat place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SprueFace {
    /// Its middle.
    pub at: Point,
    /// Diameter that is flat around it, mm.
    pub room: f64,
}

/// The place on the side of `half` that is nearest to the middle of the part, seen along the
/// pull; `None` where nothing there is flat, or all of it lies behind the height `parting`.
pub fn find(part: &Part, pull: Direction, half: Half, parting: f64) -> Option<SprueFace> {
    let out = if half == Half::Plus { pull } else { pull.reversed() };
    let frame = Frame::along(pull);
    let middle = frame.flatten(&part.mesh.bounds().center());
    let samples = &part.samples;
    let sign = if half == Half::Plus { 1.0 } else { -1.0 };
    let mut places: Vec<(f64, Point)> = samples
        .points
        .iter()
        .zip(&samples.normals)
        .filter(|(at, normal)| {
            out.dot(normal) >= ACROSS && sign * (frame.height(at) - parting) > -FLAT_MM
        })
        .map(|(at, _)| {
            let [x, y] = frame.flatten(at);
            ((x - middle[0]).hypot(y - middle[1]), *at)
        })
        .collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Thinned evenly, so that a wide hole in the middle does not take all tries.
    let step = places.len().div_ceil(TRIED).max(1);
    let rooms = places.iter().step_by(step).map(|(_, at)| (*at, room(part, out, at)));
    let mut narrow: Option<SprueFace> = None;
    for (at, room) in rooms {
        let Some(room) = room else { continue };
        if narrow.is_none_or(|best| room > best.room + 1e-9) {
            narrow = Some(SprueFace { at, room });
        }
        if room >= ROOMS_MM[3] {
            break;
        }
    }
    narrow
}

/// The widest flat place around `at`.
fn room(part: &Part, out: Direction, at: &Point) -> Option<f64> {
    let flat = |diameter: f64| is_flat(&part.bvh, out, at, diameter / 2.0);
    let [.., narrowest] = ROOMS_MM;
    flat(narrowest).then(|| ROOMS_MM.into_iter().find(|room| flat(*room)))?
}

/// Whether the first surface met from outside lies level with `at` within `radius` of it.
fn is_flat(bvh: &Bvh, out: Direction, at: &Point, radius: f64) -> bool {
    let far = 2.0 * bvh.diagonal();
    let frame = Frame::along(out);
    let level = |off: f64, step: u32| {
        let angle = std::f64::consts::TAU * f64::from(step) / f64::from(AROUND);
        let start = at + frame.across(angle) * off + out.vector() * far;
        let hit = bvh.first_hit(&start, out.reversed(), 0.0);
        hit.is_some_and(|hit| (hit.distance - far).abs() <= FLAT_MM)
    };
    let around = |off: f64| (0..AROUND).all(|step| level(off, step));
    level(0.0, 0) && around(radius / 2.0) && around(radius)
}

#[cfg(test)]
mod tests {
    use super::find;
    use crate::geom::{Direction, Point};
    use crate::mesh::shapes;
    use crate::part::Part;
    use crate::part::halves::Half;

    /// The floor of a tray of 40 × 30 × 12 mm: its middle, seen from below, is flat; its rim
    /// of 2 mm, seen from above, holds no sprue, and its inner floor does.
    #[test]
    fn the_floor_of_a_tray_is_a_place() {
        let part = Part::new(shapes::tray([40.0, 30.0, 12.0], 2.0), true, 20_000);
        let below = find(&part, Direction::Z, Half::Minus, 12.0).unwrap();
        let middle = Point::new(20.0, 15.0, 0.0);
        assert!(nalgebra::distance(&below.at, &middle) < 0.5, "{below:?}");
        assert!((below.room - 10.0).abs() < 1e-9);
        assert_eq!(find(&part, Direction::Z, Half::Plus, 11.0), None);
        let floor = find(&part, Direction::Z, Half::Plus, 0.0).unwrap();
        assert!((floor.at.z - 2.0).abs() < 1e-6, "{floor:?}");
    }

    /// A hole of 10 × 10 mm in the middle of a plate moves the sprue beside it; a plate of
    /// strips 3 mm wide has no place at all.
    #[test]
    fn a_hole_moves_the_sprue() {
        let steps = [0.0, 15.0, 25.0, 40.0];
        let holed =
            shapes::blocks([&steps, &steps, &[0.0, 4.0]], |i, j, _| i != 1 || j != 1);
        let part = Part::new(holed, true, 20_000);
        let place = find(&part, Direction::Z, Half::Plus, 0.0).unwrap();
        let off = (place.at.x - 20.0).abs().max((place.at.y - 20.0).abs());
        assert!(off >= 5.0 + place.room / 2.0 - 0.1, "{place:?}");
        let bar = Part::new(shapes::cuboid(40.0, 3.0, 4.0), true, 5000);
        assert_eq!(find(&bar, Direction::Z, Half::Plus, 0.0), None);
    }
}
