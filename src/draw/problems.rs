//! What may be wrong with a place, and how it is colored.

use crate::draw::palette::Rgb;

/// What is wrong with a place, for the coloring that shows nothing else.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Problem {
    /// Neither half can leave it.
    Trapped,
    /// A wall with less draft than it needs.
    NoDraft,
    /// A wall above the greatest thickness.
    Thick,
    /// A wall below the least thickness.
    Thin,
}

impl Problem {
    /// All of them, in the order of the legend and of the codes in the page.
    pub const ALL: [Self; 4] = [Self::Trapped, Self::NoDraft, Self::Thick, Self::Thin];

    /// Its color: of Okabe and Ito, clearly darker than what is sound.
    pub fn color(self) -> Rgb {
        match self {
            Self::Trapped => [213, 94, 0],
            Self::NoDraft => [0, 114, 178],
            Self::Thick => [120, 60, 110],
            Self::Thin => [0, 120, 90],
        }
    }

    /// What the legend calls it.
    pub fn label(self) -> &'static str {
        match self {
            Self::Trapped => "trapped",
            Self::NoDraft => "short of draft",
            Self::Thick => "too thick",
            Self::Thin => "too thin",
        }
    }
}

/// Where nothing is wrong.
pub const SOUND: Rgb = [226, 228, 230];
