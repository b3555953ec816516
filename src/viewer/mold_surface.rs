//! The surface of a finished mold: both halves as they are milled, in the pose of the part.

use std::collections::HashMap;

use crate::draw::formed_surfaces::{Formed, FormedSurfaces};
use crate::geom::Vector;
use crate::mesh::TriMesh;
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mesh::neighbors::{self, NONE};
use crate::mold::build::Mold;
use crate::part::halves::Half;
use crate::viewer::corners::{Corner, SHARP_COS, Surface};

/// One half, and what is known of its facets.
struct Body<'a> {
    half: Half,
    mesh: &'a TriMesh,
    /// What each facet forms.
    formed: &'a [(Formed, bool)],
    /// The face of each facet: facets that turn into each other smoothly and form alike.
    faces: &'a [u32],
    /// The facets across its edges.
    neighbors: &'a [[u32; 3]],
    /// Faces of the halves before.
    before: u32,
}

/// The halves of `mold`.
pub(crate) fn collect(mold: &Mold) -> Surface {
    let surfaces = FormedSurfaces::collect(mold);
    let mut surface = Surface::default();
    let mut before = 0;
    for (half, solid) in [Half::Plus, Half::Minus].into_iter().zip(&mold.halves) {
        let mesh = solid.mesh();
        let formed = surfaces.formed_by_facets(&mesh, half);
        let mesh = mesh.map_points(|point| mold.axes.in_pose(point));
        let neighbors = neighbors::find(&mesh);
        let (faces, count) = faces(&mesh, &formed, &neighbors);
        let body = Body {
            half,
            mesh: &mesh,
            formed: &formed,
            faces: &faces,
            neighbors: &neighbors,
            before,
        };
        add(&mut surface, &body);
        before += count as u32;
    }
    surface
}

/// The face of each facet, and how many there are.
fn faces(
    mesh: &TriMesh,
    formed: &[(Formed, bool)],
    neighbors: &[[u32; 3]],
) -> (Vec<u32>, usize) {
    let mut sets = DisjointSets::new(mesh.facets().len());
    for (facet, across) in neighbors.iter().enumerate() {
        for &other in across.iter().filter(|other| **other != NONE) {
            let is_alike = formed[facet].0 == formed[other as usize].0;
            if is_alike && !is_sharp(mesh, facet, other as usize) {
                sets.join(facet, other as usize);
            }
        }
    }
    sets.numbered()
}

fn is_sharp(mesh: &TriMesh, one: usize, other: usize) -> bool {
    mesh.normals()[one].dot(&mesh.normals()[other]) < SHARP_COS
}

fn add(surface: &mut Surface, body: &Body<'_>) {
    let Body { half, mesh, formed, faces, neighbors, before } = *body;
    let mut homes: HashMap<(u32, u32), u32> = HashMap::new();
    let first = surface.facets.len();
    for (facet, points) in mesh.facets().iter().enumerate() {
        let weighed = mesh.normals()[facet] * mesh.areas()[facet];
        let code = Formed::ALL.iter().position(|formed_by| *formed_by == formed[facet].0);
        let own = points.map(|point| {
            let corner = *homes.entry((point, faces[facet])).or_insert_with(|| {
                surface.corners.push(Corner {
                    at: mesh.points()[point as usize],
                    normal: Vector::zeros(),
                    face: before + faces[facet],
                    half,
                    values: [None; 4],
                    kind: code.map(|code| code as u8),
                    problem: None,
                });
                surface.corners.len() as u32 - 1
            });
            surface.corners[corner as usize].normal += weighed;
            corner
        });
        surface.facets.push(own);
    }
    // An edge is drawn once, from the facet of the lower number.
    for (facet, across) in neighbors.iter().enumerate() {
        for (side, &other) in across.iter().enumerate() {
            let is_drawn = other != NONE
                && (facet as u32) < other
                && is_sharp(mesh, facet, other as usize);
            if is_drawn {
                let own = surface.facets[first + facet];
                surface.edges.push([own[side], own[(side + 1) % 3]]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::collect;
    use crate::analysis::mold::{MoldChoices, design};
    use crate::findings::fixtures::{analysis, plug};
    use crate::part::halves::Half;

    /// Each half closes, so that what is cut of it may be closed; and its volume is that of
    /// the solid it was made of (sum of tetrahedra over the corners as they are packed).
    #[test]
    fn the_halves_that_are_shown_are_those_that_are_milled() {
        let mold = design(&analysis(&plug()), &MoldChoices::default()).unwrap().mold;
        let surface = collect(&mold);
        for (half, solid) in [Half::Plus, Half::Minus].into_iter().zip(&mold.halves) {
            let of_half = |corner: u32| surface.corners[corner as usize].half == half;
            let facets = surface.facets.iter().filter(|facet| of_half(facet[0]));
            let volume: f64 = facets
                .map(|facet| {
                    assert!(facet.iter().all(|&corner| of_half(corner)));
                    let [a, b, c] =
                        facet.map(|corner| surface.corners[corner as usize].at.coords);
                    a.dot(&b.cross(&c)) / 6.0
                })
                .sum();
            let wanted = solid.volume();
            assert!((volume - wanted).abs() < 1e-6 * wanted, "{volume} {wanted}");
        }
        assert!(surface.corners.iter().any(|corner| corner.kind == Some(0)));
        assert!(surface.corners.iter().any(|corner| corner.kind == Some(1)));
        assert!(!surface.edges.is_empty());
    }
}
