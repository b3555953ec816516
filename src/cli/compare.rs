//! `goodshot compare`: what a revision changed, from two files to the files that tell it.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use super::args::Compare;
use super::files;
use super::report_folder::{self, Place};
use super::terminal::{self, Progress};
use crate::analysis::Setup;
use crate::cli::run_check::{self, Judged};
use crate::compare::bundle::{self, Compared};
use crate::compare::comparison::{JSON_SCHEMA, Outcome};
use crate::settings::Settings;

/// Checks both parts alike and says what is different.
pub(super) fn run(args: &Compare, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    if args.schema {
        out.write_all(JSON_SCHEMA.as_bytes())?;
        return Ok(0);
    }
    let (Some(old), Some(new)) = (&args.old, &args.new) else {
        bail!("two parts are compared: the old one and the new one");
    };
    let setup = run_check::setup(&args.given)?;
    let settings = run_check::settings(&args.given)?;
    let folder = folder(args, old, new)?;
    report_folder::prepare(&args.out)?;
    let progress = Progress::new(terminal && !args.quiet);
    let before = one(old, &setup, &settings, &progress)?;
    let after = one(new, &setup, &settings, &progress)?;
    progress.show("comparing");
    let Compared { comparison, files } = bundle::write(before.checked(), after.checked())
        .context("could not draw the comparison")?;
    progress.show("writing");
    let place = Place { out: &args.out, folder: &folder, own: &bundle::OWN };
    report_folder::write(place, &files)?;
    drop(progress);
    if args.json {
        let json = files.iter().find(|file| file.name == "compare.json");
        let bytes = json.map(|file| file.bytes.as_slice()).unwrap_or_default();
        super::say(out.write_all(bytes))?;
    } else if !args.quiet {
        super::say(terminal::compared(&comparison, Some(&folder), out))?;
    }
    Ok(exit_code(comparison.outcome))
}

fn one(
    part: &Path,
    setup: &Setup,
    settings: &Settings,
    progress: &Progress,
) -> Result<Judged> {
    let bytes = files::read_part(part)?;
    let name = run_check::name_of(part);
    let report_step = |step: run_check::Step| progress.show(format!("{name}: {step}"));
    run_check::judge(bytes, &name, setup.clone(), settings, &report_step)
        .with_context(|| part.display().to_string())
}

fn exit_code(outcome: Outcome) -> u8 {
    match outcome {
        Outcome::Better | Outcome::Same => 0,
        Outcome::Worse => 1,
        Outcome::Unknown => 3,
    }
}

/// Where the comparison goes.
fn folder(args: &Compare, old: &Path, new: &Path) -> Result<PathBuf> {
    files::is_folder(&args.out)?;
    let mut name = files::folder_name(old)?;
    name.push("-to-");
    name.push(files::folder_name(new)?);
    Ok(args.out.join(name))
}
