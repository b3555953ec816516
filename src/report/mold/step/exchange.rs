//! The text of an exchange file as ISO 10303-21 has it: a header and numbered entities.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::geom::{Point, Vector};

/// The number of an entity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Entity(u32);

impl std::fmt::Display for Entity {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(to, "#{}", self.0)
    }
}

/// Decimals of a place, as steps in a millimeter: a tenth of a nanometer.
const STEPS_PER_MM: f64 = 1e7;

/// Decimals of a direction, as steps in one.
const STEPS_PER_ONE: f64 = 1e12;

/// The schema: that of application protocol 214, which every CAD program reads.
const SCHEMA: &str = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }";

/// The same solid is the same file, so it has no clock: the standard asks for a time, and gets the
/// begin of that of computers.
const TIME: &str = "1970-01-01T00:00:00";

/// Entities in the making.
#[derive(Default)]
pub(super) struct Exchange {
    text: String,
    count: u32,
    directions: BTreeMap<String, Entity>,
}

impl Exchange {
    /// Adds an entity; gives its number.
    pub(super) fn add(&mut self, entity: std::fmt::Arguments<'_>) -> Entity {
        self.count += 1;
        // Writing to a text does not fail.
        let _ = writeln!(self.text, "#{}={entity};", self.count);
        Entity(self.count)
    }

    /// Adds a place, mm.
    pub(super) fn point(&mut self, at: &Point) -> Entity {
        let [x, y, z] = [at.x, at.y, at.z].map(length);
        self.add(format_args!("CARTESIAN_POINT('',({x},{y},{z}))"))
    }

    /// A direction of unit length, alike ones once.
    pub(super) fn direction(&mut self, way: &Vector) -> Entity {
        let [x, y, z] = [way.x, way.y, way.z].map(|value| real(value, STEPS_PER_ONE));
        let text = format!("DIRECTION('',({x},{y},{z}))");
        if let Some(known) = self.directions.get(&text) {
            return *known;
        }
        let entity = self.add(format_args!("{text}"));
        self.directions.insert(text, entity);
        entity
    }

    /// Axes at a place: z along `axis`, x along `first`.
    pub(super) fn axes(&mut self, at: &Point, axis: &Vector, first: &Vector) -> Entity {
        let [at, axis, first] =
            [self.point(at), self.direction(axis), self.direction(first)];
        self.add(format_args!("AXIS2_PLACEMENT_3D('',{at},{axis},{first})"))
    }

    /// The file with its header.
    pub(super) fn file(&self, name: &str, what: &str) -> Vec<u8> {
        let maker = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));
        format!(
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('{what}'),'2;1');\n\
             FILE_NAME('{name}','{TIME}',(''),(''),'{maker}','{maker}','');\n\
             FILE_SCHEMA(('{SCHEMA}'));\nENDSEC;\nDATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n",
            self.text
        )
        .into_bytes()
    }
}

/// A length in mm, or any other number, as the standard writes real numbers: with a point.
pub(super) fn length(value: f64) -> String {
    real(value, STEPS_PER_MM)
}

/// An angle, radians.
pub(super) fn angle(value: f64) -> String {
    real(value, STEPS_PER_ONE)
}

fn real(value: f64, steps: f64) -> String {
    let rounded = (value * steps).round() / steps + 0.0;
    let text = rounded.to_string();
    if text.contains('.') { text } else { text + "." }
}

/// Entities in brackets, with commas.
pub(super) fn list(all: &[Entity]) -> String {
    let names: Vec<String> = all.iter().map(Entity::to_string).collect();
    format!("({})", names.join(","))
}

#[cfg(test)]
mod tests {
    use super::{angle, length};

    /// ISO 10303-21, 6.4.2: a real has a decimal point.
    #[test]
    fn reals_have_a_point_and_no_negative_zero() {
        assert_eq!(length(12.0), "12.");
        assert_eq!(length(-0.000_000_01), "0.");
        assert_eq!(length(-3.25), "-3.25");
        assert_eq!(angle(0.1), "0.1");
    }
}
