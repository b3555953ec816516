//! What may be typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use super::given_args::Given;
use super::mold_args::Mold;
use crate::variations::factors::FactorRequest;

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

const COMPARED: &str = "Exit codes: 0 better, or no better and no worse, 1 worse, 2 could \
    not run, 3 cannot tell (a verdict is open). The verdict decides; where it is the same, what \
    is new or more severe, then what is gone or milder. Notes do not count.";
const MOLD_EXIT_CODES: &str = "Exit codes: 0 every check holds, 1 one does not, 2 there is no mold (one line says why).";

/// What to do.
#[derive(Debug, Subcommand)]
pub(super) enum Verb {
    /// Check a part: does it come out, fill, fit one shot, and does the mold stay shut?
    #[command(after_help = EXIT_CODES)]
    Check(Box<Check>),
    /// Say what a revision of a part changed: findings, grams, newtons, seconds, walls.
    #[command(after_help = COMPARED)]
    Compare(Box<Compare>),
    /// Check parts on a page in your browser: drop a file, choose, look. For this machine
    /// alone.
    Desk(Desk),
    /// Draw the mold: two halves as solids, what to drill and what to buy.
    #[command(after_help = MOLD_EXIT_CODES)]
    Mold(Box<Mold>),
    /// Say what a press can do: ram force, melt pressure, grams a shot.
    Press(Press),
    /// List the plastics, or one of them with the source of each value.
    Plastics(Plastics),
    /// Print what a shell needs to complete commands and options.
    Completions(Completions),
    /// Print the manual page, as roff for man.
    Manual(Manual),
    /// List the cutters that a check sends over the halves.
    Cutters(Cutters),
}

/// Check a part.
#[derive(Debug, Args)]
pub(super) struct Check {
    /// The parts, as STL files.
    #[arg(value_name = "PART.stl", required_unless_present = "schema")]
    pub(super) parts: Vec<PathBuf>,
    /// With what it is made, and how it is looked at.
    #[command(flatten)]
    pub(super) given: Given,
    /// What if it were otherwise: air, "cylinder bore", wall, plastic and more, over the sizes
    /// of the shelf or over your values as in "air: 6 bar, 8 bar"; may be repeated.
    #[arg(long, value_name = "WHAT[: VALUES]", conflicts_with = "watch")]
    pub(super) vary: Vec<FactorRequest>,
    /// Where the reports go, each in a folder named like its part.
    #[arg(long, value_name = "DIR", default_value = "goodshot-report")]
    pub(super) out: PathBuf,
    /// Print report.json instead of the summary; of several parts a list.
    #[arg(long, conflicts_with = "quiet")]
    pub(super) json: bool,
    /// Print nothing; the exit code and the files answer.
    #[arg(long)]
    pub(super) quiet: bool,
    /// Check again whenever a file changes, and say what changed; Ctrl-C ends.
    #[arg(long, conflicts_with_all = ["json", "quiet", "schema", "timings"])]
    pub(super) watch: bool,
    /// Print on standard error how long each stage took; parts then run one after another.
    #[arg(long)]
    pub(super) timings: bool,
    /// Print the JSON Schema of report.json and stop.
    #[arg(long)]
    pub(super) schema: bool,
}

/// Say what a revision changed.
#[derive(Debug, Args)]
pub(super) struct Compare {
    /// The part as it was, as an STL file.
    #[arg(value_name = "OLD.stl", required_unless_present = "schema")]
    pub(super) old: Option<PathBuf>,
    /// The part as it is now.
    #[arg(value_name = "NEW.stl", required_unless_present = "schema")]
    pub(super) new: Option<PathBuf>,
    /// With what both are made, and how they are looked at.
    #[command(flatten)]
    pub(super) given: Given,
    /// Where the comparison goes, in a folder named like both parts.
    #[arg(long, value_name = "DIR", default_value = "goodshot-report")]
    pub(super) out: PathBuf,
    /// Print compare.json instead of the summary.
    #[arg(long, conflicts_with = "quiet")]
    pub(super) json: bool,
    /// Print nothing; the exit code and the files answer.
    #[arg(long)]
    pub(super) quiet: bool,
    /// Print the JSON Schema of compare.json and stop.
    #[arg(long)]
    pub(super) schema: bool,
}

/// Say what a press can do.
#[derive(Debug, Args)]
pub(super) struct Press {
    /// The press file; press.toml of the working folder, else the built-in example press, when
    /// not given.
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

/// Check parts on a page in your browser.
#[derive(Debug, Args)]
pub(super) struct Desk {
    /// Only print the address; open no browser.
    #[arg(long)]
    pub(super) no_browser: bool,
    /// The port at 127.0.0.1; any free one when not given.
    #[arg(long, value_name = "NUMBER", default_value_t = 0, hide_default_value = true)]
    pub(super) port: u16,
    /// A file of plastics that adds to the built-in ones and overrides them.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) plastics: Option<PathBuf>,
}

/// List the cutters.
#[derive(Debug, Args)]
pub(super) struct Cutters {
    /// The cutters file; cutters.toml of the working folder, else the built-in list, when not
    /// given.
    #[arg(value_name = "CUTTERS.toml")]
    pub(super) file: Option<PathBuf>,
    /// Print a commented cutters file to start from.
    #[arg(long, conflicts_with = "file")]
    pub(super) template: bool,
}

/// Print what a shell needs to complete commands and options.
#[derive(Debug, Args)]
pub(super) struct Completions {
    /// The shell.
    #[arg(value_name = "SHELL")]
    pub(super) shell: clap_complete::Shell,
}

/// Print the manual page.
#[derive(Debug, Args)]
pub(super) struct Manual {
    /// Only of this command.
    #[arg(value_name = "COMMAND")]
    pub(super) command: Option<String>,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn the_definition_is_sound() {
        super::Cli::command().debug_assert();
    }
}
