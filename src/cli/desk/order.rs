//! What a run is to do, as it goes from the page's server to the process of the run.

use serde::{Deserialize, Serialize};

/// A run, whole but for the bytes of its parts, which follow it.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct Order {
    /// What is made.
    pub(super) task: Task,
    /// With what.
    pub(super) sources: Sources,
    /// The same as a command.
    pub(super) typed: String,
    /// The parts, in the order of their bytes: first the one that the run is about.
    pub(super) parts: Vec<PartHead>,
}

/// What is made.
#[derive(Debug, Deserialize, Serialize)]
pub(super) enum Task {
    /// The report on the first part.
    Check {
        /// The newest report on the very same file, as JSON.
        same: Option<String>,
        /// Checks of other files, the newest first: of the parts after the first one.
        others: Vec<Earlier>,
    },
    /// The mold of the first part, with options that a check does not know.
    Mold(Vec<String>),
    /// Why the first part came out bad, with what is known of the shot.
    Diagnosis(Vec<String>),
    /// What changed from the first check to the second; their shapes are compared where there
    /// are two parts.
    Comparison(Box<[Earlier; 2]>),
}

/// A check that is done.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct Earlier {
    /// Its report, as JSON.
    pub(super) report: String,
    /// With what it was made.
    pub(super) sources: Sources,
}

/// With what a part is checked.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub(super) struct Sources {
    /// The press; the built-in one when not given.
    pub(super) press: Option<OwnText>,
    /// Plastics that add to the built-in ones.
    pub(super) plastics: Option<OwnText>,
    /// The cutters; the built-in list when not given.
    pub(super) cutters: Option<OwnText>,
    /// Options of a check.
    pub(super) words: Vec<String>,
}

/// A file of the user's.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub(super) struct OwnText {
    /// Its name without folders.
    pub(super) file: String,
    /// What it says.
    pub(super) text: String,
}

/// A part whose bytes follow.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct PartHead {
    /// Its name without folders.
    pub(super) name: String,
    /// How many bytes it has.
    pub(super) length: u64,
}
