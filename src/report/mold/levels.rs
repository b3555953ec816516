//! One half as a drawing for 2-D CAM: every level floor on a layer of its own, named by its depth, the
//! runner, vents, holes and slots on theirs. DXF of release 2000, in millimeters.
//!
//! It is seen on its parting face, zero at the datum, as in the drill table; all lines lie at
//! height zero. `DEPTH_8.00` is a floor 8 mm below the height of the parting at the datum, `HEIGHT_3.00` one
//! that stands 3 mm above it. Along a runner, gate or vent lies its center line too, on the layer
//! `CENTERS`.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use crate::geom::Point;
use crate::mold::brep::{Brep, Curve, Face, Shape};
use crate::mold::build::Mold;
use crate::part::halves::Half;
use crate::report::dxf_file::{Drawing, Layer};
use crate::report::mold::drawing;
use crate::schema::mold::drill;

/// Layers besides those of the floors, with their index colors.
const OTHERS: [Layer<'_>; 10] = [
    ("OUTLINE", 7),
    ("PARTING", 5),
    ("SHUT_OFF", 1),
    ("FEED", 30),
    ("BOLTS", 3),
    ("DOWELS", 6),
    ("PINS", 4),
    ("VENTS", 2),
    ("CENTERS", 9),
    ("DATUM", 8),
];

/// Index colors of the floors, in turn.
const COLORS: [u8; 6] = [40, 110, 140, 170, 200, 230];

/// Floors that are smaller are not worth a tool path of their own, mm².
const LEAST_AREA_MM2: f64 = 1.0;

/// The layers of the largest floors only: a surface in steps has hundreds.
const MOST_FLOORS: usize = 40;

/// Heights are given in so many steps a millimeter.
const STEPS_PER_MM: f64 = 100.0;

/// An arc is drawn in so many pieces a turn.
const AROUND: f64 = 72.0;

/// The level floors of a half: the height of each, mm above the parting plane and toward the
/// spindle, and its faces.
type Floors<'a> = BTreeMap<i64, Vec<&'a Face>>;

/// The drawing of `half`, whose faces are `brep`.
pub(crate) fn write(mold: &Mold, half: Half, brep: &Brep) -> Vec<u8> {
    let floors = largest(brep, floors(brep, half));
    let names: Vec<String> = floors.keys().map(|step| name(*step)).collect();
    let colors = COLORS.iter().cycle();
    let mut layers: Vec<Layer<'_>> = OTHERS.to_vec();
    layers.extend(names.iter().map(String::as_str).zip(colors.copied()));
    let mut drawing = Drawing::new(&layers);
    let place = |at: [f64; 2]| drill::seen(mold, half, at);
    drawing::sheet(&mut drawing, mold, half, &place);
    for (_, cut) in drill::in_order(mold).into_iter().filter(|(of, _)| *of == half) {
        if let Some(end) = cut.end {
            drawing.line("CENTERS", [cut.at, end].map(place), false);
        }
    }
    for (name, faces) in names.iter().zip(floors.values()) {
        for around in faces.iter().flat_map(|face| &face.loops) {
            match full_circle(brep, around) {
                Some((center, radius)) => drawing.circle(name, place(center), radius),
                None => drawing.line(name, corners(brep, around).map(place), true),
            }
        }
    }
    drawing.bytes()
}

fn name(step: i64) -> String {
    let height = step as f64 / STEPS_PER_MM;
    if step > 0 {
        format!("HEIGHT_{height:.2}")
    } else {
        format!("DEPTH_{:.2}", height.abs())
    }
}

/// Faces across the pull that the spindle sees, by their height; the floors of round holes are drilled.
fn floors(brep: &Brep, half: Half) -> Floors<'_> {
    let up = if half == Half::Minus { 1.0 } else { -1.0 };
    let mut floors = Floors::new();
    for face in &brep.faces {
        let Shape::Plane { at, normal } = &face.shape else { continue };
        let is_hole =
            face.loops.len() == 1 && full_circle(brep, &face.loops[0]).is_some();
        if normal.z * up > 1.0 - 1e-9 && !is_hole {
            let step = (at.z * up * STEPS_PER_MM).round() as i64;
            floors.entry(step).or_default().push(face);
        }
    }
    floors
}

/// The largest floors.
fn largest<'a>(brep: &Brep, floors: Floors<'a>) -> Floors<'a> {
    let area = |faces: &[&Face]| {
        let loops = faces.iter().flat_map(|face| &face.loops);
        loops
            .map(|around| area(&corners(brep, around).collect::<Vec<_>>()))
            .sum::<f64>()
            .abs()
    };
    let mut sized: Vec<(f64, i64)> = floors
        .iter()
        .map(|(step, faces)| (area(faces), *step))
        .filter(|(area, _)| *area >= LEAST_AREA_MM2)
        .collect();
    sized.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    sized.truncate(MOST_FLOORS);
    let kept = |step: &i64| sized.iter().any(|it| it.1 == *step);
    floors.into_iter().filter(|(step, _)| kept(step)).collect()
}

/// Area inside corners, positive where they run counter-clockwise.
fn area(corners: &[[f64; 2]]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>() / 2.0
}

/// Center and radius of a loop that is one circle.
fn full_circle(brep: &Brep, around: &[(usize, bool)]) -> Option<([f64; 2], f64)> {
    let [(edge, _)] = around[..] else { return None };
    match &brep.edges[edge].curve {
        Curve::Line => None,
        Curve::Ellipse { center, half_axes, .. } => {
            Some(([center.x, center.y], half_axes[1]))
        }
    }
}

/// The corners along a loop, arcs in short pieces.
fn corners<'a>(
    brep: &'a Brep,
    around: &'a [(usize, bool)],
) -> impl Iterator<Item = [f64; 2]> + 'a {
    around.iter().flat_map(|&(name, is_forward)| {
        let edge = &brep.edges[name];
        let [from, to] = if is_forward { [0, 1] } else { [1, 0] }
            .map(|end: usize| brep.corners[edge.ends[end]]);
        match &edge.curve {
            Curve::Line => vec![[from.x, from.y]],
            Curve::Ellipse { center, normal, .. } => {
                arc(center, [&from, &to], (normal.z > 0.0) == is_forward)
            }
        }
    })
}

/// Points along the arc about `center` from one end up to the other, without the latter.
fn arc(center: &Point, ends: [&Point; 2], is_left: bool) -> Vec<[f64; 2]> {
    let off = |end: &Point| [end.x - center.x, end.y - center.y];
    let [a, b] = ends.map(off);
    let radius = a[0].hypot(a[1]);
    let [begin, end] = [a, b].map(|off| off[1].atan2(off[0]));
    let turn = if is_left { end - begin } else { begin - end }.rem_euclid(TAU);
    let turn = if turn < 1e-9 { TAU } else { turn };
    let pieces = (turn / TAU * AROUND).ceil().max(1.0) as u32;
    let step = turn / f64::from(pieces) * if is_left { 1.0 } else { -1.0 };
    let at = |piece: u32| {
        let angle = begin + step * f64::from(piece);
        [center.x + radius * angle.cos(), center.y + radius * angle.sin()]
    };
    (0..pieces).map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::{arc, area, name};
    use crate::geom::Point;

    #[test]
    fn layers_are_named_by_depth_or_height() {
        assert_eq!(name(-800), "DEPTH_8.00");
        assert_eq!(name(0), "DEPTH_0.00");
        assert_eq!(name(312), "HEIGHT_3.12");
    }

    /// A half circle of radius 2 to the left and back straight: π r² / 2 less what 36 chords cut off.
    #[test]
    fn an_arc_runs_the_way_it_is_told() {
        let [from, to] = [Point::new(3.0, 0.0, 0.0), Point::new(-1.0, 0.0, 0.0)];
        let center = Point::new(1.0, 0.0, 0.0);
        for (is_left, sign) in [(true, 1.0), (false, -1.0)] {
            let mut corners = arc(&center, [&from, &to], is_left);
            corners.push([to.x, to.y]);
            let half = std::f64::consts::TAU;
            assert!((area(&corners) * sign / half - 1.0).abs() < 2e-3);
        }
    }
}
