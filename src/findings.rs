//! Numbers → severity, evidence, place, limit and its source, cure.
//!
//! A finding is data: what was measured, what it may be, where, why, and the smallest
//! change that cures it.

use schemars::JsonSchema;
use serde::Serialize;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// No good part can come out: do not cut.
    Stop,
    /// A good part is unlikely until this is cured.
    Fix,
    /// Worth knowing.
    Note,
}

/// One thing that the user should know before cutting.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Finding {
    /// A stable name of the kind of finding, such as `thin_wall`.
    pub id: String,
    /// How much it matters.
    pub severity: Severity,
    /// One line for a person.
    pub title: String,
    /// What was measured; `null` where the finding has no number.
    pub value: Option<f64>,
    /// What it may be; `null` where there is no limit.
    pub limit: Option<f64>,
    /// Unit of `value` and `limit`; empty where they have none.
    pub unit: String,
    /// Where, in part coordinates (mm); `null` where the finding has no place.
    pub at_mm: Option<[f64; 3]>,
    /// The formula or source behind the limit.
    pub basis: String,
    /// The smallest change that cures it.
    pub cure: String,
}

/// The answer to "shall I cut this mold today?".
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Nothing found that speaks against cutting.
    Cut,
    /// Cure the findings marked *fix* first.
    FixFirst,
    /// No good part can come out of this mold.
    DoNotCut,
    /// An input is missing, so nobody can tell.
    Unknown,
}
