//! `goodshot mold --test-piece`: the strip for this press, and the files that its shots are
//! judged by.

use anyhow::Result;

use super::run_check::Step;
use crate::analysis::Setup;
use crate::analysis::test_piece::{self, PlannedShot, SizedPiece};
use crate::mold::test_piece::file;
use crate::report::bundle::NamedFile;
use crate::report::mold::bundle::PIECE;
use crate::settings::Settings;

/// A test piece that a mold is drawn for.
pub(super) struct Piece {
    /// The piece.
    pub(super) sized: SizedPiece,
    /// The shots to make with it.
    pub(super) shots: Vec<PlannedShot>,
    /// Its solid.
    pub(super) stl: Vec<u8>,
}

/// The test piece for this press, plastic and cutters.
pub(super) fn piece(
    setup: &Setup,
    settings: &Settings,
    show: &dyn Fn(Step),
) -> Result<Piece> {
    let sized = test_piece::size(setup, settings, &|length| show(Step::Strip(length)))?;
    let shots = test_piece::planned_shots(&sized);
    let stl = test_piece::stl_bytes(&sized.piece);
    Ok(Piece { sized, shots, stl })
}

impl Piece {
    /// The files besides those of any mold.
    pub(super) fn files(self) -> [NamedFile; 2] {
        let measures = self.sized.piece.write().into_bytes();
        [
            NamedFile { name: PIECE.to_owned(), bytes: self.stl },
            NamedFile { name: file::NAME.to_owned(), bytes: measures },
        ]
    }
}
