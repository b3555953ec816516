//! What a readable report is made of: sections with rows and tables, and pictures.
//!
//! All of it is plain text; nothing is escaped here.

use crate::units::format;

/// A picture beside the text.
#[derive(Clone, Copy, Debug)]
pub struct Picture<'a> {
    /// What it shows, for the caption.
    pub caption: &'a str,
    /// What it shows, for those who cannot see it.
    pub alt: &'a str,
    /// Where it lies beside the report, such as `maps/thickness.png`.
    pub file: &'a str,
    /// The picture itself.
    pub png: &'a [u8],
}

/// A picture that was drawn for a report.
#[derive(Clone, Debug)]
pub struct DrawnPicture {
    /// What it shows, for the caption.
    pub caption: &'static str,
    /// What it shows, for those who cannot see it.
    pub alt: &'static str,
    /// Where it lies beside the report.
    pub file: &'static str,
    /// The picture itself.
    pub png: Vec<u8>,
}

impl DrawnPicture {
    /// The same, to stand beside the text.
    pub fn beside(&self) -> Picture<'_> {
        let Self { caption, alt, file, png } = self;
        Picture { caption, alt, file, png }
    }
}

/// One heading and what stands below it.
#[derive(Clone, Debug, Default)]
pub struct Section {
    /// The heading.
    pub title: &'static str,
    /// Name and value.
    pub rows: Vec<(&'static str, String)>,
    /// Longer lists.
    pub tables: Vec<Table>,
    /// Sentences.
    pub notes: Vec<String>,
}

/// A list with columns.
#[derive(Clone, Debug)]
pub struct Table {
    /// What it lists.
    pub title: String,
    /// Names of the columns.
    pub columns: Vec<&'static str>,
    /// As many cells as columns.
    pub rows: Vec<Vec<String>>,
}

/// No list is longer; the rest is in `report.json`.
const MOST_ROWS: usize = 12;

/// A table of the first rows, or none when there is no row.
pub(crate) fn table(
    title: &str,
    columns: &[&'static str],
    rows: Vec<Vec<String>>,
) -> Vec<Table> {
    if rows.is_empty() {
        return Vec::new();
    }
    let mut rows = rows;
    let more = rows.len().saturating_sub(MOST_ROWS);
    rows.truncate(MOST_ROWS);
    if more > 0 {
        let mut last = vec![String::new(); columns.len()];
        if let Some(first) = last.first_mut() {
            *first = format!("… {more} more in the JSON report");
        }
        rows.push(last);
    }
    vec![Table { title: title.to_owned(), columns: columns.to_vec(), rows }]
}

/// A row for each of `points`, none where they are not known.
pub(crate) fn places(kind: &str, points: Option<&[[f64; 3]]>) -> Vec<Vec<String>> {
    points
        .unwrap_or_default()
        .iter()
        .map(|&at| vec![kind.to_owned(), format::point(at)])
        .collect()
}
