//! What the colors of a sheet mean: a bar with ticks and limits, or a row of swatches.

use crate::draw::canvas::{Canvas, Pen, Type};
use crate::draw::paint::{Tone, UNKNOWN};
use crate::draw::palette::{INK, Kind, Rgb, Scale};
use crate::draw::parting_line;
use crate::units::format;

/// Room for a legend, pixels.
pub(crate) const HEIGHT: usize = 124;
/// Length of the bar of a scale.
const BAR: f32 = 760.0;
/// Thickness of the bar, and edge of a swatch.
pub(crate) const THICK: usize = 26;
/// Where the bar starts below the top of the legend: the labels of the limits stand above.
pub(crate) const LOWER: usize = 34;
pub(crate) const LABEL: f32 = 17.0;
/// Letters that matter less.
pub(crate) const SOFT: Rgb = [80, 80, 80];

/// What a legend has to explain besides its colors.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Seen {
    /// Some place has no value.
    pub(crate) unknown: bool,
    /// Some facet shows from behind.
    pub(crate) behind: bool,
    /// The parting line is drawn.
    pub(crate) seam: bool,
}

/// Draws the legend of `scale` with its left top at `corner`.
pub(crate) fn scale(canvas: &mut Canvas, corner: [usize; 2], scale: &Scale, seen: Seen) {
    let (left, top) = (corner[0] as f32, (corner[1] + LOWER) as f32);
    let (low, high) = scale.range();
    for x in 0..BAR as usize {
        let value = low + (high - low) * (x as f64 + 0.5) / f64::from(BAR);
        column(canvas, [corner[0] + x, corner[1] + LOWER], Tone::of_value(scale, value));
    }
    frame(canvas, [left, top], [BAR, THICK as f32]);
    let at = |value: f64| left + BAR * scale.place(value) as f32;
    let below = top + THICK as f32;
    let thin = Pen { color: INK, width: 1.2 };
    for tick in scale.ticks() {
        canvas.line([at(tick), below], [at(tick), below + 6.0], thin);
        let text = format::tick(tick);
        canvas.text_about([at(tick), below + 24.0], Type::regular(LABEL), &text, INK);
    }
    let unit = if scale.unit == "°" { "degrees" } else { &scale.unit };
    canvas.text([left + BAR + 22.0, top + 19.0], Type::regular(LABEL), unit, INK);
    limits(canvas, [left, top], scale);
    let mut next = left + BAR + 130.0;
    if seen.unknown {
        next = swatch(canvas, [next, top], UNKNOWN, scale.gap);
    }
    if seen.behind {
        behind(canvas, [next, top]);
    }
}

/// Draws the legend of the kinds with its left top at `corner`.
pub(crate) fn kinds(canvas: &mut Canvas, corner: [usize; 2], seen: Seen) {
    let (mut next, top) = (corner[0] as f32, (corner[1] + LOWER) as f32);
    for kind in Kind::ALL {
        next = swatch(canvas, [next, top], Tone::of_kind(kind), kind.label());
    }
    if seen.unknown {
        next = swatch(canvas, [next, top], UNKNOWN, "not known");
    }
    if seen.seam {
        next = line(canvas, [next, top]);
    }
    if seen.behind {
        behind(canvas, [next, top]);
    }
}

/// Marks each limit on the bar; their labels stand above it and keep apart.
fn limits(canvas: &mut Canvas, [left, top]: [f32; 2], scale: &Scale) {
    let kind = Type::bold(LABEL - 1.0);
    let mut limits: Vec<_> =
        scale.limits.iter().filter(|limit| limit.value.is_finite()).collect();
    limits.sort_by(|a, b| a.value.total_cmp(&b.value));
    let labels: Vec<(f32, String, f32)> = limits
        .iter()
        .map(|limit| {
            let text =
                format!("{} {}", limit.label, format::quantity(limit.value, &scale.unit));
            let width = canvas.fonts().width(kind, &text);
            (left + BAR * scale.place(limit.value) as f32, text, width)
        })
        .collect();
    // Nothing stands farther out than the bar.
    let mut free_from = left;
    for (i, (x, text, width)) in labels.iter().enumerate() {
        // Left of its mark when the next one is near, otherwise about it.
        let next = labels.get(i + 1).map_or(f32::INFINITY, |next| next.0 - next.2 / 2.0);
        let about = x - width / 2.0;
        let wanted = if about + width + 16.0 > next { x - width + 4.0 } else { about };
        let start = wanted.max(free_from);
        free_from = start + width + 16.0;
        canvas.text([start, top - 14.0], kind, text, INK);
        let white = Pen { color: [255; 3], width: 5.0 };
        let ends = [[*x, top], [*x, top + THICK as f32]];
        canvas.line(ends[0], ends[1], white);
        canvas.line(ends[0], ends[1], Pen { color: INK, width: 2.2 });
        canvas.triangle([[x - 6.0, top - 10.0], [x + 6.0, top - 10.0], [*x, top]], INK);
    }
}

/// One swatch with its label; gives where the next may start.
pub(crate) fn swatch(
    canvas: &mut Canvas,
    [x, y]: [f32; 2],
    tone: Tone,
    label: &str,
) -> f32 {
    let wide = THICK as f32 * 1.6;
    for step in 0..wide as usize {
        column(canvas, [x as usize + step, y as usize], tone);
    }
    frame(canvas, [x, y], [wide, THICK as f32]);
    let kind = Type::regular(LABEL);
    canvas.text([x + wide + 10.0, y + 19.0], kind, label, INK);
    x + wide + 10.0 + canvas.fonts().width(kind, label) + 34.0
}

/// The parting line with its label; gives where the next may start.
fn line(canvas: &mut Canvas, [x, y]: [f32; 2]) -> f32 {
    let (wide, middle) = (THICK as f32 * 1.6, y + THICK as f32 / 2.0);
    canvas.line([x, middle], [x + wide, middle], parting_line::DARK);
    let (kind, label) = (Type::regular(LABEL), "parting line");
    canvas.text([x + wide + 10.0, y + 19.0], kind, label, INK);
    x + wide + 10.0 + canvas.fonts().width(kind, label) + 34.0
}

fn behind(canvas: &mut Canvas, [x, y]: [f32; 2]) {
    let wide = THICK as f32 * 1.6;
    for step in 0..(wide as usize) * THICK {
        let [dx, dy] = [step % wide as usize, step / wide as usize];
        let place = [x as usize + dx, y as usize + dy];
        canvas.blend(place.map(|at| at as i64), from_behind([190; 3], place), 1.0);
    }
    frame(canvas, [x, y], [wide, THICK as f32]);
    let kind = Type::regular(LABEL);
    canvas.text([x + wide + 10.0, y + 19.0], kind, "seen from inside", INK);
}

/// The color of a facet that is seen from behind, at a sheet pixel.
pub(crate) fn from_behind(color: Rgb, [x, y]: [usize; 2]) -> Rgb {
    let dark = color.map(|c| (c / 3) + 55);
    if (x % 6 < 2) != (y % 6 < 2) { dark.map(|c| c - c / 4) } else { dark }
}

fn column(canvas: &mut Canvas, [x, top]: [usize; 2], tone: Tone) {
    for y in top..top + THICK {
        canvas.blend([x as i64, y as i64], tone.at(x, y), 1.0);
    }
}

fn frame(canvas: &mut Canvas, [x, y]: [f32; 2], [wide, high]: [f32; 2]) {
    let pen = Pen { color: INK, width: 1.2 };
    let corners = [[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]];
    for i in 0..4 {
        canvas.line(corners[i], corners[(i + 1) % 4], pen);
    }
}
