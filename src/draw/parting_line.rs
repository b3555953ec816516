//! The parting line on the pictures: dark with a white rim, where nothing hides it.

use crate::draw::atlas::{FINE, Panel};
use crate::draw::canvas::{Canvas, Pen, Spot};
use crate::draw::palette::{INK, WHITE};
use crate::draw::raster::NONE;
use crate::geom::Point;

/// The dark line, sheet pixels.
pub(crate) const DARK: Pen = Pen { color: INK, width: 2.8 };
/// The rim that sets it off from what it runs over.
pub(crate) const RIM: Pen = Pen { color: WHITE, width: 5.6 };
/// A surface within so many buffer pixels of a place shows the place.
const NEAR: f32 = 5.0;
/// One look every so many sheet pixels.
const STEP: f32 = 1.0;
/// Corners this far apart stay: over a longer run a shallow arc would be cut off, as only
/// the last corner is looked at.
const LONGEST_STRAIGHT: f32 = 6.0;
/// Longer than any line on a sheet, pixels.
const LONGEST: f32 = 10_000.0;

/// Draws `lines` (corners in part coordinates, mm) where they show in `panel`.
pub(crate) fn draw(canvas: &mut Canvas, panel: &Panel, lines: &[Vec<Point>]) {
    let runs: Vec<Vec<Spot>> =
        lines.iter().flat_map(|line| visible(panel, line)).collect();
    for pen in [RIM, DARK] {
        for pair in runs.iter().flat_map(|run| run.windows(2)) {
            canvas.line(pair[0], pair[1], pen);
        }
    }
}

/// The stretches of `line` that show, as corners on the sheet.
fn visible(panel: &Panel, line: &[Point]) -> Vec<Vec<Spot>> {
    let mut runs = Vec::new();
    let mut run: Vec<Spot> = Vec::new();
    for (from, to) in line.iter().zip(line.iter().skip(1)) {
        let [a, b] = [from, to].map(|point| panel.camera.project(point));
        let length = (b[0] - a[0]).hypot(b[1] - a[1]) / FINE as f32;
        if !length.is_finite() || length > LONGEST {
            continue;
        }
        let steps = (length / STEP).ceil().max(1.0);
        let at = |step: usize| {
            let share = (step as f32 / steps).min(1.0);
            [0, 1, 2].map(|axis| a[axis] + (b[axis] - a[axis]) * share)
        };
        for step in 0..=steps as usize {
            let here = at(step);
            match spot(panel, here) {
                Some(spot) => run.push(spot),
                None if run.is_empty() => {}
                None => runs.push(std::mem::take(&mut run)),
            }
        }
    }
    runs.push(run);
    runs.iter().map(|run| sparse(run)).collect()
}

/// Fewer corners: a line of a pixel each is slow to draw.
fn sparse(run: &[Spot]) -> Vec<Spot> {
    let last = run.len().saturating_sub(1);
    let mut kept: Vec<Spot> = Vec::new();
    for (i, spot) in run.iter().enumerate() {
        let straight = kept.last().zip(run.get(i + 1)).is_some_and(|(from, to)| {
            let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
            let length = dx.hypot(dy);
            let off = (spot[0] - from[0]) * dy - (spot[1] - from[1]) * dx;
            length < LONGEST_STRAIGHT && off.abs() < 0.2 * length
        });
        if i == 0 || i == last || !straight {
            kept.push(*spot);
        }
    }
    kept
}

/// Where a place in buffer pixels shows on the sheet, if it does.
fn spot(panel: &Panel, [x, y, depth]: [f32; 3]) -> Option<Spot> {
    let buffer = &panel.buffer;
    let near = |count: usize, at: f32| {
        let first = (at - 2.0).max(0.0) as usize;
        first..((at + 3.0).clamp(0.0, count as f32) as usize)
    };
    let rows = near(buffer.height, y);
    let mut pixels = rows.flat_map(|row| near(buffer.width, x).map(move |c| (row, c)));
    let shows = pixels.any(|(row, column)| {
        let at = row * buffer.width + column;
        // On the outline the line may fall on the paper just beside the part.
        buffer.facets[at] == NONE || buffer.depths[at] > depth - NEAR
    });
    let fine = FINE as f32;
    let [left, top] = panel.picture.map(|edge| edge as f32);
    shows.then_some([left + x / fine, top + y / fine])
}

#[cfg(test)]
mod tests {
    use super::visible;
    use crate::draw::{atlas, view};
    use crate::geom::{Direction, Point};
    use crate::schema::fixtures;

    #[test]
    fn a_line_shows_from_its_side_only() {
        let mesh = fixtures::block([30.0, 20.0, 10.0]);
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let corners = [[-9.0, -5.0], [9.0, -5.0], [9.0, 5.0], [-9.0, 5.0]];
        let line = corners.map(|[x, y]| Point::new(x, y, 5.0));
        let drawn = |panel: usize| {
            let runs = visible(&atlas.panels[panel], &line);
            runs.iter().map(Vec::len).sum::<usize>()
        };
        assert!(drawn(0) > 4);
        assert_eq!(drawn(1), 0, "10 mm of plastic are between");
        let nowhere = [Point::new(f64::NAN, 0.0, 0.0), Point::new(1e300, 0.0, 0.0)];
        let runs = visible(&atlas.panels[0], &nowhere);
        assert!(runs.iter().all(Vec::is_empty));
    }
}
