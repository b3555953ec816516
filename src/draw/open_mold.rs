//! `maps/halves.png`: both halves side by side, each seen obliquely on its parting face.

use rayon::prelude::*;

use crate::draw::atlas::{
    self, CAPTION, FINE, GAP, MARGIN, Panel, Place, SHEET_WIDTH, TITLE,
};
use crate::draw::canvas::{Canvas, Fonts, Type};
use crate::draw::formed_surfaces::{Formed, FormedSurfaces};
use crate::draw::legend::{LABEL, SOFT};
use crate::draw::map::{self, MapError};
use crate::draw::palette::{INK, Rgb, WHITE};
use crate::draw::raster::NONE;
use crate::draw::view::{self, View};
use crate::geom::Direction;
use crate::mesh::TriMesh;
use crate::mold::build::Mold;
use crate::part::halves::Half;

/// Where the eye is: on the + half from below, on the − half from above.
const EYES: [&str; 2] = ["from the front right, below", "from the front right, above"];
/// No picture is higher.
const HIGHEST: f64 = 760.0;
/// A place that a pixel shows and that is nearer to a surface belongs to it, mm.
const SEEN_MM: f64 = 5e-3;

/// Draws both halves of `mold`.
pub(crate) fn png(mold: &Mold, pull: Direction, part: &str) -> Result<Vec<u8>, MapError> {
    let [plus, minus] = &mold.halves;
    let halves = [(Half::Plus, plus), (Half::Minus, minus)];
    let candidates = view::candidates(pull);
    let eye = |name: &str| candidates.iter().find(|view| view.name == name).cloned();
    let mut scenes = Vec::new();
    for ((half, solid), name) in halves.into_iter().zip(EYES) {
        let Some(view) = eye(name) else { continue };
        let title = if half == mold.core { "core half" } else { "cavity half" };
        let posed = solid.map(|point| mold.axes.in_pose(point)).mesh();
        let view = View { name: format!("{title}, {name}"), ..view };
        scenes.push((half, solid, posed, view));
    }
    // The cavity half stands at the left.
    scenes.sort_by_key(|(half, ..)| *half == mold.core);
    let cell = (SHEET_WIDTH - 2 * MARGIN - GAP) / 2;
    let looks: Vec<_> = scenes
        .iter()
        .filter_map(|(_, _, mesh, view)| atlas::looks(mesh, vec![view.clone()]).pop())
        .collect();
    let scale = looks.iter().map(|look| {
        let [width, height] = look.extent;
        ((cell - 4) as f64 / width.max(1e-9)).min(HIGHEST / height.max(1e-9))
    });
    let scale = scale.fold(f64::INFINITY, f64::min);
    let highest = looks.iter().map(|look| atlas::picture_size(&look.extent, scale)[1]);
    let highest = highest.max().unwrap_or(0);
    let height = TITLE + CAPTION + highest + GAP + 60 + MARGIN;
    let mut canvas = Canvas::new(SHEET_WIDTH, height, Fonts::load()?);
    let surfaces = FormedSurfaces::collect(mold);
    for (i, (look, (half, solid, mesh, _))) in looks.into_iter().zip(&scenes).enumerate()
    {
        let size = atlas::picture_size(&look.extent, scale);
        let left = MARGIN + i * (cell + GAP);
        let top = TITLE + CAPTION + (highest - size[1]) / 2;
        let picture = [left + (cell - size[0].min(cell)) / 2, top];
        let place = Place { corner: [left, TITLE], picture, size };
        let panel = atlas::panel(mesh, look, place, scale);
        let colors: Vec<Option<Rgb>> = surfaces
            .formed_by_facets(&solid.mesh(), *half)
            .into_iter()
            .map(|(formed, is_whole)| is_whole.then(|| formed.color()))
            .collect();
        let scene = Scene { mold, panel: &panel, mesh, half: *half };
        map::lay(&mut canvas, &panel, &scene.pixels(&surfaces, &colors));
        map::caption(&mut canvas, &panel, pull);
    }
    words(&mut canvas, part, height);
    map::encode(&canvas)
}

fn words(canvas: &mut Canvas, part: &str, height: usize) {
    let left = MARGIN as f32;
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let name = canvas.fonts().fit(Type::bold(30.0), part, room);
    canvas.text([left, 48.0], Type::bold(30.0), &name, INK);
    let what = "Both halves of the mold, each on its parting face, at one scale";
    canvas.text([left, 84.0], Type::regular(19.0), what, SOFT);
    let top = (height - MARGIN - 40) as f32;
    let mut at = left;
    for (color, label) in Formed::ALL.map(|formed| (formed.color(), formed.label())) {
        for row in 0..24_u16 {
            let y = top + f32::from(row);
            let pen = crate::draw::canvas::Pen { color, width: 1.6 };
            canvas.line([at, y], [at + 36.0, y], pen);
        }
        canvas.text([at + 48.0, top + 18.0], Type::regular(LABEL), label, INK);
        at += 78.0 + canvas.fonts().width(Type::regular(LABEL), label);
    }
}

/// One half as it is drawn.
struct Scene<'a> {
    mold: &'a Mold,
    panel: &'a Panel,
    mesh: &'a TriMesh,
    half: Half,
}

impl Scene<'_> {
    fn pixels(&self, surfaces: &FormedSurfaces, colors: &[Option<Rgb>]) -> Vec<Rgb> {
        let [width, height] = self.panel.size;
        let color = |at: usize| {
            let light = self.panel.lights.get(at).filter(|light| light.cover > 0.0)?;
            let [x, y] = [at % width * FINE, at / width * FINE];
            let parts = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| [x + dx, y + dy]);
            let seen: Vec<Rgb> = parts
                .into_iter()
                .filter_map(|part| self.color(part, surfaces, colors))
                .collect();
            let count = seen.len() as u32;
            let mean = |channel: usize| {
                let sum: u32 = seen.iter().map(|color| u32::from(color[channel])).sum();
                (sum / count.max(1)) as u8
            };
            (count > 0).then(|| light.over([0, 1, 2].map(mean)))
        };
        (0..width * height).into_par_iter().map(|at| color(at).unwrap_or(WHITE)).collect()
    }

    /// What a pixel of the buffer shows.
    fn color(
        &self,
        [x, y]: [usize; 2],
        surfaces: &FormedSurfaces,
        colors: &[Option<Rgb>],
    ) -> Option<Rgb> {
        let buffer = &self.panel.buffer;
        let facet = *buffer.facets.get(y * buffer.width + x)?;
        if facet == NONE {
            return None;
        }
        let facet = facet as usize;
        if let Some(color) = colors.get(facet).copied().flatten() {
            return Some(color);
        }
        let place = [x as f64 + 0.5, y as f64 + 0.5];
        let [on, normal] =
            [self.mesh.corners(facet)[0].coords, self.mesh.normals()[facet]];
        let at = self.panel.camera.meets(place, &on.into(), &normal)?;
        let at = self.mold.axes.of_pose(&at);
        Some(surfaces.formed_at(&at, self.half, SEEN_MM).color())
    }
}
