//! What has no fixed place in the plates: dowels and pry slots. Looked for along the rim, with
//! metal all around.

use super::layout::{FLOOR_MM, LEAST_METAL_MM, Layout, Without};
use crate::mold::clearance::unlike_pair;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::clamping::mold_plates::EDGE;
use crate::process::ejection::pins;
use crate::units::format::four_digits;

/// Dowels for plates with a longer edge of up to so many mm, and their diameter, mm
/// (common practice: 4 to 8 in hand molds).
const DOWELS_MM: [(f64, f64); 3] = [(70.0, 4.0), (160.0, 6.0), (f64::INFINITY, 8.0)];
/// A dowel sits fast over twice its diameter and slides in over one and a half (common
/// practice).
const DOWEL_HOLD: [f64; 2] = [2.0, 1.5];
/// Diameters of parallel pins, mm (ISO 2338, from memory).
const STANDARD_MM: [f64; 13] =
    [1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0];

/// Whether dowels of this diameter, mm, are made with tolerance m6.
pub fn is_standard(diameter: f64) -> bool {
    STANDARD_MM.iter().any(|own| (own - diameter).abs() < 1e-6)
}

/// How wide a pry slot is along the edge, and how far it reaches in, mm.
const PRY_MM: [f64; 2] = [12.0, 6.0];

/// Adds what is wanted; `part` is its least and greatest height, `dowel` the diameter that is
/// wanted.
pub fn add(
    layout: &mut Layout,
    core: Half,
    part: [f64; 2],
    dowel: Option<f64>,
    without: Without,
) {
    if !without.dowels {
        layout.add_dowels(core, part, dowel);
    }
    if !without.pry_slots {
        layout.add_pry_slots(core, part);
    }
}

impl Layout {
    /// Two dowels, so that a half that is turned does not close.
    fn add_dowels(&mut self, core: Half, part: [f64; 2], wanted: Option<f64>) {
        let [x, y, _] = self.block;
        let longer = (x[1] - x[0]).max(y[1] - y[0]);
        let fits = DOWELS_MM.iter().find(|(edge, _)| longer <= *edge);
        let usual = fits.map_or(8.0, |(_, diameter)| *diameter);
        let diameter = wanted.unwrap_or(usual);
        let inset = (EDGE * diameter).max(5.0);
        let free: Vec<[f64; 2]> = self
            .parting_face
            .rim(inset, 2.0)
            .into_iter()
            .filter(|at| self.parting_face.metal(*at, diameter / 2.0) >= LEAST_METAL_MM)
            .collect();
        let middle = [f64::midpoint(x[0], x[1]), f64::midpoint(y[0], y[1])];
        let Some(pair) = unlike_pair(&free, middle, diameter) else {
            self.notes.push(
                "dowels: no two places with metal around them; give larger plates"
                    .to_owned(),
            );
            return;
        };
        for at in pair.map(|index| free[index]) {
            for (half, kind, hold, fit) in [
                (core, Kind::DowelFast, DOWEL_HOLD[0], "H7, press fit for an m6 dowel"),
                (core.other(), Kind::DowelSlides, DOWEL_HOLD[1], "F7, sliding fit"),
            ] {
                let depth = (hold * diameter).min(self.thickness(half) - FLOOR_MM);
                let z = match half {
                    Half::Plus => [part[0].min(0.0), depth],
                    Half::Minus => [-depth, part[1].max(0.0)],
                };
                let cut = Cut::new(kind, half, at, primitives::round(at, diameter, z));
                let wide = four_digits(diameter);
                let note = match (is_standard(diameter), half == core) {
                    (true, _) => format!("ream {wide} {fit}"),
                    (false, true) => {
                        format!("ream to your dowel of {wide} mm, press fit")
                    }
                    (false, false) => {
                        format!("ream to your dowel of {wide} mm, sliding fit")
                    }
                };
                self.cuts.push(cut.sized(diameter, depth).noted(note));
            }
            self.parting_face.take(at, diameter / 2.0);
        }
    }

    /// Two slots at opposite edges.
    fn add_pry_slots(&mut self, core: Half, part: [f64; 2]) {
        let depth = f64::midpoint(pins::PRY_SLOT_MM[0], pins::PRY_SLOT_MM[1]);
        let [wide, reach] = PRY_MM;
        let [x, y, _] = self.block;
        let middle = [f64::midpoint(x[0], x[1]), f64::midpoint(y[0], y[1])];
        let free: Vec<[f64; 2]> = self
            .parting_face
            .rim(0.0, 2.0)
            .into_iter()
            .filter(|at| {
                self.slot_line(*at).is_some_and(|[a, b]| {
                    self.parting_face.metal_along(a, b, reach) >= LEAST_METAL_MM
                })
            })
            .collect();
        // Opposite each other, so that the halves part evenly, and far from the middle.
        let opposite = |at: &[f64; 2]| [0, 1].map(|axis| 2.0 * middle[axis] - at[axis]);
        let near = |at: &[f64; 2], to: [f64; 2]| (at[0] - to[0]).hypot(at[1] - to[1]);
        let pair = free
            .iter()
            .flat_map(|a| free.iter().map(move |b| (a, b)))
            .filter(|(a, b)| near(b, opposite(a)) < 2.0 * wide)
            .max_by(|(a, b), (c, d)| near(a, **b).total_cmp(&near(c, **d)));
        let Some((a, b)) = pair else {
            self.notes
                .push("pry slots: no two opposite places on the rim are free".to_owned());
            return;
        };
        let z = match core {
            Half::Plus => [part[0].min(0.0), depth],
            Half::Minus => [-depth, part[1].max(0.0)],
        };
        for at in [*a, *b] {
            let Some([from, to]) = self.slot_line(at) else { continue };
            let along = (to[0] - from[0]).abs() > (to[1] - from[1]).abs();
            let half = if along { [wide / 2.0, reach] } else { [reach, wide / 2.0] };
            let clip = |axis: usize, [low, high]: [f64; 2]| {
                [(at[axis] - half[axis]).max(low), (at[axis] + half[axis]).min(high)]
            };
            let solid = primitives::block([clip(0, x), clip(1, y), z]);
            let cut = Cut::new(Kind::Pry, core, at, solid).sized(wide, depth);
            let note = format!(
                "mill {wide:.0} x {reach:.0} mm, {depth:.0} mm deep, at the edge"
            );
            self.cuts.push(cut.noted(note));
            self.parting_face.take_line(from, to, reach);
        }
    }

    /// The line along the edge that a slot at `at` takes; `None` at a corner.
    fn slot_line(&self, at: [f64; 2]) -> Option<[[f64; 2]; 2]> {
        let half = PRY_MM[0] / 2.0;
        let [x, y, _] = self.block;
        let on = |value: f64, [low, high]: [f64; 2]| {
            (value - low).abs() < 1e-9 || (value - high).abs() < 1e-9
        };
        let fits = |value: f64, [low, high]: [f64; 2]| {
            value - low > half + 1.0 && high - value > half + 1.0
        };
        if on(at[1], y) && fits(at[0], x) {
            Some([[at[0] - half, at[1]], [at[0] + half, at[1]]])
        } else if on(at[0], x) && fits(at[1], y) {
            Some([[at[0], at[1] - half], [at[0], at[1] + half]])
        } else {
            None
        }
    }
}
