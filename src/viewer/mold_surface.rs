//! The surface of a finished mold: both halves as they are milled, in the pose of the part.

use crate::draw::formed_surfaces::{Formed, FormedSurfaces};
use crate::mold::build::Mold;
use crate::part::halves::Half;
use crate::viewer::corners::Surface;
use crate::viewer::smooth_surface::{self, Body};

/// The halves of `mold`.
pub(crate) fn collect(mold: &Mold) -> Surface {
    let surfaces = FormedSurfaces::collect(mold);
    let mut surface = Surface::default();
    let mut before = 0;
    for (half, solid) in [Half::Plus, Half::Minus].into_iter().zip(&mold.halves) {
        let mesh = solid.mesh();
        let formed = surfaces.formed_by_facets(&mesh, half);
        let kind = |formed: &Formed| {
            let place = Formed::ALL.iter().position(|it| it == formed);
            place.map(|place| place as u8)
        };
        let kinds: Vec<Option<u8>> = formed.iter().map(|(by, _)| kind(by)).collect();
        let mesh = mesh.map_points(|point| mold.axes.in_pose(point));
        let body = Body { half, mesh: &mesh, kinds: &kinds };
        before += smooth_surface::add(&mut surface, &body, before);
    }
    surface
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
