//! The only place that reads files, parts, presses, plastics and cutters, and names folders
//! after them.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};

use super::own_folder;
use crate::analysis::Found;
use crate::mold::milling::CutterList;
use crate::mold::test_piece::TestPiece;
use crate::process::calibration::file::Calibration;
use crate::process::calibration::log::{self, LoggedShot};
use crate::process::cost::shop::{ReadShop, Shop};
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;

/// The bytes of a part.
pub(super) fn read_part(part: &Path) -> Result<Vec<u8>> {
    read(part, "give the name of an STL file")
}

/// The files of the user's own shop by the names under which every command finds them in the
/// working folder or the user's own.
pub(super) const OWN_PRESS: &str = "press.toml";
/// As [`OWN_PRESS`].
pub(super) const OWN_PLASTICS: &str = "plastics.toml";
/// As [`OWN_PRESS`].
pub(super) const OWN_CUTTERS: &str = "cutters.toml";
/// As [`OWN_PRESS`].
pub(super) const OWN_CALIBRATION: &str = "calibration.toml";
/// As [`OWN_PRESS`].
pub(super) const OWN_SHOP: &str = "shop.toml";

/// The file that was given, else the one of this name in the working folder, else the one in the
/// user's own folder.
pub(super) fn given_or_own(given: Option<&Path>, own: &str) -> Option<PathBuf> {
    let here = || Path::new(own).is_file().then(|| PathBuf::from(own));
    given.map(Path::to_owned).or_else(here).or_else(|| own_folder::file(own))
}

/// A file that [`given_or_own`] found, as an answer names it.
pub(super) fn found(file: &Path) -> Found {
    let name = |path: &Path| path.display().to_string();
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    match (folder, file.file_name()) {
        (Some(folder), Some(own)) => {
            Found { what: name(Path::new(own)), folder: Some(own_folder::shown(folder)) }
        }
        _ => Found { what: name(file), folder: None },
    }
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

/// The shots in a log.
pub(super) fn shots(file: &Path) -> Result<Vec<LoggedShot>> {
    let text = text(file, "\"goodshot calibrate --help\" shows what a log looks like")?;
    log::parse(&text).with_context(|| file.display().to_string())
}

/// The measures of a test piece in `file`.
pub(super) fn test_piece(file: &Path) -> Result<TestPiece> {
    let text = text(
        file,
        "copy test-piece.toml from the mold's folder to the log; \"goodshot mold --test-piece\" writes it",
    )?;
    TestPiece::parse(&text).with_context(|| file.display().to_string())
}

/// What shots said, in `file`.
pub(super) fn calibration(file: &Path) -> Result<Calibration> {
    let text = text(file, "\"goodshot calibrate\" writes a calibration")?;
    Calibration::parse(&text).with_context(|| file.display().to_string())
}

/// What things cost by `file`, or by the defaults.
pub(super) fn shop(file: Option<&Path>) -> Result<ReadShop> {
    let Some(file) = file else { return Ok(Shop::parse("")?) };
    Shop::parse(&text(file, "\"goodshot cost --template\" writes a shop file")?)
        .with_context(|| file.display().to_string())
}

/// The text of a file that was read before.
pub(super) fn table_text(file: &Path) -> Result<String> {
    text(file, "give the name of a text file")
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

/// Bytes that the name of a folder has at the most: systems allow 255, and two of them with a
/// word between still fit.
const LONGEST_NAME: usize = 100;

/// The folder for the report on a part, named after its file: a plain name that leads nowhere
/// else, whatever the file is called.
///
/// # Errors
///
/// When the path names no file.
pub(super) fn folder_name(part: &Path) -> Result<OsString> {
    let stem =
        part.file_stem().ok_or_else(|| anyhow!("{}: is no file", part.display()))?;
    let text = stem.to_string_lossy();
    let is_plain = |c: char| !c.is_control() && !matches!(c, '/' | '\\' | '\u{fffd}');
    if !text.starts_with('.') && text.chars().all(is_plain) && text.len() <= LONGEST_NAME
    {
        return Ok(stem.to_owned());
    }
    let dots = text.chars().take_while(|c| *c == '.').count();
    let mut name = String::new();
    for (letter, at) in text.chars().zip(0..) {
        let letter = if at < dots || !is_plain(letter) { '_' } else { letter };
        if name.len() + letter.len_utf8() > LONGEST_NAME {
            break;
        }
        name.push(letter);
    }
    Ok(OsString::from(name))
}

#[cfg(test)]
mod tests {
    use std::ffi::OsStr;
    use std::path::Path;

    use super::{folder_name, plastics, press, read_part};

    /// A part may be called as it likes: its folder is one below `--out`.
    #[test]
    fn a_folder_is_named_after_the_part_and_leads_nowhere_else() {
        for (part, name) in [
            ("models/plug.stl", "plug"),
            ("my part 2.1.stl", "my part 2.1"),
            ("...stl", "__"),
            ("..stl", "_"),
            ("....stl", "___"),
            (".hidden.stl", "_hidden"),
            ("a\nb.stl", "a_b"),
            ("..\\..\\x.stl", "__\\..\\x"),
        ] {
            let wanted = name.replace('\\', "_");
            assert_eq!(
                folder_name(Path::new(part)).unwrap(),
                OsStr::new(&wanted),
                "{part}"
            );
        }
        let long = format!("{}.stl", "µ".repeat(120));
        assert_eq!(folder_name(Path::new(&long)).unwrap().len(), 100);
        assert!(folder_name(Path::new("..")).is_err());
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
