//! What the user types and what the terminal answers. One arm a verb; the only room that
//! opens files and writes to the terminal.
//!
//! | question | file |
//! |---|---|
//! | how much memory may a run take | [`memory`] |
//! | what does the value of an option mean | [`option_values`] |
//! | what may be typed about the feed | [`feed_args`] |
//! | about the filling | [`fill_args`] |
//! | about the cutters | [`mill_args`] |
//! | about a part, wherever it is checked | [`given_args`] |
//! | about a mold | [`mold_args`] |
//! | which commands and options are there | [`args`] |
//! | what does the terminal show besides the answer | [`terminal`] |
//! | how long did each stage take | [`stage_times`] |
//! | how does it show the answer | [`mod@summary`] |
//! | what is kept in the user's own folder | [`own_folder`] |
//! | which files are read | [`files`] |
//! | how is a report written, all of it or nothing | [`report_folder`] |
//! | how does a part become a report | [`run_check`] |
//! | how does a part become a mold | [`run_mold`] |
//! | how is a test piece sized | [`test_piece`] |
//! | `goodshot check` | [`check`] |
//! | `goodshot compare` | [`mod@compare`] |
//! | `goodshot check --watch` | [`watch`] |
//! | `goodshot completions` and `goodshot manual` | [`manual`] |
//! | `goodshot mold` | [`mod@mold`] |
//! | `goodshot why` | [`why`] |
//! | `goodshot cost` | [`mod@cost`] |
//! | `goodshot calibrate` | [`calibrate`] |
//! | `goodshot plastics` | [`plastics`] |
//! | `goodshot press` | [`press`] |
//! | `goodshot cutters` | [`cutters`] |
//! | `goodshot desk` | [`desk`] |

pub mod memory;
mod option_values;
mod feed_args;
mod fill_args;
mod mill_args;
mod given_args;
mod mold_args;
mod args;
mod terminal;
mod stage_times;
mod summary;
mod own_folder;
mod files;
mod report_folder;
mod run_check;
mod run_mold;
mod test_piece;
mod check;
mod compare;
mod watch;
mod manual;
mod mold;
mod why;
mod cost;
mod calibrate;
mod plastics;
mod press;
mod cutters;
mod desk;

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Result, anyhow};
use clap::Parser;
use clap::error::ErrorKind;

use crate::findings::Verdict;
use crate::findings::assumptions::found_in_words;
use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use args::{Cli, Verb};

/// Exit code when there is no answer at all.
const COULD_NOT_RUN: u8 = 2;

/// Runs the command line.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return not_run(&error),
    };
    memory::limit(cli.memory);
    let mut out = io::stdout().lock();
    let answer = run(cli.verb, &mut out).and_then(|code| {
        say(out.flush())?;
        Ok(code)
    });
    match answer {
        Ok(code) => ExitCode::from(code),
        Err(error) if is_closed_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            complain(&error);
            ExitCode::from(COULD_NOT_RUN)
        }
    }
}

/// What was typed is a question for help, or not understood.
fn not_run(error: &clap::Error) -> ExitCode {
    let is_help = matches!(
        error.kind(),
        ErrorKind::DisplayHelp
            | ErrorKind::DisplayVersion
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
    );
    if is_help {
        // Where even this cannot be written, nothing can be said.
        let _ = error.print();
        return ExitCode::from(if error.use_stderr() { COULD_NOT_RUN } else { 0 });
    }
    let said = one_line(error);
    complain(&anyhow!("{said}; \"goodshot --help\" shows what can be typed"));
    ExitCode::from(COULD_NOT_RUN)
}

/// Of what the reader of options says in several lines those that say what is wrong.
fn one_line(error: &clap::Error) -> String {
    let text = error.render().to_string();
    let lines =
        text.lines().map(str::trim).take_while(|line| !line.starts_with("Usage:"));
    let said: Vec<&str> = lines
        .filter(|line| !line.is_empty() && !line.starts_with("For more information"))
        .collect();
    let said = said.join(" ");
    said.strip_prefix("error: ").unwrap_or(&said).to_owned()
}

/// Whether `words`, typed behind the name of the program, are a command that can be run.
///
/// # Errors
///
/// In one line, what is not understood.
pub fn understand(words: impl Iterator<Item = String>) -> Result<(), String> {
    let all = std::iter::once("goodshot".to_owned()).chain(words);
    Cli::try_parse_from(all).map(drop).map_err(|error| one_line(&error))
}

fn run(verb: Verb, out: &mut dyn Write) -> Result<u8> {
    match verb {
        Verb::Check(args) if args.watch => {
            watch::run(*args, io::stderr().is_terminal(), out)
        }
        Verb::Check(args) => check::run(&args, io::stderr().is_terminal(), out),
        Verb::Desk(args) => desk::run(&args, out),
        Verb::Compare(args) => compare::run(&args, io::stderr().is_terminal(), out),
        Verb::Mold(args) => mold::run(&args, io::stderr().is_terminal(), out),
        Verb::Calibrate(args) => calibrate::run(&args, io::stderr().is_terminal(), out),
        Verb::Cost(args) => cost::run(&args, io::stderr().is_terminal(), out),
        Verb::Why(args) => why::run(&args, io::stderr().is_terminal(), out),
        Verb::Press(args) => {
            if args.template {
                out.write_all(Press::template().as_bytes())?;
                return Ok(0);
            }
            let plastics = own_plastics(args.plastics.as_deref(), out)?;
            let only =
                args.plastic.map(|name| plastics.find(&name).cloned()).transpose()?;
            let file = own(args.file.as_deref(), files::OWN_PRESS, out)?;
            let press = files::press(file.as_deref())?;
            press::show(&press, &plastics, only.as_ref(), out)?;
            if args.use_always {
                use_always(args.file.as_deref(), files::OWN_PRESS, out)?;
            }
            Ok(0)
        }
        Verb::Completions(args) => manual::completions(&args, out),
        Verb::Manual(args) => manual::manual(&args, out),
        Verb::Plastics(args) => {
            if args.template {
                out.write_all(Plastics::template().as_bytes())?;
                return Ok(0);
            }
            let plastics = own_plastics(args.plastics.as_deref(), out)?;
            let one = args.name.map(|name| plastics.find(&name).cloned()).transpose()?;
            plastics::show(&plastics, one.as_ref(), out)?;
            if args.use_always {
                use_always(args.plastics.as_deref(), files::OWN_PLASTICS, out)?;
            }
            Ok(0)
        }
        Verb::Cutters(args) => {
            if args.template {
                out.write_all(CutterList::template().as_bytes())?;
                return Ok(0);
            }
            let file = own(args.file.as_deref(), files::OWN_CUTTERS, out)?;
            let list = file.map_or_else(
                || Ok(CutterList::builtin()?),
                |file| files::cutters(&file),
            )?;
            cutters::show(&list, out)?;
            if args.use_always {
                use_always(args.file.as_deref(), files::OWN_CUTTERS, out)?;
            }
            Ok(0)
        }
    }
}

/// The file that was given or found in the working folder or the user's own; that it was found is
/// said.
fn own(given: Option<&Path>, name: &str, out: &mut dyn Write) -> Result<Option<PathBuf>> {
    let file = files::given_or_own(given, name);
    if given.is_none()
        && let Some(found) = file.as_deref().map(files::found)
    {
        say(writeln!(out, "with {}", found_in_words(&[found]).unwrap_or_default()))?;
    }
    Ok(file)
}

/// Keeps the file that was given as the user's own, where that is asked for.
fn use_always(given: Option<&Path>, name: &str, out: &mut dyn Write) -> Result<()> {
    let Some(given) = given else { return Ok(()) };
    let kept = own_folder::keep(name, &files::table_text(given)?)?;
    say(writeln!(
        out,
        "\nkept as {}: every command uses it where you name no other",
        own_folder::shown(&kept)
    ))
}

fn own_plastics(given: Option<&Path>, out: &mut dyn Write) -> Result<Plastics> {
    files::plastics(own(given, files::OWN_PLASTICS, out)?.as_deref())
}

fn exit_code(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Cut => 0,
        Verdict::FixFirst | Verdict::DoNotCut => 1,
        Verdict::Unknown => 3,
    }
}

/// Of two exit codes the one that should stop the user: could not run, then no, then
/// cannot tell, then yes.
fn worse(known: Option<u8>, code: u8) -> u8 {
    let rank = |code: u8| [0, 3, 1, 2].iter().position(|&other| other == code);
    known.map_or(code, |known| if rank(code) > rank(known) { code } else { known })
}

/// What was printed, or that nobody listens any more: a closed pipe stops the words, not
/// the work, and the exit code still answers.
fn say(printed: io::Result<()>) -> Result<()> {
    match printed {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(()),
    }
}

/// Characters that a line of complaint has at the most: whatever was typed, it can be read.
const LONGEST_LINE: usize = 1000;

/// One line on standard error.
fn complain(error: &anyhow::Error) {
    let mut line = format!("{error:#}").replace('\n', " ");
    if let Some((end, _)) = line.char_indices().nth(LONGEST_LINE) {
        line.truncate(end);
        line.push('…');
    }
    // Where even this cannot be written, nothing can be said.
    let _ = writeln!(io::stderr(), "goodshot: {line}");
}

fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error.chain().any(|cause| {
        cause
            .downcast_ref::<io::Error>()
            .is_some_and(|e| e.kind() == io::ErrorKind::BrokenPipe)
    })
}
