//! The only place that writes: the folder of a report is the old one whole or the new one whole,
//! whenever the program is killed.
//!
//! The new folder is written and synced beside the old one, with everything of the user's that
//! lies in the old one linked into it. Then both change places in one step, where the system can
//! do that; elsewhere the old one is moved aside and the new one in. What a kill leaves behind is
//! cleared when the next run begins. Runs that write below one `--out` folder wait for each other.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};

use crate::report::bundle::NamedFile;
use crate::report::mold::gcode;

/// How the folder is called that is written, and afterwards the one that it replaced.
const NEW: &str = ".goodshot-new";
/// How a folder is called that was moved aside where two cannot change places.
const OLD: &str = ".goodshot-old";

/// Where a report goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place<'a> {
    /// The folder of all reports, which `--out` names.
    pub(super) out: &'a Path,
    /// The folder of this one, in or below it.
    pub(super) folder: &'a Path,
    /// The files that such a report may have: others in its folder are the user's.
    pub(super) own: &'a [&'a str],
}

/// Whether reports can go into `out`, asked before the long work: makes a file there and takes
/// it away again. A folder that was not there is not left behind. Clears what an earlier run left
/// that was killed.
pub(super) fn prepare(out: &Path) -> Result<()> {
    let existed = out.exists();
    let tried = fs::create_dir_all(out).and_then(|()| tempfile::tempfile_in(out));
    let result = tried.map(drop).with_context(|| {
        format!(
            "{}: no report can be written there: choose another folder with --out",
            out.display()
        )
    });
    if !existed {
        // Best effort: an empty folder is no harm.
        let _ = fs::remove_dir(out);
    } else if result.is_ok() {
        let _lock = lock(out);
        clear(out).with_context(|| out.display().to_string())?;
    }
    result
}

/// Writes `files` into the folder, all or none.
pub(super) fn write(place: Place<'_>, files: &[NamedFile]) -> Result<()> {
    let Place { out, folder, .. } = place;
    let parent = folder.parent().unwrap_or(out);
    let existed = [out, parent].map(Path::exists);
    let written = write_whole(place, files);
    if written.is_err() {
        // Best effort: what could not be written is what is reported.
        for (folder, existed) in [out, parent].into_iter().zip(existed).rev() {
            if !existed {
                let _ = fs::remove_dir(folder);
            }
        }
    }
    written
        .with_context(|| format!("{}: the report could not be written", folder.display()))
}

fn write_whole(place: Place<'_>, files: &[NamedFile]) -> Result<()> {
    let Place { out, folder, own } = place;
    fs::create_dir_all(folder.parent().unwrap_or(out))?;
    let _lock = lock(out);
    // A link to a folder stays one.
    let folder = fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
    let parent = folder.parent().map_or(out, |parent| parent);
    if folder.exists() && !folder.is_dir() {
        bail!("there is a file of that name");
    }
    clear(parent)?;
    let fresh = beside(&folder, NEW)?;
    let is_own = |name: &Path| {
        let same = |own: &str| name == Path::new(own);
        own.iter().any(|own| same(own))
            || files.iter().any(|file| same(&file.name))
            || is_program(name)
    };
    let done = fill(&fresh, &folder, files, &is_own)
        .and_then(|()| put_in_place(&fresh, &folder, &exchange));
    if done.is_err() {
        // Best effort: the next run clears it.
        let _ = fs::remove_dir_all(&fresh);
    }
    done?;
    sync(parent);
    // The new report is in its place; what is left of the old one the next run clears too.
    let _ =
        take_over(&fresh, &folder, Path::new(""), &is_own).and_then(|()| remove(&fresh));
    Ok(())
}

/// The folder called like `folder` with `end` behind its name, hidden.
fn beside(folder: &Path, end: &str) -> Result<PathBuf> {
    let name = folder.file_name().ok_or_else(|| anyhow!("the folder has no name"))?;
    let mut hidden = std::ffi::OsString::from(".");
    hidden.push(name);
    hidden.push(end);
    Ok(folder.with_file_name(hidden))
}

/// Writes the new folder whole: `files`, and links to all in `old` that is not the report's own.
fn fill(
    fresh: &Path,
    old: &Path,
    files: &[NamedFile],
    is_own: &dyn Fn(&Path) -> bool,
) -> io::Result<()> {
    fs::create_dir(fresh)?;
    let mut folders = vec![fresh.to_owned()];
    for file in files {
        let place = fresh.join(&file.name);
        let around = place.parent().unwrap_or(fresh).to_owned();
        fs::create_dir_all(&around)?;
        let mut written = File::create_new(&place)?;
        written.write_all(&file.bytes)?;
        written.sync_all()?;
        folders.push(around);
    }
    if old.is_dir() {
        keep(old, fresh, Path::new(""), is_own)?;
        fs::set_permissions(fresh, fs::metadata(old)?.permissions())?;
    }
    folders.dedup();
    folders.iter().for_each(|folder| sync(folder));
    Ok(())
}

/// Links into `fresh` what is the user's in `old`, by its `name` inside both.
fn keep(
    old: &Path,
    fresh: &Path,
    name: &Path,
    is_own: &dyn Fn(&Path) -> bool,
) -> io::Result<()> {
    for found in fs::read_dir(old.join(name))? {
        let found = found?;
        let name = name.join(found.file_name());
        let (kind, place) = (found.file_type()?, fresh.join(&name));
        if is_own(&name) || is_leftover(&found.file_name()) {
            continue;
        }
        if kind.is_dir() {
            let is_there = place.exists();
            fs::create_dir_all(&place)?;
            keep(old, fresh, &name, is_own)?;
            // A folder of ours in which nothing is the user's.
            if !is_there && fs::read_dir(found.path())?.next().is_some() {
                let _ = fs::remove_dir(&place);
            }
        } else if fs::hard_link(found.path(), &place).is_err() {
            copy(&found.path(), kind, &place)?;
        }
    }
    Ok(())
}

/// Where files cannot have two names: a copy, of a link another link.
#[cfg(unix)]
fn copy(from: &Path, kind: fs::FileType, to: &Path) -> io::Result<()> {
    if kind.is_symlink() {
        return std::os::unix::fs::symlink(fs::read_link(from)?, to);
    }
    fs::copy(from, to).map(drop)
}

#[cfg(not(unix))]
fn copy(from: &Path, _: fs::FileType, to: &Path) -> io::Result<()> {
    fs::copy(from, to).map(drop)
}

/// Lets two folders change places in one step.
#[cfg(any(target_os = "linux", target_os = "macos"))]
fn exchange(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

#[cfg(not(any(target_os = "linux", target_os = "macos")))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// Puts `fresh` where `folder` is; the old folder is afterwards called as `fresh` was.
fn put_in_place(
    fresh: &Path,
    folder: &Path,
    exchange: &dyn Fn(&Path, &Path) -> io::Result<()>,
) -> io::Result<()> {
    if !folder.exists() {
        return fs::rename(fresh, folder);
    }
    let Err(error) = exchange(fresh, folder) else { return Ok(()) };
    // Systems that cannot do it say so in several ways.
    let cannot = [io::ErrorKind::Unsupported, io::ErrorKind::InvalidInput];
    if !cannot.contains(&error.kind()) {
        return Err(error);
    }
    let aside = beside(folder, OLD).map_err(io::Error::other)?;
    fs::rename(folder, &aside)?;
    if let Err(error) = fs::rename(fresh, folder) {
        fs::rename(&aside, folder)?;
        return Err(error);
    }
    fs::rename(&aside, fresh)
}

/// Moves what is the user's from a folder that is about to go to the one that stays, where it is
/// not there: it came while the report was written.
fn take_over(
    gone: &Path,
    folder: &Path,
    name: &Path,
    is_own: &dyn Fn(&Path) -> bool,
) -> io::Result<()> {
    let Ok(all) = fs::read_dir(gone.join(name)) else { return Ok(()) };
    for found in all {
        let found = found?;
        let name = name.join(found.file_name());
        let place = folder.join(&name);
        if is_own(&name) || is_leftover(&found.file_name()) {
            continue;
        }
        if found.file_type()?.is_dir() && place.is_dir() {
            take_over(gone, folder, &name, is_own)?;
        } else if place.symlink_metadata().is_err()
            && !is_emptied(&found.path(), &name, is_own)
        {
            fs::rename(found.path(), &place)?;
        }
    }
    Ok(())
}

/// Whether `path` is a folder that holds nothing but what is the report's own.
fn is_emptied(path: &Path, name: &Path, is_own: &dyn Fn(&Path) -> bool) -> bool {
    let Ok(all) = fs::read_dir(path) else { return false };
    let names: Vec<_> = all.flatten().map(|found| name.join(found.file_name())).collect();
    !names.is_empty() && names.iter().all(|name| is_own(name))
}

/// Clears what killed runs left in `parent`.
fn clear(parent: &Path) -> io::Result<()> {
    let names = fs::read_dir(parent)?.flatten().map(|found| found.file_name());
    let mut left: Vec<_> = names.filter(|name| is_leftover(name)).collect();
    // Those moved aside come last by name, and are needed first.
    left.sort_unstable_by(|one, other| other.cmp(one));
    for name in left {
        let text = name.to_string_lossy();
        let leftover = parent.join(&name);
        let name =
            text.trim_start_matches('.').trim_end_matches(NEW).trim_end_matches(OLD);
        let folder = parent.join(name);
        if text.ends_with(OLD) && !folder.exists() {
            fs::rename(&leftover, &folder)?;
            continue;
        }
        if folder.is_dir() {
            take_over(&leftover, &folder, Path::new(""), &is_any_report_file)?;
        }
        remove(&leftover)?;
    }
    Ok(())
}

/// Whether a file is one that some report has.
fn is_any_report_file(name: &Path) -> bool {
    let all = [
        crate::report::bundle::OWN.as_slice(),
        crate::report::mold::bundle::OWN.as_slice(),
        crate::compare::bundle::OWN.as_slice(),
    ];
    all.into_iter().flatten().any(|own| name == Path::new(own)) || is_program(name)
}

/// Whether a file is a program for the mill: one of an older mold must not stay beside a new one.
fn is_program(name: &Path) -> bool {
    name.to_str().is_some_and(gcode::is_program)
}

fn is_leftover(name: &std::ffi::OsStr) -> bool {
    let name = name.to_string_lossy();
    name.starts_with('.') && (name.ends_with(NEW) || name.ends_with(OLD))
}

fn remove(folder: &Path) -> io::Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        other => other,
    }
}

/// Lets other runs that write below `out` wait until the result is dropped. Where a system locks
/// no folders, runs do not wait.
fn lock(out: &Path) -> Option<File> {
    let folder = File::open(out).ok()?;
    folder.lock().ok()?;
    Some(folder)
}

/// Has the names in a folder written to the disk, where the system does that.
fn sync(folder: &Path) {
    // Best effort: not every system opens folders.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

#[cfg(test)]
mod tests;
