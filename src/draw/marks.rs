//! Numbers at the worst places, the same numbers as in the list of findings.

use crate::draw::atlas::{FINE, Panel};
use crate::draw::canvas::{Canvas, Pen, Spot, Type};
use crate::draw::palette::{INK, WHITE};
use crate::draw::raster::NONE;
use crate::geom::Point;

/// A numbered place.
#[derive(Clone, Copy, Debug)]
pub struct Mark {
    /// Its number in the list of findings.
    pub number: usize,
    /// Where, in part coordinates (mm).
    pub at: Point,
}

/// The number that stands for the gate and shows as a G: no finding has it.
pub const GATE: usize = 0;

/// Radius of a number's disc, sheet pixels.
const RADIUS: f32 = 14.0;
/// Blank between a disc and the edges of the sheet, sheet pixels.
const EDGE: f32 = 9.0;
/// A surface within so many buffer pixels of a place shows the place.
const NEAR: f32 = 7.0;

/// Draws those of `marks` that show in `panel`; discs keep off each other (`taken` grows
/// by those drawn), the caption and the sheet's border. Says which were drawn, and where on
/// the sheet their places are.
pub(crate) fn draw(
    canvas: &mut Canvas,
    panel: &Panel,
    marks: &[Mark],
    taken: &mut Vec<Spot>,
) -> Vec<(usize, Spot)> {
    let mut drawn = Vec::new();
    let places: Vec<(usize, Spot)> =
        marks.iter().filter_map(|mark| Some((mark.number, spot(panel, mark)?))).collect();
    let bounds = [canvas.width as f32, canvas.height as f32];
    for &(number, place) in &places {
        // A disc must not hide another place either.
        let kept: Vec<Spot> = places.iter().map(|other| other.1).collect();
        let Some(disc) = free_spot(place, panel, [taken, &kept], bounds) else {
            continue;
        };
        let wide = Pen { color: WHITE, width: 5.0 };
        let thin = Pen { color: INK, width: 2.0 };
        canvas.line(place, disc, wide);
        canvas.disc(place, 5.0, WHITE);
        canvas.line(place, disc, thin);
        canvas.disc(place, 3.5, INK);
        canvas.disc(disc, RADIUS + 1.5, INK);
        canvas.disc(disc, RADIUS - 0.5, WHITE);
        let text = if number == GATE { "G".to_owned() } else { number.to_string() };
        let size = if text.len() > 2 { 13.0 } else { 17.0 };
        canvas.text_about([disc[0], disc[1] + size * 0.34], Type::bold(size), &text, INK);
        taken.push(disc);
        drawn.push((number, place));
    }
    drawn
}

/// Where `mark` shows on the sheet, if it does.
fn spot(panel: &Panel, mark: &Mark) -> Option<Spot> {
    let [x, y, depth] = panel.camera.project(&mark.at);
    let buffer = &panel.buffer;
    let near = |count: usize, at: f32| {
        let first = (at - 3.0).max(0.0) as usize;
        first..((at + 4.0).clamp(0.0, count as f32) as usize)
    };
    let rows = near(buffer.height, y);
    let mut pixels = rows.flat_map(|row| near(buffer.width, x).map(move |c| (row, c)));
    let shows = pixels.any(|(row, column)| {
        let at = row * buffer.width + column;
        buffer.facets[at] != NONE && (buffer.depths[at] - depth).abs() < NEAR
    });
    let fine = FINE as f32;
    let [left, top] = panel.picture.map(|edge| edge as f32);
    shows.then_some([left + x / fine, top + y / fine])
}

/// The nearest place for a disc around `place` that is free, blank paper before the part.
fn free_spot(
    place: Spot,
    panel: &Panel,
    [taken, kept]: [&[Spot]; 2],
    [width, height]: [f32; 2],
) -> Option<Spot> {
    let ceiling = panel.corner[1] as f32 + crate::draw::atlas::CAPTION as f32 - 8.0;
    let free = |at: &Spot| {
        let inside = at[0] > RADIUS + EDGE
            && at[1] > ceiling + RADIUS
            && at[0] < width - RADIUS - EDGE
            && at[1] < height - RADIUS - EDGE;
        let apart = |other: &Spot| (at[0] - other[0]).hypot(at[1] - other[1]);
        inside
            && taken.iter().all(|other| apart(other) > 2.0 * RADIUS + 6.0)
            && kept.iter().all(|other| apart(other) > RADIUS + 8.0)
    };
    let ring = |radius: f32| {
        (0..16).map(move |step| {
            // Starts at the upper right and alternates, so that leaders seldom cross.
            let turn = (step + 1) / 2 * if step % 2 == 0 { 1 } else { -1 };
            let angle = -0.8 + turn as f32 * std::f32::consts::TAU / 16.0;
            [place[0] + radius * angle.cos(), place[1] + radius * angle.sin()]
        })
    };
    let radii = [30.0, 44.0, 60.0, 80.0, 104.0];
    let spots: Vec<Spot> = radii.into_iter().flat_map(ring).filter(free).collect();
    let blank = |at: &&Spot| {
        let reach = 0.7 * RADIUS;
        let around =
            [[0.0, 0.0], [reach, reach], [-reach, reach], [reach, -reach], [-reach; 2]];
        around.iter().all(|[dx, dy]| !covers(panel, [at[0] + dx, at[1] + dy]))
    };
    let close = |at: &&Spot| (at[0] - place[0]).hypot(at[1] - place[1]) < 62.0;
    let best = spots.iter().filter(close).find(blank).or_else(|| spots.first());
    best.copied()
}

/// Whether the part covers the sheet at `at`.
fn covers(panel: &Panel, at: Spot) -> bool {
    let x = at[0] - panel.picture[0] as f32;
    let y = at[1] - panel.picture[1] as f32;
    let [width, height] = panel.size;
    if x < 0.0 || y < 0.0 || x >= width as f32 || y >= height as f32 {
        return false;
    }
    panel.lights[y as usize * width + x as usize].cover > 0.0
}

#[cfg(test)]
mod tests {
    use super::{Mark, RADIUS, draw, spot};
    use crate::draw::canvas::{Canvas, Fonts};
    use crate::draw::{atlas, view};
    use crate::geom::{Direction, Point};
    use crate::schema::fixtures;

    #[test]
    fn a_place_shows_only_where_nothing_hides_it() {
        let mesh = fixtures::block([30.0, 20.0, 10.0]);
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let mark = Mark { number: 1, at: Point::new(3.0, 4.0, 5.0) };
        assert!(spot(&atlas.panels[0], &mark).is_some());
        assert!(spot(&atlas.panels[1], &mark).is_none(), "10 mm of plastic are between");
        let nowhere = Mark { number: 2, at: Point::new(f64::NAN, 4.0, 1e300) };
        assert!(atlas.panels.iter().all(|panel| spot(panel, &nowhere).is_none()));
    }

    #[test]
    fn discs_keep_apart_and_off_each_other_places() {
        let mesh = fixtures::block([30.0, 20.0, 10.0]);
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let panel = &atlas.panels[0];
        let marks: Vec<Mark> = (0..9)
            .map(|i| Mark { number: i + 1, at: Point::new(i as f64 * 0.3, 0.0, 5.0) })
            .collect();
        let fonts = Fonts::load().unwrap();
        let mut canvas = Canvas::new(atlas::SHEET_WIDTH, 1300, fonts);
        let mut taken = Vec::new();
        let drawn = draw(&mut canvas, panel, &marks, &mut taken);
        let numbers: Vec<usize> = drawn.iter().map(|(number, _)| *number).collect();
        assert_eq!(numbers, (1..=9).collect::<Vec<_>>());
        for (i, a) in taken.iter().enumerate() {
            for b in &taken[..i] {
                assert!((a[0] - b[0]).hypot(a[1] - b[1]) > 2.0 * RADIUS);
            }
            for place in marks.iter().filter_map(|mark| spot(panel, mark)) {
                assert!((a[0] - place[0]).hypot(a[1] - place[1]) > RADIUS);
            }
        }
    }
}
