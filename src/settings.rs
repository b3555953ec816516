//! Every option of a run, its unit, its default: data only.

use crate::fill::cells::Resolution;
use crate::geom::{Direction, Point};
use crate::mold::milling::CutterList;
use crate::mold::milling::outcome::CellSize;
use crate::process::evaluation::Choices;
use crate::units::Length;
use crate::units::us_words::ShownUnits;

/// Surface points that are measured. At 30 000 quantiles and area shares of real parts
/// repeat within 1 % under turning and re-tessellating, and a part of 3 000 facets still
/// answers in well under a second.
pub const SAMPLES: usize = 30_000;

/// Cells that a part is cut into to see whether it fills: enough for two across a usual
/// wall, few enough that all the fillings that the least pressure takes are done in seconds.
pub const CELLS: usize = 8_000;

/// What one number of the file means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileUnit {
    /// Millimeters: what nearly every STL is in.
    Millimeter,
    /// Centimeters.
    Centimeter,
    /// Meters.
    Meter,
    /// Inches.
    Inch,
}

impl FileUnit {
    /// As the user writes it and the report says it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Millimeter => "mm",
            Self::Centimeter => "cm",
            Self::Meter => "m",
            Self::Inch => "in",
        }
    }

    /// How many millimeters it is.
    pub const fn in_mm(self) -> f64 {
        match self {
            Self::Millimeter => 1.0,
            Self::Centimeter => 10.0,
            Self::Meter => 1000.0,
            Self::Inch => 25.4,
        }
    }
}

/// How the filling is looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct FillChoices {
    /// Not at all.
    pub skip: bool,
    /// Where the melt enters, mm; the best place on the parting line when not given.
    pub gate: Option<Point>,
    /// Points on faces that show or carry a load, mm: weld lines should stay off them.
    pub show_faces: Vec<Point>,
    /// How fine.
    pub cells: Resolution,
}

impl Default for FillChoices {
    fn default() -> Self {
        let cells = Resolution::Budget(CELLS);
        Self { skip: false, gate: None, show_faces: Vec::new(), cells }
    }
}

/// How the cutters are looked at.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MillChoices {
    /// Not at all.
    pub skip: bool,
    /// The cutters at hand; the built-in list when not given.
    pub cutters: Option<CutterList>,
    /// How fine.
    pub cell: CellSize,
    /// Whether walls, draft, filling, shot and mass are judged as they will come out.
    pub as_milled: bool,
}

/// How to run a check.
#[derive(Clone, Debug)]
pub struct Settings {
    /// What one number of the file means; mm when not given.
    pub unit: Option<FileUnit>,
    /// Put lids over small flat openings.
    pub close_holes: bool,
    /// Units that people read.
    pub shown_units: ShownUnits,
    /// Which way the mold opens; chosen when not given.
    pub pull: Option<Direction>,
    /// Depth of the texture on the part; smooth when not given.
    pub texture: Option<Length>,
    /// What the user wants of the mold: feed, dimensions.
    pub choices: Choices,
    /// How the filling is looked at.
    pub fill: FillChoices,
    /// How the cutters are looked at.
    pub milling: MillChoices,
    /// Surface points that are measured.
    pub samples: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            unit: None,
            close_holes: false,
            shown_units: ShownUnits::default(),
            pull: None,
            texture: None,
            choices: Choices::default(),
            fill: FillChoices::default(),
            milling: MillChoices::default(),
            samples: SAMPLES,
        }
    }
}
