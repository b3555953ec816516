//! The two halves as closed solids, before anything but the part is cut: the skin of each,
//! the parting surface, the walls and the outer face of the block.
//!
//! Both halves share every corner of the parting surface, and each skin is that of the
//! part turned inside out, so part and halves fill the block by construction.

use crate::geom::Point;
use crate::mesh::solid::Solid;
use crate::mesh::triangulation::{self, Line, TriangulationInput};
use crate::mold::parting_surface::Surface;
use crate::part::halves::Half;
use crate::part::parting::Skins;

/// The + half and the − half of a block that reaches along the pull over `span`.
/// `points` are those of the skins, in the axes of the mold.
pub fn build(
    skins: &Skins,
    points: &[Point],
    surface: &Surface,
    span: [f64; 2],
) -> [Solid; 2] {
    [(Half::Plus, span[1]), (Half::Minus, span[0])].map(|(half, face)| {
        let mut points = points.to_vec();
        points.extend_from_slice(&surface.points);
        let own = skins.mesh.facets().iter().zip(&skins.halves);
        let skin = own.filter(|(_, of)| **of == half).map(|(facet, _)| turned(*facet));
        let mut facets: Vec<[u32; 3]> = skin.collect();
        let first = points.len() as u32;
        let rim: Vec<Point> = surface
            .outline
            .iter()
            .map(|&corner| points[corner as usize])
            .map(|point| Point::new(point.x, point.y, face))
            .collect();
        let outer: Vec<u32> = (first..).take(rim.len()).collect();
        let lid = lid(&rim, &outer);
        points.extend(rim);
        let walls = walls(&surface.outline, &outer);
        if half == Half::Plus {
            facets.extend(surface.facets.iter().copied().map(turned));
            facets.extend(walls);
            facets.extend(lid);
        } else {
            facets.extend(&surface.facets);
            facets.extend(walls.map(turned));
            facets.extend(lid.into_iter().map(turned));
        }
        compact(&points, facets)
    })
}

fn turned([a, b, c]: [u32; 3]) -> [u32; 3] {
    [a, c, b]
}

/// Walls from `low` up to `high`, both counter-clockwise seen from above.
fn walls<'a>(low: &'a [u32], high: &'a [u32]) -> impl Iterator<Item = [u32; 3]> + 'a {
    let count = low.len();
    (0..count).flat_map(move |i| {
        let next = (i + 1) % count;
        [[low[i], low[next], high[next]], [low[i], high[next], high[i]]]
    })
}

/// The outer face, seen from above.
fn lid(rim: &[Point], names: &[u32]) -> Vec<[u32; 3]> {
    let places = rim.iter().map(|point| [point.x, point.y]).collect();
    let outline = Line { names: names.to_vec(), places };
    let none = Line { names: Vec::new(), places: Vec::new() };
    let input = TriangulationInput { rings: &[], outline: &outline, inner: &none };
    // A rectangle does not cross itself.
    triangulation::triangulate(&input).unwrap_or_default().triangles
}

/// Only the points that a facet names.
fn compact(points: &[Point], mut facets: Vec<[u32; 3]>) -> Solid {
    let mut fresh: Vec<Option<u32>> = vec![None; points.len()];
    let mut kept = Vec::new();
    for corner in facets.iter_mut().flatten() {
        let own = *corner as usize;
        let name = *fresh[own].get_or_insert_with(|| {
            kept.push(points[own]);
            kept.len() as u32 - 1
        });
        *corner = name;
    }
    Solid { points: kept, facets }
}
