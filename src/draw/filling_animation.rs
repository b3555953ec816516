//! The front on its way through the part, as an animated GIF.
//!
//! One palette for all frames: the colors that the first and the last picture use most,
//! every other color as the nearest of them. A frame holds only what changed.

use std::borrow::Cow;
use std::collections::BTreeMap;

use gif::{DisposalMethod, Encoder, Frame, Repeat};

use crate::draw::atlas::{self, Atlas, CAPTION, GAP, Panel, Place};
use crate::draw::canvas::{Canvas, Fonts, Type};
use crate::draw::map::{MapError, lay};
use crate::draw::paint::{self, Tone, UNKNOWN};
use crate::draw::palette::{INK, Rgb, Scale, WHITE};
use crate::draw::view::View;
use crate::mesh::samples::Samples;
use crate::units::format;

/// Pictures from gate to last corner.
const FRAMES: usize = 36;

/// Each stands so long, hundredths of a second; the last one longer.
const SHOWN: u16 = 14;
const LAST_SHOWN: u16 = 250;

/// Colors at most, one place left for what does not change.
const COLORS: usize = 255;

/// Room for one view, pixels.
const ROOM: [f64; 2] = [420.0, 330.0];

/// Free border.
const EDGE: usize = 16;

/// The line of text below the views.
const TEXT: usize = 34;

/// What moves.
pub(crate) struct Moving<'a> {
    /// The part, for its mesh.
    pub(crate) atlas: &'a Atlas<'a>,
    /// Where to look from.
    pub(crate) views: Vec<View>,
    /// Where the times are.
    pub(crate) samples: &'a Samples,
    /// When the front comes by each sample, s.
    pub(crate) arrivals: &'a [Option<f64>],
    /// Colors of the times.
    pub(crate) scale: &'a Scale,
    /// Time, s, and share that is filled, from begin to end.
    pub(crate) history: Vec<[f64; 2]>,
}

/// Draws it.
///
/// # Errors
/// When the built-in font is broken or the picture cannot be packed.
pub(crate) fn gif(moving: &Moving<'_>) -> Result<Vec<u8>, MapError> {
    let (panels, size) = panels(moving);
    let drawn: Vec<Vec<Pixel>> =
        panels.iter().map(|panel| pixels(panel, moving)).collect();
    let end = moving.history.last().map_or(0.0, |last| last[0]);
    let picture = |step: usize| -> Result<Canvas, MapError> {
        let time = end * step as f64 / FRAMES as f64;
        let mut canvas = Canvas::new(size[0], size[1], Fonts::load()?);
        for (panel, pixels) in panels.iter().zip(&drawn) {
            lay(&mut canvas, panel, &colors(pixels, time));
            let name = panel.corner.map(|edge| edge as f32);
            let kind = Type::bold(15.0);
            canvas.text([name[0], name[1] + 16.0], kind, &panel.view.name, INK);
        }
        let below = [EDGE as f32, (size[1] - EDGE) as f32];
        canvas.text(below, Type::regular(17.0), &said(moving, time), INK);
        Ok(canvas)
    };
    let palette = palette(&[picture(0)?, picture(FRAMES)?]);
    let mut nearest = vec![None; SHADES.pow(3)];
    let mut bytes = Vec::new();
    let [width, height] = size.map(|edge| edge as u16);
    let flat: Vec<u8> = palette.iter().flatten().copied().collect();
    let mut encoder = Encoder::new(&mut bytes, width, height, &flat)?;
    encoder.set_repeat(Repeat::Infinite)?;
    let mut before: Option<Vec<u8>> = None;
    for step in 0..=FRAMES {
        let canvas = picture(step)?;
        let now: Vec<u8> = canvas
            .pixels
            .as_chunks::<3>()
            .0
            .iter()
            .map(|&color| index(&palette, &mut nearest, color))
            .collect();
        let delay = if step == FRAMES { LAST_SHOWN } else { SHOWN };
        encoder.write_frame(&frame(&now, before.as_deref(), size, delay))?;
        before = Some(now);
    }
    drop(encoder);
    Ok(bytes)
}

/// The views side by side, and the size of the whole.
fn panels(moving: &Moving<'_>) -> (Vec<Panel>, [usize; 2]) {
    let mesh = moving.atlas.mesh;
    let looks = atlas::looks(mesh, moving.views.clone());
    let fits = |extent: &[f64; 2]| {
        (ROOM[0] / extent[0].max(1e-9)).min(ROOM[1] / extent[1].max(1e-9))
    };
    let scale = looks.iter().map(|look| fits(&look.extent)).fold(f64::INFINITY, f64::min);
    let mut left = EDGE;
    let mut high = 0;
    let name = CAPTION / 2;
    let mut panels = Vec::new();
    for look in looks {
        let size = atlas::picture_size(&look.extent, scale);
        let place = Place { corner: [left, EDGE], picture: [left, EDGE + name], size };
        left += size[0].max(ROOM[0] as usize / 2) + GAP;
        high = high.max(size[1]);
        panels.push(atlas::panel(mesh, look, place, scale));
    }
    (panels, [left.max(ROOM[0] as usize), EDGE + name + high + TEXT + EDGE])
}

/// A pixel of a panel, before the front has come by and after.
#[derive(Clone, Copy)]
struct Pixel {
    arrival_s: f64,
    empty: Rgb,
    filled: Rgb,
}

/// The pixels of a panel, with the colors of `scale`.
fn pixels(panel: &Panel, moving: &Moving<'_>) -> Vec<Pixel> {
    let width = panel.size[0];
    let arrivals = paint::means(panel, moving.samples, moving.arrivals);
    let pixel = |(index, arrival): (usize, Option<f64>)| {
        let lights = &panel.lights[index];
        let color = |tone: Tone| lights.over(tone.at(index % width, index / width));
        if lights.cover <= 0.0 {
            return Pixel { arrival_s: f64::INFINITY, empty: WHITE, filled: WHITE };
        }
        let empty = color(UNKNOWN);
        let filled = |arrival| color(Tone::of_value(moving.scale, arrival));
        Pixel {
            arrival_s: arrival.unwrap_or(f64::INFINITY),
            empty,
            filled: arrival.map_or(empty, filled),
        }
    };
    arrivals.into_iter().enumerate().map(pixel).collect()
}

/// What a panel shows at `time_s`.
fn colors(pixels: &[Pixel], time_s: f64) -> Vec<Rgb> {
    let color = |pixel: &Pixel| {
        if pixel.arrival_s <= time_s { pixel.filled } else { pixel.empty }
    };
    pixels.iter().map(color).collect()
}

/// "1.2 s: 40 % of the part is full".
fn said(moving: &Moving<'_>, time: f64) -> String {
    let after = moving.history.partition_point(|at| at[0] < time);
    let share = match (after.checked_sub(1), moving.history.get(after)) {
        (Some(before), Some(next)) => {
            let [t, share] = moving.history[before];
            share + (next[1] - share) * (time - t) / (next[0] - t).max(f64::MIN_POSITIVE)
        }
        (None, Some(first)) => first[1],
        (_, None) => moving.history.last().map_or(0.0, |last| last[1]),
    };
    let time = format::quantity(time, "s");
    format!("{time}: {} of the part is full", format::percent(share))
}

/// The colors that these pictures use most, in the order of their use.
fn palette(pictures: &[Canvas]) -> Vec<Rgb> {
    let mut counts: BTreeMap<Rgb, usize> = BTreeMap::new();
    for color in pictures.iter().flat_map(|picture| picture.pixels.as_chunks::<3>().0) {
        *counts.entry(color.map(|part| part & 0xF0)).or_default() += 1;
    }
    let mut colors: Vec<(usize, Rgb)> =
        counts.into_iter().map(|(color, count)| (count, color)).collect();
    colors.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    // Each stands for the sixteen shades from it on, white for itself.
    let middle = |part: u8| if part == 0xF0 { 0xFF } else { part + 8 };
    let mut palette: Vec<Rgb> =
        colors.into_iter().take(COLORS).map(|(_, color)| color.map(middle)).collect();
    palette.resize(COLORS + 1, WHITE);
    palette
}

/// Shades of one part of a color that are distinguished.
const SHADES: usize = 32;

/// The nearest color of the palette; what is `known` is not searched again.
fn index(palette: &[Rgb], known: &mut [Option<u8>], color: Rgb) -> u8 {
    let shade = color.map(|part| part & 0xF8);
    let at = shade.iter().fold(0, |at, part| at * SHADES + usize::from(part / 8));
    *known[at].get_or_insert_with(|| {
        let away = |other: &Rgb| -> i32 {
            let parts = other.iter().zip(shade);
            parts.map(|(&a, b)| (i32::from(a) - i32::from(b) - 4).pow(2)).sum()
        };
        let near = palette.iter().take(COLORS).enumerate();
        near.min_by_key(|(index, other)| (away(other), *index))
            .map_or(0, |(index, _)| index as u8)
    })
}

/// What changed since the picture before, in its rectangle; the rest stays.
fn frame(
    now: &[u8],
    before: Option<&[u8]>,
    [width, height]: [usize; 2],
    delay: u16,
) -> Frame<'static> {
    let changed = |at: usize| before.is_none_or(|before| before.get(at) != now.get(at));
    let places = || (0..now.len()).filter(|&at| changed(at));
    let columns = || places().map(|at| at % width);
    let left = columns().min().unwrap_or(0);
    let right = columns().max().unwrap_or(0);
    let top = places().next().unwrap_or(0) / width;
    let bottom = (places().next_back().unwrap_or(0) / width).min(height - 1);
    let kept = COLORS as u8;
    let mut buffer = Vec::with_capacity((right - left + 1) * (bottom - top + 1));
    for y in top..=bottom {
        let row = (left..=right).map(|x| y * width + x);
        buffer.extend(row.map(|at| if changed(at) { now[at] } else { kept }));
    }
    Frame {
        delay,
        dispose: DisposalMethod::Keep,
        transparent: Some(kept),
        top: top as u16,
        left: left as u16,
        width: (right - left + 1) as u16,
        height: (bottom - top + 1) as u16,
        buffer: Cow::Owned(buffer),
        ..Frame::default()
    }
}

#[cfg(test)]
mod tests {
    use super::{FRAMES, LAST_SHOWN, Moving, gif};
    use crate::draw::palette::Scale;
    use crate::draw::{atlas, view};
    use crate::geom::Direction;
    use crate::schema::fixtures;

    /// Read back by the decoder: every frame is there, the last is full, the first empty.
    #[test]
    fn the_front_moves_from_nothing_to_all() {
        let mesh = fixtures::cup();
        let samples = fixtures::scattered(&mesh, 3000);
        let arrivals: Vec<Option<f64>> =
            samples.points.iter().map(|p| Some(p.z + 0.1)).collect();
        let views = view::candidates(Direction::Z);
        let atlas = atlas::draw(&mesh, views[..1].to_vec());
        let scale = Scale::magnitude(0.0, 10.0, "s");
        let moving = Moving {
            atlas: &atlas,
            views: views[6..8].to_vec(),
            samples: &samples,
            arrivals: &arrivals,
            scale: &scale,
            history: vec![[0.0, 0.0], [11.0, 1.0]],
        };
        let bytes = gif(&moving).unwrap();
        assert!(bytes.len() < 600_000, "{}", bytes.len());
        let mut options = gif::DecodeOptions::new();
        options.set_color_output(gif::ColorOutput::RGBA);
        let mut decoder = options.read_info(bytes.as_slice()).unwrap();
        // Viridis is the only saturated color there is.
        let bright = |buffer: &[u8]| {
            let pixels = buffer.as_chunks::<4>().0.iter();
            let bright = |p: &&[u8; 4]| p[3] > 0 && p[1].abs_diff(p[2]) > 60;
            pixels.filter(bright).count()
        };
        let mut seen = Vec::new();
        let mut delay = 0;
        while let Some(frame) = decoder.read_next_frame().unwrap() {
            seen.push(bright(&frame.buffer));
            delay = frame.delay;
        }
        assert_eq!((seen.len(), delay), (FRAMES + 1, LAST_SHOWN));
        assert!(seen[0] < 50 && seen.iter().sum::<usize>() > 2000, "{seen:?}");
    }
}
