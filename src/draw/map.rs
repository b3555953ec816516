//! A part, values on its surface and a few views → one sheet that can be printed.
//!
//! Every panel says where it looks from, which way the mold opens and how long 10 mm are;
//! the sheet says what the colors mean, where the limit is, and how much of what can be
//! seen from outside its views show. Faces that no view reaches are not shown.

use image::ImageEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use rayon::prelude::{
    IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator,
};

use crate::draw::atlas::{Atlas, MARGIN, Panel, SHEET_WIDTH};
use crate::draw::canvas::{Canvas, Fonts, Pen, Type};
use crate::draw::legend::{self, SOFT, Seen};
use crate::draw::marks::{self, GATE, Mark};
use crate::draw::paint::{self, Paint, Tone, UNKNOWN};
use crate::draw::palette::{self, INK, Rgb, WHITE};
use crate::draw::parting_line;
use crate::geom::{Direction, Point};
use crate::units::format;

/// Why a sheet could not be made.
#[derive(Debug, thiserror::Error)]
pub enum MapError {
    /// The font in the program is broken.
    #[error("the built-in font cannot be read ({0}); please build the program again")]
    Font(#[from] ab_glyph::InvalidFont),
    /// The picture could not be packed.
    #[error("the picture cannot be written as PNG ({0})")]
    Encode(#[from] image::ImageError),
    /// The moving picture could not be packed.
    #[error("the picture cannot be written as GIF ({0})")]
    Moving(#[from] gif::EncodingError),
}

/// What one sheet shows.
pub struct Sheet<'a> {
    /// Name of the part.
    pub part: &'a str,
    /// What the colors are, in a few words.
    pub what: &'a str,
    /// The values.
    pub paint: Paint<'a>,
    /// Places with their numbers in the list of findings.
    pub marks: &'a [Mark],
    /// What those numbers count, such as `findings`.
    pub counted: &'a str,
    /// The parting line as polylines in part coordinates (mm).
    pub seam: &'a [Vec<Point>],
    /// Along which the + half leaves the part.
    pub pull: Direction,
    /// Share of what can be seen from outside that the views show, 0 to 1; `None` where
    /// they are not there to show all.
    pub share: Option<f64>,
}

/// A sheet, and what its numbers point to, closer.
pub struct Drawn {
    /// The sheet as PNG.
    pub png: Vec<u8>,
    /// The number of each mark that shows and the sheet around its place, as PNG.
    pub details: Vec<(usize, Vec<u8>)>,
}

/// A detail is at most so wide and high, pixels.
const DETAIL: [usize; 2] = [340, 255];

/// Draws `sheet` on the panels of `atlas` and packs it as PNG.
///
/// # Errors
/// When the built-in font is broken or the picture cannot be packed.
pub fn png(atlas: &Atlas<'_>, sheet: &Sheet<'_>) -> Result<Vec<u8>, MapError> {
    encode(&draw(atlas, sheet, &[])?.0)
}

/// The same with a paint of its own for each panel.
///
/// # Errors
/// As [`png`].
pub fn png_each(
    atlas: &Atlas<'_>,
    sheet: &Sheet<'_>,
    paints: &[Paint<'_>],
) -> Result<Vec<u8>, MapError> {
    encode(&draw(atlas, sheet, paints)?.0)
}

/// The same with a detail for each number.
///
/// # Errors
/// As [`png`].
pub fn with_details(atlas: &Atlas<'_>, sheet: &Sheet<'_>) -> Result<Drawn, MapError> {
    let (canvas, shown) = draw(atlas, sheet, &[])?;
    let mut details: Vec<(usize, Vec<u8>)> = Vec::new();
    for (panel, number, place) in shown {
        if number != GATE && details.iter().all(|(other, _)| *other != number) {
            let panel = &atlas.panels[panel];
            let (pixels, size) = detail(&canvas, panel, place);
            details.push((number, encode_pixels(&pixels, size)?));
        }
    }
    Ok(Drawn { png: encode(&canvas)?, details })
}

/// What lies around `place` on the sheet, no more than its panel where that is large enough.
fn detail(canvas: &Canvas, panel: &Panel, place: [f32; 2]) -> (Vec<u8>, [usize; 2]) {
    let whole = [canvas.width, canvas.height];
    let span = |axis: usize| {
        let from = panel.picture[axis];
        let size =
            DETAIL[axis].min(whole[axis]).min(panel.size[axis].max(DETAIL[axis] * 2 / 3));
        let most = (from + panel.size[axis]).saturating_sub(size).max(from);
        let start = (place[axis] as usize).saturating_sub(size / 2).clamp(from, most);
        (start.min(whole[axis] - size), size)
    };
    let [(left, width), (top, height)] = [span(0), span(1)];
    let row = |y: usize| {
        let start = ((top + y) * canvas.width + left) * 3;
        &canvas.pixels[start..start + width * 3]
    };
    ((0..height).flat_map(row).copied().collect(), [width, height])
}

/// Panel, number and place on the sheet of each mark that shows.
type Shown = Vec<(usize, usize, [f32; 2])>;

/// `canvas` as PNG.
pub(crate) fn encode(canvas: &Canvas) -> Result<Vec<u8>, MapError> {
    encode_pixels(&canvas.pixels, [canvas.width, canvas.height])
}

fn encode_pixels(
    pixels: &[u8],
    [width, height]: [usize; 2],
) -> Result<Vec<u8>, MapError> {
    let mut bytes = Vec::new();
    PngEncoder::new_with_quality(&mut bytes, CompressionType::Fast, FilterType::Up)
        .write_image(
            pixels,
            width as u32,
            height as u32,
            image::ExtendedColorType::Rgb8,
        )?;
    Ok(bytes)
}

fn draw(
    atlas: &Atlas<'_>,
    sheet: &Sheet<'_>,
    paints: &[Paint<'_>],
) -> Result<(Canvas, Shown), MapError> {
    let height = atlas.height + legend::HEIGHT + MARGIN;
    let mut canvas = Canvas::new(SHEET_WIDTH, height, Fonts::load()?);
    let paint = |index: usize| paints.get(index).unwrap_or(&sheet.paint);
    let panels = atlas.panels.par_iter().enumerate();
    let tiles: Vec<Tile> =
        panels.map(|(index, panel)| tile(panel, paint(index))).collect();
    let mut seen = Seen { seam: !sheet.seam.is_empty(), ..Seen::default() };
    for (panel, tile) in atlas.panels.iter().zip(&tiles) {
        lay(&mut canvas, panel, &tile.pixels);
        seen.unknown |= tile.seen.unknown;
        seen.behind |= tile.seen.behind;
    }
    for panel in &atlas.panels {
        caption(&mut canvas, panel, sheet.pull);
    }
    for panel in &atlas.panels {
        parting_line::draw(&mut canvas, panel, sheet.seam);
    }
    let mut taken = Vec::new();
    let mut shown = Vec::new();
    for (index, panel) in atlas.panels.iter().enumerate() {
        let drawn = marks::draw(&mut canvas, panel, sheet.marks, &mut taken);
        shown.extend(drawn.into_iter().map(|(number, place)| (index, number, place)));
    }
    title(&mut canvas, atlas, sheet);
    let corner = [MARGIN, atlas.height + 6];
    match &sheet.paint {
        Paint::Samples { scale, .. } | Paint::Facets { scale, .. } => {
            legend::scale(&mut canvas, corner, scale, seen);
        }
        Paint::Kinds { .. } => legend::kinds(&mut canvas, corner, seen),
    }
    let numbers: Vec<usize> = shown.iter().map(|(_, number, _)| *number).collect();
    hidden(&mut canvas, sheet, &numbers);
    Ok((canvas, shown))
}

/// The finished picture of one panel.
struct Tile {
    pixels: Vec<Rgb>,
    seen: Seen,
}

fn tile(panel: &Panel, paint: &Paint<'_>) -> Tile {
    let width = panel.size[0];
    let tones = paint::tones(panel, paint);
    let mut unknown = 0;
    let mut behind = 0;
    let mut color = |(i, tone): (usize, &Option<Tone>)| {
        let (Some(tone), light) = (tone, panel.lights[i]) else { return WHITE };
        let place = [panel.picture[0] + i % width, panel.picture[1] + i / width];
        let mut color = tone.at(place[0], place[1]);
        unknown += usize::from(*tone == UNKNOWN);
        if light.behind > 0.6 {
            behind += 1;
            color = legend::from_behind(color, place);
        }
        light.over(color)
    };
    let pixels = tones.iter().enumerate().map(&mut color).collect();
    // A stray pixel along an outline needs no explaining.
    let some = tones.len() / 2000;
    Tile {
        pixels,
        seen: Seen { unknown: unknown > 0, behind: behind > some.max(20), seam: false },
    }
}

/// Sets the pixels of a panel's picture into the sheet.
pub(crate) fn lay(canvas: &mut Canvas, panel: &Panel, pixels: &[Rgb]) {
    let [width, _] = panel.size;
    for (y, row) in pixels.chunks(width).enumerate() {
        let start = ((panel.picture[1] + y) * canvas.width + panel.picture[0]) * 3;
        let end = start + row.len() * 3;
        if let Some(to) = canvas.pixels.get_mut(start..end) {
            to.copy_from_slice(row.as_flattened());
        }
    }
}

fn title(canvas: &mut Canvas, atlas: &Atlas<'_>, sheet: &Sheet<'_>) {
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let left = MARGIN as f32;
    let part = canvas.fonts().fit(Type::bold(30.0), sheet.part, room);
    canvas.text([left, 48.0], Type::bold(30.0), &part, INK);
    let mut what = format!("{}.", sheet.what.trim_end_matches('.'));
    if let Some(share) = sheet.share {
        let views = match atlas.panels.len() {
            1 => "This view shows".to_owned(),
            count => format!("These {count} views show"),
        };
        let share = format::percent(share);
        what += &format!(" {views} {share} of what can be seen from outside.");
    }
    let what = canvas.fonts().fit(Type::regular(20.0), &what, room);
    canvas.text([left, 79.0], Type::regular(20.0), &what, SOFT);
}

/// The pull arrow, the view's name and the scale bar above a picture.
pub(crate) fn caption(canvas: &mut Canvas, panel: &Panel, pull: Direction) {
    let [left, top] = panel.corner.map(|edge| edge as f32);
    arrow(canvas, [left + 20.0, top + 24.0], panel.camera.turn(&pull.vector()));
    let text = left + 50.0;
    canvas.text([text, top + 19.0], Type::bold(17.0), &panel.view.name, INK);
    let scale = panel.camera.scale() / crate::draw::atlas::FINE as f64;
    // As long as fits: between 50 and 125 pixels.
    let length = palette::nice_step(50.0 / scale);
    let bar = (length * scale) as f32;
    let y = top + 36.0;
    let pen = Pen { color: INK, width: 2.0 };
    canvas.line([text + 1.0, y], [text + 1.0 + bar, y], pen);
    for end in [text + 1.0, text + 1.0 + bar] {
        canvas.line([end, y - 5.0], [end, y + 5.0], pen);
    }
    let label = format::quantity(length, "mm");
    canvas.text([text + bar + 12.0, y + 6.0], Type::regular(16.0), &label, INK);
}

/// The pull as the eye sees it: an arrow, or a dot or cross when it runs along the view.
fn arrow(canvas: &mut Canvas, center: [f32; 2], [right, down, away]: [f64; 3]) {
    let pen = Pen { color: INK, width: 2.6 };
    let across = right.hypot(down);
    if across < 0.2 {
        canvas.ring(center, 13.0, pen);
        if away < 0.0 {
            canvas.disc(center, 4.5, INK);
        } else {
            let arm = 8.5;
            for side in [-arm, arm] {
                let from = [center[0] - arm, center[1] - side];
                canvas.line(from, [center[0] + arm, center[1] + side], pen);
            }
        }
        return;
    }
    let along = [(right / across) as f32, (down / across) as f32];
    let reach = 8.0 + 11.0 * across.min(1.0) as f32;
    let at = |share: f32, aside: f32| {
        [
            center[0] + along[0] * share - along[1] * aside,
            center[1] + along[1] * share + along[0] * aside,
        ]
    };
    canvas.line(at(-reach, 0.0), at(reach - 9.0, 0.0), pen);
    canvas.triangle([at(reach - 12.0, -7.0), at(reach, 0.0), at(reach - 12.0, 7.0)], INK);
}

/// The last line: what the arrow means, and which numbers no view shows.
fn hidden(canvas: &mut Canvas, sheet: &Sheet<'_>, shown: &[usize]) {
    let marks = sheet.marks;
    let missing: Vec<String> = marks
        .iter()
        .map(|mark| mark.number)
        .filter(|number| *number != GATE && !shown.contains(number))
        .map(|number| number.to_string())
        .collect();
    let mut text = "Arrow: the pull, along which the + half leaves the part \
                    (dot: towards you, cross: away from you). All views at one scale."
        .to_owned();
    if marks.iter().any(|mark| mark.number != GATE) {
        text += &format!(" Numbers: {}.", sheet.counted);
    }
    if !missing.is_empty() {
        text += &format!(" Hidden in every view: {}.", missing.join(", "));
    }
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let text = canvas.fonts().fit(Type::regular(16.0), &text, room);
    let below = canvas.height as f32 - 22.0;
    canvas.text([MARGIN as f32, below], Type::regular(16.0), &text, SOFT);
}

#[cfg(test)]
mod tests {
    use super::{Sheet, png};
    use crate::draw::marks::Mark;
    use crate::draw::paint::Paint;
    use crate::draw::palette::Scale;
    use crate::draw::{atlas, view};
    use crate::geom::{Direction, Point};
    use crate::schema::fixtures;

    fn sheet(threads: usize) -> Vec<u8> {
        let mesh = fixtures::cup();
        let samples = fixtures::scattered(&mesh, 3000);
        let values: Vec<Option<f64>> = samples.points.iter().map(|p| Some(p.z)).collect();
        let scale = Scale::magnitude(0.0, 10.0, "mm").marking(2.0, "least");
        let marks = [Mark { number: 1, at: Point::new(10.0, 0.0, 5.0) }];
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
            let sheet = Sheet {
                part: "<cup>&.stl",
                what: "Height above the floor",
                paint: Paint::Samples {
                    samples: &samples,
                    values: &values,
                    scale: &scale,
                },
                marks: &marks,
                counted: "findings",
                seam: &[],
                pull: Direction::Z,
                share: Some(0.98),
            };
            png(&atlas, &sheet).unwrap()
        })
    }

    #[test]
    fn a_sheet_decodes_and_does_not_depend_on_threads() {
        let bytes = sheet(1);
        assert_eq!(bytes, sheet(3));
        assert!(bytes.len() < 400_000, "{}", bytes.len());
        let picture = image::load_from_memory(&bytes).unwrap().to_rgb8();
        assert_eq!(picture.width() as usize, atlas::SHEET_WIDTH);
        assert!((400..1500).contains(&picture.height()), "{}", picture.height());
        // Both ends of viridis show, and the paper is white.
        let near = |color: [u8; 3]| {
            let close = |p: &image::Rgb<u8>| {
                p.0.iter().zip(color).all(|(a, b)| a.abs_diff(b) < 30)
            };
            picture.pixels().filter(|p| close(p)).count()
        };
        assert!(near([68, 1, 84]) > 500 && near([253, 231, 37]) > 500);
        assert_eq!(picture.get_pixel(0, 0).0, [255; 3]);
    }

    #[test]
    fn a_part_of_nothing_still_gives_a_sheet() {
        let mesh = crate::mesh::TriMesh::new(Vec::new(), Vec::new());
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let scale = Scale::fitting(&[], Vec::new(), "mm");
        let sheet = Sheet {
            part: "",
            what: "",
            paint: Paint::Facets { values: &[], scale: &scale },
            marks: &[Mark { number: 1, at: Point::new(f64::NAN, 0.0, 0.0) }],
            counted: "findings",
            seam: &[],
            pull: Direction::X,
            share: Some(1.0),
        };
        assert!(!png(&atlas, &sheet).unwrap().is_empty());
    }
}
