//! The pictures of one part before any color: which views, how large, where on the sheet.
//!
//! All panels share one scale. They stand in rows, like books on shelves, at the largest
//! scale at which the rows fit; so a long thin part gets long shelves and a cube small
//! squares. Each panel is drawn once and serves every map.

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use crate::draw::raster::{self, Camera, GBuffer};
use crate::draw::shading::{self, Light};
use crate::draw::surface_points::{self, Points};
use crate::draw::view::View;
use crate::geom::Point;
use crate::mesh::TriMesh;

/// Width of every sheet, pixels.
pub const SHEET_WIDTH: usize = 1680;
/// Free border of the sheet, pixels.
pub(crate) const MARGIN: usize = 36;
/// Room above the panels for the title.
pub(crate) const TITLE: usize = 100;
/// Room above each picture for its name, pull arrow and scale bar.
pub(crate) const CAPTION: usize = 58;
/// Room that the caption needs at least, across.
const CAPTION_WIDTH: usize = 330;
/// Room between panels.
pub(crate) const GAP: usize = 30;
/// The shelves together are at most this high.
const SHELVES: usize = 930;
/// No picture is longer than this, however much room there is.
const LONGEST: f64 = 900.0;
/// Depth-buffer pixels per sheet pixel along each axis: edges are smoothed by averaging.
pub(crate) const FINE: usize = 2;

/// Every view of one part, laid out and drawn.
pub struct Atlas<'a> {
    /// The part.
    pub mesh: &'a TriMesh,
    /// One picture a view.
    pub panels: Vec<Panel>,
    /// Height of the sheet above the legend, pixels.
    pub(crate) height: usize,
}

/// One view on the sheet.
pub struct Panel {
    /// Where it looks from.
    pub view: View,
    /// Its camera, in pixels of the depth buffer.
    pub camera: Camera,
    /// What shows, twice as fine as the sheet along each axis.
    pub buffer: GBuffer,
    /// Its light and lines, one a sheet pixel.
    pub(crate) lights: Vec<Light>,
    /// What each sheet pixel shows.
    pub(crate) points: Points,
    /// Left and top of its caption on the sheet.
    pub(crate) corner: [usize; 2],
    /// Left and top of its picture on the sheet.
    pub(crate) picture: [usize; 2],
    /// Width and height of its picture.
    pub(crate) size: [usize; 2],
}

/// A view's camera at one pixel a millimeter, and the rectangle that the part fills.
pub(crate) struct Look {
    view: View,
    camera: Camera,
    least: [f64; 2],
    /// Width and height of that rectangle, mm.
    pub(crate) extent: [f64; 2],
}

/// Lays out and draws `views` of `mesh`.
pub fn draw(mesh: &TriMesh, views: Vec<View>) -> Atlas<'_> {
    let looks: Vec<Look> = looks(mesh, views);
    let extents: Vec<[f64; 2]> = looks.iter().map(|look| look.extent).collect();
    let (scale, places, height) = shelve(&extents);
    let panels = looks
        .into_iter()
        .zip(places)
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|(look, place)| panel(mesh, look, place, scale))
        .collect();
    Atlas { mesh, panels, height: TITLE + height }
}

/// The cameras of `views`, each with what the part fills.
pub(crate) fn looks(mesh: &TriMesh, views: Vec<View>) -> Vec<Look> {
    let mut used = vec![false; mesh.points().len()];
    for &corner in mesh.facets().iter().flatten() {
        used[corner as usize] = true;
    }
    let bounds = mesh.bounds();
    let sound = bounds.diagonal().is_finite();
    let origin = if sound { bounds.center() } else { Point::origin() };
    let look = |view: View| {
        let camera = Camera::new(&view, origin);
        let mut least = [f64::INFINITY; 2];
        let mut most = [f64::NEG_INFINITY; 2];
        for (point, _) in mesh.points().iter().zip(&used).filter(|(_, used)| **used) {
            let turned = camera.turn(&(point - origin));
            for axis in 0..2 {
                least[axis] = least[axis].min(turned[axis]);
                most[axis] = most[axis].max(turned[axis]);
            }
        }
        if !sound {
            (least, most) = ([0.0; 2], [1.0; 2]);
        }
        Look { view, camera, least, extent: [most[0] - least[0], most[1] - least[1]] }
    };
    views.into_par_iter().map(look).collect()
}

/// Draws `look` at `scale` pixels per millimeter into its place.
pub(crate) fn panel(mesh: &TriMesh, look: Look, place: Place, scale: f64) -> Panel {
    let fine = scale * FINE as f64;
    // The part in the middle of its picture.
    let shift = [0, 1].map(|axis| {
        let room = (place.size[axis] * FINE) as f64 - look.extent[axis] * fine;
        room / 2.0 - look.least[axis] * fine
    });
    let camera = look.camera.scaled(fine, shift);
    let [width, height] = place.size.map(|edge| edge * FINE);
    let buffer = raster::draw(mesh, &camera, width, height);
    Panel {
        lights: shading::shade(mesh, &camera, &buffer, FINE),
        points: surface_points::locate(mesh, &camera, &buffer, FINE),
        buffer,
        camera,
        view: look.view,
        corner: place.corner,
        picture: place.picture,
        size: place.size,
    }
}

/// Where a panel goes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    /// Left and top of the caption.
    pub(crate) corner: [usize; 2],
    /// Left and top of the picture.
    pub(crate) picture: [usize; 2],
    /// Width and height of the picture.
    pub(crate) size: [usize; 2],
}

/// The largest scale (pixels per millimeter) at which pictures of `extents` fit, their
/// places, and how high they stand together.
fn shelve(extents: &[[f64; 2]]) -> (f64, Vec<Place>, usize) {
    let longest = extents.iter().flatten().copied().fold(1e-9, f64::max);
    let long_part = (SHEET_WIDTH - 2 * MARGIN) as f64 - 2.0;
    let squat = extents.iter().map(|e| e[0].min(e[1])).fold(f64::INFINITY, f64::min);
    // A part much longer than wide may use the whole width.
    let room = if squat < longest / 4.0 { long_part } else { LONGEST };
    let start = room / longest;
    // 1.5 % a step: too small to see, and at most a few hundred steps to nearly nothing.
    let scales = (0..400).map(|step| start * 0.985_f64.powi(step));
    let last = start * 0.985_f64.powi(400);
    let fits = |scale: f64| {
        let shelves = shelves(extents, scale);
        (shelves.iter().map(|shelf| shelf.height + GAP).sum::<usize>() <= SHELVES)
            .then_some((scale, shelves))
    };
    let (scale, shelves) = scales
        .into_iter()
        .find_map(fits)
        .unwrap_or_else(|| (last, shelves(extents, last)));
    let (places, height) = places(extents, &shelves, scale);
    (scale, places, height)
}

/// One row of panels.
struct Shelf {
    panels: std::ops::Range<usize>,
    width: usize,
    height: usize,
}

fn shelves(extents: &[[f64; 2]], scale: f64) -> Vec<Shelf> {
    let room = SHEET_WIDTH - 2 * MARGIN;
    let mut shelves: Vec<Shelf> = Vec::new();
    for (i, extent) in extents.iter().enumerate() {
        let [width, height] = picture_size(extent, scale);
        let (width, height) = (width.max(CAPTION_WIDTH), height + CAPTION);
        match shelves.last_mut() {
            Some(shelf) if shelf.width + GAP + width <= room => {
                shelf.panels.end = i + 1;
                shelf.width += GAP + width;
                shelf.height = shelf.height.max(height);
            }
            _ => shelves.push(Shelf { panels: i..i + 1, width, height }),
        }
    }
    shelves
}

/// Each shelf spreads over the width; a lone panel keeps to the left.
fn places(extents: &[[f64; 2]], shelves: &[Shelf], scale: f64) -> (Vec<Place>, usize) {
    let room = SHEET_WIDTH - 2 * MARGIN;
    let mut places = Vec::new();
    let mut top = 0;
    for shelf in shelves {
        let spare = room.saturating_sub(shelf.width) / shelf.panels.len().max(1);
        let mut left = MARGIN;
        for extent in &extents[shelf.panels.clone()] {
            let size = picture_size(extent, scale);
            let cell = size[0].max(CAPTION_WIDTH);
            places.push(Place {
                corner: [left, TITLE + top],
                picture: [left + (cell - size[0]) / 2, TITLE + top + CAPTION],
                size,
            });
            left += cell + GAP + spare;
        }
        top += shelf.height + GAP;
    }
    (places, top)
}

/// The extent at `scale` and a free pixel around it.
pub(crate) fn picture_size(extent: &[f64; 2], scale: f64) -> [usize; 2] {
    extent.map(|edge| ((edge * scale).ceil() as usize).clamp(1, SHEET_WIDTH) + 2)
}

#[cfg(test)]
mod tests {
    use super::{MARGIN, Place, SHEET_WIDTH, draw, shelve};
    use crate::draw::raster::NONE;
    use crate::draw::view;
    use crate::geom::Direction;
    use crate::schema::fixtures;

    #[test]
    fn panels_stay_on_the_sheet_and_apart() {
        let shapes = [[100.0, 3.0, 3.0], [80.0, 80.0, 1.0], [20.0; 3], [1e-3, 2e5, 40.0]];
        for (shape, count) in shapes.iter().flat_map(|s| [1, 2, 5, 8].map(|n| (s, n))) {
            let views = [[0, 1], [0, 1], [0, 2], [1, 2]].repeat(2);
            let extents: Vec<[f64; 2]> =
                views[..count].iter().map(|axes| axes.map(|axis| shape[axis])).collect();
            let (scale, places, height) = shelve(&extents);
            assert!(scale > 0.0 && height < 1200, "{shape:?} {count} {height}");
            for (i, a) in places.iter().enumerate() {
                assert!(a.picture[0] + a.size[0] <= SHEET_WIDTH - MARGIN + 2);
                let apart = |b: &Place, axis: usize| {
                    a.picture[axis] >= b.picture[axis] + b.size[axis]
                        || b.picture[axis] >= a.picture[axis] + a.size[axis]
                };
                assert!(
                    places[..i].iter().all(|b| apart(b, 0) || apart(b, 1)),
                    "{places:?}"
                );
            }
        }
    }

    #[test]
    fn every_view_shows_the_whole_part() {
        let mesh = fixtures::block([30.0, 20.0, 10.0]);
        let atlas = draw(&mesh, view::candidates(Direction::Z));
        assert_eq!(atlas.panels.len(), 14);
        for panel in &atlas.panels {
            let buffer = &panel.buffer;
            let at = |x: usize, y: usize| buffer.facets[y * buffer.width + x] != NONE;
            let border = (0..buffer.width)
                .flat_map(|x| [(x, 0), (x, buffer.height - 1)])
                .chain((0..buffer.height).flat_map(|y| [(0, y), (buffer.width - 1, y)]));
            assert!(border.clone().count() > 100);
            assert!(!border.into_iter().any(|(x, y)| at(x, y)), "{}", panel.view.name);
            assert!((0..buffer.width).any(|x| at(x, 4)), "{}", panel.view.name);
        }
    }
}
