//! One thing that is cut besides the part: what it is, in which half, where, how large.

use crate::mesh::solid::Solid;
use crate::names::written_by;
use crate::part::halves::Half;

/// What it is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// From the nozzle to the runner.
    Sprue,
    /// Where the nozzle stands: a counterbore in the outer face, or a pocket in the wall.
    Seat,
    /// For the cold slug.
    Well,
    /// From sprue to gate.
    Runner,
    /// Into the part.
    Gate,
    /// A bolt passes here.
    Clearance,
    /// A bolt holds here.
    Tap,
    /// A dowel sits fast here.
    DowelFast,
    /// A dowel slides in here.
    DowelSlides,
    /// An ejector pin runs here.
    Pin,
    /// Behind the fit of an ejector pin: wider, so that the pin does not rub all along.
    PinRelief,
    /// The pin below the sprue runs here, which draws the feed along with the part.
    Puller,
    /// A bought pin sits here in place of a core.
    CorePin,
    /// The tip of one slides in here.
    CoreSeat,
    /// A core of bar is set in here.
    Insert,
    /// A screw draws it down from behind.
    InsertScrew,
    /// Air leaves here, melt does not.
    Vent,
    /// From the vent to the open.
    Relief,
    /// To pry the halves apart.
    Pry,
}

impl Kind {
    /// Whether melt fills it.
    pub fn is_feed(self) -> bool {
        matches!(self, Self::Sprue | Self::Well | Self::Runner | Self::Gate)
    }

    /// The word for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sprue => "sprue",
            Self::Seat => "nozzle counterbore",
            Self::Well => "cold-slug well",
            Self::Runner => "runner",
            Self::Gate => "gate",
            Self::Clearance => "bolt clearance",
            Self::Tap => "bolt thread",
            Self::DowelFast => "dowel, press fit",
            Self::DowelSlides => "dowel, sliding fit",
            Self::Pin => "ejector pin",
            Self::PinRelief => "relief of a pin",
            Self::Puller => "sprue puller",
            Self::CorePin => "core pin, press fit",
            Self::CoreSeat => "core pin, sliding fit",
            Self::Insert => "pocket of an insert",
            Self::InsertScrew => "screw of an insert",
            Self::Vent => "vent",
            Self::Relief => "vent relief",
            Self::Pry => "pry slot",
        }
    }
}

written_by!(Kind, name);

/// A cut.
#[derive(Clone, Debug)]
pub struct Cut {
    /// What it is.
    pub kind: Kind,
    /// The half it is cut into, and is listed under.
    pub half: Half,
    /// Whether the other half has its mirror image: a round runner, a sprue in the parting line.
    pub in_both: bool,
    /// Its middle across the pull, or where it begins, mm.
    pub at: [f64; 2],
    /// Where it ends, when it runs across the pull.
    pub end: Option<[f64; 2]>,
    /// Diameter or width, mm.
    pub width: f64,
    /// How deep, mm.
    pub depth: f64,
    /// Whether it goes through the plate.
    pub through: bool,
    /// How it is made.
    pub note: String,
    /// What it takes away.
    pub solid: Solid,
}

impl Cut {
    /// A cut without measures.
    pub fn new(kind: Kind, half: Half, at: [f64; 2], solid: Solid) -> Self {
        Self {
            kind,
            half,
            in_both: false,
            at,
            end: None,
            width: 0.0,
            depth: 0.0,
            through: false,
            note: String::new(),
            solid,
        }
    }

    /// Half in each plate.
    #[must_use]
    pub fn in_both_halves(self) -> Self {
        Self { in_both: true, ..self }
    }

    /// With its width and depth.
    #[must_use]
    pub fn sized(self, width: f64, depth: f64) -> Self {
        Self { width, depth, ..self }
    }

    /// Running on to `end`.
    #[must_use]
    pub fn to(self, end: [f64; 2]) -> Self {
        Self { end: Some(end), ..self }
    }

    /// Through the plate.
    #[must_use]
    pub fn through(self) -> Self {
        Self { through: true, ..self }
    }

    /// With a word on how it is made.
    #[must_use]
    pub fn noted(self, note: impl Into<String>) -> Self {
        Self { note: note.into(), ..self }
    }
}

/// A pin as it is bought, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoughtPin {
    /// Diameter.
    pub diameter: f64,
    /// Length.
    pub length: f64,
}
