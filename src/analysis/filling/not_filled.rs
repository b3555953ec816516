//! Why the filling of a part is not known.

use crate::fill::cells::CellsError;
use crate::fill::prepared::FillError;
use crate::process::evaluation::feed::NoFeed;
use crate::process::plastic::Unknown;

/// Why the filling is not known.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotFilled {
    /// The user did not want it.
    #[error("it was not asked for (--no-fill)")]
    Skipped,
    /// The part has no inside.
    #[error("the surface is open, so it has no inside")]
    Open,
    /// The plastic lacks a value.
    #[error(transparent)]
    Unknown(#[from] Unknown),
    /// There is no feed.
    #[error(transparent)]
    Feed(#[from] NoFeed),
    /// No cells.
    #[error(transparent)]
    Cells(#[from] CellsError),
    /// No flow.
    #[error(transparent)]
    Fill(#[from] FillError),
}
