//! The parting face of both halves as a drawing for CAD and router: DXF of release 2000, in
//! millimeters.
//!
//! The cavity half stands at the left, the core half at its right, each as it is seen with
//! its parting face up; zero is the datum of the half at the left, on layer `DATUM`. Lines
//! of the part lie at height zero, as seen along the pull.

use ::dxf::entities::{Circle, Entity, EntityType, LwPolyline};
use ::dxf::enums::AcadVersion;
use ::dxf::tables::Layer;
use ::dxf::{Color, Drawing, DxfError, LwPolylineVertex, Point as Place};

use crate::geom::Point;
use crate::mold::build::Mold;
use crate::mold::cut_feature::{Cut, Kind};
use crate::part::halves::Half;
use crate::report::dxf;
use crate::schema::mold::drill;

/// Layers with their index colors.
const LAYERS: [(&str, u8); 9] = [
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

/// Decimals that are kept, as steps in a millimeter.
const STEPS_PER_MM: f64 = 1e6;

/// The drawing.
pub(crate) fn write(mold: &Mold) -> Result<Vec<u8>, DxfError> {
    let mut drawing = dxf::undated();
    drawing.header.version = AcadVersion::R2000;
    for (name, color) in LAYERS {
        let color = Color::from_index(color);
        drawing.add_layer(Layer { name: name.to_owned(), color, ..Layer::default() });
    }
    let cavity = mold.core.other();
    let [x, y, _] = mold.layout.block;
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
    drawing.header.minimum_drawing_extents = Place::new(0.0, 0.0, 0.0);
    let most = [left - BETWEEN_MM, y[1] - y[0]].map(rounded);
    drawing.header.maximum_drawing_extents = Place::new(most[0], most[1], 0.0);
    let mut bytes = Vec::new();
    drawing.save(&mut bytes)?;
    Ok(bytes)
}

type Placed<'a> = &'a dyn Fn([f64; 2]) -> [f64; 2];

fn sheet(drawing: &mut Drawing, mold: &Mold, half: Half, place: Placed<'_>) {
    let [x, y, _] = mold.layout.block;
    let block = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    line(drawing, "OUTLINE", &block.map(place), true);
    let lines = [("PARTING", &mold.outer), ("SHUT_OFF", &mold.inner)];
    for (layer, rings) in lines {
        for ring in rings {
            let flat = |point: &Point| place([point.x, point.y]);
            line(drawing, layer, &ring.iter().map(flat).collect::<Vec<_>>(), true);
        }
    }
    for (of, cut) in drill::in_order(mold) {
        if of == half {
            add(drawing, cut, place);
        }
    }
    let datum = place([x[0], y[0]]);
    circle(drawing, "DATUM", datum, 3.0);
}

fn add(drawing: &mut Drawing, cut: &Cut, place: Placed<'_>) {
    let layer = match cut.kind {
        Kind::Sprue | Kind::Seat | Kind::Well | Kind::Runner | Kind::Gate => "FEED",
        Kind::Clearance | Kind::Tap => "BOLTS",
        Kind::DowelFast | Kind::DowelSlides => "DOWELS",
        Kind::Pin | Kind::CorePin | Kind::CoreSeat => "PINS",
        Kind::Vent | Kind::Relief => "VENTS",
        Kind::Pry => "OUTLINE",
    };
    if let Some(end) = cut.end {
        let [dx, dy] = [end[0] - cut.at[0], end[1] - cut.at[1]];
        let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
        let side = [-dy / length * cut.width / 2.0, dx / length * cut.width / 2.0];
        let corner = |at: [f64; 2], sign: f64| {
            place([at[0] + sign * side[0], at[1] + sign * side[1]])
        };
        let corners = [
            corner(cut.at, 1.0),
            corner(end, 1.0),
            corner(end, -1.0),
            corner(cut.at, -1.0),
        ];
        line(drawing, layer, &corners, true);
    } else if cut.kind == Kind::Pry {
        let bounds = cut.solid.bounds();
        let [low, high] = [bounds.min, bounds.max];
        let corners =
            [[low.x, low.y], [high.x, low.y], [high.x, high.y], [low.x, high.y]];
        line(drawing, layer, &corners.map(place), true);
    } else {
        circle(drawing, layer, place(cut.at), cut.width / 2.0);
    }
}

fn rounded(value: f64) -> f64 {
    (value * STEPS_PER_MM).round() / STEPS_PER_MM + 0.0
}

fn line(drawing: &mut Drawing, layer: &str, corners: &[[f64; 2]], closed: bool) {
    let mut polyline = LwPolyline::default();
    polyline.set_is_closed(closed);
    let vertex = |at: &[f64; 2]| LwPolylineVertex {
        x: rounded(at[0]),
        y: rounded(at[1]),
        ..LwPolylineVertex::default()
    };
    let mut vertices: Vec<LwPolylineVertex> = corners.iter().map(vertex).collect();
    vertices.dedup_by(|a, b| {
        a.x.to_bits() == b.x.to_bits() && a.y.to_bits() == b.y.to_bits()
    });
    polyline.vertices = vertices;
    entity(drawing, layer, EntityType::LwPolyline(polyline));
}

fn circle(drawing: &mut Drawing, layer: &str, at: [f64; 2], radius: f64) {
    let center = Place::new(rounded(at[0]), rounded(at[1]), 0.0);
    let circle = Circle { center, radius: rounded(radius), ..Circle::default() };
    entity(drawing, layer, EntityType::Circle(circle));
}

fn entity(drawing: &mut Drawing, layer: &str, specific: EntityType) {
    let mut entity = Entity::new(specific);
    layer.clone_into(&mut entity.common.layer);
    drawing.add_entity(entity);
}
