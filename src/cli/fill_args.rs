//! What may be typed about filling: where the gate stands, how fine to look.

use clap::Args;

use crate::cli::option_values;
use crate::fill::cells::Resolution;
use crate::geom::Point;
use crate::settings::FillChoices;

/// Whether the melt reaches the last corner.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Filling")]
pub(super) struct Filling {
    /// Where the melt enters, in mm of the part, such as 12,0,4.5; the best place on the
    /// parting line when not given.
    #[arg(long, value_name = "X,Y,Z", value_parser = option_values::point, allow_hyphen_values = true)]
    gate: Option<Point>,
    /// A point in mm on a face that shows or carries a load: the gate is chosen so that weld
    /// lines stay off that face; may be repeated.
    #[arg(long = "show-face", value_name = "X,Y,Z", value_parser = option_values::point, allow_hyphen_values = true)]
    show_faces: Vec<Point>,
    /// How fine the part is cut: about so many cells, or their edge such as "0.8 mm"; finer
    /// is slower.
    #[arg(long, value_name = "COUNT|EDGE", value_parser = option_values::cells)]
    cells: Option<Resolution>,
    /// Do not look whether it fills; the verdict then stays open.
    #[arg(long, conflicts_with_all = ["gate", "show_faces", "cells"])]
    no_fill: bool,
}

impl Filling {
    /// The same for the settings.
    pub(super) fn choices(&self) -> FillChoices {
        let default = FillChoices::default();
        FillChoices {
            skip: self.no_fill,
            gate: self.gate,
            show_faces: self.show_faces.clone(),
            cells: self.cells.unwrap_or(default.cells),
        }
    }
}
