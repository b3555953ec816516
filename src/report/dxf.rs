//! The parting as a drawing for CAD and router: DXF of release 12, in millimeters.
//!
//! It lies on the plane across the pull, seen from the + end; the closed lines stand on
//! the layers `PARTING` and `SHUT_OFF`. A flat parting is drawn flat, at height zero; a
//! stepped one in space, with its height along the pull as the third coordinate.
//!
//! Written here and not through a crate: two kinds of entities need a page, while the
//! `dxf` crate brings dates, random identifiers, bitmaps and some twenty crates along.
//! Source of the codes: Autodesk, *DXF Reference*, groups POLYLINE, VERTEX, LAYER.

use std::fmt::Write as _;

use crate::geom::{Direction, Frame, Point};
use crate::measure::parting::{Loop, Parting};

/// The two layers, each with its index color: blue and red.
const LAYERS: [(&str, u8); 2] = [("PARTING", 5), ("SHUT_OFF", 1)];

/// Heights that differ by less cannot be milled, mm.
const LEVEL_MM: f64 = 0.01;

/// The lines of `parting` across `pull`.
pub fn write(parting: &Parting, pull: Direction) -> Vec<u8> {
    let mut text = String::new();
    let head = [
        (999, "goodshot: parting line, millimeters, seen against the pull"),
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
        (0, "ENDSEC"),
        (0, "SECTION"),
        (2, "TABLES"),
    ];
    groups(&mut text, &head);
    groups(&mut text, &[(0, "TABLE"), (2, "LTYPE"), (70, "1"), (0, "LTYPE")]);
    groups(&mut text, &[(2, "CONTINUOUS"), (70, "0"), (3, "Solid line"), (72, "65")]);
    groups(&mut text, &[(73, "0"), (40, "0.0"), (0, "ENDTAB")]);
    groups(&mut text, &[(0, "TABLE"), (2, "LAYER"), (70, "2")]);
    for (name, color) in LAYERS {
        let color = color.to_string();
        groups(&mut text, &[(0, "LAYER"), (2, name), (70, "0"), (62, &color)]);
        groups(&mut text, &[(6, "CONTINUOUS")]);
    }
    groups(&mut text, &[(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]);
    let frame = Frame::along(pull);
    let is_flat = |line: &Loop| line.height_high - line.height_low < LEVEL_MM;
    let flat = parting.flat && parting.loops.iter().all(is_flat);
    for line in &parting.loops {
        polyline(&mut text, line, frame, flat);
    }
    groups(&mut text, &[(0, "ENDSEC"), (0, "EOF")]);
    text.into_bytes()
}

fn polyline(text: &mut String, line: &Loop, frame: Frame, flat: bool) {
    let layer = if line.is_outer { LAYERS[0].0 } else { LAYERS[1].0 };
    let flags = u8::from(line.is_closed) + if flat { 0 } else { 8 };
    let flags = flags.to_string();
    groups(text, &[(0, "POLYLINE"), (8, layer), (66, "1"), (70, &flags)]);
    groups(text, &[(10, "0.0"), (20, "0.0"), (30, "0.0")]);
    for point in &line.points {
        let [x, y, z] = place(point, frame, flat).map(|at| format!("{:.6}", at + 0.0));
        groups(text, &[(0, "VERTEX"), (8, layer), (10, &x), (20, &y), (30, &z)]);
        groups(text, &[(70, if flat { "0" } else { "32" })]);
    }
    groups(text, &[(0, "SEQEND"), (8, layer)]);
}

fn place(point: &Point, frame: Frame, flat: bool) -> [f64; 3] {
    let [x, y] = frame.flatten(point);
    [x, y, if flat { 0.0 } else { frame.height(point) }]
}

/// One line for the code, one for the value.
fn groups(text: &mut String, groups: &[(u16, &str)]) {
    for (code, value) in groups {
        // Writing to a string cannot fail.
        let _ = write!(text, "{code:>3}\r\n{value}\r\n");
    }
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::geom::{Direction, Point};
    use crate::measure::parting::{Loop, Parting};

    fn line(points: &[[f64; 3]], is_outer: bool) -> Loop {
        let heights = || points.iter().map(|point| point[2]);
        Loop {
            points: points.iter().copied().map(Point::from).collect(),
            length: 1.0,
            height_low: heights().fold(f64::INFINITY, f64::min),
            height_high: heights().fold(f64::NEG_INFINITY, f64::max),
            is_outer,
            is_closed: true,
        }
    }

    /// The groups of the file: code and value.
    fn read(bytes: &[u8]) -> Vec<(u16, String)> {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let pairs = lines.chunks_exact(2);
        assert!(pairs.remainder().is_empty());
        pairs.map(|pair| (pair[0].trim().parse().unwrap(), pair[1].to_owned())).collect()
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
        assert_eq!((layers("PARTING"), layers("SHUT_OFF")), (5, 5));
        assert!(of(30).iter().all(|z| z.parse::<f64>().unwrap().abs() < 1e-9));
        assert!(of(10).contains(&"4.000000"));
    }

    #[test]
    fn a_stepped_parting_keeps_its_heights() {
        let loops =
            vec![line(&[[0.0, 0.0, 5.0], [4.0, 0.0, 5.0], [4.0, 3.0, 7.5]], true)];
        let parting = Parting { loops, flat: false, ..Parting::default() };
        let groups = read(&write(&parting, Direction::Z));
        assert!(groups.contains(&(70, "9".to_owned())), "closed, in space");
        assert!(groups.contains(&(30, "7.500000".to_owned())));
    }
}
