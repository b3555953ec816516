//! A surface of which only its shape is known: corners are shared where facets turn into each other
//! smoothly, and edges are drawn where they do not.

use std::collections::HashMap;

use crate::geom::Vector;
use crate::mesh::TriMesh;
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mesh::neighbors::{self, NONE};
use crate::part::halves::Half;
use crate::viewer::corners::{Corner, SHARP_COS, Surface};

/// A closed piece of the surface.
pub(crate) struct Body<'a> {
    /// The half that it moves with.
    pub(crate) half: Half,
    /// Its facets.
    pub(crate) mesh: &'a TriMesh,
    /// What each facet is, by its place among the kinds of the scene; nothing where that is not
    /// known.
    pub(crate) kinds: &'a [Option<u8>],
}

/// The surface of a part as it was read.
pub(crate) fn collect(mesh: &TriMesh) -> Surface {
    let mut surface = Surface::default();
    let kinds = vec![None; mesh.facets().len()];
    add(&mut surface, &Body { half: Half::Plus, mesh, kinds: &kinds }, 0);
    surface
}

/// Adds a body whose faces are numbered from `before` on; how many faces it has. A face is what
/// turns smoothly and is of one kind.
pub(crate) fn add(surface: &mut Surface, body: &Body<'_>, before: u32) -> u32 {
    let Body { half, mesh, kinds } = *body;
    let neighbors = neighbors::find(mesh);
    let (faces, count) = faces(body, &neighbors);
    let mut homes: HashMap<(u32, u32), u32> = HashMap::new();
    let first = surface.facets.len();
    for (facet, points) in mesh.facets().iter().enumerate() {
        let weighed = mesh.normals()[facet] * mesh.areas()[facet];
        let own = points.map(|point| {
            let corner = *homes.entry((point, faces[facet])).or_insert_with(|| {
                surface.corners.push(Corner {
                    at: mesh.points()[point as usize],
                    normal: Vector::zeros(),
                    face: before + faces[facet],
                    half,
                    values: [None; 4],
                    kind: kinds[facet],
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
    count as u32
}

/// The face of each facet, and how many there are.
fn faces(body: &Body<'_>, neighbors: &[[u32; 3]]) -> (Vec<u32>, usize) {
    let Body { mesh, kinds, .. } = *body;
    let mut sets = DisjointSets::new(mesh.facets().len());
    for (facet, across) in neighbors.iter().enumerate() {
        for &other in across.iter().filter(|other| **other != NONE) {
            let is_alike = kinds[facet] == kinds[other as usize];
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

#[cfg(test)]
mod tests {
    use super::collect;
    use crate::mesh::shapes;

    /// A box has 6 faces, 12 edges and, as corners are not shared between faces, 24 corners.
    #[test]
    fn a_box_has_six_faces_and_twelve_edges() {
        let surface = collect(&shapes::cuboid(10.0, 20.0, 30.0));
        let faces = surface.corners.iter().map(|corner| corner.face).max();
        assert_eq!((surface.facets.len(), faces), (12, Some(5)));
        assert_eq!((surface.corners.len(), surface.edges.len()), (24, 12));
    }
}
