//! One run: what was asked, how far it is, and what came of it.

use std::sync::Arc;

use serde::Serialize;

use crate::cli::desk::form_fields::Request;
use crate::cli::desk::messages::Shown;
use crate::report::bundle::NamedFile;

/// The file of a check that it is compared by.
const REPORT: &str = "report.json";

/// How far a run is.
#[derive(Clone)]
pub(super) enum Run {
    /// Others run first.
    Waiting,
    /// At this one of its steps.
    At(usize),
    /// Its end was asked for, and is near.
    Stopping,
    /// It was ended.
    Stopped,
    /// Done.
    Done(Arc<Answer>),
    /// No answer, and why.
    Failed(String),
}

impl Run {
    /// As the page knows it.
    pub(super) fn key(&self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::At(_) => "at",
            Self::Stopping => "stopping",
            Self::Stopped => "stopped",
            Self::Done(_) => "done",
            Self::Failed(_) => "failed",
        }
    }

    /// Whether it has not ended.
    pub(super) fn goes_on(&self) -> bool {
        matches!(self, Self::Waiting | Self::At(_) | Self::Stopping)
    }
}

/// What came of a run, ready to be shown.
pub(super) struct Answer {
    /// In a few words.
    pub(super) said: String,
    /// The class that its colors go by.
    pub(super) look: String,
    /// The piece of the page that stands beside the report.
    pub(super) piece: String,
    /// Its files.
    pub(super) files: Vec<NamedFile>,
    /// The one of them that shows all of it, where there is one.
    pub(super) page: Option<String>,
}

impl Answer {
    /// What the process of a run said, with its files.
    pub(super) fn new(shown: Shown, files: Vec<NamedFile>) -> Self {
        let Shown { said, look, piece, page, .. } = shown;
        Self { said, look, piece, files, page }
    }
}

/// What a run makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Kind {
    /// The report on a part.
    Check,
    /// The mold of a part.
    Mold,
    /// Why a part came out bad.
    Diagnosis,
    /// What changed from one check to another.
    Comparison,
}

/// A run before it is numbered.
pub(super) struct NewRun {
    /// What is made.
    pub(super) kind: Kind,
    /// The name of the part.
    pub(super) part: String,
    /// What the page sent.
    pub(super) request: Request,
    /// What was chosen: names and values.
    pub(super) choices: Vec<Choice>,
    /// What is done, in order.
    pub(super) steps: Vec<String>,
    /// Whether it began by itself, with a part that came into the folder that is watched.
    pub(super) is_from_folder: bool,
}

/// A check that is done.
pub(super) struct Done {
    /// Its number.
    pub(super) run: u64,
    /// The name of the part.
    pub(super) part: String,
    /// What was asked for.
    pub(super) request: Request,
    /// What came of it.
    pub(super) answer: Arc<Answer>,
}

impl Done {
    /// Its report, as JSON.
    pub(super) fn report(&self) -> String {
        let report = self.answer.files.iter().find(|file| file.name == REPORT);
        report.map_or_else(String::new, |file| {
            String::from_utf8_lossy(&file.bytes).into_owned()
        })
    }
}

/// Something that was chosen, as the page calls it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Choice {
    /// What it is.
    pub(super) name: String,
    /// What was chosen; empty for what is only made or not.
    pub(super) value: String,
}
