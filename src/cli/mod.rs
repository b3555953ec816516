//! What the user types and what the terminal answers.

use std::io::{self, Write};

use crate::process::plastic::Plastic;
use crate::process::plastics::Plastics;
use crate::process::press::Press;

mod plastics;
mod press;

/// What this press can do, for one plastic or for all.
///
/// # Errors
///
/// When the writer refuses.
pub fn press(
    press: &Press,
    plastics: &Plastics,
    only: Option<&Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    press::show(press, plastics, only, to)
}

/// The plastics, or one of them with the source of each value.
///
/// # Errors
///
/// When the writer refuses.
pub fn plastics(
    plastics: &Plastics,
    one: Option<&Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    plastics::show(plastics, one, to)
}
