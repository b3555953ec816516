//! What may be typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use super::given_args::Given;
use super::mold_args::Mold;
use crate::cli::memory::Bytes;
use crate::cli::option_values;
use crate::diagnosis::symptom::Symptom;
use crate::units::Time;
use crate::variations::factors::FactorRequest;

/// Says whether a mold milled today will give a good part on a small press.
#[derive(Debug, Parser)]
#[command(name = "goodshot", version, about, after_help = EXIT_CODES)]
pub(super) struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub(super) verb: Verb,
    /// The most memory that it may take, such as "2 GB"; nine tenths of what the machine has when not
    /// given.
    #[arg(long, global = true, value_name = "SIZE", value_parser = option_values::memory)]
    pub(super) memory: Option<Bytes>,
}

const EXIT_CODES: &str = "Exit codes: 0 cut it, 1 fix first or do not cut, 2 could not run, \
    3 cannot tell yet (an input is missing).";

const COMPARED: &str = "Exit codes: 0 better, or no better and no worse, 1 worse, 2 could \
    not run, 3 cannot tell (a verdict is open). The verdict decides; where it is the same, what \
    is new or more severe, then what is gone or milder. Notes do not count.";
const MOLD_EXIT_CODES: &str = "Exit codes: 0 every check holds, 1 one does not, 2 there is no mold (one line says why).";

const CALIBRATED: &str = "A log has one line a shot, as TOML\n\n  \
    shots = [\n    \
    { part = \"strip.stl\", set = \"4 bar\", melt = \"230 C\", mold = \"35 C\", reached = \"62 mm\" },\n    \
    { part = \"strip.stl\", set = \"5 bar\", grams = \"3.1 g\", remark = \"third one\" },\n  ]\n\n\
    or as a table with commas whose first line has names and units: part,set [bar],melt [C],mold [C],\
    grams [g],filled [%],reached [mm],full,flash,remark. Parts are STL files beside the log; grams are \
    of the part without its feed; melt and mold as measured. Stop shots short on purpose.\n\n\
    Exit codes: 0 learned, 1 learned, and a shot contradicts the model, 2 could not run.";
const SEEN: &str = "What can be seen: short (short shot), flash, sink (sink mark), burn, weld \
    (weld line that shows or breaks), sticks, warps, bubbles (or splay), drool, cold-slug.\n\n\
    Exit codes: 0 causes were ranked, 2 could not run.";

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
    /// Learn from real shots: a log of them becomes a file that every later check uses.
    #[command(after_help = CALIBRATED)]
    Calibrate(Box<Calibrate>),
    /// Say what mold and parts cost, and from how many parts on the mold pays against printing.
    Cost(Box<Cost>),
    /// Say why a part came out bad: causes ranked by its own numbers, and what to change next.
    #[command(after_help = SEEN)]
    Why(Box<Why>),
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

/// Learn from real shots.
#[derive(Debug, Args)]
pub(super) struct Calibrate {
    /// The log of shots, as TOML or as a table.
    #[arg(value_name = "SHOTS")]
    pub(super) log: PathBuf,
    /// With what the shots were made, and how their parts are looked at.
    #[command(flatten)]
    pub(super) given: Given,
    /// When, to be named in later checks, such as 2026-11-30.
    #[arg(long, value_name = "DATE")]
    pub(super) date: Option<String>,
    /// The file that is written.
    #[arg(long, value_name = "FILE.toml", default_value = "calibration.toml")]
    pub(super) out: PathBuf,
}

/// Say what mold and parts cost.
#[derive(Debug, Args)]
pub(super) struct Cost {
    /// The part, as an STL file.
    #[arg(value_name = "PART.stl", required_unless_present = "template")]
    pub(super) part: Option<PathBuf>,
    /// What things cost in your shop; shop.toml of the working folder, else defaults, when not
    /// given.
    #[arg(long, value_name = "SHOP.toml")]
    pub(super) shop: Option<PathBuf>,
    /// How many parts are wanted.
    #[arg(long, value_name = "NUMBER", default_value_t = 500, value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    pub(super) parts: u32,
    /// With what the part is made, and how it is looked at.
    #[command(flatten)]
    pub(super) given: Given,
    /// Where the files go, in a folder named like the part.
    #[arg(long, value_name = "DIR", default_value = "goodshot-report")]
    pub(super) out: PathBuf,
    /// Print cost.json instead of the summary.
    #[arg(long, conflicts_with = "quiet")]
    pub(super) json: bool,
    /// Print nothing; the files answer.
    #[arg(long)]
    pub(super) quiet: bool,
    /// Print a commented shop file to start from.
    #[arg(long, conflicts_with = "part")]
    pub(super) template: bool,
}

/// Say why a part came out bad.
#[derive(Debug, Args)]
pub(super) struct Why {
    /// The part, as an STL file.
    #[arg(value_name = "PART.stl")]
    pub(super) part: PathBuf,
    /// What the part shows; the list is below.
    #[arg(long, value_name = "SYMPTOM")]
    pub(super) seen: Symptom,
    /// What the press was set to, in what is set at its drive, such as "4 bar" or "200 N"; what
    /// the process sheet begins with when not given.
    #[arg(long, value_name = "SETTING")]
    pub(super) set: Option<String>,
    /// How long pressure was held from the full mold on, such as "3 s".
    #[arg(long, value_name = "TIME", value_parser = option_values::time)]
    pub(super) held: Option<Time>,
    /// How long the part cooled from the full mold on, such as "25 s".
    #[arg(long, value_name = "TIME", value_parser = option_values::time)]
    pub(super) cooled: Option<Time>,
    /// How long the charge was in the hot barrel, such as "15 min".
    #[arg(long, value_name = "TIME", value_parser = option_values::time)]
    pub(super) in_barrel: Option<Time>,
    /// How long the plastic was dried, such as "3 h"; "0 h" for not at all.
    #[arg(long, value_name = "TIME", value_parser = option_values::time)]
    pub(super) dried: Option<Time>,
    /// Which shot of the session it was, from 1.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub(super) shot: Option<u32>,
    /// This mold made good parts before, on this press and of this plastic: what lies in its
    /// metal is no cause.
    #[arg(long)]
    pub(super) was_good: bool,
    /// With what the part was made; --melt and --mold are the temperatures that were measured.
    #[command(flatten)]
    pub(super) given: Given,
    /// Print the causes as JSON.
    #[arg(long)]
    pub(super) json: bool,
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
    /// Keep this file as yours: every command then uses it where you name no other.
    #[arg(long = "use", requires = "file")]
    pub(super) use_always: bool,
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
    /// Keep the file of plastics as yours: every command then uses it where you name no other.
    #[arg(long = "use", requires = "plastics")]
    pub(super) use_always: bool,
}

/// Check parts on a page in your browser.
#[derive(Debug, Args)]
pub(super) struct Desk {
    /// A folder whose parts are checked as they come: the one that your CAD program exports to.
    #[arg(value_name = "FOLDER")]
    pub(super) folder: Option<PathBuf>,
    /// Only print the address; open no browser.
    #[arg(long)]
    pub(super) no_browser: bool,
    /// The port at 127.0.0.1; any free one when not given.
    #[arg(long, value_name = "NUMBER", default_value_t = 0, hide_default_value = true)]
    pub(super) port: u16,
    /// A file of plastics that adds to the built-in ones and overrides them.
    #[arg(long, value_name = "FILE.toml")]
    pub(super) plastics: Option<PathBuf>,
    /// Do one run of the page, which asks for it on standard input.
    #[arg(long, hide = true)]
    pub(super) one_run: bool,
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
    /// Keep this file as yours: every command then uses it where you name no other.
    #[arg(long = "use", requires = "file")]
    pub(super) use_always: bool,
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
