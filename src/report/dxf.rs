//! The parting as a drawing for CAD and router: DXF of release 2000, in millimeters.
//!
//! It lies on the plane across the pull, seen from the + end; the lines around the part
//! stand on the layer `PARTING`, those around its holes on `SHUT_OFF`, those of
//! pockets that the other half reaches into on `POCKET`. A flat parting is
//! drawn flat, at height zero; a stepped one in space, with its height along the pull as
//! the third coordinate.

use super::dxf_file::{Drawing, Layer};
use crate::geom::{Direction, Frame, Point};
use crate::part::parting::{Loop, Parting};

/// The layers, each with its index color: blue, red and green.
const LAYERS: [Layer<'_>; 3] = [("PARTING", 5), ("SHUT_OFF", 1), ("POCKET", 3)];

/// Heights that differ by less cannot be milled, mm.
const LEVEL_MM: f64 = 0.01;

/// The lines of `parting` across `pull`.
pub fn write(parting: &Parting, pull: Direction) -> Vec<u8> {
    let mut drawing = Drawing::new(&LAYERS);
    let frame = Frame::along(pull);
    let is_flat = |line: &Loop| line.height_high - line.height_low < LEVEL_MM;
    let flat = parting.flat && parting.loops.iter().all(is_flat);
    for line in &parting.loops {
        let layer = match (line.is_outer, line.is_shut_off) {
            (true, _) => LAYERS[0].0,
            (_, true) => LAYERS[1].0,
            _ => LAYERS[2].0,
        };
        let points = line.points.iter();
        if flat {
            let corners = points.map(|point| frame.flatten(point));
            drawing.line(layer, corners, line.is_closed);
        } else {
            let place = |point: &Point| {
                let [x, y] = frame.flatten(point);
                [x, y, frame.height(point)]
            };
            drawing.line_in_space(layer, points.map(place), line.is_closed);
        }
    }
    drawing.bytes()
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
        let groups = read(&write(&parting, Direction::Z));
        let of = |code: u16| -> Vec<&str> {
            groups.iter().filter(|it| it.0 == code).map(|it| it.1.as_str()).collect()
        };
        let count = |name: &str| of(0).iter().filter(|it| **it == name).count();
        assert_eq!((count("POLYLINE"), count("VERTEX"), count("SEQEND")), (2, 6, 2));
        let layers = |name: &str| of(8).iter().filter(|it| **it == name).count();
        // A line, its three corners and its end.
        assert_eq!((layers("PARTING"), layers("SHUT_OFF")), (5, 5));
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
        let groups = read(&write(&parting, Direction::Z));
        assert!(groups.contains(&(70, "9".to_owned())), "closed, in space");
        assert!(groups.contains(&(30, "7.5".to_owned())));
    }
}
