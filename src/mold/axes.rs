//! The axes of the mold: x and y across the pull, z along it, zero in the middle of the part
//! at the height where the halves meet, and everything as large as it is cut.

use crate::geom::{Direction, Frame, Point, Vector};
use crate::mesh::TriMesh;

/// From part coordinates to those of the mold and back.
#[derive(Clone, Copy, Debug)]
pub struct Axes {
    frame: Frame,
    origin: Point,
    scale: f64,
}

impl Axes {
    /// For a part that opens along `pull`, parted at `height`, cut larger by `scale`.
    pub fn of(part: &TriMesh, pull: Direction, height: f64, scale: f64) -> Self {
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
        Self { frame, origin: frame.raise(middle, height), scale }
    }

    /// The point of the part that stays where it is, mm.
    pub fn origin(&self) -> Point {
        self.origin
    }

    /// Cavity length over part length.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Where a point of the part lies in the mold, grown.
    pub fn in_mold(&self, in_part: &Point) -> Point {
        let off = (in_part - self.origin) * self.scale;
        let Frame { right, up, along } = self.frame;
        Point::new(right.dot(&off), up.dot(&off), along.dot(&off))
    }

    /// Where a point of the mold lies when the part keeps its pose.
    pub fn in_pose(&self, in_mold: &Point) -> Point {
        self.origin + self.turned(&in_mold.coords)
    }

    /// The point of the part that lies at a place of the mold.
    pub fn in_part(&self, in_mold: &Point) -> Point {
        self.origin + self.turned(&in_mold.coords) / self.scale
    }

    /// A direction of the mold in the pose of the part.
    pub fn turned(&self, in_mold: &Vector) -> Vector {
        let Frame { right, up, along } = self.frame;
        right * in_mold.x + up * in_mold.y + along * in_mold.z
    }
}

#[cfg(test)]
mod tests {
    use super::Axes;
    use crate::geom::{Direction, Point, Vector};
    use crate::mesh::shapes;

    #[test]
    fn the_stated_point_stays_and_lengths_grow() {
        let part = shapes::cuboid(10.0, 20.0, 6.0);
        let pull = Direction::new(Vector::new(0.0, 1.0, 1.0)).unwrap();
        let axes = Axes::of(&part, pull, 3.0, 1.02);
        let still = axes.in_mold(&axes.origin());
        assert!(still.coords.norm() < 1e-12);
        let [a, b] = [Point::new(1.0, 2.0, 3.0), Point::new(-4.0, 0.0, 9.0)];
        let grown = (axes.in_mold(&a) - axes.in_mold(&b)).norm();
        assert!((grown / (a - b).norm() - 1.02).abs() < 1e-12);
        let back = axes.in_pose(&axes.in_mold(&a));
        assert!(((back - axes.origin()) - (a - axes.origin()) * 1.02).norm() < 1e-12);
    }
}
