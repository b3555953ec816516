//! The parting as a drawing for CAD and router: DXF of release 2000, in millimeters.
//!
//! It lies on the plane across the pull, seen from the + end; the lines around the part
//! stand on the layer `PARTING`, those around its holes on `SHUT_OFF`, those of
//! pockets that the other half reaches into on `POCKET`. A flat parting is
//! drawn flat, at height zero; a stepped one in space, with its height along the pull as
//! the third coordinate. Same parting, same bytes: the drawing bears no date. (As release
//! 12 the crate writes tables that strict readers refuse.)

use std::time::Duration;

use dxf::entities::{Entity, EntityType, Polyline, Vertex};
use dxf::enums::AcadVersion;
use dxf::tables::Layer;
use dxf::{Color, Drawing, DxfError};

use crate::geom::{Direction, Frame, Point};
use crate::part::parting::{Loop, Parting};

/// The layers, each with its index color: blue, red and green.
const LAYERS: [(&str, u8); 3] = [("PARTING", 5), ("SHUT_OFF", 1), ("POCKET", 3)];

/// Heights that differ by less cannot be milled, mm.
const LEVEL_MM: f64 = 0.01;

/// Decimals that are kept, as steps in a millimeter: a nanometer.
const STEPS_PER_MM: f64 = 1e6;

/// The lines of `parting` across `pull`.
///
/// # Errors
/// When the drawing cannot be written; into memory it always can.
pub fn write(parting: &Parting, pull: Direction) -> Result<Vec<u8>, DxfError> {
    let mut drawing = undated();
    drawing.header.version = AcadVersion::R2000;
    for (name, color) in LAYERS {
        let color = Color::from_index(color);
        drawing.add_layer(Layer { name: name.to_owned(), color, ..Layer::default() });
    }
    let frame = Frame::along(pull);
    let is_flat = |line: &Loop| line.height_high - line.height_low < LEVEL_MM;
    let flat = parting.flat && parting.loops.iter().all(is_flat);
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for line in &parting.loops {
        for at in add(&mut drawing, line, frame, flat) {
            for axis in 0..3 {
                (low[axis], high[axis]) =
                    (low[axis].min(at[axis]), high[axis].max(at[axis]));
            }
        }
    }
    if low[0] <= high[0] {
        drawing.header.minimum_drawing_extents = dxf::Point::new(low[0], low[1], low[2]);
        drawing.header.maximum_drawing_extents =
            dxf::Point::new(high[0], high[1], high[2]);
    }
    let mut bytes = Vec::new();
    drawing.save(&mut bytes)?;
    Ok(bytes)
}

/// A drawing whose dates are the first of January 1970 on the clock of any time zone, and
/// whose identifiers are zero.
pub(crate) fn undated() -> Drawing {
    let mut drawing = Drawing::new();
    let header = &mut drawing.header;
    header.creation_date = Default::default();
    let ahead = header.creation_date.offset().local_minus_utc();
    let shift = Duration::from_secs(u64::from(ahead.unsigned_abs()));
    if ahead > 0 {
        header.creation_date -= shift;
    } else {
        header.creation_date += shift;
    }
    header.update_date = header.creation_date;
    header.creation_date_universal = Default::default();
    header.update_date_universal = Default::default();
    header.fingerprint_guid = Default::default();
    header.version_guid = Default::default();
    drawing
}

/// Adds `line` and gives its corners as drawn.
fn add(drawing: &mut Drawing, line: &Loop, frame: Frame, flat: bool) -> Vec<[f64; 3]> {
    let layer = match (line.is_outer, line.is_shut_off) {
        (true, _) => LAYERS[0].0,
        (_, true) => LAYERS[1].0,
        _ => LAYERS[2].0,
    };
    let mut polyline = Polyline::default();
    polyline.set_is_closed(line.is_closed);
    polyline.set_is_3d_polyline(!flat);
    let corners: Vec<[f64; 3]> =
        line.points.iter().map(|point| place(point, frame, flat)).collect();
    for &[x, y, z] in &corners {
        let location = dxf::Point::new(x, y, z);
        let mut vertex = Vertex { location, ..Vertex::default() };
        vertex.set_is_3d_polyline_vertex(!flat);
        polyline.add_vertex(drawing, vertex);
    }
    let mut entity = Entity::new(EntityType::Polyline(polyline));
    layer.clone_into(&mut entity.common.layer);
    drawing.add_entity(entity);
    corners
}

fn place(point: &Point, frame: Frame, flat: bool) -> [f64; 3] {
    let [x, y] = frame.flatten(point);
    let height = if flat { 0.0 } else { frame.height(point) };
    [x, y, height].map(|at| (at * STEPS_PER_MM).round() / STEPS_PER_MM + 0.0)
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::geom::{Direction, Point};
    use crate::part::parting::{Loop, Parting};

    fn line(points: &[[f64; 3]], is_outer: bool) -> Loop {
        let heights = || points.iter().map(|point| point[2]);
        Loop {
            points: points.iter().copied().map(Point::from).collect(),
            length: 1.0,
            height_low: heights().fold(f64::INFINITY, f64::min),
            height_high: heights().fold(f64::NEG_INFINITY, f64::max),
            is_outer,
            is_shut_off: !is_outer,
            is_closed: true,
        }
    }

    /// The groups of the entities: code and value.
    fn read(bytes: &[u8]) -> Vec<(u16, String)> {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let pairs = lines.chunks_exact(2);
        assert!(pairs.remainder().is_empty());
        pairs
            .skip_while(|pair| pair[1].trim() != "ENTITIES")
            .map(|pair| (pair[0].trim().parse().unwrap(), pair[1].trim().to_owned()))
            .collect()
    }

    #[test]
    fn a_flat_parting_is_drawn_flat_on_its_layers() {
        let loops = vec![
            line(&[[0.0, 0.0, 5.0], [4.0, 0.0, 5.0], [4.0, 3.0, 5.0]], true),
            line(&[[1.0, 0.5, 5.0], [2.0, 1.0, 5.0], [2.0, 0.5, 5.0]], false),
        ];
        let parting = Parting { loops, flat: true, ..Parting::default() };
        let groups = read(&write(&parting, Direction::Z).unwrap());
        let of = |code: u16| -> Vec<&str> {
            groups.iter().filter(|it| it.0 == code).map(|it| it.1.as_str()).collect()
        };
        let count = |name: &str| of(0).iter().filter(|it| **it == name).count();
        assert_eq!((count("POLYLINE"), count("VERTEX"), count("SEQEND")), (2, 6, 2));
        let layers = |name: &str| of(8).iter().filter(|it| **it == name).count();
        assert_eq!((layers("PARTING"), layers("SHUT_OFF")), (1, 1));
        let heights = of(30);
        assert!(
            heights.iter().all(|z| z.parse::<f64>().unwrap().abs() < 1e-9),
            "{heights:?}"
        );
        assert!(of(10).contains(&"4.0"));
    }

    #[test]
    fn a_stepped_parting_keeps_its_heights() {
        let loops =
            vec![line(&[[0.0, 0.0, 5.0], [4.0, 0.0, 5.0], [4.0, 3.0, 7.5]], true)];
        let parting = Parting { loops, flat: false, ..Parting::default() };
        let groups = read(&write(&parting, Direction::Z).unwrap());
        assert!(groups.contains(&(70, "9".to_owned())), "closed, in space");
        assert!(groups.contains(&(30, "7.5".to_owned())));
    }
}
