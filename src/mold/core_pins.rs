//! Bought pins in place of round cores that are too thin to mill, or that the melt would bend.
//!
//! The core is left out of the half, and a hardened dowel pin, or a drill blank, is pressed
//! into a reamed hole where its foot would be. The hole in the part comes out as wide as the
//! pin less shrinkage.

use super::layout::{FLOOR_MM, LEAST_METAL_MM, Layout};
use crate::geom::Point;
use crate::mesh::solid::NotCut;
use crate::mold::cut_feature::{BoughtPin, Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::clamping::bought_steel::{is_dowel, pin_name};
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

/// A tip that enters the other half does so by this, mm (common practice),
const SEAT_MM: f64 = 2.0;
/// in a hole that is so much deeper.
const SEAT_ROOM_MM: f64 = 0.5;

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
    /// Whether its tip enters the other half: that of a hole through the part.
    pub is_seated: bool,
}

/// Leaves out these cores, in the axes and lengths of the mold, and reams the holes of their
/// pins. `shrunk` is part length over cavity length.
///
/// # Errors
/// When a hole and what is left out do not unite.
pub fn add(layout: &mut Layout, pins: &[CorePin], shrunk: f64) -> Result<(), NotCut> {
    for pin in pins {
        let place = Place::find(layout, pin);
        let cuts = cuts(pin, &place, shrunk)?;
        let crowded: Vec<String> =
            cuts.iter().filter_map(|cut| crowded(layout, cut)).collect();
        layout.notes.extend(crowded);
        if place.hold < least_hold(pin.diameter) {
            layout.notes.push(format!(
                "the core pin of {} mm sits in {} mm of metal only: take a thicker plate",
                three_digits(pin.diameter),
                three_digits(place.hold)
            ));
        }
        layout.cuts.extend(cuts);
        layout.core_pins.push(BoughtPin { diameter: pin.diameter, length: place.length });
    }
    Ok(())
}

/// A pin for which too little metal is left beside another.
fn crowded(layout: &Layout, cut: &Cut) -> Option<String> {
    let crowds = |other: &&Cut| {
        let [dx, dy] = [0, 1].map(|axis| other.at[axis] - cut.at[axis]);
        let metal = dx.hypot(dy) - (other.width + cut.width) / 2.0;
        let is_pin = matches!(
            other.kind,
            Kind::Pin | Kind::PinRelief | Kind::Puller | Kind::CorePin
        );
        is_pin && other.half == cut.half && metal < LEAST_METAL_MM
    };
    let other = layout.cuts.iter().find(crowds)?;
    let (what, cure) = if other.kind != Kind::CorePin {
        ("an ejector pin", "place the ejector pin elsewhere")
    } else {
        ("another", "ream the second with the first pin in its hole")
    };
    Some(format!(
        "the core pin of {} mm and {what} leave less than {LEAST_METAL_MM} mm of metal between them: {cure}",
        three_digits(cut.width)
    ))
}

fn least_hold(diameter: f64) -> f64 {
    (HOLD * diameter).max(LEAST_HOLD_MM)
}

/// How long a pin is and how much of it sits in its half, mm.
struct Place {
    length: f64,
    hold: f64,
    is_through: bool,
}

impl Place {
    /// The next length of the shelf where the plate is thick enough for it; else the pin is cut
    /// flush with the outer face.
    fn find(layout: &Layout, pin: &CorePin) -> Self {
        let up = if pin.half == Half::Plus { 1.0 } else { -1.0 };
        let [bottom, top] = layout.faces();
        let face = if pin.half == Half::Plus { top } else { bottom };
        let behind = up * (face - pin.foot.z);
        let out = pin.height + if pin.is_seated { SEAT_MM } else { 0.0 };
        let least = out + least_hold(pin.diameter);
        // What was rounded on the way does not ask for the next length.
        let fits = |length: &f64| *length >= least - 1e-6;
        let length = LENGTHS_MM.into_iter().find(fits).unwrap_or(least);
        let hold = length - out;
        if hold + FLOOR_MM > behind {
            Self { length: out + behind, hold: behind, is_through: true }
        } else {
            Self { length, hold, is_through: false }
        }
    }
}

fn cuts(pin: &CorePin, place: &Place, shrunk: f64) -> Result<Vec<Cut>, NotCut> {
    let CorePin { half, foot, height, widest, diameter, is_seated } = *pin;
    let Place { length, hold, is_through } = *place;
    let at = [foot.x, foot.y];
    let up = if half == Half::Plus { 1.0 } else { -1.0 };
    let span = |[from, to]: [f64; 2]| {
        let [a, b] = [from, to].map(|deep| foot.z + up * deep);
        [a.min(b), a.max(b)]
    };
    let core =
        primitives::round(at, widest + 2.0 * AROUND_MM, span([-height - AROUND_MM, 0.0]));
    let hole = primitives::round(at, diameter, span([-height, hold]));
    let solid = core.plus(&hole)?;
    let cut = Cut::new(Kind::CorePin, half, at, solid).sized(diameter, hold);
    let cut = if is_through { cut.through() } else { cut };
    let wide = three_digits(diameter);
    let name = pin_name(from_mm(diameter));
    let fit = if is_dowel(from_mm(diameter)) {
        format!("ream {wide} H7, press in a {name} {wide} m6")
    } else {
        format!("ream 0.01 mm below your {name} of {wide} mm, press it in")
    };
    let cut_to = if is_through { ", cut flush with the outer face" } else { "" };
    let mut cuts = vec![cut.noted(format!(
        "do not mill this core: {fit} {} mm long{cut_to}, so that {} mm stand out; the hole in the part comes out {} mm wide and without draft: polish the pin lengthwise",
        three_digits(length),
        three_digits(length - hold),
        three_digits(diameter * shrunk),
    ))];
    if is_seated {
        let seat = primitives::round(
            at,
            diameter,
            span([-height - SEAT_MM - SEAT_ROOM_MM, -height + SEAT_ROOM_MM]),
        );
        let cut = Cut::new(Kind::CoreSeat, half.other(), at, seat);
        let cut = cut.sized(diameter, SEAT_MM + SEAT_ROOM_MM);
        cuts.push(
            cut.noted(format!("ream {wide} F7: the tip of the core pin slides in")),
        );
    }
    Ok(cuts)
}

/// What is left out of the half where a core pin is cut: the span of heights before its hole.
pub fn core_span(cut: &Cut) -> [f64; 2] {
    let bounds = cut.solid.bounds();
    match cut.half {
        Half::Plus => [bounds.min.z, bounds.max.z - cut.depth],
        Half::Minus => [bounds.min.z + cut.depth, bounds.max.z],
    }
}

#[cfg(test)]
mod tests {
    use super::CorePin;
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
            is_seated: false,
        };
        let without = Without { pins: false, ..BARE };
        let [bare, pinned] = [Vec::new(), vec![pin]].map(|core_pins| {
            made(&part, without, &More { core_pins, ..More::default() }).unwrap()
        });
        sound(&pinned);
        let cut = pinned.layout.cuts.iter().find(|it| it.kind == Kind::CorePin).unwrap();
        near(cut.width, 3.0);
        near(cut.depth, 20.0 - 12.0 * SCALE);
        near(pinned.layout.core_pins[0].length, 20.0);
        assert!(cut.note.contains("dowel pin 3 m6 20 mm long"), "{}", cut.note);
        assert!(!cut.through);
        let polygon = |diameter: f64| {
            24.0 * (std::f64::consts::TAU / 48.0).sin() * (diameter / 2.0).powi(2)
        };
        let lost = bare.halves[0].volume() - pinned.halves[0].volume();
        let core = polygon(3.0 * SCALE) * 12.0 * SCALE;
        let hole = polygon(3.0) * cut.depth;
        assert!((lost / (core + hole) - 1.0).abs() < 1e-3, "{lost} {core} {hole}");
        near(lost, pinned.holes_mm3);
    }

    /// A bore through a block of 12 mm, whose metal stands on the half that holds all of it: the pin enters the other half by 2 mm, in a hole of 2.5.
    /// In a plate with 4 mm behind the foot it is cut flush and said to hold badly.
    #[test]
    fn a_pin_through_the_part_is_seated_and_a_thin_plate_is_reported() {
        let part = shapes::tube(1.5, 6.0, 12.0, 48);
        let pin = CorePin {
            half: Half::Minus,
            foot: Point::new(0.0, 0.0, 0.0),
            height: 12.0,
            widest: 3.0,
            diameter: 3.0,
            is_seated: true,
        };
        let without = Without { pins: false, ..BARE };
        let mold = |thickness: &str| {
            let plates = crate::units::from_toml(thickness).unwrap();
            let more = More { core_pins: vec![pin], plates, ..More::default() };
            made(&part, without, &more).unwrap()
        };
        let deep = mold("thickness = '40 mm'");
        sound(&deep);
        let seat = deep.layout.cuts.iter().find(|it| it.kind == Kind::CoreSeat).unwrap();
        assert_eq!(seat.half, Half::Plus);
        near(seat.depth, 2.5);
        let fast = deep.layout.cuts.iter().find(|it| it.kind == Kind::CorePin).unwrap();
        near(deep.layout.core_pins[0].length - fast.depth, 12.0 * SCALE + 2.0);
        let is_reported = |it: &String| it.contains("of metal only");
        assert!(!deep.layout.notes.iter().any(is_reported));
        let thin = mold("thickness = '16.24 mm'");
        let pin = thin.layout.core_pins[0];
        near(pin.length, 12.0 * SCALE + 2.0 + 4.0);
        assert!(thin.layout.notes.iter().any(is_reported), "{:?}", thin.layout.notes);
    }
}
