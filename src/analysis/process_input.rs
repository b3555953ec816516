//! From what was measured to what plastic and press ask ([`PartData`]).

use crate::analysis::{Opening, Walls};
use crate::geom::Frame;
use crate::mesh::TriMesh;
use crate::part::standing_metal::{Ends, Form, StandingMetal};
use crate::part::{Part, sprue_face, surface_statistics};
use crate::process::clamping::standing_metal::{Shape, Standing};
use crate::process::evaluation::{CavityFace, PartData, StandingPiece};
use crate::units::{from_mm, from_mm2, from_mm3};

/// The part as plastic and press ask for it; `solid` is its volume, mm³.
pub(super) fn describe(
    part: &Part,
    walls: &Walls,
    release: &Opening,
    solid: Option<f64>,
) -> PartData {
    let mesh = &part.mesh;
    let frame = Frame::along(release.pull);
    let spans = spans(mesh, &frame);
    let [right, up, along] = spans;
    let middle = [right, up].map(|[low, high]| f64::midpoint(low, high));
    let projected_area = &release.silhouette;
    let parting = parting_height(release).unwrap_or(f64::midpoint(along[0], along[1]));
    let [core_grips, cavity_grips] = release.holding.grips.clone();
    let size = mesh.bounds().size();
    PartData {
        volume: solid.map(from_mm3),
        size: [size.x, size.y, size.z].map(from_mm),
        projected_area: from_mm2(projected_area.area),
        extents: [right, up].map(|[low, high]| from_mm(high - low)),
        off_middle: [0, 1]
            .map(|axis| from_mm(projected_area.centroid[axis] - middle[axis])),
        depths: [along[1] - parting, parting - along[0]]
            .map(|depth| from_mm(depth.max(0.0))),
        wall: surface_statistics::quantiles(&walls.thickness.ball)
            .or_else(|| surface_statistics::quantiles(&walls.thickness.ray))
            .map(|wall| from_mm(wall.p50)),
        thickest: surface_statistics::greatest(&walls.thickness.of_lumps()).map(from_mm),
        cavity_face: cavity_face(part, release, parting, &frame),
        face_shortens: false,
        core_grips,
        cavity_grips,
        pockets: release.holding.pockets,
        standing: release.standing.iter().map(standing).collect(),
    }
}

/// A flat face of the cavity half for a sprue.
fn cavity_face(
    part: &Part,
    release: &Opening,
    parting: f64,
    frame: &Frame,
) -> Option<CavityFace> {
    let cavity = release.core.other();
    let face = sprue_face::find(part, release.pull, cavity, parting)?;
    let depth = (frame.height(&face.at) - parting).abs();
    let at = [face.at.x, face.at.y, face.at.z].map(from_mm);
    Some(CavityFace { at, depth: from_mm(depth), room: from_mm(face.room) })
}

/// Metal that stands alone.
fn standing(metal: &StandingMetal) -> StandingPiece {
    let shape = match metal.form {
        Form::Pin => Shape::Pin,
        Form::Ring { radius } => Shape::Ring { radius: from_mm(radius) },
        Form::Fin { length, ends: Ends::Both } => {
            Shape::HeldFin { length: from_mm(length) }
        }
        Form::Fin { .. } => Shape::Fin,
    };
    let [tip, foot] = metal.thickness.map(from_mm);
    let standing = Standing { shape, tip, foot, height: from_mm(metal.height) };
    StandingPiece { standing, through: metal.through }
}

/// Lowest and highest coordinate along each axis of `frame`.
fn spans(mesh: &TriMesh, frame: &Frame) -> [[f64; 2]; 3] {
    let mut spans = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    for point in mesh.points() {
        let [x, y] = frame.flatten(point);
        for (span, value) in spans.iter_mut().zip([x, y, frame.height(point)]) {
            *span = [span[0].min(value), span[1].max(value)];
        }
    }
    spans
}

/// Where the halves meet along the pull: the plane of a flat parting, else the middle of
/// the longest line around the part.
pub(super) fn parting_height(release: &Opening) -> Option<f64> {
    let outer = release.parting.outer();
    let longest = outer.max_by(|a, b| a.length.total_cmp(&b.length));
    release
        .parting
        .height
        .or(longest.map(|line| f64::midpoint(line.height_low, line.height_high)))
}
