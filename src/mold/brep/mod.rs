//! A finished solid as CAD holds it: plane faces, round walls, and the edges where they meet.
//!
//! | question | file |
//! |---|---|
//! | which facet lies beyond each edge | [`net`] |
//! | how do facets without area go | [`cleaning`] |
//! | which round walls does a cut leave | [`round_wall`] |
//! | do the loops of a flat face bound it | [`outline`] |
//! | which facets lie in one plane | [`regions`] |
//! | which round walls can be true cylinders and cones | [`bores`] |
//! | which edges run between the faces | [`edges`] |
//! | from facets to faces | [`faces`] |
//!
//! Solids hold round holes as polygons of many sides, whose corners lie on the circle. A wall
//! becomes a true cylinder or cone where each of its rims crosses only plane faces, and where nothing lies
//! between polygon and circle; its rims become circles and arcs of ellipses. Other walls stay
//! planes, as the solid has them, and are counted ([`RoundHoles`]). Curved faces of the part stay facets.

mod net;
mod cleaning;
mod round_wall;
mod outline;
mod regions;
mod bores;
mod edges;
mod faces;

#[cfg(test)]
mod tests;

use crate::geom::{Point, Vector};
use crate::mesh::solid::Solid;
use crate::mold::build::Mold;
use crate::mold::cut_feature::Cut;
use crate::mold::stock::{Body, Piece};

/// A solid of faces that meet in edges; lengths in mm.
#[derive(Clone, Debug, Default)]
pub struct Brep {
    /// Where edges end.
    pub corners: Vec<Point>,
    /// Edges; each has a face on either side.
    pub edges: Vec<Edge>,
    /// Faces.
    pub faces: Vec<Face>,
    /// How many bodies the faces close.
    pub bodies: usize,
    /// The round holes in it.
    pub holes: RoundHoles,
}

/// An edge between two corners, which are the same one for a full circle.
#[derive(Clone, Debug)]
pub struct Edge {
    /// Where it begins and ends.
    pub ends: [usize; 2],
    /// Its shape.
    pub curve: Curve,
}

/// The shape of an edge.
#[derive(Clone, Copy, Debug)]
pub enum Curve {
    /// Straight.
    Line,
    /// Part of an ellipse, run counter-clockwise about `normal`; a circle where both half
    /// axes are the same.
    Ellipse {
        /// Its middle.
        center: Point,
        /// Across its plane, of unit length.
        normal: Vector,
        /// Along its longer half axis, of unit length.
        major: Vector,
        /// Half axes, the longer first.
        half_axes: [f64; 2],
    },
}

/// A face.
#[derive(Clone, Debug)]
pub struct Face {
    /// Its shape.
    pub shape: Shape,
    /// Whether the normal of its shape leads out of the solid.
    pub is_along: bool,
    /// Its edges, each with whether it is run from its begin to its end; counter-clockwise seen from
    /// outside. The first loop is the one around all.
    pub loops: Vec<Vec<(usize, bool)>>,
    /// The body that it belongs to.
    pub body: usize,
}

/// The shape of a face.
#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// A plane through `at`.
    Plane {
        /// On it.
        at: Point,
        /// Across it, of unit length.
        normal: Vector,
    },
    /// A cylinder or cone around the line through `at` along `axis`, its normal away from the axis.
    Round {
        /// On the axis.
        at: Point,
        /// Along the axis, of unit length, the way in which it does not get narrower.
        axis: Vector,
        /// Radius at the height of `at`.
        radius: f64,
        /// Half the angle of the cone, radians; 0 for a cylinder.
        lean: f64,
    },
}

/// Holes around one axis, and how many of them have true cylinders and cones.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RoundHoles {
    /// All.
    pub all: usize,
    /// Those whose every wall is one.
    pub true_round: usize,
}

/// Why a solid has no faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoBrep {
    /// Its facets do not close.
    #[error("its facets do not close")]
    Open,
    /// It has too many faces for a CAD program to work with.
    #[error("its {0} faces are too many for most CAD programs (over {MOST_FACES})")]
    Large(usize),
}

/// More faces are no use: CAD programs take minutes to read them (judgment).
pub const MOST_FACES: usize = 60_000;
/// A sharp edge that stands alone and is no longer than this is a seam of facets, mm.
const ALONE_MM: f64 = 1.0;

/// A solid of a mold as CAD holds it, in the axes of the mold.
pub struct Made {
    /// Name of its file without the ending.
    pub name: String,
    /// What it is.
    pub piece: Piece,
    /// Its faces, or why it has none.
    pub brep: Result<Brep, NoBrep>,
}

/// Every solid of a mold.
pub fn of_mold(mold: &Mold) -> Vec<Made> {
    let made = |Body { name, piece, solid }: Body<'_>| {
        let is_own = |cut: &&Cut| match piece {
            Piece::Plate(half) | Piece::Insert(half) => cut.half == half,
            Piece::Part => false,
            Piece::Feed => cut.kind.is_feed(),
        };
        let cuts: Vec<&Cut> = mold.layout.cuts.iter().filter(is_own).collect();
        Made { name, piece, brep: of_solid(solid, &cuts) }
    };
    mold.bodies().into_iter().map(made).collect()
}

/// The faces of `solid`, whose round holes `cuts` made.
///
/// # Errors
/// When it does not close, or has more than [`MOST_FACES`].
pub fn of_solid(solid: &Solid, cuts: &[&Cut]) -> Result<Brep, NoBrep> {
    let net = cleaning::clean(solid).ok_or(NoBrep::Open)?;
    let brep = faces::join(&net, cuts);
    if brep.faces.len() > MOST_FACES {
        return Err(NoBrep::Large(brep.faces.len()));
    }
    Ok(brep)
}

impl Brep {
    /// The ends of every straight edge where two plane faces turn by more than `least`, radians; round
    /// walls and their rims are left out, and so is a short edge that no other one goes on from.
    pub fn sharp_edges(&self, least: f64) -> Vec<[Point; 2]> {
        let mut beside: Vec<Vec<Option<Vector>>> = vec![Vec::new(); self.edges.len()];
        for face in &self.faces {
            let normal = match face.shape {
                Shape::Plane { normal, .. } => Some(normal),
                Shape::Round { .. } => None,
            };
            for &(edge, _) in face.loops.iter().flatten() {
                beside[edge].push(normal);
            }
        }
        let edges = self.edges.iter().zip(beside);
        let sharp: Vec<[usize; 2]> = edges
            .filter(|(_, faces)| match faces[..] {
                [Some(a), Some(b)] => a.angle(&b) > least,
                _ => false,
            })
            .map(|(edge, _)| edge.ends)
            .collect();
        let mut meeting = vec![0_u32; self.corners.len()];
        for &end in sharp.iter().flatten() {
            meeting[end] += 1;
        }
        let is_line = |ends: &[usize; 2]| {
            let [from, to] = ends.map(|end| self.corners[end]);
            (to - from).norm() > ALONE_MM || ends.iter().any(|&end| meeting[end] > 1)
        };
        let lines = sharp.into_iter().filter(is_line);
        lines.map(|ends| ends.map(|end| self.corners[end])).collect()
    }

    /// The same with every place moved and every direction turned, without mirroring.
    #[must_use]
    pub fn map(
        &self,
        place: impl Fn(&Point) -> Point,
        turn: impl Fn(&Vector) -> Vector,
    ) -> Self {
        let curve = |curve: &Curve| match curve {
            Curve::Line => Curve::Line,
            Curve::Ellipse { center, normal, major, half_axes } => Curve::Ellipse {
                center: place(center),
                normal: turn(normal),
                major: turn(major),
                half_axes: *half_axes,
            },
        };
        let shape = |shape: &Shape| match shape {
            Shape::Plane { at, normal } => {
                Shape::Plane { at: place(at), normal: turn(normal) }
            }
            Shape::Round { at, axis, radius, lean } => Shape::Round {
                at: place(at),
                axis: turn(axis),
                radius: *radius,
                lean: *lean,
            },
        };
        let edge = |edge: &Edge| Edge { ends: edge.ends, curve: curve(&edge.curve) };
        let face = |face: &Face| Face { shape: shape(&face.shape), ..face.clone() };
        Self {
            corners: self.corners.iter().map(&place).collect(),
            edges: self.edges.iter().map(edge).collect(),
            faces: self.faces.iter().map(face).collect(),
            ..*self
        }
    }
}
