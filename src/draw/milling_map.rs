//! Both halves as the spindle sees them, with the metal that no cutter reaches.
//!
//! The metal is shaded as a landscape; where more is left than the limit it takes the color
//! of its thickness. The + half is seen against the pull, so it is drawn as in a mirror:
//! what stands on the left of one half meets the right of the other.

use crate::draw::atlas::{MARGIN, SHEET_WIDTH, TITLE};
use crate::draw::canvas::{Canvas, Fonts, Pen, Spot, Type};
use crate::draw::legend::{self, SOFT, Seen};
use crate::draw::map::{self, MapError};
use crate::draw::paint::{Hatch, Tone};
use crate::draw::palette::{self, INK, Rgb, Scale, WHITE};
use crate::geom::Point;
use crate::mold::milling::outcome::MillingOutcome;
use crate::part::halves::Half;
use crate::units::format;
use rayon::prelude::{IntoParallelIterator, ParallelIterator};

/// Room above a picture.
const CAPTION: usize = 48;
/// Room between the pictures.
const GAP: usize = 40;
/// The pictures together are at most this high.
const MOST_HIGH: usize = 1000;
/// No millimeter is drawn with more pixels.
const MOST_SCALE: f64 = 40.0;
/// Metal that is cut as drawn.
const METAL: Rgb = [208, 208, 204];
const RADIUS: f32 = 14.0;

/// A numbered place in one half.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spotted {
    /// Its number in the list of findings.
    pub(crate) number: usize,
    /// In which half.
    pub(crate) half: Half,
    /// Where.
    pub(crate) at: Point,
}

/// What the sheet shows.
pub(crate) struct CutMap<'a> {
    pub(crate) part: &'a str,
    pub(crate) what: &'a str,
    pub(crate) milled: &'a MillingOutcome,
    pub(crate) spots: &'a [Spotted],
    /// What the numbers stand for.
    pub(crate) numbers: &'a str,
}

/// Draws both halves and packs the sheet as PNG.
///
/// # Errors
/// When the built-in font is broken or the picture cannot be packed.
pub(crate) fn png(sheet: &CutMap<'_>) -> Result<Vec<u8>, MapError> {
    let layout = Layout::arrange(sheet.milled);
    let height = TITLE + layout.high + legend::HEIGHT + MARGIN;
    let mut canvas = Canvas::new(SHEET_WIDTH, height, Fonts::load()?);
    let scale = scale(sheet.milled);
    for (half, corner) in [Half::Plus, Half::Minus].into_iter().zip(layout.corners) {
        let picture = Picture { milled: sheet.milled, half, corner, layout: &layout };
        picture.draw(&mut canvas, &scale);
        picture.caption(&mut canvas);
        picture.number(&mut canvas, sheet.spots);
    }
    words_around(&mut canvas, sheet);
    let corner = [MARGIN, TITLE + layout.high + 6];
    legend::scale(&mut canvas, corner, &scale, Seen::default());
    let plain = Tone { color: METAL, hatch: Hatch::Plain };
    let beside = [(MARGIN + 900) as f32, (corner[1] + legend::LOWER) as f32];
    legend::swatch(
        &mut canvas,
        beside,
        plain,
        "cut within the limit; lines: outline of what the melt fills",
    );
    map::encode(&canvas)
}

fn scale(milled: &MillingOutcome) -> Scale {
    let most = milled.unreached.first().map_or(2.0 * milled.limit, |it| it.left);
    let step = palette::nice_step(most.max(2.0 * milled.limit) / 6.0);
    let top = (most.max(2.0 * milled.limit) / step).ceil() * step;
    Scale::magnitude(0.0, top, "mm").marking(milled.limit, "reported from")
}

/// Where the two pictures stand.
struct Layout {
    /// Pixels per millimeter.
    scale: f64,
    /// Width and height of a picture.
    size: [usize; 2],
    /// Left and top of each caption.
    corners: [[usize; 2]; 2],
    /// Height of all below the title.
    high: usize,
}

impl Layout {
    fn arrange(milled: &MillingOutcome) -> Self {
        let grid = &milled.halves.grid;
        let extent = grid.size.map(|cells| cells as f64 * grid.cell);
        let room = (SHEET_WIDTH - 2 * MARGIN) as f64;
        let fit = |wide: f64, high: f64| {
            (wide / extent[0]).min(high / extent[1]).min(MOST_SCALE)
        };
        let gap = GAP as f64;
        let most = MOST_HIGH as f64;
        let beside = fit((room - gap) / 2.0, most);
        let below = fit(room, (most - gap) / 2.0 - CAPTION as f64);
        let scale = beside.max(below);
        let size = extent.map(|edge| ((edge * scale) as usize).max(1));
        let second = if beside >= below {
            [MARGIN + (SHEET_WIDTH - 2 * MARGIN).midpoint(GAP), TITLE]
        } else {
            [MARGIN, TITLE + CAPTION + size[1] + GAP]
        };
        let high = second[1] - TITLE + CAPTION + size[1];
        Self { scale, size, corners: [[MARGIN, TITLE], second], high }
    }
}

struct Picture<'a> {
    milled: &'a MillingOutcome,
    half: Half,
    corner: [usize; 2],
    layout: &'a Layout,
}

impl Picture<'_> {
    fn draw(&self, canvas: &mut Canvas, scale: &Scale) {
        let [wide, high] = self.layout.size;
        let rows: Vec<Vec<Rgb>> = (0..high)
            .into_par_iter()
            .map(|y| (0..wide).map(|x| self.color([x, y], scale)).collect())
            .collect();
        for (y, row) in rows.iter().enumerate() {
            let top = self.corner[1] + CAPTION + y;
            let start = (top * canvas.width + self.corner[0]) * 3;
            if let Some(to) = canvas.pixels.get_mut(start..start + row.len() * 3) {
                to.copy_from_slice(row.as_flattened());
            }
        }
    }

    /// The cells under a pixel: first column and row, and how many more each way.
    fn cells(&self, [x, y]: [usize; 2]) -> ([usize; 2], usize) {
        let grid = &self.milled.halves.grid;
        let per = 1.0 / (self.layout.scale * grid.cell);
        let x = match self.half {
            // Seen from below, right is left.
            Half::Plus => self.layout.size[0] - 1 - x,
            Half::Minus => x,
        };
        let column = (x as f64 * per) as usize;
        let row = ((self.layout.size[1] - 1 - y) as f64 * per) as usize;
        ([column.min(grid.size[0] - 1), row.min(grid.size[1] - 1)], per as usize)
    }

    fn color(&self, pixel: [usize; 2], scale: &Scale) -> Rgb {
        let ([x, y], more) = self.cells(pixel);
        let cut = self.milled.cut(self.half);
        let [wide, high] = cut.left.size;
        let (mut left, mut filled) = (0.0_f64, [false; 2]);
        for row in y..=(y + more).min(high - 1) {
            for column in x..=(x + more).min(wide - 1) {
                let counts = self.milled.judged(row * wide + column);
                left = left.max(if counts { cut.left.at(column, row) } else { 0.0 });
            }
        }
        for [column, row] in [[x, y], [x + more + 1, y], [x, y + more + 1]] {
            let cell = row.min(high - 1) * wide + column.min(wide - 1);
            filled[usize::from(self.milled.halves.filled[cell])] = true;
        }
        let base = if left > self.milled.limit { scale.color(left) } else { METAL };
        let light = self.light([x, y]);
        let lit = base.map(|c| (f64::from(c) * light).round() as u8);
        if filled == [true; 2] { lit.map(|c| c / 3) } else { lit }
    }

    /// Light from the upper left on the landscape of the metal, 0 to 1.
    fn light(&self, [x, y]: [usize; 2]) -> f64 {
        let field = self.milled.halves.half(self.half);
        let [wide, high] = field.size;
        let cell = self.milled.cell();
        let rise = |from: [usize; 2], to: [usize; 2]| {
            ((field.at(to[0], to[1]) - field.at(from[0], from[1])) / cell)
                .clamp(-6.0, 6.0)
        };
        let along = rise([x, y], [(x + 1).min(wide - 1), y]);
        let up = rise([x, y], [x, (y + 1).min(high - 1)]);
        let along = if self.half == Half::Plus { -along } else { along };
        let toward =
            (0.45 * along - 0.45 * up + 0.77) / (1.0 + along * along + up * up).sqrt();
        0.62 + 0.38 * toward.clamp(0.0, 1.0)
    }

    fn caption(&self, canvas: &mut Canvas) {
        let [left, top] = self.corner.map(|edge| edge as f32);
        let name = match self.half {
            Half::Plus => "+ half, as its spindle sees it (mirrored)",
            Half::Minus => "− half, as its spindle sees it",
        };
        canvas.text([left, top + 18.0], Type::bold(17.0), name, INK);
        let length = palette::nice_step(50.0 / self.layout.scale);
        let bar = (length * self.layout.scale) as f32;
        let y = top + 34.0;
        let pen = Pen { color: INK, width: 2.0 };
        canvas.line([left + 1.0, y], [left + 1.0 + bar, y], pen);
        for end in [left + 1.0, left + 1.0 + bar] {
            canvas.line([end, y - 5.0], [end, y + 5.0], pen);
        }
        let label = format::quantity(length, "mm");
        canvas.text([left + bar + 12.0, y + 6.0], Type::regular(16.0), &label, INK);
    }

    fn number(&self, canvas: &mut Canvas, spots: &[Spotted]) {
        let grid = &self.milled.halves.grid;
        let own = spots.iter().filter(|it| it.half == self.half);
        let places: Vec<(usize, Spot)> = own
            .map(|it| {
                let flat = grid.frame.flatten(&it.at);
                let [x, y] = [0, 1]
                    .map(|axis| (flat[axis] - grid.corner[axis]) * self.layout.scale);
                let [wide, high] = self.layout.size.map(|edge| edge as f64);
                let x = if self.half == Half::Plus { wide - x } else { x };
                let left = self.corner[0] as f64 + x;
                let top = (self.corner[1] + CAPTION) as f64 + high - y;
                (it.number, [left as f32, top as f32])
            })
            .collect();
        let kept: Vec<Spot> = places.iter().map(|it| it.1).collect();
        let mut taken: Vec<Spot> = Vec::new();
        for (number, place) in places {
            let Some(disc) = self.free(place, &taken, &kept) else { continue };
            canvas.line(place, disc, Pen { color: WHITE, width: 5.0 });
            canvas.disc(place, 5.0, WHITE);
            canvas.line(place, disc, Pen { color: INK, width: 2.0 });
            canvas.disc(place, 3.5, INK);
            canvas.disc(disc, RADIUS + 1.5, INK);
            canvas.disc(disc, RADIUS - 0.5, WHITE);
            let text = number.to_string();
            let size = if text.len() > 2 { 13.0 } else { 17.0 };
            canvas.text_about(
                [disc[0], disc[1] + size * 0.34],
                Type::bold(size),
                &text,
                INK,
            );
            taken.push(disc);
        }
    }

    /// A place for a disc near `place`, off the others and inside the picture.
    fn free(&self, place: Spot, taken: &[Spot], kept: &[Spot]) -> Option<Spot> {
        let [left, top] = [self.corner[0] as f32, (self.corner[1] + CAPTION) as f32];
        let [wide, high] = self.layout.size.map(|edge| edge as f32);
        let apart = |a: Spot, b: &Spot| (a[0] - b[0]).hypot(a[1] - b[1]);
        let free = |at: &Spot| {
            at[0] > left + RADIUS
                && at[0] < left + wide - RADIUS
                && at[1] > top + RADIUS
                && at[1] < top + high - RADIUS
                && taken.iter().all(|other| apart(*at, other) > 2.0 * RADIUS + 6.0)
                && kept.iter().all(|other| apart(*at, other) > RADIUS + 8.0)
        };
        let rings = [34.0_f32, 50.0, 70.0, 95.0, 125.0];
        let mut around = rings.into_iter().flat_map(|radius| {
            (0..16).map(move |step| {
                let angle = -0.8 + step as f32 * std::f32::consts::TAU / 16.0;
                [place[0] + radius * angle.cos(), place[1] + radius * angle.sin()]
            })
        });
        around.find(free)
    }
}

fn words_around(canvas: &mut Canvas, sheet: &CutMap<'_>) {
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let left = MARGIN as f32;
    let part = canvas.fonts().fit(Type::bold(30.0), sheet.part, room);
    canvas.text([left, 48.0], Type::bold(30.0), &part, INK);
    let what = canvas.fonts().fit(Type::regular(20.0), sheet.what, room);
    canvas.text([left, 79.0], Type::regular(20.0), &what, SOFT);
    let mut text = format!(
        "Cells of {}. Both halves at one scale.",
        format::quantity(sheet.milled.cell(), "mm")
    );
    if !sheet.spots.is_empty() {
        text += &format!(" {}", sheet.numbers);
    }
    let below = canvas.height as f32 - 22.0;
    canvas.text([left, below], Type::regular(16.0), &text, SOFT);
}

#[cfg(test)]
mod tests {
    use super::{CutMap, Spotted, png};
    use crate::geom::{Direction, Point};
    use crate::mesh::shapes;
    use crate::mold::milling::CutterList;
    use crate::mold::milling::outcome::{self, CellSize};
    use crate::part::halves::Half;
    use crate::part::parting::{Loop, Parting};

    #[test]
    fn a_sheet_shows_both_halves_and_does_not_depend_on_threads() {
        let mesh = shapes::cuboid(30.0, 20.0, 6.0);
        let corners = [[0.0, 0.0], [30.0, 0.0], [30.0, 20.0], [0.0, 20.0]];
        let line = Loop {
            points: corners.map(|[x, y]| Point::new(x, y, 0.0)).to_vec(),
            length: 100.0,
            height_low: 0.0,
            height_high: 0.0,
            is_outer: true,
            is_shut_off: false,
            is_closed: true,
        };
        let parting =
            Parting { loops: vec![line], height: Some(0.0), ..Parting::default() };
        let mut list = CutterList::builtin().unwrap().cutters;
        list.truncate(1);
        let draw = |threads: usize| {
            let pool =
                rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| {
                let size = CellSize::Edge(0.25);
                let milled =
                    outcome::simulate(&mesh, &parting, Direction::Z, &list, size)
                        .unwrap();
                let at = milled.unreached[0].at;
                let spots = [Spotted { number: 7, half: Half::Plus, at }];
                png(&CutMap {
                    part: "<b>.stl",
                    what: "What is left",
                    milled: &milled,
                    spots: &spots,
                    numbers: "Numbers: findings.",
                })
                .unwrap()
            })
        };
        let bytes = draw(1);
        assert_eq!(bytes, draw(3));
        assert!(bytes.len() < 400_000, "{}", bytes.len());
        let picture = image::load_from_memory(&bytes).unwrap().to_rgb8();
        assert!((400..1300).contains(&picture.height()), "{}", picture.height());
    }
}
