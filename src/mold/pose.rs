//! How the halves lie in their files: around the part as it was given, or each as it lies on the mill.
//!
//! On the mill a half lies with its parting face up and the datum of its drill table at 0, 0, 0: x and y
//! are those of the table, and z is zero at the height of the parting at the datum. The
//! + half is turned over about y for that.

use super::build::Mold;
use crate::geom::{Point, Vector};
use crate::part::halves::Half;

/// How the halves lie in their files.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Pose {
    /// Around the part, which keeps the pose of its file.
    #[default]
    Part,
    /// Each half as it lies on the mill; part and feed keep theirs.
    Milling,
}

impl Pose {
    /// Where a place of the mold lies in the file of `half`, or of part and feed.
    pub fn place(self, mold: &Mold, half: Option<Half>, at: &Point) -> Point {
        match half.filter(|_| self == Self::Milling) {
            None => mold.axes.in_pose(at),
            Some(half) => {
                let [x, y, _] = mold.layout.block;
                let datum = Vector::new(x[0], y[0], 0.0);
                Point::from(turned_over(half, &(at.coords - datum)))
            }
        }
    }

    /// The same of a direction.
    pub fn turn(self, mold: &Mold, half: Option<Half>, way: &Vector) -> Vector {
        match half.filter(|_| self == Self::Milling) {
            None => mold.axes.turned(way),
            Some(half) => turned_over(half, way),
        }
    }
}

fn turned_over(half: Half, way: &Vector) -> Vector {
    match half {
        Half::Plus => Vector::new(-way.x, way.y, -way.z),
        Half::Minus => *way,
    }
}
