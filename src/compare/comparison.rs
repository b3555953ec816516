//! What may be said about a revision; the schema of `compare.json`.

use nalgebra::{Rotation3, Unit};
use serde::Serialize;

use crate::findings::{Finding, Verdict};
use crate::geom::Vector;
use crate::part::pose::Pose;
use crate::schema::{Region, Tool};
use crate::units::us_words::ShownUnits;

/// Grows by one when the meaning of a key changes.
pub const SCHEMA: u32 = 1;

/// The JSON Schema of `compare.json`, as made from its types; a test keeps it so.
pub const JSON_SCHEMA: &str = include_str!("compare.schema.json");

/// What changed from one part to the next.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Comparison {
    /// Version of this schema.
    pub schema: u32,
    /// The program that wrote it.
    pub tool: Tool,
    /// Units of what people read, those of the old part's report; the keys of this file stay
    /// metric.
    pub shown_units: ShownUnits,
    /// The old part.
    pub before: Side,
    /// The new part.
    pub after: Side,
    /// Whether the revision is for the better.
    pub outcome: Outcome,
    /// Findings that are gone, new, changed and the same.
    pub findings: Findings,
    /// Numbers of which at least one is known, in reading order.
    pub numbers: Vec<Number>,
    /// What differs in how the parts were checked or are to be made.
    pub settings: Vec<Setting>,
    /// What the surface did; `null` where only one part was at hand.
    pub shape: Option<Shape>,
}

/// One of the two parts.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Side {
    /// Its file.
    pub file: String,
    /// The answer for it.
    pub verdict: Verdict,
}

/// Whether the revision is for the better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// The verdict is better, or it is the same and something that spoke against cutting is
    /// gone.
    Better,
    /// The verdict is the same, and so is what speaks against cutting.
    Same,
    /// The verdict is worse, or it is the same and something more speaks against cutting.
    Worse,
    /// One of the verdicts is open.
    Unknown,
}

/// Findings of both parts, side by side.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Findings {
    /// Only the old part has them.
    pub gone: Vec<Finding>,
    /// Only the new part has them.
    pub new: Vec<Finding>,
    /// Both have them, with another severity, value or limit.
    pub changed: Vec<Changed>,
    /// How many both have alike.
    pub same: usize,
}

/// A finding that both parts have.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Changed {
    /// On the old part.
    pub before: Finding,
    /// On the new part.
    pub after: Finding,
    /// Whether it is milder now, or nearer to its limit; `null` where that cannot be said.
    pub better: Option<bool>,
}

/// A number that both parts have.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Number {
    /// Its key in `report.json`, such as `shot.total_g`.
    pub key: &'static str,
    /// What it is.
    pub name: &'static str,
    /// Its unit; empty where it has none.
    pub unit: &'static str,
    /// Of the old part; `null` where it is not known.
    pub before: Option<f64>,
    /// Of the new part; `null` where it is not known.
    pub after: Option<f64>,
    /// After less before; `null` where either is not known.
    pub change: Option<f64>,
}

/// Something that is no number and differs.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Setting {
    /// What it is.
    pub name: &'static str,
    /// For the old part.
    pub before: String,
    /// For the new part.
    pub after: String,
}

/// What the surface did.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Shape {
    /// How the old part was turned about the origin of its file to lie on the new one;
    /// `null` where it was not.
    pub turn: Option<Turn>,
    /// How far the old part was then shifted, mm; zeros where the files lie well as they are.
    pub shift_mm: [f64; 3],
    /// Distance that is left between the surfaces at the median, mm; `null` when one has no
    /// surface.
    pub apart_mm: Option<f64>,
    /// Whether that is little enough for two states of one part. Where it is not, what is
    /// said of the shape and which findings belong together means little.
    pub is_match: bool,
    /// Nothing below this counts as a change, mm.
    pub least_mm: f64,
    /// Mean distance between neighboring points that were measured, mm: a smaller change
    /// may be missed.
    pub spacing_mm: f64,
    /// The greatest distance of a point of either surface from the other one, mm.
    pub farthest_mm: f64,
    /// Where that is; `null` where nothing moved.
    pub farthest_at_mm: Option<[f64; 3]>,
    /// Mean distance of the new surface from the old one, mm.
    pub mean_mm: f64,
    /// Area of the new surface that is farther than `least_mm` from the old one, mm².
    pub moved_area_mm2: f64,
    /// Area of the old surface that is farther than `least_mm` from the new one, mm².
    pub left_area_mm2: f64,
    /// Walls that became thinner, the most first; `value_mm` is the change.
    pub thinner: Vec<Region>,
    /// Walls that became thicker, the most first; `value_mm` is the change.
    pub thicker: Vec<Region>,
}

/// A turn about the origin.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Turn {
    /// Its angle, counterclockwise against the axis, degrees.
    pub angle_deg: f64,
    /// Unit vector along its axis.
    pub axis: [f64; 3],
    /// Other turns, among those tried, after which the old part lies as well: it has some
    /// symmetry, and the least angle was taken.
    pub as_good: usize,
}

impl Shape {
    /// How the old part was moved to lie on the new one.
    pub fn pose(&self) -> Pose {
        let turn = self.turn.map_or_else(Rotation3::identity, |turn| {
            let axis = Unit::new_normalize(Vector::from(turn.axis));
            Rotation3::from_axis_angle(&axis, turn.angle_deg.to_radians())
        });
        Pose { turn, shift: Vector::from(self.shift_mm) }
    }

    /// Whether no change was seen.
    pub fn is_same(&self) -> bool {
        self.farthest_mm <= self.least_mm
    }
}

#[cfg(test)]
mod tests {
    use super::{Comparison, JSON_SCHEMA};
    use crate::names::assert_schema_is_current;

    #[test]
    fn the_schema_is_that_of_the_types() {
        assert_schema_is_current::<Comparison>(
            JSON_SCHEMA,
            "src/compare/compare.schema.json",
        );
    }
}
