//! Why a press could not be read, and the checks that every table shares.

use crate::process::clamping::bolts::BoltError;
use crate::process::clamping::mold_plates::MoldError;
use crate::units::{FileError, Quantity, Ratio};

/// Why a press could not be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PressError {
    /// The file is not as it should be.
    #[error("{0}; \"goodshot press --template\" shows a whole file")]
    File(FileError),
    /// A value that no press has.
    #[error("[{table}] {problem}")]
    Value {
        /// The table it stands in.
        table: &'static str,
        /// What is wrong, and what to write.
        problem: String,
    },
    /// The bolts say nothing.
    #[error("[clamp.bolts] {0}")]
    Bolts(BoltError),
}

// Without a source: the messages above hold the inner text already, and a chain would
// print it twice.
impl From<FileError> for PressError {
    fn from(error: FileError) -> Self {
        Self::File(error)
    }
}

impl From<BoltError> for PressError {
    fn from(error: BoltError) -> Self {
        Self::Bolts(error)
    }
}

impl From<MoldError> for PressError {
    fn from(error: MoldError) -> Self {
        wrong("mold", error.to_string())
    }
}

pub(crate) fn wrong(table: &'static str, problem: impl Into<String>) -> PressError {
    PressError::Value { table, problem: problem.into() }
}

pub(crate) fn positive<Q: Quantity>(
    table: &'static str,
    key: &str,
    of: Q,
) -> Result<(), PressError> {
    if of.si() > 0.0 {
        return Ok(());
    }
    Err(wrong(table, format!("{key}: write more than nothing, as in \"{}\"", Q::EXAMPLE)))
}

pub(crate) fn positive_maybe<Q: Quantity>(
    table: &'static str,
    key: &str,
    of: Option<Q>,
) -> Result<(), PressError> {
    of.map_or(Ok(()), |of| positive(table, key, of))
}

/// A share that may be nothing but not more than `most`.
pub(crate) fn share(
    table: &'static str,
    key: &str,
    of: Option<Ratio>,
    most: f64,
) -> Result<(), PressError> {
    match of {
        Some(of) if !(0.0..=most).contains(&of.si()) => {
            let problem = format!("{key}: write a share from 0 to {:.0} %", most * 100.0);
            Err(wrong(table, problem))
        }
        _ => Ok(()),
    }
}
