//! Directions, pull-aligned frames and boxes: the words every geometric question uses.
//!
//! Everything here is in millimeters and double precision. A [`Direction`] is always of
//! unit length, because it can only be made through [`Direction::new`], which refuses a
//! vector that has none.

/// A place in part coordinates, in millimeters.
pub type Point = nalgebra::Point3<f64>;
/// A difference of two places, in millimeters.
pub type Vector = nalgebra::Vector3<f64>;

/// A unit vector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction(Vector);

impl Direction {
    /// Along the first axis of the part.
    pub const X: Self = Self(Vector::new(1.0, 0.0, 0.0));
    /// Along the second axis of the part.
    pub const Y: Self = Self(Vector::new(0.0, 1.0, 0.0));
    /// Along the third axis of the part.
    pub const Z: Self = Self(Vector::new(0.0, 0.0, 1.0));

    /// The direction of `vector`, or `None` when it is zero or not finite.
    pub fn new(vector: Vector) -> Option<Self> {
        // Scaled first, so that neither a tiny nor a huge vector loses its square.
        let largest = vector.amax();
        if largest <= 0.0 || !vector.iter().all(|component| component.is_finite()) {
            return None;
        }
        let scaled = vector / largest;
        Some(Self(scaled / scaled.norm()))
    }

    /// The unit vector itself.
    pub const fn vector(self) -> Vector {
        self.0
    }

    /// The opposite direction.
    pub fn reversed(self) -> Self {
        Self(-self.0)
    }

    /// The part of `vector` that lies along this direction.
    pub fn dot(self, vector: &Vector) -> f64 {
        self.0.dot(vector)
    }
}

/// A right-handed set of axes with the third one along the pull.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// First axis of the plane across the pull.
    pub right: Vector,
    /// Second axis of the plane across the pull.
    pub up: Vector,
    /// The pull.
    pub along: Vector,
}

impl Frame {
    /// Axes for `direction`; for a part axis they are part axes too, so that numbers and
    /// pictures of an upright part stay upright.
    pub fn along(direction: Direction) -> Self {
        let along = direction.vector();
        let helper = if along.z.abs() > 0.9 { Vector::y() } else { Vector::z() };
        let up = (helper - along * helper.dot(&along)).normalize();
        Self { right: up.cross(&along), up, along }
    }

    /// Where `point` falls on the plane across the pull.
    pub fn flatten(&self, point: &Point) -> [f64; 2] {
        [self.right.dot(&point.coords), self.up.dot(&point.coords)]
    }

    /// How far `point` lies along the pull.
    pub fn height(&self, point: &Point) -> f64 {
        self.along.dot(&point.coords)
    }

    /// The direction across the pull at `angle` radians from `right` towards `up`.
    pub fn across(&self, angle: f64) -> Vector {
        self.right * angle.cos() + self.up * angle.sin()
    }

    /// The point of part coordinates at `flat` on the plane and `height` along the pull.
    pub fn raise(&self, flat: [f64; 2], height: f64) -> Point {
        Point::from(self.right * flat[0] + self.up * flat[1] + self.along * height)
    }
}

/// A box with sides along the part axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aabb {
    /// The corner with the least coordinates.
    pub min: Point,
    /// The corner with the greatest coordinates.
    pub max: Point,
}

impl Aabb {
    /// The box that holds nothing; growing it by a point gives that point.
    pub fn empty() -> Self {
        Self {
            min: Point::from(Vector::repeat(f64::INFINITY)),
            max: Point::from(Vector::repeat(f64::NEG_INFINITY)),
        }
    }

    /// The smallest box around `points`.
    pub fn around<'a>(points: impl IntoIterator<Item = &'a Point>) -> Self {
        points.into_iter().fold(Self::empty(), |grown, point| grown.with(point))
    }

    /// This box grown to hold `point`.
    pub fn with(self, point: &Point) -> Self {
        Self { min: self.min.inf(point), max: self.max.sup(point) }
    }

    /// Edge lengths.
    pub fn size(&self) -> Vector {
        self.max - self.min
    }

    /// Length of the space diagonal: the yardstick of every relative tolerance.
    pub fn diagonal(&self) -> f64 {
        self.size().norm()
    }

    /// Distance to `other`; zero where they meet.
    pub fn gap(&self, other: &Self) -> f64 {
        let apart = (self.min - other.max).sup(&(other.min - self.max));
        apart.map(|along| along.max(0.0)).norm()
    }

    /// The middle of the box.
    pub fn center(&self) -> Point {
        nalgebra::center(&self.min, &self.max)
    }
}

/// How often closed `corners` run around `at`, counter-clockwise.
pub fn winding(corners: &[[f64; 2]], at: [f64; 2]) -> i32 {
    let pairs = corners.iter().zip(corners.iter().cycle().skip(1));
    pairs
        .map(|(a, b)| {
            let turn = (b[0] - a[0]) * (at[1] - a[1]) - (at[0] - a[0]) * (b[1] - a[1]);
            match (a[1] <= at[1], b[1] <= at[1]) {
                (true, false) if turn > 0.0 => 1,
                (false, true) if turn < 0.0 => -1,
                _ => 0,
            }
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::{Direction, Frame, Point, Vector};

    #[test]
    fn a_direction_is_never_zero_nor_nan() {
        assert!(Direction::new(Vector::zeros()).is_none());
        assert!(Direction::new(Vector::new(f64::NAN, 1.0, 0.0)).is_none());
        let tiny = Direction::new(Vector::new(0.0, 3e-200, 4e-200)).unwrap();
        assert!((tiny.vector().norm() - 1.0).abs() < 1e-15);
    }

    #[test]
    fn a_frame_gives_back_the_point_it_flattened() {
        for vector in
            [Vector::z(), -Vector::z(), Vector::x(), Vector::new(1.0, -2.0, 0.3)]
        {
            let frame = Frame::along(Direction::new(vector).unwrap());
            let point = Point::new(1.0, 2.0, 3.0);
            let back = frame.raise(frame.flatten(&point), frame.height(&point));
            assert!((back - point).norm() < 1e-14);
            assert!((frame.right.cross(&frame.up) - frame.along).norm() < 1e-14);
        }
    }
}
