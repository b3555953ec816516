//! All files of one comparison, as names and bytes.

use crate::analysis::Analysis;
use crate::compare::comparison::Comparison;
use crate::compare::shape::{self, Seen};
use crate::compare::{html, markdown, pictures};
use crate::report::blocks::{DrawnPicture, Picture};
use crate::report::bundle::{BundleError, NamedFile};
use crate::schema::Report;

/// Every file that a comparison may have.
pub const OWN: [&str; 6] = [
    "compare.json",
    "compare.md",
    "compare.html",
    "maps/walls.png",
    "maps/moved.png",
    "maps/before.png",
];

/// A comparison and its files.
pub struct Compared {
    /// What changed.
    pub comparison: Comparison,
    /// `compare.json`, `compare.md`, `compare.html` and the pictures.
    pub files: Vec<NamedFile>,
}

/// One part: its numbers and the report on them.
#[derive(Clone, Copy)]
pub struct Checked<'a> {
    /// Every number.
    pub analysis: &'a Analysis,
    /// What is said of them.
    pub report: &'a Report,
}

/// What changed from `before` to `after`, with every file of it.
///
/// # Errors
/// When a picture cannot be drawn or a number cannot be written.
pub fn write(before: Checked<'_>, after: Checked<'_>) -> Result<Compared, BundleError> {
    let seen = shape::measure(before.analysis, after.analysis);
    write_seen(before, after, seen)
}

/// The same where the shapes lie on each other already, as [`shape::measure`] laid them.
///
/// # Errors
/// As [`write()`].
pub fn write_seen(
    before: Checked<'_>,
    after: Checked<'_>,
    seen: Seen,
) -> Result<Compared, BundleError> {
    let names = [&before, &after].map(|side| side.report.part.file.as_str());
    let drawn = pictures::draw_all(before.analysis, after.analysis, names, &seen)?;
    let Seen { shape, .. } = seen;
    let comparison = crate::compare::compare(before.report, after.report, Some(shape));
    let pictures: Vec<Picture<'_>> = drawn.iter().map(DrawnPicture::beside).collect();
    let mut json = serde_json::to_string_pretty(&comparison)?;
    json.push('\n');
    let named = |name: &str, bytes: Vec<u8>| NamedFile { name: name.to_owned(), bytes };
    let mut files = vec![
        named("compare.json", json.into_bytes()),
        named("compare.md", markdown::write(&comparison, &pictures).into_bytes()),
        named("compare.html", html::write(&comparison, &pictures).into_bytes()),
    ];
    files.extend(drawn.into_iter().map(|map| named(map.file, map.png)));
    Ok(Compared { comparison, files })
}
