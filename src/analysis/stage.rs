//! The stages of a check, as a progress line names them.

use std::fmt;

/// A step of the way, for a progress line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Bytes to triangles to a mesh.
    Reading,
    /// Thickness.
    Walls,
    /// The pull and what it traps.
    Release,
    /// What the cutters leave.
    Milling,
    /// Shot and clamp.
    Press,
    /// Whether the melt reaches the last corner.
    Filling,
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Reading => "reading and repairing the mesh",
            Self::Walls => "measuring the walls",
            Self::Release => "looking for the way out of the mold",
            Self::Milling => "sending the cutters over the halves",
            Self::Press => "asking the press",
            Self::Filling => "filling the mold",
        })
    }
}
