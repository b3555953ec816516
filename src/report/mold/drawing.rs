//! The parting face of both halves as a drawing for CAD and router: DXF of release 2000, in
//! millimeters.
//!
//! The cavity half stands at the left, the core half at its right, each as it is seen with
//! its parting face up; zero is the datum of the half at the left, on layer `DATUM`. Lines
//! of the part lie at height zero, as seen along the pull.

use crate::geom::Point;
use crate::mold::build::Mold;
use crate::mold::cut_feature::{Cut, Kind};
use crate::part::halves::Half;
use crate::report::dxf_file::{Drawing, Layer};
use crate::schema::mold::drill;

/// Layers with their index colors.
const LAYERS: [Layer<'_>; 9] = [
    ("OUTLINE", 7),
    ("PARTING", 5),
    ("SHUT_OFF", 1),
    ("FEED", 30),
    ("BOLTS", 3),
    ("DOWELS", 6),
    ("PINS", 4),
    ("VENTS", 2),
    ("DATUM", 8),
];

/// Room between the halves, mm.
const BETWEEN_MM: f64 = 20.0;

/// The drawing.
pub(crate) fn write(mold: &Mold) -> Vec<u8> {
    let mut drawing = Drawing::new(&LAYERS);
    let cavity = mold.core.other();
    let [x, ..] = mold.layout.block;
    let mut left = 0.0;
    for half in [cavity, mold.core] {
        // The datum of a mirrored half lies at its lower right.
        let mirrored = half == Half::Plus;
        let start = left + if mirrored { x[1] - x[0] } else { 0.0 };
        let place = |at: [f64; 2]| {
            let [right, up] = drill::seen(mold, half, at);
            [right + start, up]
        };
        sheet(&mut drawing, mold, half, &place);
        left += x[1] - x[0] + BETWEEN_MM;
    }
    drawing.bytes()
}

/// Where a place of the mold lies in the drawing.
pub(crate) type Placed<'a> = &'a dyn Fn([f64; 2]) -> [f64; 2];

/// Adds one half with everything that is cut into it.
pub(crate) fn sheet(
    drawing: &mut Drawing<'_>,
    mold: &Mold,
    half: Half,
    place: Placed<'_>,
) {
    let [x, y, _] = mold.layout.block;
    let block = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    drawing.line("OUTLINE", block.map(place), true);
    let lines = [("PARTING", &mold.outer), ("SHUT_OFF", &mold.inner)];
    for (layer, rings) in lines {
        for ring in rings {
            let flat = |point: &Point| place([point.x, point.y]);
            drawing.line(layer, ring.iter().map(flat), true);
        }
    }
    for (of, cut) in drill::in_order(mold) {
        if of == half {
            add(drawing, mold, cut, place);
        }
    }
    let datum = place([x[0], y[0]]);
    drawing.circle("DATUM", datum, 3.0);
}

fn add(drawing: &mut Drawing<'_>, mold: &Mold, cut: &Cut, place: Placed<'_>) {
    let layer = match cut.kind {
        Kind::Sprue | Kind::Seat | Kind::Well | Kind::Runner | Kind::Gate => "FEED",
        Kind::Clearance | Kind::Tap => "BOLTS",
        Kind::DowelFast | Kind::DowelSlides => "DOWELS",
        Kind::Pin | Kind::PinRelief | Kind::Puller | Kind::CorePin | Kind::CoreSeat => {
            "PINS"
        }
        Kind::Vent | Kind::Relief => "VENTS",
        Kind::Insert | Kind::InsertScrew => "INSERTS",
        Kind::Pry => "OUTLINE",
    };
    if let Some(corners) = drill::outline(mold, cut) {
        drawing.line(layer, corners.into_iter().map(place), true);
    } else {
        drawing.circle(layer, place(cut.at), cut.width / 2.0);
    }
}
