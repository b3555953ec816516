//! What may be typed about a part wherever it is checked, and its turning into settings.

use std::path::PathBuf;

use clap::Args;

use super::feed_args::Feed;
use super::fill_args::Filling;
use super::mill_args::Milling;
use crate::cli::option_values;
use crate::geom::Direction;
use crate::mold::milling::CutterList;
use crate::process::evaluation::{Choices, Dimension};
use crate::process::sourced::Range;
use crate::settings::{FileUnit, Settings};
use crate::units::us_words::ShownUnits;
use crate::units::{self, Length, Ratio, Temperature};

/// With what a part is made, and how it is looked at.
#[derive(Clone, Debug, Args)]
pub(super) struct Given {
    /// The press file; press.toml of the working folder, else the built-in example press, when
    /// not given.
    #[arg(long, value_name = "PRESS.toml")]
    pub(super) press: Option<PathBuf>,
    /// The plastic, by its name in `goodshot plastics`.
    #[arg(long, value_name = "NAME")]
    pub(super) plastic: Option<String>,
    /// A file of plastics that adds to the built-in ones and overrides them; plastics.toml of the
    /// working folder when not given.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) plastics: Option<PathBuf>,
    /// What shots said of this press with this plastic; calibration.toml of the working folder,
    /// where it is of them, when not given.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) calibration: Option<PathBuf>,
    /// Temperature of the melt in the barrel, such as "240 C"; the usual one of the plastic
    /// when not given.
    #[arg(long, value_name = "TEMPERATURE", value_parser = option_values::temperature)]
    pub(super) melt: Option<Temperature>,
    /// Temperature of the mold, such as "45 C"; the usual one of the plastic when not given.
    #[arg(long, value_name = "TEMPERATURE", value_parser = option_values::temperature, allow_hyphen_values = true)]
    pub(super) mold: Option<Temperature>,
    /// Along which the mold opens: +z, -x or three numbers such as 0,0.5,1; chosen when
    /// not given.
    #[arg(long, value_name = "DIRECTION", value_parser = option_values::pull, allow_hyphen_values = true)]
    pub(super) pull: Option<Direction>,
    /// Unit of the numbers in the files: mm, cm, m or in; mm when not given.
    #[arg(long, value_name = "UNIT", value_parser = option_values::file_unit)]
    pub(super) unit: Option<FileUnit>,
    /// Units of everything that people read: mm, or in for inches, pounds, psi and °F; files
    /// for programs stay metric.
    #[arg(long, value_name = "UNITS", value_parser = option_values::shown_units)]
    pub(super) units: Option<ShownUnits>,
    /// Depth of the texture on the part, such as "0.02 mm"; smooth when not given.
    #[arg(long, value_name = "DEPTH", value_parser = texture)]
    pub(super) texture: Option<Length>,
    /// A length of the part to say cavity sizes for, such as "48 mm", "8 mm inside" or
    /// "30 mm between along x"; may be repeated.
    #[arg(long = "dimension", value_name = "LENGTH", value_parser = option_values::dimension)]
    pub(super) dimensions: Vec<Dimension>,
    /// Shrinkage along an axis of the part where you know it, such as "x: 1.8 %" or
    /// "x: 1.6 % to 2 %"; may be repeated.
    #[arg(long, value_name = "AXIS: SHARE", value_parser = option_values::shrink_along)]
    pub(super) shrink_along: Vec<(usize, Range<Ratio>)>,
    /// Diameter of the ejector pins, such as "3 mm"; the thinnest that do when not given.
    #[arg(long, value_name = "DIAMETER", value_parser = pin)]
    pub(super) pin_diameter: Option<Length>,
    /// How many equal cavities the mold has, in a star around one sprue, each with its own
    /// runner; one when not given.
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u32).range(1..=8))]
    pub(super) cavities: Option<u32>,
    /// What leads the melt to the part.
    #[command(flatten)]
    pub(super) feed: Feed,
    /// Whether the melt reaches the last corner.
    #[command(flatten)]
    pub(super) filling: Filling,
    /// What the cutters can and cannot cut.
    #[command(flatten)]
    pub(super) milling: Milling,
    /// Close small flat holes of an open surface.
    #[arg(long)]
    pub(super) close_holes: bool,
}

/// Which plastic, and how hot it is run.
#[derive(Clone, Debug, Default)]
pub(super) struct PlasticChoice {
    /// Its name; the usual plastic when not given.
    pub(super) name: Option<String>,
    /// The melt; the usual temperature when not given.
    pub(super) melt: Option<Temperature>,
    /// The mold; the usual temperature when not given.
    pub(super) mold: Option<Temperature>,
}

impl Given {
    /// The plastic that was named, and the temperatures.
    pub(super) fn plastic_choice(&self) -> PlasticChoice {
        PlasticChoice { name: self.plastic.clone(), melt: self.melt, mold: self.mold }
    }

    /// The settings of the run, with the user's cutters where there is a file of them.
    pub(super) fn settings(&self, cutters: Option<&CutterList>) -> Settings {
        let default = Settings::default();
        let mut feed = self.feed.choices();
        if let Some(list) = cutters.filter(|_| feed.feed.cutters.is_empty()) {
            feed.feed.cutters = list.runner_cutters();
        }
        Settings {
            unit: self.unit,
            close_holes: self.close_holes,
            shown_units: self.units.unwrap_or_default(),
            pull: self.pull,
            texture: self.texture,
            choices: Choices {
                dimensions: self.dimensions.clone(),
                shrink_along: self.shrink_axes(),
                pin_diameter: self.pin_diameter,
                cavities: self.cavities,
                ..feed
            },
            fill: self.filling.choices(),
            milling: self.milling.choices(cutters.cloned()),
            ..default
        }
    }
}

impl Given {
    /// Of two for one axis the last counts.
    fn shrink_axes(&self) -> [Option<Range<Ratio>>; 3] {
        let of = |axis: usize| {
            let own = self.shrink_along.iter().rev().find(|(along, _)| *along == axis);
            own.map(|(_, band)| *band)
        };
        [0, 1, 2].map(of)
    }
}

fn pin(text: &str) -> Result<Length, String> {
    let otherwise = "a pin is 0.5 mm to 30 mm thick, most are 2 to 6";
    units::read_if(text, |it| (0.5..=30.0).contains(&units::in_mm(it)), otherwise)
}

fn texture(text: &str) -> Result<Length, String> {
    let otherwise = "a texture is 0 mm to 1 mm deep, most are 0.01 to 0.1";
    units::read_if(text, |it| (0.0..=1.0).contains(&units::in_mm(it)), otherwise)
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_texture_has_a_depth_and_a_unit() {
        assert!(
            (super::units::in_mm(super::texture("20 um").unwrap()) - 0.02).abs() < 1e-9
        );
        for bad in ["0.02", "2 mm", "-0.1 mm", "rough"] {
            assert!(super::texture(bad).is_err(), "{bad}");
        }
    }
}
