//! All files of a run in one package.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::result::ZipResult;
use zip::write::SimpleFileOptions;

use crate::report::bundle::NamedFile;

/// `files` as a ZIP archive without dates, the same bytes for the same files.
///
/// # Errors
/// When they are more than an archive holds.
pub(super) fn zip(files: &[NamedFile]) -> ZipResult<Vec<u8>> {
    let mut package = ZipWriter::new(Cursor::new(Vec::new()));
    for file in files {
        package.start_file(&file.name, SimpleFileOptions::default())?;
        package.write_all(&file.bytes)?;
    }
    Ok(package.finish()?.into_inner())
}
