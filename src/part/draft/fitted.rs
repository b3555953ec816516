//! The draft of a face from the surface that was fitted to it.
//!
//! A cylinder or cone about the pull has one draft. Where its axis leans, the draft changes
//! around it: sin δ = sin λ cos τ + cos λ sin τ cos φ for a wall that makes the angle λ with
//! its axis, an axis that leans by τ and the way φ around it. So the least draft is that of
//! the part of the turn that the face has: a fillet along a drafted corner has none of the
//! upright part that a full turn would have.

use crate::geom::{Direction, Vector};
use crate::mesh::TriMesh;
use crate::part::Part;
use crate::part::faces::{Face, Surface};

/// An axis this close to the pull is the pull: what single-precision files can tell.
const ALIGNED_DEG: f64 = 0.02;

/// A round face counts as standing about the pull while its axis leans less than this.
const STANDING_DEG: f64 = 5.0;

/// Least draft of `face` as fitted, degrees, sign left out; `None` for a blend or a
/// round face that lies across the pull. Of a round face it never leaves the range of the
/// angles at which its facets lie.
pub fn fitted_deg(mesh: &TriMesh, face: &Face, pull: Direction) -> Option<f64> {
    match face.surface {
        Surface::Plane(normal) => Some(angle_deg(pull, &normal.vector()).abs()),
        Surface::Round { axis, lean } => {
            let turn = Turn::about(axis, lean, pull)?;
            let normals = face.facets.iter().map(|&facet| mesh.normals()[facet as usize]);
            let (mut fitted, mut lying) = (Span::EMPTY, Span::EMPTY);
            for normal in normals {
                fitted.add(turn.fitted_deg(&normal));
                lying.add(angle_deg(pull, &normal));
            }
            Some(lying.bring_in(fitted.least()))
        }
        Surface::Blend => None,
    }
}

/// Angle of a facet to the pull, as fitted where its face is, degrees, sign left out.
pub(in crate::part) fn facet_deg(part: &Part, facet: u32, pull: Direction) -> f64 {
    let face = &part.faces.list[part.faces.of_facet[facet as usize] as usize];
    let normal = &part.mesh.normals()[facet as usize];
    let fitted = match face.surface {
        Surface::Plane(normal) => Some(angle_deg(pull, &normal.vector())),
        Surface::Round { axis, lean } => {
            Turn::about(axis, lean, pull).map(|turn| turn.fitted_deg(normal))
        }
        Surface::Blend => None,
    };
    fitted.unwrap_or_else(|| angle_deg(pull, normal)).abs()
}

/// Angle of a facet to the pull as it lies, degrees, sign left out.
pub(super) fn lying_deg(mesh: &TriMesh, facet: u32, pull: Direction) -> f64 {
    angle_deg(pull, &mesh.normals()[facet as usize]).abs()
}

/// Signed angle of a surface with this unit normal to the pull, degrees.
fn angle_deg(pull: Direction, normal: &Vector) -> f64 {
    pull.dot(normal).clamp(-1.0, 1.0).asin().to_degrees()
}

/// A round surface that stands about the pull.
struct Turn {
    pull: Direction,
    axis: Direction,
    /// Sine of the angle between surface and axis.
    lean: f64,
    /// Whether the axis is the pull, as far as the file can tell.
    is_aligned: bool,
}

impl Turn {
    /// `None` where it lies across the pull.
    fn about(axis: Direction, lean: f64, pull: Direction) -> Option<Self> {
        let off_axis = axis.vector().cross(&pull.vector()).norm();
        let tilt = off_axis.atan2(pull.dot(&axis.vector()).abs()).to_degrees();
        let is_aligned = tilt < ALIGNED_DEG;
        (tilt < STANDING_DEG).then_some(Self { pull, axis, lean, is_aligned })
    }

    /// Signed draft where a facet with this normal lies, degrees.
    fn fitted_deg(&self, normal: &Vector) -> f64 {
        let axis = self.axis.vector();
        if self.is_aligned {
            let along = self.pull.dot(&axis).signum();
            return along * self.lean.clamp(-1.0, 1.0).asin().to_degrees();
        }
        let across = normal - axis * axis.dot(normal);
        let across = Direction::new(across).map_or_else(Vector::zeros, |it| it.vector());
        let upright = (1.0 - self.lean * self.lean).max(0.0).sqrt();
        angle_deg(self.pull, &(across * upright + axis * self.lean))
    }
}

/// The least and the greatest of some signed angles, degrees.
struct Span {
    low: f64,
    high: f64,
}

impl Span {
    const EMPTY: Self = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };

    fn add(&mut self, angle: f64) {
        self.low = self.low.min(angle);
        self.high = self.high.max(angle);
    }

    /// The least without its sign: zero where the angles lie on both sides of upright.
    fn least(&self) -> f64 {
        if self.low > 0.0 {
            self.low
        } else if self.high < 0.0 {
            -self.high
        } else {
            0.0
        }
    }

    /// The angle, sign left out, brought within those of this span.
    fn bring_in(&self, angle: f64) -> f64 {
        angle.max(self.least()).min(self.low.abs().max(self.high.abs()))
    }
}
