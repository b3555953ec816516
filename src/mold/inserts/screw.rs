//! The screws that draw an insert into its pocket from behind, and what is cut for both.

use super::{Insert, Shape};
use crate::mesh::solid::NotCut;
use crate::mold::bolt_holes;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::layout::Layout;
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::clamping::thread::Thread;
use crate::units::format::{four_digits, three_digits};

/// Nothing narrower has room for a screw, mm.
const LEAST_WIDTH_MM: f64 = 10.0;
/// A screw from behind: its thread, the diameter and height of its head and of the room for it, mm (ISO
/// 4762, from memory), for inserts from so wide on.
pub(super) struct Screw {
    pub(super) from: f64,
    pub(super) name: &'static str,
    pub(super) diameter: f64,
    pub(super) head: [f64; 2],
}

impl Screw {
    /// How deep the hole of its thread is, mm.
    pub(super) fn thread_hole(&self) -> f64 {
        THREAD * self.diameter + BELOW_THREAD_MM
    }
}

pub(super) const SCREWS: [Screw; 3] = [
    Screw { from: 20.0, name: "M5", diameter: 5.0, head: [10.0, 5.5] },
    Screw { from: 14.0, name: "M4", diameter: 4.0, head: [8.0, 4.5] },
    Screw { from: LEAST_WIDTH_MM, name: "M3", diameter: 3.0, head: [6.5, 3.5] },
];

/// Thread that holds a screw in aluminum, diameters (common practice: 2); its drill goes deeper, mm.
const THREAD: f64 = 2.0;
const BELOW_THREAD_MM: f64 = 2.0;

/// The pocket and the holes of the screws.
pub(super) fn cuts(
    layout: &Layout,
    insert: &Insert,
    places: &[[f64; 2]],
) -> Result<Vec<Cut>, NotCut> {
    let Insert { half, shape, at, depth, .. } = *insert;
    let name = insert.screws.1;
    let sizes = SCREWS.iter().find(|screw| screw.name == name);
    let (Some(screw), Some(thread)) = (sizes, Thread::read(name)) else {
        return Err(NotCut(format!("no screw {name}")));
    };
    let up = if half == Half::Plus { 1.0 } else { -1.0 };
    let span = |from: f64, to: f64| {
        let [a, b] = [up * from, up * to];
        [a.min(b), a.max(b)]
    };
    let z = span(-insert.height - super::OVER_MM, depth);
    let (bar, size) = insert.bar();
    let corner = if shape.corner() > 0.0 {
        format!(", corners R {}", three_digits(shape.corner()))
    } else {
        String::new()
    };
    let section = match shape {
        Shape::Round { diameter } => format!("Ø {}", four_digits(diameter)),
        Shape::Bar { edges: [x, y] } => {
            format!("{} x {}", four_digits(x), four_digits(y))
        }
    };
    let pocket = Cut::new(Kind::Insert, half, at, shape.solid(at, z))
        .sized(shape.widths()[0], depth)
        .noted(format!(
            "pocket {section}{corner}, floor flat, for the core from {bar} {size}: fit it without a gap over 0.02 mm, screw it in, then drill and ream what goes through both"
        ));
    let outer = layout.thickness(half);
    let holes = bolt_holes::holes(&thread);
    let deep = screw.thread_hole();
    let hole = |place: &[f64; 2]| {
        let tap = primitives::round(
            *place,
            holes.tap.diameter,
            span(depth - deep, depth + 0.5),
        );
        let free = primitives::round(*place, holes.free.diameter, span(depth, outer));
        let head = primitives::round(
            *place,
            screw.head[0],
            span(outer - screw.head[1], outer + 1.0),
        );
        let cut =
            Cut::new(Kind::InsertScrew, half, *place, tap.plus(&free)?.plus(&head)?);
        let note = format!(
            "from the outer face: drill {} for {name}, counterbore Ø {} {} mm deep; in the insert drill {}, tap {name} {} mm deep",
            holes.free.name,
            four_digits(screw.head[0]),
            four_digits(screw.head[1]),
            holes.tap.name,
            four_digits(THREAD * screw.diameter),
        );
        Ok(cut.sized(holes.free.diameter, outer - depth - screw.head[1]).noted(note))
    };
    let screws: Result<Vec<Cut>, NotCut> = places.iter().map(hole).collect();
    Ok(std::iter::once(pocket).chain(screws?).collect())
}
