//! What may be typed about the feed: sprue, runner and gate.

use clap::Args;

use crate::process::evaluation::Choices;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::{FeedChoices, RunnerSection};
use crate::units::{self, Angle, Length, Quantity, Ratio};

/// What leads the melt to the part; what is not given follows the part and the press.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Feed")]
pub(super) struct Feed {
    /// Diameter of the runner, such as "4 mm".
    #[arg(long, value_name = "DIAMETER", value_parser = more_than_nothing)]
    runner: Option<Length>,
    /// Section of the runner: round (half in each plate, by a ball cutter) or trapezoid (in one
    /// plate, so that only one is milled).
    #[arg(long, value_name = "SECTION", value_parser = section)]
    runner_section: Option<RunnerSection>,
    /// From the sprue to the gate, such as "20 mm".
    #[arg(long, value_name = "LENGTH", value_parser = more_than_nothing)]
    runner_length: Option<Length>,
    /// The sprue stands right at the gate: no runner.
    #[arg(long, conflicts_with_all = ["runner", "runner_length", "runner_section"])]
    no_runner: bool,
    /// Length of the sprue; 15 mm, the nozzle standing in a counterbore, when not given.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    sprue_length: Option<Length>,
    /// How the feed lies: direct (the sprue straight onto a face of the part), edge (sprue,
    /// runner and edge gate) or split (the sprue in the parting line, half in each plate, as in
    /// a vise); chosen for the press when not given.
    #[arg(long, value_name = "LAYOUT", value_parser = layout)]
    feed_layout: Option<FeedLayout>,
    /// The same as --feed-layout split.
    #[arg(long, conflicts_with = "feed_layout")]
    split_sprue: bool,
    /// Diameter of the sprue at the nozzle; a little wider than the orifice when not given.
    #[arg(long, value_name = "DIAMETER", value_parser = more_than_nothing)]
    sprue_inlet: Option<Length>,
    /// Included angle of the sprue, such as "3 deg".
    #[arg(long, value_name = "ANGLE", value_parser = taper)]
    sprue_taper: Option<Angle>,
    /// Diameter of the cold-slug well opposite the sprue.
    #[arg(long, value_name = "DIAMETER", value_parser = more_than_nothing)]
    well_diameter: Option<Length>,
    /// Length of the cold-slug well; 0 mm for none.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    well_length: Option<Length>,
    /// Depth of the gate, along the pull.
    #[arg(long, value_name = "DEPTH", value_parser = more_than_nothing)]
    gate_depth: Option<Length>,
    /// Width of the gate, along the edge of the part.
    #[arg(long, value_name = "WIDTH", value_parser = more_than_nothing)]
    gate_width: Option<Length>,
    /// Length of the gate, along the flow.
    #[arg(long, value_name = "LENGTH", value_parser = more_than_nothing)]
    gate_land: Option<Length>,
    /// Diameters of the ball cutters at hand, such as "2 mm,3 mm,0.25 in"; the runner is one
    /// of them.
    #[arg(long, value_name = "LIST", value_delimiter = ',', value_parser = more_than_nothing)]
    cutters: Vec<Length>,
    /// Sprue, runner and gate as a share of the part, such as 15 %, in place of their
    /// measures.
    #[arg(long, value_name = "SHARE", alias = "feed", value_parser = share)]
    feed_share: Option<Ratio>,
}

impl Feed {
    /// The same for the process.
    pub(super) fn choices(&self) -> Choices {
        let split = self.split_sprue.then_some(FeedLayout::Split);
        let none = self.no_runner.then(Length::default);
        Choices {
            feed_share: self.feed_share,
            runner_length: none.or(self.runner_length),
            sprue_length: self.sprue_length,
            feed: FeedChoices {
                cutters: self.cutters.clone(),
                runner_diameter: self.runner,
                runner_section: self.runner_section.unwrap_or_default(),
                gate_depth: self.gate_depth,
                gate_width: self.gate_width,
                gate_land: self.gate_land,
                layout: self.feed_layout.or(split),
                sprue_inlet: self.sprue_inlet,
                sprue_taper: self.sprue_taper,
                well_diameter: self.well_diameter,
                well_length: self.well_length,
            },
            ..Choices::default()
        }
    }
}

fn section(text: &str) -> Result<RunnerSection, String> {
    RunnerSection::find(text).ok_or_else(|| {
        let names = RunnerSection::ALL.map(RunnerSection::name).join(", ");
        format!("the section of a runner is one of {names}")
    })
}

fn layout(text: &str) -> Result<FeedLayout, String> {
    FeedLayout::find(text).ok_or_else(|| {
        let names = FeedLayout::ALL.map(FeedLayout::name).join(", ");
        format!("a feed is laid out as one of {names}")
    })
}

fn length(text: &str) -> Result<Length, String> {
    let otherwise = "a piece of the feed is 0 mm to 1 m";
    units::read_if(text, |it: Length| (0.0..=1.0).contains(&it.si()), otherwise)
}

fn more_than_nothing(text: &str) -> Result<Length, String> {
    let length = length(text)?;
    if length.si() > 0.0 {
        Ok(length)
    } else {
        Err("it must be more than nothing".to_owned())
    }
}

fn taper(text: &str) -> Result<Angle, String> {
    let otherwise = "a sprue tapers by 0 to 30 deg, most by 2 to 5";
    units::read_if(text, |it| (0.0..=30.0).contains(&units::in_degrees(it)), otherwise)
}

fn share(text: &str) -> Result<Ratio, String> {
    let otherwise = "a feed is 0 % to 200 % of the part";
    units::read_if(text, |it: Ratio| (0.0..=2.0).contains(&it.si()), otherwise)
}

#[cfg(test)]
mod tests {
    use super::{length, more_than_nothing, share, taper};

    #[test]
    fn a_measure_of_the_feed_has_a_unit_and_a_bound() {
        assert!(length("0 mm").is_ok() && more_than_nothing("0.5 mm").is_ok());
        for bad in ["0 mm", "2 m", "4", "-1 mm", "wide"] {
            assert!(more_than_nothing(bad).is_err(), "{bad}");
        }
        assert!(
            taper("3 deg").is_ok() && taper("40 deg").is_err() && taper("3").is_err()
        );
        assert!(share("15 %").is_ok() && share("900 %").is_err());
    }
}
