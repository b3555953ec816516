//! What may be typed about a mold.

use std::path::PathBuf;

use clap::Args;

use super::given_args::Given;
use crate::analysis::mold::MoldChoices;
use crate::mold::layout::Without;
use crate::mold::pose::Pose;
use crate::units::{self, Length, Quantity};

/// Draw the mold of a part.
#[derive(Debug, Args)]
pub(super) struct Mold {
    /// The part, as an STL file.
    #[arg(value_name = "PART.stl", required_unless_present = "test_piece")]
    pub(super) part: Option<PathBuf>,
    /// Draw the mold of a test piece in place of a part: a stepped strip, sized to this press,
    /// whose shots "goodshot calibrate" learns from.
    #[arg(long, conflicts_with_all = ["part", "gate", "show_faces", "pull", "unit", "no_fill", "feed_share", "feed_layout", "split_sprue", "cavities"])]
    pub(super) test_piece: bool,
    /// With what it is made, and how it is looked at.
    #[command(flatten)]
    pub(super) given: Given,
    /// What is cut besides the part.
    #[command(flatten)]
    pub(super) hardware: Hardware,
    /// Where the files go, in the folder mold of a folder named like the part.
    #[arg(long, value_name = "DIR", default_value = "goodshot-report")]
    pub(super) out: PathBuf,
    /// Draw the mold although the check says not to cut it; the reasons go into its papers.
    #[arg(long)]
    pub(super) anyway: bool,
    /// Print mold.json instead of the summary.
    #[arg(long, conflicts_with = "quiet")]
    pub(super) json: bool,
    /// Print nothing; the exit code and the files answer.
    #[arg(long)]
    pub(super) quiet: bool,
}

/// What is cut besides the part, and what the block has to fit.
#[derive(Debug, Args)]
#[command(next_help_heading = "Mold")]
pub(super) struct Hardware {
    /// No bolt holes.
    #[arg(long)]
    no_bolts: bool,
    /// No dowel holes.
    #[arg(long)]
    no_dowels: bool,
    /// No sprue, runner and gate.
    #[arg(long)]
    no_feed: bool,
    /// No ejector pin holes.
    #[arg(long)]
    no_pins: bool,
    /// No vents.
    #[arg(long)]
    no_vents: bool,
    /// No pry slots.
    #[arg(long)]
    no_pry_slots: bool,
    /// Tall cores are milled with their plate, not set into it.
    #[arg(long)]
    no_inserts: bool,
    /// In their files the halves lie as on the mill: parting face up, the datum of the drill table at 0, 0, 0.
    #[arg(long)]
    milling_pose: bool,
    /// Write programs for the mill (G-code, millimeters) for what is plain: facing, spotting, drilling, reaming,
    /// runner, gate, vents, pry slots. Each was run over a model of the stock, none on a machine: read it, run it
    /// above the work first, stay at the stop.
    #[arg(long)]
    gcode: bool,
    /// The part is stripped off what traps it.
    #[arg(long)]
    strip: bool,
    /// Diameter of the dowels, such as "6 mm"; follows the plates when not given.
    #[arg(long, value_name = "DIAMETER", value_parser = dowel, conflicts_with = "no_dowels")]
    dowel_diameter: Option<Length>,
    /// How many vents are cut; as many as the melt asks for, up to 8, when not given.
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u32).range(1..=64), conflicts_with = "no_vents")]
    vents: Option<u32>,
    /// How far the press opens for the closed mold, such as "120 mm".
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    opening: Option<Length>,
    /// How far the mill travels along x, y and z, such as "200 mm,150 mm,60 mm".
    #[arg(long, value_name = "X,Y,Z", value_delimiter = ',', num_args = 1, value_parser = length)]
    travel: Vec<Length>,
}

impl Hardware {
    /// What is wanted of the mold.
    ///
    /// # Errors
    /// When the travel has not three lengths.
    pub(super) fn choices(&self) -> anyhow::Result<MoldChoices> {
        let travel = match self.travel[..] {
            [] => None,
            [x, y, z] => Some([x, y, z]),
            _ => anyhow::bail!(
                "--travel: give three lengths for x, y and z, such as \"200 mm,150 mm,60 mm\""
            ),
        };
        Ok(MoldChoices {
            without: Without {
                bolts: self.no_bolts,
                dowels: self.no_dowels,
                feed: self.no_feed,
                pins: self.no_pins,
                vents: self.no_vents,
                pry_slots: self.no_pry_slots,
                inserts: self.no_inserts,
            },
            pose: if self.milling_pose { Pose::Milling } else { Pose::Part },
            programs: self.gcode,
            strip: self.strip,
            opening: self.opening,
            travel,
            dowel: self.dowel_diameter,
            vents: self.vents,
            ..MoldChoices::default()
        })
    }
}

fn dowel(text: &str) -> Result<Length, String> {
    let otherwise = "a dowel is 1 mm to 20 mm thick, most are 4 to 8";
    units::read_if(text, |it| (1.0..=20.0).contains(&units::in_mm(it)), otherwise)
}

fn length(text: &str) -> Result<Length, String> {
    let is_sound = |it: Length| it.si() > 0.0 && it.si() <= 10.0;
    units::read_if(text, is_sound, "it is more than 0 mm and at most 10 m")
}

#[cfg(test)]
mod tests {
    use super::{dowel, length};

    #[test]
    fn a_travel_has_units_and_bounds() {
        assert!(length("200 mm").is_ok() && length("8 in").is_ok());
        for bad in ["200", "0 mm", "-3 mm", "20 m", "far"] {
            assert!(length(bad).is_err(), "{bad}");
        }
        assert!(dowel("0.25 in").is_ok() && dowel("25 mm").is_err());
    }
}
