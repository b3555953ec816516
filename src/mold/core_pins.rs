//! Bought pins in place of round cores that are too thin to mill, or that the melt would bend.
//!
//! The core is left out of the half, and a hardened dowel pin, or a drill blank, is pressed into a reamed hole
//! where its foot would be. The hole in the part comes out as wide as the pin less shrinkage.

use super::layout::{FLOOR_MM, LEAST_METAL_MM, Layout};
use crate::geom::Point;
use crate::mesh::solid::NotCut;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::clamping::standing_metal::pin_name;
use crate::units::format::three_digits;
use crate::units::from_mm;

/// Lengths of hardened dowel pins, mm (ISO 8734; from memory).
const LENGTHS_MM: [f64; 26] = [
    4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 30.0,
    32.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 70.0, 80.0, 90.0, 100.0,
];

/// A pin sits fast over twice its diameter, and over so many mm at least (common practice).
const HOLD: f64 = 2.0;
/// The same for thin pins.
const LEAST_HOLD_MM: f64 = 6.0;

/// The core as drawn is left out with so much around it, mm: its round is a polygon.
const AROUND_MM: f64 = 0.05;

/// A round core and the pin in its place, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CorePin {
    /// The half that it stands on.
    pub half: Half,
    /// Middle of its foot.
    pub foot: Point,
    /// From foot to tip.
    pub height: f64,
    /// Greatest diameter of the core as drawn.
    pub widest: f64,
    /// Diameter of the pin.
    pub diameter: f64,
}

/// Leaves out these cores, in the axes and lengths of the mold, and reams the holes of their
/// pins. `shrunk` is part length over cavity length.
///
/// # Errors
/// When a hole and what is left out do not unite.
pub fn add(layout: &mut Layout, pins: &[CorePin], shrunk: f64) -> Result<(), NotCut> {
    for pin in pins {
        let cut = cut(layout, pin, shrunk)?;
        let ejector = layout.cuts.iter().find(|other| {
            let [dx, dy] = [0, 1].map(|axis| other.at[axis] - cut.at[axis]);
            let metal = dx.hypot(dy) - (other.width + cut.width) / 2.0;
            other.kind == Kind::Pin && other.half == cut.half && metal < LEAST_METAL_MM
        });
        if ejector.is_some() {
            layout.notes.push(format!(
                "the core pin of {} mm and an ejector pin leave less than {LEAST_METAL_MM} mm of metal between them: move the ejector pin",
                three_digits(pin.diameter)
            ));
        }
        layout.cuts.push(cut);
    }
    Ok(())
}

/// How long a pin of this diameter is bought that is to stand so far out, mm; cut to length
/// where none is so long.
fn bought_length(height: f64, diameter: f64) -> f64 {
    let least = height + (HOLD * diameter).max(LEAST_HOLD_MM);
    // What was rounded on the way does not ask for the next length.
    let fits = |length: &f64| *length >= least - 1e-6;
    LENGTHS_MM.into_iter().find(fits).unwrap_or(least)
}

fn cut(layout: &Layout, pin: &CorePin, shrunk: f64) -> Result<Cut, NotCut> {
    let CorePin { half, foot, height, widest, diameter } = *pin;
    let at = [foot.x, foot.y];
    let [bottom, top] = layout.faces();
    let up = if half == Half::Plus { 1.0 } else { -1.0 };
    let face = if half == Half::Plus { top } else { bottom };
    let behind = up * (face - foot.z);
    let length = bought_length(height, diameter);
    let hold = length - height;
    let is_through = hold + FLOOR_MM > behind;
    let depth = if is_through { behind } else { hold };
    let span = |[from, to]: [f64; 2]| {
        let [a, b] = [from, to].map(|deep| foot.z + up * deep);
        [a.min(b), a.max(b)]
    };
    let core =
        primitives::round(at, widest + 2.0 * AROUND_MM, span([-height - AROUND_MM, 0.0]));
    let hole = primitives::round(at, diameter, span([-height, depth]));
    let solid = core.plus(&hole)?;
    let cut = Cut::new(Kind::CorePin, half, at, solid).sized(diameter, depth);
    let cut = if is_through { cut.through() } else { cut };
    Ok(cut.noted(format!(
        "do not mill this core: ream {wide} H7 from where it would stand, press in a {} {wide} x {length:.0} so that {} mm stand out; the hole in the part comes out {} mm wide",
        pin_name(from_mm(diameter)),
        three_digits(height),
        three_digits(diameter * shrunk),
        wide = three_digits(diameter),
    )))
}

/// What is left out of the half where a core pin is cut: the span of heights before its hole.
pub fn core_span(cut: &Cut) -> [f64; 2] {
    let bounds = cut.solid.bounds();
    match cut.half {
        Half::Plus => [bounds.min.z, bounds.max.z - cut.depth],
        Half::Minus => [bounds.min.z + cut.depth, bounds.max.z],
    }
}

/// Length of the pin in this cut, mm: what stands out of it and what it holds.
pub fn pin_length(cut: &Cut) -> f64 {
    let [low, high] = core_span(cut);
    bought_length(high - low - AROUND_MM, cut.width)
}

#[cfg(test)]
mod tests {
    use super::{CorePin, pin_length};
    use crate::geom::Point;
    use crate::mesh::shapes;
    use crate::mold::cut_feature::Kind;
    use crate::mold::layout::Without;
    use crate::mold::tests::{BARE, More, SCALE, made, near, sound};
    use crate::part::halves::Half;

    /// A block with a round bore of 3 mm, 12 deep, open upward: the + half loses its core and
    /// gets a hole. By hand: a pin of 3 mm stands 12.24 out and needs 6 mm of hold: 20 mm long,
    /// its hole 7.76 deep.
    #[test]
    fn a_pin_stands_where_the_core_would() {
        let profile =
            [[0.0, 0.0], [6.0, 0.0], [6.0, 15.0], [1.5, 15.0], [1.5, 3.0], [0.0, 3.0]];
        let part = shapes::revolve(&profile, 48);
        let pin = CorePin {
            half: Half::Plus,
            foot: Point::new(0.0, 0.0, 15.0),
            height: 12.0,
            widest: 3.0,
            diameter: 3.0,
        };
        let without = Without { pins: false, ..BARE };
        let [bare, pinned] = [Vec::new(), vec![pin]].map(|core_pins| {
            made(&part, without, &More { core_pins, ..More::default() }).unwrap()
        });
        sound(&pinned);
        let cut = pinned.layout.cuts.iter().find(|it| it.kind == Kind::CorePin).unwrap();
        near(cut.width, 3.0);
        near(cut.depth, 20.0 - 12.0 * SCALE);
        near(pin_length(cut), 20.0);
        assert!(cut.note.contains("dowel pin 3 x 20") && !cut.through, "{}", cut.note);
        let polygon = |diameter: f64| {
            24.0 * (std::f64::consts::TAU / 48.0).sin() * (diameter / 2.0).powi(2)
        };
        let lost = bare.halves[0].volume() - pinned.halves[0].volume();
        let core = polygon(3.0 * SCALE) * 12.0 * SCALE;
        let hole = polygon(3.0) * cut.depth;
        assert!((lost / (core + hole) - 1.0).abs() < 1e-3, "{lost} {core} {hole}");
        near(lost, pinned.holes_mm3);
    }
}
