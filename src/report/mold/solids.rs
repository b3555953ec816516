//! The halves, the part and the feed as STL, and all of them as one 3MF in millimeters.

use std::io::Cursor;

use threemf::model::{
    Build, Item, Mesh, Model, Object, Resources, Triangle, Triangles, Vertex, Vertices,
};

use crate::geom::Point;
use crate::mesh::solid::Solid;
use crate::mesh::stl;
use crate::mold::build::Mold;
use crate::part::halves::Half;

/// Steps in a millimeter to which places are rounded in the 3MF: a hundredth of a micron.
const STEPS_PER_MM: f64 = 1e5;

/// The four solids by name, in the pose of the part.
pub(crate) fn posed(mold: &Mold) -> [(&'static str, Solid); 4] {
    let [plus, minus] = &mold.halves;
    let (cavity, core) =
        if mold.core == Half::Plus { (minus, plus) } else { (plus, minus) };
    let named =
        [("cavity", cavity), ("core", core), ("part", &mold.part), ("feed", &mold.feed)];
    named.map(|(name, solid)| (name, solid.map(|point| mold.axes.in_pose(point))))
}

/// A solid as binary STL. Facets whose corners fall together in single precision go: their
/// neighbors meet there.
pub(crate) fn stl(solid: &Solid) -> std::io::Result<Vec<u8>> {
    let single =
        |point: &Point| [point.x, point.y, point.z].map(|value| value as f32 + 0.0);
    let kept: Vec<[Point; 3]> = solid
        .triangles()
        .filter(|corners| {
            let [a, b, c] = [&corners[0], &corners[1], &corners[2]].map(single);
            let bits = [a, b, c].map(|corner| corner.map(f32::to_bits));
            bits[0] != bits[1] && bits[1] != bits[2] && bits[2] != bits[0]
        })
        .collect();
    let mut bytes = Vec::new();
    stl::write(kept.into_iter(), &mut bytes)?;
    Ok(bytes)
}

/// All solids in one file.
pub(crate) fn three_mf(
    solids: &[(&'static str, Solid)],
) -> Result<Vec<u8>, threemf::Error> {
    let full = solids.iter().filter(|(_, solid)| !solid.is_empty());
    let object = |((name, solid), id): (&(&'static str, Solid), usize)| Object {
        id,
        name: Some((*name).to_owned()),
        mesh: Some(mesh(solid)),
        ..Object::default()
    };
    let object: Vec<Object> = full.zip(1..).map(object).collect();
    let item = object
        .iter()
        .map(|object| Item { objectid: object.id, transform: None, partnumber: None })
        .collect();
    let model = Model {
        resources: Resources { object, basematerials: None },
        build: Build { item },
        ..Model::default()
    };
    let mut bytes = Cursor::new(Vec::new());
    threemf::write(&mut bytes, model)?;
    Ok(bytes.into_inner())
}

fn mesh(solid: &Solid) -> Mesh {
    let round = |value: f64| (value * STEPS_PER_MM).round() / STEPS_PER_MM + 0.0;
    let vertex = |point: &Point| Vertex {
        x: round(point.x),
        y: round(point.y),
        z: round(point.z),
    };
    let triangle = |facet: &[u32; 3]| {
        let [v1, v2, v3] = facet.map(|corner| corner as usize);
        Triangle { v1, v2, v3 }
    };
    Mesh {
        vertices: Vertices { vertex: solid.points.iter().map(vertex).collect() },
        triangles: Triangles { triangle: solid.facets.iter().map(triangle).collect() },
    }
}
