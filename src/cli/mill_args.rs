//! What may be typed about the cutters: which there are, how fine to look.

use std::path::PathBuf;

use clap::Args;

use crate::cli::option_values;
use crate::mold::milling::CutterList;
use crate::mold::milling::outcome::CellSize;
use crate::settings::MillChoices;

/// What the cutters can and cannot cut.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Cutters")]
pub(super) struct Milling {
    /// The cutters at hand, as of `goodshot cutters --template`; cutters.toml of the working
    /// folder, else a usual list, when not given.
    /// Runners then take its ball cutters, unless --cutters says otherwise.
    #[arg(long, value_name = "CUTTERS.toml")]
    pub(super) tools: Option<PathBuf>,
    /// How fine the halves are looked at, such as "0.1 mm"; follows the size of the part
    /// when not given.
    #[arg(long, value_name = "EDGE", value_parser = option_values::mill_cell)]
    mill_cell: Option<CellSize>,
    /// Judge the part as it will come out of the mold as milled: walls, draft, filling, shot
    /// and mass.
    #[arg(long)]
    as_milled: bool,
    /// Do not look at the cutters.
    #[arg(long, conflicts_with_all = ["tools", "mill_cell", "as_milled"])]
    pub(super) no_mill: bool,
}

impl Milling {
    /// The same for the settings, with the cutters of the file.
    pub(super) fn choices(&self, cutters: Option<CutterList>) -> MillChoices {
        MillChoices {
            skip: self.no_mill,
            cutters,
            cell: self.mill_cell.unwrap_or_default(),
            as_milled: self.as_milled,
        }
    }
}
