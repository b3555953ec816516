//! Which metal the part shrinks onto: one piece for each core that walls close around, on
//! either half.
//!
//! A wall grips when it stands along the pull and looks across it at another wall of the
//! part. Walls that touch belong to one core. Blind to what lies between two samples, and a
//! wall that is open on one side counts as closed, which is the safe side for a force.

use rayon::prelude::*;

use crate::geom::{Direction, Frame, Point};
use crate::part::Part;
use crate::part::draft::{self, Formed};
use crate::part::halves::Side;
use crate::part::surface_statistics::{self, Region};
use crate::part::undercut::CLEARANCE;

/// Gripping walls below this area, mm², are lettering, not cores.
const LEAST_AREA: f64 = 2.0;

/// A wall stands along the pull while its normal has less than this share along it.
const STANDING: f64 = 0.5;

/// One core and the walls around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Core {
    /// Area of the walls, mm².
    pub area: f64,
    /// How far they reach along the pull, mm.
    pub height: f64,
    /// Their mean angle to the pull, degrees.
    pub draft_deg: f64,
    /// Whether the part closes the core's end, so that a vacuum can hold it.
    pub closed: bool,
}

/// The cores of both halves, largest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grips {
    /// Those of the core half.
    pub core: Vec<Core>,
    /// Those of the cavity half.
    pub cavity: Vec<Core>,
}

/// All that the part grips.
pub fn find(part: &Part, formed: Formed<'_>) -> Grips {
    let gripping: Vec<bool> = (0..part.samples.len())
        .into_par_iter()
        .map(|sample| is_gripped(part, sample, formed.pull))
        .collect();
    let on = |sides: &[Side], out: Direction| {
        let held = |sample: usize| {
            gripping[sample]
                && formed.sides.get(sample).is_some_and(|side| sides.contains(side))
        };
        surface_statistics::regions(&part.samples, held)
            .iter()
            .filter(|region| region.area >= LEAST_AREA)
            .map(|region| core(part, formed.pull, region, out))
            .collect()
    };
    let out = formed.into_core();
    Grips {
        core: on(&[Side::Core, Side::Upright], out),
        cavity: on(&[Side::Cavity], out.reversed()),
    }
}

/// Points of the walls that the part shrinks onto in the core half, from every `step`-th
/// sample.
pub fn points(part: &Part, formed: Formed<'_>, step: usize) -> Vec<Point> {
    let is_held = |&sample: &usize| {
        matches!(formed.sides.get(sample), Some(Side::Core | Side::Upright))
            && is_gripped(part, sample, formed.pull)
    };
    let input = (0..part.samples.len()).into_par_iter().step_by(step);
    input.filter(is_held).map(|sample| part.samples.points[sample]).collect()
}

/// Whether a sample is on a wall that stands along the pull and looks across it at another
/// wall of the part, so that metal between them is gripped.
fn is_gripped(part: &Part, sample: usize, pull: Direction) -> bool {
    let (point, normal) = (&part.samples.points[sample], &part.samples.normals[sample]);
    pull.dot(normal).abs() < STANDING && draft::looks_in(&part.bvh, point, normal, pull)
}

/// Thickness of the part along the pull behind a place on its core side, mm; `None` where
/// there is no part.
pub fn behind(part: &Part, formed: Formed<'_>, at: &Point) -> Option<f64> {
    let out = formed.into_core();
    let lift = part.bvh.diagonal() * CLEARANCE;
    let start = at + out.vector() * lift;
    let face = part.bvh.first_hit(&start, out.reversed(), 0.0)?;
    let back = part.bvh.first_hit(&start, out.reversed(), face.distance + lift)?;
    Some(back.distance - face.distance)
}

/// The walls of one core that leaves along `out`.
fn core(part: &Part, pull: Direction, region: &Region, out: Direction) -> Core {
    let frame = Frame::along(out);
    let points = || region.samples.iter().map(|&sample| &part.samples.points[sample]);
    let count = region.samples.len().max(1) as f64;
    let lean: f64 = region
        .samples
        .iter()
        .map(|&sample| pull.dot(&part.samples.normals[sample]).abs().min(1.0))
        .map(f64::asin)
        .sum();
    let middle = points().fold([0.0; 2], |sum, point| {
        let [x, y] = frame.flatten(point);
        [sum[0] + x / count, sum[1] + y / count]
    });
    let heights = || points().map(|point| frame.height(point));
    let (low, high) = heights()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), height| {
            (low.min(height), high.max(height))
        });
    let inside = frame.raise(middle, f64::midpoint(low, high));
    Core {
        area: region.area,
        height: high - low,
        draft_deg: (lean / count).to_degrees(),
        closed: part.bvh.is_hit(&inside, out.reversed()),
    }
}

#[cfg(test)]
mod tests {
    use super::{behind, find};
    use crate::geom::{Direction, Point};
    use crate::mesh::{TriMesh, shapes};
    use crate::part::Part;
    use crate::part::draft::{self, Formed};
    use crate::part::halves::Half;
    use crate::part::undercut::Release;

    fn grips(mesh: TriMesh, core: Half) -> super::Grips {
        let part = Part::new(mesh, true, 6000);
        let pull = Direction::Z;
        let release = Release::along(&part.bvh, &part.samples, pull);
        let sides = draft::sides(&part.samples, &release, pull, core);
        find(&part, Formed { pull, core, sides: &sides })
    }

    /// A cup of 12 mm with walls and floor of 3 mm, 15 high: a core 12 high, mean radius
    /// 9 + 6 tan 3°, with a floor above it.
    #[test]
    fn a_cup_has_one_closed_core() {
        let grips = grips(shapes::cup(12.0, 15.0, 3.0, 3.0, 96), Half::Plus);
        assert_eq!((grips.core.len(), grips.cavity.len()), (1, 0));
        let core = grips.core[0];
        let slant = 3_f64.to_radians();
        let radius = 9.0 + 9.0 * slant.tan();
        let area = std::f64::consts::TAU * radius * 12.0 / slant.cos();
        assert!((core.area / area - 1.0).abs() < 0.03, "{} {area}", core.area);
        assert!((core.height - 12.0).abs() < 0.6, "{}", core.height);
        assert!((core.draft_deg - 3.0).abs() < 0.05, "{}", core.draft_deg);
        assert!(core.closed);
    }

    #[test]
    fn a_floor_is_as_thick_as_it_is() {
        let part = Part::new(shapes::tray([40.0, 30.0, 12.0], 2.0), true, 500);
        let formed = Formed { pull: Direction::Z, core: Half::Plus, sides: &[] };
        let floor = behind(&part, formed, &Point::new(21.0, 13.0, 2.0)).unwrap();
        assert!((floor - 2.0).abs() < 1e-9, "{floor}");
        let rim = behind(&part, formed, &Point::new(1.0, 15.0, 12.0)).unwrap();
        assert!((rim - 12.0).abs() < 1e-9, "{rim}");
    }

    #[test]
    fn a_tube_lets_air_in_and_a_box_grips_nothing() {
        let tube = grips(shapes::tube(5.0, 8.0, 20.0, 64), Half::Minus);
        assert_eq!(tube.core.len(), 1);
        assert!(!tube.core[0].closed);
        let solid = grips(shapes::cuboid(10.0, 10.0, 10.0), Half::Minus);
        assert!(solid.core.is_empty() && solid.cavity.is_empty());
    }
}
