//! The layouts of the trade: how sprue, runner and gate lie.

/// How the melt is led from the nozzle to the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FeedLayout {
    /// The sprue stands on a face of the part that the cavity half forms: no runner and no
    /// separate gate.
    Direct,
    /// A sprue through the cavity half, a runner in the parting line and a gate at the edge
    /// of the part.
    Edge,
    /// The sprue lies in the parting line, half in each plate, and ends in an edge gate, as
    /// in molds that a vise holds.
    Split,
}

impl FeedLayout {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Direct, Self::Edge, Self::Split];

    /// As the user writes it and the report names it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Direct => "direct",
            Self::Edge => "edge",
            Self::Split => "split",
        }
    }

    /// What it is.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Direct => "sprue straight onto a face of the part",
            Self::Edge => "sprue, runner and edge gate",
            Self::Split => "sprue lying in the parting line, half in each plate",
        }
    }

    /// The layout of this name.
    pub fn find(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|layout| layout.name() == name)
    }
}
