//! Vents with their relief: shallow where the melt stands, deep from there to the open air.
//!
//! Only on a flat parting: a slot of some hundredths of a millimeter means nothing on a
//! ramp. Each goes straight away from the part to the wall of the block: a slanted one
//! would leave no land beside its relief.

use super::cut::{Cut, Kind, other};
use super::forms;
use super::inside::Inside;
use super::layout::{LEAST_METAL_MM, Layout};
use crate::geom::Point;
use crate::measure::parting::Half;
use crate::process::vents::Vent;
use crate::units::mm;

/// Vents stand at least so many widths apart.
const APART: f64 = 2.5;

/// No more than this many are cut; more are told (judgement: each is polished by hand).
const MOST: u32 = 8;

/// A vent begins so far beyond the parting face, in the other half's room, mm: corners of the
/// part are rounded in the file, and no film of metal may stay above it.
const ABOVE_MM: f64 = 0.1;

/// A vent reaches into the plastic by this, mm, so that it meets a curved wall whole.
const INTO_MM: f64 = 0.2;

/// What vents are placed by.
pub struct Asked<'a> {
    /// Shape of each.
    pub vent: &'a Vent,
    /// How many.
    pub count: u32,
    /// Where they are wanted, best first, on the lines around the part.
    pub wanted: &'a [Point],
    /// Those lines.
    pub outer: &'a [Vec<Point>],
    /// Tells plastic from metal.
    pub inside: &'a Inside,
    /// The half that keeps the part.
    pub core: Half,
}

/// Adds the vents that find a way to the open.
pub fn add(layout: &mut Layout, asked: &Asked<'_>) {
    let wide = mm(asked.vent.width);
    let mut placed: Vec<[f64; 2]> = Vec::new();
    for wanted in asked.wanted {
        if placed.len() as u32 >= asked.count.min(MOST) {
            break;
        }
        let Some((at, normal)) = beside(asked.outer, wanted) else { continue };
        let flat = [at.x, at.y];
        let near = |other: &[f64; 2]| (other[0] - flat[0]).hypot(other[1] - flat[1]);
        if placed.iter().any(|other| near(other) < APART * wide) {
            continue;
        }
        if let Some(length) = open_way(layout, flat, normal, wide) {
            let way = normal;
            layout.cuts.extend(cuts(asked, &at, way, length));
            let end = [flat[0] + way[0] * length, flat[1] + way[1] * length];
            layout.ground.take_line(flat, end, wide / 2.0);
            placed.push(flat);
        }
    }
    let missing = asked.count.saturating_sub(placed.len() as u32);
    if missing > 0 {
        layout.notes.push(format!(
            "vents: {} of {} are drawn; scratch more at the end of the flow path while testing",
            placed.len(),
            asked.count
        ));
    }
}

/// The nearest place on the lines, and the way off the part there; `None` at a corner.
fn beside(outer: &[Vec<Point>], wanted: &Point) -> Option<(Point, [f64; 2])> {
    let edges =
        outer.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    let found = edges.filter_map(|(from, to)| {
        let along = to - from;
        let length = along.x.hypot(along.y);
        let share = (wanted - from).dot(&along) / along.norm_squared();
        let at = from + along * share.clamp(0.0, 1.0);
        let normal = [along.y / length, -along.x / length];
        (length > 1e-6).then(|| (nalgebra::distance_squared(&at, wanted), at, normal))
    });
    let nearest = found.min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map(|(_, at, normal)| (at, normal))
}

/// A free way from `at` to the wall of the block, and its length.
fn open_way(layout: &Layout, at: [f64; 2], normal: [f64; 2], wide: f64) -> Option<f64> {
    let outline = layout.ground.outline;
    let reach = (0..2).map(|axis| {
        let wall = outline[axis][usize::from(normal[axis] > 0.0)];
        let along = normal[axis];
        if along.abs() < 1e-9 { f64::INFINITY } else { (wall - at[axis]) / along }
    });
    let length = reach.fold(f64::INFINITY, f64::min);
    let place = |along: f64| [at[0] + normal[0] * along, at[1] + normal[1] * along];
    // Beside the part itself it begins at nothing and must only get away from it.
    let start = wide / 2.0 + 0.5;
    let metal =
        |from: f64| layout.ground.metal_along(place(from), place(length), wide / 2.0);
    let free = length > start
        && metal(start) > 0.2
        && metal(start + LEAST_METAL_MM) >= LEAST_METAL_MM;
    free.then_some(length)
}

fn cuts(asked: &Asked<'_>, at: &Point, way: [f64; 2], length: f64) -> [Cut; 2] {
    let [wide, land, relief, start, most] = {
        let vent = asked.vent;
        [vent.width, vent.land, vent.relief, vent.start, vent.most].map(mm)
    };
    let flat = [at.x, at.y];
    let place = |along: f64| [flat[0] + way[0] * along, flat[1] + way[1] * along];
    let holds = |half: Half| {
        let up = if half == Half::Plus { 1.0 } else { -1.0 };
        let [x, y] = place(-0.05);
        asked.inside.holds(&Point::new(x, y, at.z + up * 0.05))
    };
    let cavity = other(asked.core);
    let half = if holds(cavity) || !holds(asked.core) { cavity } else { asked.core };
    let down = |depth: f64| match half {
        Half::Plus => [at.z - ABOVE_MM, at.z + depth],
        Half::Minus => [at.z - depth, at.z + ABOVE_MM],
    };
    let side = [-wide / 2.0, wide / 2.0];
    let shallow = forms::bar(flat, way, [[-INTO_MM, land], side], down(start));
    let deep = forms::bar(flat, way, [[land, length + wide], side], down(relief));
    let note = format!(
        "{wide:.0} mm wide, {start:.3} mm deep to begin with, at most {most:.3} mm, {land:.1} mm long"
    );
    [
        Cut::new(Kind::Vent, half, flat, shallow)
            .to(place(land))
            .sized(wide, start)
            .noted(note),
        Cut::new(Kind::Relief, half, place(land), deep)
            .to(place(length))
            .sized(wide, relief)
            .noted(format!("{wide:.0} mm wide, {relief:.1} mm deep, to the open")),
    ]
}
