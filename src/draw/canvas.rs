//! A white sheet to draw on: letters, lines, discs, all smoothed at the edges.

use ab_glyph::{Font, FontRef, InvalidFont, PxScale, ScaleFont};

use crate::draw::palette::{Rgb, WHITE, mix};

/// A picture that grows under the pen.
pub(crate) struct Canvas {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// Red, green, blue, row by row from the top left.
    pub(crate) pixels: Vec<u8>,
    fonts: Fonts,
}

/// The two faces that the sheets use.
pub(crate) struct Fonts {
    regular: FontRef<'static>,
    bold: FontRef<'static>,
}

/// Size and face of a piece of text.
#[derive(Clone, Copy)]
pub(crate) struct Type {
    size: f32,
    bold: bool,
}

/// What a line is drawn with.
#[derive(Clone, Copy)]
pub(crate) struct Pen {
    pub(crate) color: Rgb,
    pub(crate) width: f32,
}

/// A place on the sheet, in pixels from the top left.
pub(crate) type Spot = [f32; 2];

impl Type {
    pub(crate) fn regular(size: f32) -> Self {
        Self { size, bold: false }
    }

    pub(crate) fn bold(size: f32) -> Self {
        Self { size, bold: true }
    }
}

impl Fonts {
    pub(crate) fn load() -> Result<Self, InvalidFont> {
        Ok(Self {
            regular: FontRef::try_from_slice(dejavu::sans::regular())?,
            bold: FontRef::try_from_slice(dejavu::sans::bold())?,
        })
    }

    /// How far `text` runs, in pixels.
    pub(crate) fn width(&self, kind: Type, text: &str) -> f32 {
        let font = self.face(kind).as_scaled(PxScale::from(kind.size));
        text.chars().map(|letter| font.h_advance(font.glyph_id(letter))).sum()
    }

    /// `text` itself, or as much of both its ends as fits into `room` pixels.
    pub(crate) fn fit(&self, kind: Type, text: &str, room: f32) -> String {
        // A control character has no shape of its own.
        let mut letters: Vec<char> = text.chars().filter(|c| !c.is_control()).collect();
        // No sheet holds more, and the middle goes first anyway.
        if letters.len() > 600 {
            letters.drain(300..letters.len() - 300);
        }
        let whole: String = letters.iter().collect();
        if self.width(kind, &whole) <= room {
            return whole;
        }
        let cut = |keep: usize| -> String {
            let head = &letters[..keep.div_ceil(2)];
            let tail = &letters[letters.len() - keep / 2..];
            head.iter().chain(&['…']).chain(tail).collect()
        };
        let fits = |keep: &usize| self.width(kind, &cut(*keep)) <= room;
        (1..letters.len()).rev().find(fits).map(cut).unwrap_or_default()
    }

    fn face(&self, kind: Type) -> &FontRef<'static> {
        if kind.bold { &self.bold } else { &self.regular }
    }
}

impl Canvas {
    pub(crate) fn new(width: usize, height: usize, fonts: Fonts) -> Self {
        let pixels = WHITE.repeat(width * height);
        Self { width, height, pixels, fonts }
    }

    pub(crate) fn fonts(&self) -> &Fonts {
        &self.fonts
    }

    /// Mixes `share` of `color` into the pixel at (`x`, `y`), if there is one.
    pub(crate) fn blend(&mut self, [x, y]: [i64; 2], color: Rgb, share: f32) {
        let (width, height) = (self.width as i64, self.height as i64);
        if x < 0 || y < 0 || x >= width || y >= height {
            return;
        }
        let at = (y * width + x) as usize * 3;
        for (old, new) in self.pixels[at..at + 3].iter_mut().zip(color) {
            *old = mix(*old, new, share);
        }
    }

    /// Draws `text` with its baseline starting at `at`.
    pub(crate) fn text(&mut self, at: Spot, kind: Type, text: &str, color: Rgb) {
        let scale = PxScale::from(kind.size);
        let mut right = at[0];
        for letter in text.chars() {
            let face = self.fonts.face(kind);
            let id = face.glyph_id(letter);
            let glyph = id.with_scale_and_position(scale, ab_glyph::point(right, at[1]));
            right += face.as_scaled(scale).h_advance(id);
            let Some(outline) = face.outline_glyph(glyph) else { continue };
            let corner = outline.px_bounds().min;
            let (left, top) = (corner.x as i64, corner.y as i64);
            outline.draw(|x, y, share| {
                self.blend([left + i64::from(x), top + i64::from(y)], color, share);
            });
        }
    }

    /// Draws `text` with its baseline centered on `at`.
    pub(crate) fn text_about(&mut self, at: Spot, kind: Type, text: &str, color: Rgb) {
        let half = self.fonts.width(kind, text) / 2.0;
        self.text([at[0] - half, at[1]], kind, text, color);
    }

    pub(crate) fn line(&mut self, from: Spot, to: Spot, pen: Pen) {
        let along = [to[0] - from[0], to[1] - from[1]];
        let square = (along[0] * along[0] + along[1] * along[1]).max(1e-9);
        self.shape(around(&[from, to], pen.width), pen.color, |x, y| {
            let (x, y) = (x - from[0], y - from[1]);
            let share = ((x * along[0] + y * along[1]) / square).clamp(0.0, 1.0);
            (x - share * along[0]).hypot(y - share * along[1]) - pen.width / 2.0
        });
    }

    pub(crate) fn disc(&mut self, center: Spot, radius: f32, color: Rgb) {
        self.shape(around(&[center], radius), color, |x, y| {
            (x - center[0]).hypot(y - center[1]) - radius
        });
    }

    pub(crate) fn ring(&mut self, center: Spot, radius: f32, pen: Pen) {
        self.shape(around(&[center], radius + pen.width), pen.color, |x, y| {
            ((x - center[0]).hypot(y - center[1]) - radius).abs() - pen.width / 2.0
        });
    }

    /// A triangle; its corners may run either way.
    pub(crate) fn triangle(&mut self, corners: [Spot; 3], color: Rgb) {
        let [a, b, c] = corners;
        let turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let side = if turn < 0.0 { -1.0 } else { 1.0 };
        let beyond = |from: Spot, to: Spot, x: f32, y: f32| {
            let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
            side * ((x - from[0]) * dy - (y - from[1]) * dx) / dx.hypot(dy).max(1e-6)
        };
        self.shape(around(&corners, 1.0), color, |x, y| {
            beyond(a, b, x, y).max(beyond(b, c, x, y)).max(beyond(c, a, x, y))
        });
    }

    /// Fills where `distance` (in pixels, negative inside) is below zero.
    fn shape(
        &mut self,
        within: [i64; 4],
        color: Rgb,
        distance: impl Fn(f32, f32) -> f32,
    ) {
        let [left, top, right, bottom] = within;
        for y in top.max(0)..bottom.min(self.height as i64) {
            for x in left.max(0)..right.min(self.width as i64) {
                let share = 0.5 - distance(x as f32 + 0.5, y as f32 + 0.5);
                if share > 0.0 {
                    self.blend([x, y], color, share.min(1.0));
                }
            }
        }
    }
}

/// Left, top, right and bottom of the pixels within `reach` of `spots`.
fn around(spots: &[Spot], reach: f32) -> [i64; 4] {
    let least = |axis: usize| spots.iter().map(|s| s[axis]).fold(f32::INFINITY, f32::min);
    let most =
        |axis: usize| spots.iter().map(|s| s[axis]).fold(f32::NEG_INFINITY, f32::max);
    let reach = reach + 1.0;
    [
        (least(0) - reach).floor() as i64,
        (least(1) - reach).floor() as i64,
        (most(0) + reach).ceil() as i64,
        (most(1) + reach).ceil() as i64,
    ]
}

#[cfg(test)]
mod tests {
    use super::{Canvas, Fonts, Pen, Type};

    fn ink(canvas: &Canvas) -> f64 {
        canvas.pixels.iter().map(|&value| f64::from(255 - value) / 255.0).sum::<f64>()
            / 3.0
    }

    #[test]
    fn shapes_have_their_area() {
        let blank = || Canvas::new(100, 100, Fonts::load().unwrap());
        let mut canvas = blank();
        canvas.disc([50.3, 49.8], 20.0, [0; 3]);
        assert!((ink(&canvas) / (400.0 * std::f64::consts::PI) - 1.0).abs() < 0.01);
        let mut canvas = blank();
        canvas.triangle([[10.0, 10.0], [90.0, 10.0], [10.0, 90.0]], [0; 3]);
        assert!((ink(&canvas) / 3200.0 - 1.0).abs() < 0.02);
        let mut canvas = blank();
        canvas.line([20.0, 20.0], [60.0, 50.0], Pen { color: [0; 3], width: 3.0 });
        assert!((ink(&canvas) / 157.0 - 1.0).abs() < 0.03, "50 × 3 and two half discs");
    }

    #[test]
    fn drawing_off_the_sheet_is_harmless() {
        let mut canvas = Canvas::new(10, 10, Fonts::load().unwrap());
        canvas.disc([-500.0, 900.0], 20.0, [0; 3]);
        canvas.text([-30.0, -30.0], Type::bold(20.0), "lost", [0; 3]);
        assert!(ink(&canvas) < 1e-9);
    }

    #[test]
    fn long_text_keeps_both_ends() {
        let fonts = Fonts::load().unwrap();
        let name = format!("lamp-bracket{}-rev7.stl", "-left".repeat(90));
        let short = fonts.fit(Type::regular(16.0), &name, 200.0);
        assert!(fonts.width(Type::regular(16.0), &short) <= 200.0);
        assert!(
            short.starts_with("lamp") && short.ends_with(".stl") && short.contains('…')
        );
        assert!(!fonts.fit(Type::regular(16.0), "clip\n.stl", 1e3).contains('\n'));
        assert_eq!(fonts.fit(Type::regular(16.0), "clip", 1.0), "");
    }
}
