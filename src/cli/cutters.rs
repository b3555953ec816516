//! What `goodshot cutters` prints.

use std::io::{self, Write};

use crate::mold::milling::CutterList;
use crate::mold::milling::bending;
use crate::units::format;

/// One line a cutter, the widest first.
pub(super) fn show(list: &CutterList, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", super::terminal::plain(&list.name))?;
    writeln!(
        out,
        "  {:<28} {:>9} {:>9} {:>9} {:>9} {:>9} {:>12}",
        "cutter, mm", "flute", "reach", "shank", "stickout", "holder", "gives way"
    )?;
    for cutter in &list.cutters {
        let size = format::number;
        writeln!(
            out,
            "  {:<28} {:>9} {:>9} {:>9} {:>9} {:>9} {:>9} µm",
            super::terminal::plain(&cutter.name),
            size(cutter.flute),
            size(cutter.reach),
            size(cutter.shank),
            size(cutter.stickout),
            size(cutter.holder),
            size(bending::at_tip(cutter))
        )?;
    }
    writeln!(
        out,
        "gives way: at its tip, to {} N from the side; a small router does no better by itself",
        format::number(bending::SIDE_FORCE_N)
    )
}
