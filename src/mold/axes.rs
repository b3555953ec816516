//! The axes of the mold: x and y across the pull, z along it, zero in the middle of the part
//! at the height where the halves meet, and everything as large as it is cut.
//!
//! The part may shrink differently along its own x, y and z. Walls along the pull stay along
//! it only while growing does not lean the pull itself ([`keeps_along`]).

use crate::geom::{Direction, Frame, Point, Vector};
use crate::mesh::TriMesh;

/// From part coordinates to those of the mold and back.
#[derive(Clone, Copy, Debug)]
pub struct Axes {
    frame: Frame,
    origin: Point,
    scales: Vector,
}

/// Growing may turn the pull by less than this, radians: 0.1 µm over a depth of 100 mm.
const STRAIGHT: f64 = 1e-6;

/// Whether what lies along `pull` does so still when the part grows by `scales` along its
/// axes.
pub fn keeps_along(pull: Direction, scales: [f64; 3]) -> bool {
    let grown = pull.vector().component_mul(&Vector::from(scales));
    grown.cross(&pull.vector()).norm() < STRAIGHT * grown.norm()
}

impl Axes {
    /// For a part that opens along `pull`, parted at `height`, cut larger by `scales` along its
    /// own x, y and z.
    pub fn new(part: &TriMesh, pull: Direction, height: f64, scales: [f64; 3]) -> Self {
        let frame = Frame::along(pull);
        let mut spans = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
        for facet in part.facets() {
            for &corner in facet {
                let flat = frame.flatten(&part.points()[corner as usize]);
                for (span, value) in spans.iter_mut().zip(flat) {
                    *span = [span[0].min(value), span[1].max(value)];
                }
            }
        }
        let middle = spans.map(|[low, high]| f64::midpoint(low, high));
        let origin = frame.raise(middle, height);
        Self { frame, origin, scales: Vector::from(scales) }
    }

    /// The point of the part that stays where it is, mm.
    pub fn origin(&self) -> Point {
        self.origin
    }

    /// Cavity length over part length: the edge of a cube that grows as much in volume.
    pub fn scale(&self) -> f64 {
        self.scales.product().cbrt()
    }

    /// The same along x, y and z of the part.
    pub fn scales(&self) -> [f64; 3] {
        self.scales.into()
    }

    /// The same along the pull.
    pub fn scale_along(&self) -> f64 {
        self.frame.along.component_mul(&self.scales).norm()
    }

    /// Projected area along the pull in the mold over that of the part.
    pub fn area_scale_across(&self) -> f64 {
        self.scales.product() / self.scale_along()
    }

    /// Where a point of the part lies in the mold, grown.
    pub fn in_mold(&self, in_part: &Point) -> Point {
        let off = (in_part - self.origin).component_mul(&self.scales);
        self.of_pose(&(self.origin + off))
    }

    /// Where a point of the mold lies when the part keeps its pose.
    pub fn in_pose(&self, in_mold: &Point) -> Point {
        self.origin + self.turned(&in_mold.coords)
    }

    /// The place of the mold that lies at a point of the pose.
    pub fn of_pose(&self, in_pose: &Point) -> Point {
        let off = in_pose - self.origin;
        let Frame { right, up, along } = self.frame;
        Point::new(right.dot(&off), up.dot(&off), along.dot(&off))
    }

    /// A place on the parting plane, as on the plane across the pull that the pose has.
    pub fn flat_in_pose(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        self.frame.flatten(&self.in_pose(&Point::new(x, y, 0.0)))
    }

    /// The point of the part that lies at a place of the mold.
    pub fn in_part(&self, in_mold: &Point) -> Point {
        self.origin + self.turned(&in_mold.coords).component_div(&self.scales)
    }

    /// A direction of the mold in the pose of the part.
    pub fn turned(&self, in_mold: &Vector) -> Vector {
        let Frame { right, up, along } = self.frame;
        right * in_mold.x + up * in_mold.y + along * in_mold.z
    }
}

#[cfg(test)]
mod tests {
    use super::{Axes, keeps_along};
    use crate::geom::{Direction, Point, Vector};
    use crate::mesh::shapes;

    #[test]
    fn the_stated_point_stays_and_lengths_grow() {
        let part = shapes::cuboid(10.0, 20.0, 6.0);
        let pull = Direction::new(Vector::new(0.0, 1.0, 1.0)).unwrap();
        let axes = Axes::new(&part, pull, 3.0, [1.02; 3]);
        let still = axes.in_mold(&axes.origin());
        assert!(still.coords.norm() < 1e-12);
        let [a, b] = [Point::new(1.0, 2.0, 3.0), Point::new(-4.0, 0.0, 9.0)];
        let grown = (axes.in_mold(&a) - axes.in_mold(&b)).norm();
        assert!((grown / (a - b).norm() - 1.02).abs() < 1e-12);
        let back = axes.in_pose(&axes.in_mold(&a));
        assert!(((back - axes.origin()) - (a - axes.origin()) * 1.02).norm() < 1e-12);
    }

    #[test]
    fn each_axis_grows_by_its_own_and_the_pull_stays_straight() {
        let part = shapes::cuboid(10.0, 20.0, 6.0);
        let scales = [1.01, 1.02, 1.03];
        let axes = Axes::new(&part, Direction::Z, 0.0, scales);
        let [a, b] = [Point::new(0.0, 0.0, 0.0), Point::new(10.0, 20.0, 6.0)];
        let grown = axes.in_pose(&axes.in_mold(&b)) - axes.in_pose(&axes.in_mold(&a));
        let wanted = Vector::new(10.1, 20.4, 6.18);
        assert!((grown - wanted).norm() < 1e-12, "{grown}");
        assert!((axes.in_part(&axes.in_mold(&b)) - b).norm() < 1e-12);
        assert!((axes.scale_along() - 1.03).abs() < 1e-12);
        assert!((axes.area_scale_across() - 1.01 * 1.02).abs() < 1e-12);
        let askew = Direction::new(Vector::new(0.0, 1.0, 1.0)).unwrap();
        assert!(keeps_along(Direction::Z, scales) && !keeps_along(askew, scales));
        assert!(keeps_along(askew, [1.01, 1.02, 1.02]));
    }
}
