//! The user's own folder: files of the shop that every command uses where no others are named, and
//! how the page of `goodshot desk` was set.
//!
//! It lies where the system keeps such things: `~/.config/goodshot` on Linux, `~/Library/Preferences/goodshot`
//! on macOS, `goodshot` in the roaming application data on Windows. The environment variable [`VARIABLE`]
//! names another folder; where it is empty, none is used, so that a run depends on nothing but what it is
//! given.

use std::env;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use etcetera::BaseStrategy;
use serde::{Deserialize, Serialize};

/// Names another folder, or none where it is empty.
const VARIABLE: &str = "GOODSHOT_CONFIG";

/// How the page was set, and what was last chosen on it.
pub(super) const SETTINGS: &str = "settings.toml";

/// What is kept besides the files of the shop.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq, Serialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Settings {
    /// The plastic of the last check, which every command assumes where none is named.
    pub(super) plastic: Option<String>,
    /// The units that the page shows, such as "in".
    pub(super) units: Option<String>,
    /// Whether the page checks by itself after a change.
    pub(super) checks_by_itself: bool,
    /// Whether the page shows everything that can be chosen.
    pub(super) shows_choices: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self { plastic: None, units: None, checks_by_itself: true, shows_choices: true }
    }
}

/// Where the folder is, whether it exists or not; `None` where none is used.
pub(super) fn folder() -> Option<PathBuf> {
    match env::var_os(VARIABLE) {
        Some(named) if named.is_empty() => None,
        Some(named) => Some(PathBuf::from(named)),
        None => {
            let system = etcetera::base_strategy::choose_native_strategy().ok()?;
            Some(system.config_dir().join("goodshot"))
        }
    }
}

/// The file of that name in the folder, where there is one.
pub(super) fn file(name: &str) -> Option<PathBuf> {
    folder().map(|folder| folder.join(name)).filter(|file| file.is_file())
}

/// A path as people read it: the user's home is `~`.
pub(super) fn shown(path: &Path) -> String {
    let home = etcetera::home_dir().ok().filter(|home| home.parent().is_some());
    let inside = home.as_deref().and_then(|home| path.strip_prefix(home).ok());
    match inside {
        Some(inside) if cfg!(unix) => Path::new("~").join(inside).display().to_string(),
        _ => path.display().to_string(),
    }
}

/// Puts a file into the folder, the old one whole or the new one whole; where it is then.
///
/// # Errors
/// When no folder is used or it cannot be written.
pub(super) fn keep(name: &str, text: &str) -> Result<PathBuf> {
    let Some(folder) = folder() else {
        bail!(
            "nothing is kept: {VARIABLE} is empty, or the system names no folder for it"
        )
    };
    let file = folder.join(name);
    let write = || -> io::Result<()> {
        fs::create_dir_all(&folder)?;
        let mut fresh = tempfile::NamedTempFile::new_in(&folder)?;
        fresh.write_all(text.as_bytes())?;
        fresh.as_file().sync_all()?;
        fresh.persist(&file)?;
        Ok(())
    };
    write().with_context(|| format!("{}: could not be kept", file.display()))?;
    Ok(file)
}

/// Erases a file of the folder; one that is not there is no error.
///
/// # Errors
/// When it cannot be erased.
pub(super) fn erase(name: &str) -> Result<()> {
    let Some(file) = file(name) else { return Ok(()) };
    fs::remove_file(&file)
        .with_context(|| format!("{}: could not be erased", file.display()))
}

/// What is kept besides the files of the shop; the defaults where nothing is.
///
/// # Errors
/// When the file cannot be read or understood.
pub(super) fn settings() -> Result<Settings> {
    let Some(file) = file(SETTINGS) else { return Ok(Settings::default()) };
    let named = || format!("{}: correct or erase it", file.display());
    let text = fs::read_to_string(&file).with_context(named)?;
    toml::from_str(&text)
        .map_err(|why| anyhow::anyhow!(why.message().to_owned()))
        .with_context(named)
}

/// Keeps `settings` where they differ from those that are kept.
///
/// # Errors
/// As [`keep`].
pub(super) fn keep_settings(wanted: &Settings) -> Result<()> {
    if settings().is_ok_and(|kept| kept == *wanted) {
        return Ok(());
    }
    keep(SETTINGS, &toml::to_string(wanted)?).map(drop)
}
