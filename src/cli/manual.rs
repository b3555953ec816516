//! `goodshot completions` and `goodshot manual`: what a shell and `man` want to know, from
//! the same definition that reads the command line.

use std::io::Write;

use anyhow::{Result, anyhow};
use clap::{Command, CommandFactory};
use clap_mangen::Man;

use super::args::{Cli, Completions, Manual};

const NAME: &str = "goodshot";

/// Writes the completions of one shell.
pub(super) fn completions(args: &Completions, out: &mut dyn Write) -> Result<u8> {
    // To memory first: the writer inside panics on a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), NAME, &mut script);
    out.write_all(&script)?;
    Ok(0)
}

/// Writes the page of the program, or of one of its commands, as roff.
pub(super) fn manual(args: &Manual, out: &mut dyn Write) -> Result<u8> {
    let mut program = Cli::command().propagate_version(true);
    // Gives every command its whole name and the version.
    program.build();
    let command = match &args.command {
        None => program,
        Some(name) => command_of(&program, name)?,
    };
    let mut page = Vec::new();
    Man::new(command).manual(NAME).render(&mut page)?;
    out.write_all(&page)?;
    Ok(0)
}

fn command_of(program: &Command, name: &str) -> Result<Command> {
    program.find_subcommand(name).cloned().ok_or_else(|| {
        let names: Vec<&str> = program.get_subcommands().map(Command::get_name).collect();
        anyhow!("there is no command {name:?}: the commands are {}", names.join(", "))
    })
}
