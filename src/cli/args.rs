//! What may be typed, and its turning into settings.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use super::feed_args::Feed;
use super::fill_args::Filling;
use super::mold_args::Mold;
use crate::geom::Direction;
use crate::process::making::{Choices, Dimension};
use crate::settings::{self, FileUnit, Settings};
use crate::units::{self, Length};

/// Says whether a mold milled today will give a good part on a small press.
#[derive(Debug, Parser)]
#[command(name = "goodshot", version, about, after_help = EXIT_CODES)]
pub(super) struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub(super) verb: Verb,
}

const EXIT_CODES: &str = "Exit codes: 0 cut it, 1 fix first or do not cut, 2 could not run, \
    3 cannot tell yet (an input is missing).";

const MOLD_EXIT_CODES: &str = "Exit codes: 0 every check holds, 1 one does not, 2 there is no mold (one line says why).";

/// What to do.
#[derive(Debug, Subcommand)]
pub(super) enum Verb {
    /// Check a part: does it come out, fill, fit one shot, and does the mold stay shut?
    #[command(after_help = EXIT_CODES)]
    Check(Box<Check>),
    /// Draw the mold: two halves as solids, what to drill and what to buy.
    #[command(after_help = MOLD_EXIT_CODES)]
    Mold(Box<Mold>),
    /// Say what a press can do: ram force, melt pressure, grams a shot.
    Press(Press),
    /// List the plastics, or one of them with the source of each value.
    Plastics(Plastics),
}

/// Check a part.
#[derive(Debug, Args)]
pub(super) struct Check {
    /// The parts, as STL files.
    #[arg(value_name = "PART.stl", required_unless_present = "schema")]
    pub(super) parts: Vec<PathBuf>,
    /// The press file; the built-in example press when not given.
    #[arg(long, value_name = "PRESS.toml")]
    pub(super) press: Option<PathBuf>,
    /// The plastic, by its name in `goodshot plastics`.
    #[arg(long, value_name = "NAME")]
    pub(super) plastic: Option<String>,
    /// A file of plastics that adds to the built-in ones and overrides them.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) plastics: Option<PathBuf>,
    /// Along which the mold opens: +z, -x or three numbers such as 0,0.5,1; chosen when
    /// not given.
    #[arg(long, value_name = "DIRECTION", value_parser = settings::pull, allow_hyphen_values = true)]
    pub(super) pull: Option<Direction>,
    /// Unit of the numbers in the files: mm, cm, m or in; mm when not given.
    #[arg(long, value_name = "UNIT")]
    pub(super) unit: Option<FileUnit>,
    /// Depth of the texture on the part, such as "0.02 mm"; smooth when not given.
    #[arg(long, value_name = "DEPTH", value_parser = texture)]
    pub(super) texture: Option<Length>,
    /// A length of the part to say cavity sizes for, such as "48 mm", "8 mm inside" or
    /// "30 mm between"; may be repeated.
    #[arg(long = "dimension", value_name = "LENGTH", value_parser = settings::dimension)]
    pub(super) dimensions: Vec<Dimension>,
    /// What leads the melt to the part.
    #[command(flatten)]
    pub(super) feed: Feed,
    /// Whether the melt reaches the last corner.
    #[command(flatten)]
    pub(super) filling: Filling,
    /// Close small flat holes of an open surface.
    #[arg(long)]
    pub(super) close_holes: bool,
    /// Where the reports go, each in a folder named like its part.
    #[arg(long, value_name = "DIR", default_value = "goodshot-report")]
    pub(super) out: PathBuf,
    /// Print report.json instead of the summary; of several parts a list.
    #[arg(long, conflicts_with = "quiet")]
    pub(super) json: bool,
    /// Print nothing; the exit code and the files answer.
    #[arg(long)]
    pub(super) quiet: bool,
    /// Print the JSON Schema of report.json and stop.
    #[arg(long)]
    pub(super) schema: bool,
}

/// Say what a press can do.
#[derive(Debug, Args)]
pub(super) struct Press {
    /// The press file; the built-in example press when not given.
    #[arg(value_name = "PRESS.toml")]
    pub(super) file: Option<PathBuf>,
    /// Only for this plastic.
    #[arg(long, value_name = "NAME")]
    pub(super) plastic: Option<String>,
    /// A file of plastics that adds to the built-in ones and overrides them.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) plastics: Option<PathBuf>,
    /// Print a commented press file to start from.
    #[arg(long, conflicts_with_all = ["file", "plastic", "plastics"])]
    pub(super) template: bool,
}

/// List the plastics.
#[derive(Debug, Args)]
pub(super) struct Plastics {
    /// One of them.
    #[arg(value_name = "NAME")]
    pub(super) name: Option<String>,
    /// A file of plastics that adds to the built-in ones and overrides them.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) plastics: Option<PathBuf>,
    /// Print a commented plastics file to start from.
    #[arg(long, conflicts_with_all = ["name", "plastics"])]
    pub(super) template: bool,
}

impl Check {
    /// The settings of the run.
    pub(super) fn settings(&self) -> Settings {
        let default = Settings::default();
        Settings {
            unit: self.unit,
            close_holes: self.close_holes,
            pull: self.pull,
            texture: self.texture,
            choices: Choices {
                dimensions: self.dimensions.clone(),
                ..self.feed.choices()
            },
            fill: self.filling.choices(),
            ..default
        }
    }
}

fn texture(text: &str) -> Result<Length, String> {
    let depth: Length = units::read(text).map_err(|error| error.to_string())?;
    if (0.0..=1.0).contains(&units::mm(depth)) {
        Ok(depth)
    } else {
        Err("a texture is 0 mm to 1 mm deep, most are 0.01 to 0.1".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn the_definition_is_sound() {
        super::Cli::command().debug_assert();
    }

    #[test]
    fn a_texture_has_a_depth_and_a_unit() {
        assert!((super::units::mm(super::texture("20 um").unwrap()) - 0.02).abs() < 1e-9);
        for bad in ["0.02", "2 mm", "-0.1 mm", "rough"] {
            assert!(super::texture(bad).is_err(), "{bad}");
        }
    }
}
