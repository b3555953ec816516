//! What the terminal shows besides the answer: a comparison and the progress line; writes to
//! what it is given.

use std::io::{self, Write};
use std::path::Path;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

use crate::compare::comparison::Comparison;
use crate::compare::lines;

/// Writes what a revision changed; `folder` is where the rest went, if anywhere.
pub(super) fn compared(
    comparison: &Comparison,
    folder: Option<&Path>,
    to: &mut dyn Write,
) -> io::Result<()> {
    let [before, after] = [&comparison.before.file, &comparison.after.file];
    let headline = lines::headline(comparison);
    writeln!(to, "{} → {}: {headline}", plain(before), plain(after))?;
    for line in lines::summarize(comparison) {
        writeln!(to, "{}", comparison.shown_units.write(&plain(&line)))?;
    }
    match folder.map(|folder| folder.join("compare.html")) {
        Some(page) => writeln!(to, "  report    {}", plain(&page.display().to_string())),
        None => Ok(()),
    }
}

/// A file name may hold what moves the cursor; on a terminal it is shown as "?".
pub(super) fn plain(name: &str) -> String {
    name.chars().map(|c| if c.is_control() { '?' } else { c }).collect()
}

/// A line that says what is going on, on a terminal only.
pub(super) struct Progress(Option<ProgressBar>);

impl Progress {
    /// Shows itself when `shown`.
    pub(super) fn new(shown: bool) -> Self {
        let bar = shown.then(|| {
            let bar = ProgressBar::new_spinner();
            if let Ok(style) = ProgressStyle::with_template("{spinner} {elapsed} {msg}") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(Duration::from_millis(120));
            bar
        });
        Self(bar)
    }

    /// What is done now.
    pub(super) fn show(&self, what: impl Into<String>) {
        if let Some(bar) = &self.0 {
            bar.set_message(what.into());
        }
    }
}

impl Progress {
    /// Does `what` while the line is away.
    pub(super) fn pause<T>(&self, what: impl FnOnce() -> T) -> T {
        match &self.0 {
            Some(bar) => bar.suspend(what),
            None => what(),
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = &self.0 {
            bar.finish_and_clear();
        }
    }
}
