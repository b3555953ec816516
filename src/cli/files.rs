//! The only place that opens files: parts, presses and plastics in, reports out.

use std::fs;
use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result, anyhow, bail};
use tempfile::NamedTempFile;

use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::report::bundle::NamedFile;

/// The bytes of a part.
pub(super) fn read_part(part: &Path) -> Result<Vec<u8>> {
    read(part, "give the name of an STL file")
}

/// The press in `file`, or the built-in one.
pub(super) fn press(file: Option<&Path>) -> Result<Press> {
    let Some(file) = file else { return Ok(Press::builtin()?) };
    Press::parse(&text(file, "\"goodshot press --template\" writes a press file")?)
        .with_context(|| file.display().to_string())
}

/// The built-in plastics with what `file` adds.
pub(super) fn plastics(file: Option<&Path>) -> Result<Plastics> {
    let plastics = Plastics::builtin()?;
    let Some(file) = file else { return Ok(plastics) };
    let text = text(file, "\"goodshot plastics --template\" writes a plastics file")?;
    plastics.with_user_file(&text).with_context(|| file.display().to_string())
}

/// The cutters in `file`.
pub(super) fn cutters(file: &Path) -> Result<CutterList> {
    let text = text(file, "\"goodshot cutters --template\" writes a cutters file")?;
    CutterList::parse(&text).with_context(|| file.display().to_string())
}

fn text(file: &Path, advice: &str) -> Result<String> {
    String::from_utf8(read(file, advice)?)
        .map_err(|_| anyhow!("{}: is not a text file: {advice}", file.display()))
}

fn read(file: &Path, advice: &str) -> Result<Vec<u8>> {
    match fs::metadata(file) {
        Ok(found) if found.is_dir() => bail!("{}: is a folder: {advice}", file.display()),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            bail!("{}: no such file: {advice}", file.display())
        }
        _ => fs::read(file)
            .with_context(|| format!("{}: could not be read", file.display())),
    }
}

/// Whether `out` may be a folder: it is none that is a file already.
pub(super) fn is_folder(out: &Path) -> Result<()> {
    if fs::metadata(out).is_ok_and(|out| !out.is_dir()) {
        bail!(
            "{}: is a file, not a folder: give another folder with --out",
            out.display()
        );
    }
    Ok(())
}

/// Whether reports can go into `folder`, told before the long work: makes a file there
/// and takes it away again. A folder that was not there is not left behind.
pub(super) fn can_hold(folder: &Path) -> Result<()> {
    let existed = folder.exists();
    let tried = fs::create_dir_all(folder).and_then(|()| NamedTempFile::new_in(folder));
    let result = tried.map(drop).with_context(|| {
        format!(
            "{}: no report can be written there: choose another folder with --out",
            folder.display()
        )
    });
    if !existed {
        // Best effort: an empty folder is no harm.
        let _ = fs::remove_dir(folder);
    }
    result
}

/// Writes `files` into `folder`, all or none: each is written beside its place first, and
/// they are moved there only when all are whole.
pub(super) fn write_all(folder: &Path, files: &[NamedFile]) -> Result<()> {
    let existed = folder.exists();
    let written = write_whole(folder, files);
    if written.is_err() && !existed {
        // Best effort: what could not be written is the thing to tell.
        let _ = fs::remove_dir_all(folder);
    }
    written
        .with_context(|| format!("{}: the report could not be written", folder.display()))
}

fn write_whole(folder: &Path, files: &[NamedFile]) -> Result<()> {
    let mut ready = Vec::new();
    for file in files {
        let place = folder.join(&file.name);
        let beside = place.parent().unwrap_or(folder);
        fs::create_dir_all(beside)?;
        let mut fresh = NamedTempFile::new_in(beside)?;
        fresh.write_all(&file.bytes)?;
        readable(fresh.as_file())?;
        ready.push((fresh, place));
    }
    for (fresh, place) in ready {
        fresh.persist(&place)?;
    }
    Ok(())
}

/// Temporary files are for their owner only; a report is for whoever may see the folder.
#[cfg(unix)]
fn readable(file: &fs::File) -> Result<()> {
    use std::os::unix::fs::PermissionsExt;
    Ok(file.set_permissions(fs::Permissions::from_mode(0o644))?)
}

#[cfg(not(unix))]
fn readable(_: &fs::File) -> Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::{plastics, press, read_part, write_all};
    use crate::report::bundle::NamedFile;

    fn file(name: &str, text: &str) -> NamedFile {
        NamedFile { name: name.to_owned(), bytes: text.as_bytes().to_vec() }
    }

    #[test]
    fn all_files_are_written_and_old_ones_replaced() {
        let base = tempfile::tempdir().unwrap();
        let folder = base.path().join("reports/plug");
        for text in ["old", "new"] {
            write_all(&folder, &[file("a.md", text), file("maps/b.png", text)]).unwrap();
        }
        for name in ["a.md", "maps/b.png"] {
            assert_eq!(fs::read_to_string(folder.join(name)).unwrap(), "new");
        }
        // No half-written file stays beside them.
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 2);
    }

    #[test]
    fn what_cannot_be_written_leaves_no_new_folder() {
        let base = tempfile::tempdir().unwrap();
        let folder = base.path().join("plug");
        // A name that is a folder for the other file cannot be a file.
        let error = write_all(&folder, &[file("maps/b.png", ""), file("maps", "")]);
        assert!(error.unwrap_err().to_string().contains("could not be written"));
        assert!(!folder.exists());
    }

    #[test]
    fn a_folder_or_nothing_is_not_read() {
        let base = tempfile::tempdir().unwrap();
        let missing = base.path().join("ours.toml");
        assert!(read_part(base.path()).unwrap_err().to_string().contains("is a folder"));
        for error in
            [press(Some(&missing)).unwrap_err(), plastics(Some(&missing)).unwrap_err()]
        {
            assert!(error.to_string().contains("--template"), "{error}");
        }
        assert!(press(None).is_ok() && plastics(None).is_ok());
    }
}
