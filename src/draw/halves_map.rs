//! The part pulled apart: the skin that each half of the mold forms, away from the other.
//!
//! Facets of the + half move along the pull, facets of the − half against it, just so far
//! that neither skin hides the other in either picture. The edges where they met are the
//! parting line; dashed lines join what belongs together. A skin seen from inside is
//! paler and dotted: a skin has no thickness, its back is where the plastic would be.

use crate::draw::atlas::{
    self, CAPTION, FINE, GAP, MARGIN, Panel, Place, SHEET_WIDTH, TITLE,
};
use crate::draw::canvas::{Canvas, Fonts, Pen, Spot, Type};
use crate::draw::legend::{self, LABEL, LOWER, SOFT, THICK};
use crate::draw::map::{self, MapError};
use crate::draw::paint::{Hatch, Tone};
use crate::draw::palette::{INK, Kind, Rgb, WHITE, mix};
use crate::draw::raster::NONE;
use crate::draw::separated_skins::{self, SeparatedSkins};
use crate::draw::view::{self, View};
use crate::geom::{Direction, Point};
use crate::mesh::TriMesh;
use crate::mesh::samples::Samples;
use crate::part::halves::{Half, Role};
use crate::part::parting;
use crate::units::format;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Where the eye is: one look onto each half.
const EYES: [&str; 2] = ["from the front right, above", "from the front left, below"];
/// Room above and below a picture for the way that a half leaves.
const STRIP: usize = 50;
/// No picture is higher.
const HIGHEST: f64 = 820.0;
/// A line within so many buffer pixels behind the surface lies on it.
const ON: f32 = 5.0;
/// How much of the color is left where a skin shows its inside.
const INSIDE: f32 = 0.38;
/// The edges where the halves meet.
const PARTING: Pen = Pen { color: INK, width: 3.6 };
/// The same where it turns so often (a thread, a scan) that it would hide the part.
const CROWDED: Pen = Pen { color: INK, width: 1.0 };
/// There a square of this many pixels holds more than four times its edge of line.
const SQUARE: f32 = 12.0;
/// What joins the skins.
const GUIDE: Pen = Pen { color: [120; 3], width: 1.8 };
/// Length of a dash and of the room to the next, pixels.
const DASH: [f32; 2] = [9.0, 7.0];

/// What the picture shows.
pub struct Halves<'a> {
    /// Name of the part.
    pub part: &'a str,
    /// What is shown, in a few words.
    pub what: &'a str,
    /// The surface of the part, cut where the halves meet.
    pub skins: &'a parting::Skins,
    /// Points on the part.
    pub samples: &'a Samples,
    /// Whether neither half can leave each of them.
    pub trapped: &'a [bool],
    /// Along which the + half leaves.
    pub pull: Direction,
    /// Which of the halves is the core.
    pub core: Half,
}

/// Draws `halves` and packs the sheet as PNG.
///
/// # Errors
/// When the built-in font is broken or the picture cannot be packed.
pub fn png(halves: &Halves<'_>) -> Result<Vec<u8>, MapError> {
    let views: Vec<View> = view::candidates(halves.pull)
        .into_iter()
        .filter(|view| EYES.contains(&view.name.as_str()))
        .collect();
    let parted = halves.skins;
    let skins =
        SeparatedSkins::separate(&parted.mesh, &parted.halves, halves.pull, &views);
    let (panels, height) = panels(&skins.mesh, views);
    let mut canvas = Canvas::new(SHEET_WIDTH, height, Fonts::load()?);
    let (near, trapped) = separated_skins::near_trapped(halves.samples, halves.trapped);
    let near = skins.samples(&near, halves.pull, |facet, point| {
        parted.formed.half_at(facet, halves.pull.dot(&point.coords))
    });
    let tiles: Vec<(Vec<Rgb>, bool)> = panels
        .par_iter()
        .map(|panel| tile(panel, &skins, halves, &near, &trapped))
        .collect();
    for (panel, (pixels, _)) in panels.iter().zip(&tiles) {
        map::lay(&mut canvas, panel, pixels);
        map::caption(&mut canvas, panel, halves.pull);
        lines(&mut canvas, panel, &skins);
        ways(&mut canvas, panel);
    }
    title(&mut canvas, halves);
    let trapped = tiles.iter().any(|(_, trapped)| *trapped);
    explain(&mut canvas, halves.core, trapped, skins.apart);
    map::encode(&canvas)
}

/// Both views side by side at one scale, each with a strip above and below, and the
/// height of the sheet.
fn panels(mesh: &TriMesh, views: Vec<View>) -> (Vec<Panel>, usize) {
    let cell = (SHEET_WIDTH - 2 * MARGIN - GAP) / 2;
    let looks = atlas::looks(mesh, views);
    let fits = |[width, height]: [f64; 2]| {
        ((cell - 4) as f64 / width.max(1e-9)).min(HIGHEST / height.max(1e-9))
    };
    let scale = looks.iter().map(|look| fits(look.extent)).fold(f64::INFINITY, f64::min);
    let sizes = looks.iter().map(|look| atlas::picture_size(&look.extent, scale));
    let sizes: Vec<[usize; 2]> = sizes.collect();
    let highest = sizes.iter().map(|size| size[1]).max().unwrap_or(0);
    let place = |i: usize| {
        let left = MARGIN + i * (cell + GAP);
        let spare = [cell - sizes[i][0].min(cell), highest - sizes[i][1]];
        let top = TITLE + CAPTION + STRIP;
        let picture = [left + spare[0] / 2, top + spare[1] / 2];
        Place { corner: [left, TITLE], picture, size: sizes[i] }
    };
    let panels = looks
        .into_iter()
        .enumerate()
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|(i, look)| atlas::panel(mesh, look, place(i), scale))
        .collect();
    let above = TITLE + CAPTION + 2 * STRIP + highest + GAP;
    (panels, above + legend::HEIGHT + MARGIN)
}

/// The pixels of a panel, and whether something trapped shows.
fn tile(
    panel: &Panel,
    skins: &SeparatedSkins,
    halves: &Halves<'_>,
    samples: &Samples,
    is_trapped: &[bool],
) -> (Vec<Rgb>, bool) {
    let shown = &panel.points;
    let trapped = if is_trapped.contains(&true) {
        shown.gather_near(&panel.camera, samples, |sample| {
            let is = is_trapped.get(sample).copied().unwrap_or(false);
            [f32::from(u8::from(is)), 1.0]
        })
    } else {
        vec![[0.0; 2]; shown.facets.len()]
    };
    let mut any = false;
    let width = panel.size[0];
    let mut pixel = |(i, &facet): (usize, &u32)| {
        let half = (facet != NONE).then(|| skins.half(facet)).flatten();
        let Some(half) = half else { return WHITE };
        let [some, all] = trapped[i];
        let is_trapped = some * 2.0 > all;
        any |= is_trapped;
        let kind = if is_trapped { Kind::Trapped } else { kind(half, halves.core) };
        let place = [panel.picture[0] + i % width, panel.picture[1] + i / width];
        let (tone, light) = (Tone::of_kind(kind), panel.lights[i]);
        let tone = if light.behind > 0.6 { inside(tone) } else { tone };
        light.over(tone.at(place[0], place[1]))
    };
    (shown.facets.iter().enumerate().map(&mut pixel).collect(), any)
}

fn kind(half: Half, core: Half) -> Kind {
    match half.role(core) {
        Role::Core => Kind::Core,
        Role::Cavity => Kind::Cavity,
    }
}

/// `tone` where it shows from behind: paler, with dots.
fn inside(tone: Tone) -> Tone {
    let hatch = if tone.hatch == Hatch::Plain { Hatch::Dots } else { tone.hatch };
    Tone { color: tone.color.map(|c| mix(255, c, INSIDE)), hatch }
}

/// The parting line on both skins, and what joins them.
fn lines(canvas: &mut Canvas, panel: &Panel, skins: &SeparatedSkins) {
    let camera = &panel.camera;
    let turned = |edge: &[[u32; 2]; 2]| camera.project(&skins.at(edge[0][0]));
    // Leftmost, rightmost and nearest: these seldom run into each other.
    let keys: [fn([f32; 3]) -> f32; 3] = [|p| p[0], |p| -p[0], |p| p[2]];
    for key in keys {
        let ends = skins.seam.iter();
        let best = ends.min_by(|a, b| key(turned(a)).total_cmp(&key(turned(b))));
        if let Some([plus, minus]) = best {
            let ends = [skins.at(plus[0]), skins.at(minus[0])];
            stroke(canvas, panel, ends, GUIDE, Some(DASH));
        }
    }
    let crowds = crowds(panel, skins);
    for edge in skins.seam.iter().flatten() {
        let ends = edge.map(|corner| skins.at(corner));
        let (square, _) = in_square(panel, &ends);
        let crowded = crowds.get(&square).is_some_and(|&length| length > 4.0 * SQUARE);
        stroke(canvas, panel, ends, if crowded { CROWDED } else { PARTING }, None);
    }
}

/// How much of the parting line lies in each square of the sheet, pixels.
fn crowds(panel: &Panel, skins: &SeparatedSkins) -> BTreeMap<[i64; 2], f32> {
    let mut crowds = BTreeMap::new();
    for edge in skins.seam.iter().flatten() {
        let (square, length) = in_square(panel, &edge.map(|corner| skins.at(corner)));
        // A long edge crosses many squares and crowds none.
        *crowds.entry(square).or_insert(0.0) += length.min(SQUARE);
    }
    crowds
}

/// The square of the sheet that holds the middle of an edge, and the length of the edge.
fn in_square(panel: &Panel, ends: &[Point; 2]) -> ([i64; 2], f32) {
    let [from, to] = ends.map(|end| panel.camera.project(&end));
    let fine = FINE as f32;
    let middle = [0, 1].map(|axis| f32::midpoint(from[axis], to[axis]) / fine);
    let length = (to[0] - from[0]).hypot(to[1] - from[1]) / fine;
    (middle.map(|at| (at / SQUARE).floor() as i64), length)
}

/// Draws those pieces of a line in space that nothing hides.
fn stroke(
    canvas: &mut Canvas,
    panel: &Panel,
    ends: [Point; 2],
    pen: Pen,
    dash: Option<[f32; 2]>,
) {
    let [from, to] = ends.map(|end| panel.camera.project(&end));
    let length = (to[0] - from[0]).hypot(to[1] - from[1]) / FINE as f32;
    let steps = (length.ceil() as usize).clamp(1, 4 * SHEET_WIDTH);
    let at = |step: usize| {
        let share = step as f32 / steps as f32;
        [0, 1, 2].map(|axis| from[axis] + (to[axis] - from[axis]) * share)
    };
    let drawn = |step: &usize| {
        let inked = dash.is_none_or(|[on, off]| *step as f32 % (on + off) < on);
        inked && shows(panel, at(*step)) && shows(panel, at(*step + 1))
    };
    let on_sheet = |[x, y, _]: [f32; 3]| -> Spot {
        let [left, top] = panel.picture.map(|edge| edge as f32);
        [left + x / FINE as f32, top + y / FINE as f32]
    };
    let inked: Vec<usize> = (0..steps).filter(drawn).collect();
    for run in inked.chunk_by(|a, b| a + 1 == *b) {
        if let (Some(&first), Some(&last)) = (run.first(), run.last()) {
            canvas.line(on_sheet(at(first)), on_sheet(at(last + 1)), pen);
        }
    }
}

/// Whether nothing lies before a place given in buffer pixels; an edge counts for the
/// surface on either side of it.
fn shows(panel: &Panel, [x, y, depth]: [f32; 3]) -> bool {
    let buffer = &panel.buffer;
    let near = |at: f32, count: usize| {
        let first = (at - 1.0).max(0.0) as usize;
        first..((at + 2.0).clamp(0.0, count as f32) as usize)
    };
    let columns = near(x, buffer.width);
    let mut rows = near(y, buffer.height);
    rows.any(|row| {
        let row = &buffer.depths[row * buffer.width..][..buffer.width];
        row[columns.clone()].iter().any(|&surface| surface + ON > depth)
    })
}

/// Above the picture the way of the + half, below it that of the − half.
fn ways(canvas: &mut Canvas, panel: &Panel) {
    let middle = (panel.picture[0] + panel.size[0] / 2) as f32;
    let top = panel.picture[1] as f32;
    let bottom = top + panel.size[1] as f32;
    for (base, up, label) in [
        (top - 8.0, -1.0, "+ half leaves this way"),
        (bottom + 8.0, 1.0, "− half leaves this way"),
    ] {
        let at = |out: f32, aside: f32| [middle + aside, base + up * out];
        let pen = Pen { color: SOFT, width: 3.0 };
        canvas.line(at(0.0, 0.0), at(24.0, 0.0), pen);
        canvas.triangle([at(22.0, -8.0), at(36.0, 0.0), at(22.0, 8.0)], SOFT);
        let text = [middle + 18.0, base + up * 18.0 + 6.0];
        canvas.text(text, Type::regular(LABEL), label, INK);
    }
}

fn title(canvas: &mut Canvas, halves: &Halves<'_>) {
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let lines = [
        (halves.part, Type::bold(30.0), 48.0, INK),
        (halves.what, Type::regular(20.0), 79.0, SOFT),
    ];
    for (text, kind, baseline, color) in lines {
        let text = canvas.fonts().fit(kind, text, room);
        canvas.text([MARGIN as f32, baseline], kind, &text, color);
    }
}

/// What the colors and lines mean.
fn explain(canvas: &mut Canvas, core: Half, trapped: bool, apart: f64) {
    let top = (canvas.height - legend::HEIGHT - MARGIN + LOWER) as f32;
    let mut next = MARGIN as f32;
    for half in Half::BOTH {
        let tone = Tone::of_kind(kind(half, core));
        let label = format!("{} half ({})", half.sign(), half.role(core));
        next = legend::swatch(canvas, [next, top], tone, &label);
        next = legend::swatch(canvas, [next, top], inside(tone), "its inside");
    }
    if trapped {
        next =
            legend::swatch(canvas, [next, top], Tone::of_kind(Kind::Trapped), "trapped");
    }
    let middle = top + THICK as f32 / 2.0;
    let end = [next + 42.0, middle];
    canvas.line([next, middle], end, PARTING);
    canvas.text([end[0] + 10.0, top + 19.0], Type::regular(LABEL), "parting line", INK);
    let text = format!(
        "Pulled apart by {}. Upright faces are parted where the \
         line stays flattest. Dashed lines join what met. Both views at one scale.",
        format::quantity(apart, "mm")
    );
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let text = canvas.fonts().fit(Type::regular(16.0), &text, room);
    let below = canvas.height as f32 - 22.0;
    canvas.text([MARGIN as f32, below], Type::regular(16.0), &text, SOFT);
}

#[cfg(test)]
mod tests {
    use super::{Halves, png};
    use crate::draw::atlas::SHEET_WIDTH;
    use crate::geom::Direction;
    use crate::mesh::samples::Samples;
    use crate::mesh::{TriMesh, shapes};
    use crate::part::halves::Half;
    use crate::part::parting::Skins;
    use crate::schema::fixtures;

    fn shown<'a>(
        skins: &'a Skins,
        samples: &'a Samples,
        trapped: &'a [bool],
    ) -> Halves<'a> {
        Halves {
            part: "part.stl",
            what: "Skins",
            skins,
            samples,
            trapped,
            pull: Direction::Z,
            core: Half::Minus,
        }
    }

    #[test]
    fn the_picture_decodes_and_does_not_depend_on_threads() {
        for mesh in fixtures::solids() {
            let skins = Skins::uncut(mesh.clone(), fixtures::facing(&mesh));
            let samples = fixtures::scattered(&mesh, 2000);
            let trapped: Vec<bool> = samples.points.iter().map(|p| p.x > 8.0).collect();
            let halves = shown(&skins, &samples, &trapped);
            let draw = |threads: usize| {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
                pool.build().unwrap().install(|| png(&halves).unwrap())
            };
            let bytes = draw(1);
            assert_eq!(bytes, draw(3));
            let picture = image::load_from_memory(&bytes).unwrap().to_rgb8();
            assert_eq!(picture.width() as usize, SHEET_WIDTH);
            assert!((600..1400).contains(&picture.height()), "{}", picture.height());
        }
    }

    #[test]
    fn a_part_of_nothing_and_a_lone_skin_still_give_a_picture() {
        let nothing = TriMesh::new(Vec::new(), Vec::new());
        let block = shapes::cuboid(3.0, 2.0, 1.0);
        for (mesh, halves) in [(nothing, vec![]), (block, vec![Half::Plus; 12])] {
            let samples = Samples::default();
            let skins = Skins::uncut(mesh, halves);
            assert!(!png(&shown(&skins, &samples, &[])).unwrap().is_empty());
        }
    }
}
