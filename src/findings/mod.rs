//! Numbers → severity, evidence, place, limit and its source, cure.
//!
//! | question | file |
//! |---|---|
//! | which kinds of findings are there | [`kind`] |
//! | is the file what was drawn | [`mod@file`] |
//! | what can be done about a trapped place, in words | [`release_remedies`] |
//! | will it come out of the mold | [`release`] |
//! | which pressure to push with, in words | [`mod@pressure_window`] |
//! | are the walls too thin or too thick | [`walls`] |
//! | does it fit one shot, may this plastic be molded on this press | [`shot`] |
//! | does the melt get to the part | [`feed`] |
//! | does metal that stands alone in the cavity hold | [`standing_metal`] |
//! | does the mold stay shut | [`clamping`] |
//! | how long may melt and mold stay hot | [`cycle`] |
//! | do the pins push the part off unharmed | [`mod@ejection`] |
//! | what does a change do to the inputs | [`effect`] |
//! | which changes make the part fill, in words | [`filling_remedies`] |
//! | does the melt reach the last corner | [`mod@filling`] |
//! | can the cutters make the halves | [`milling`] |
//! | what has one cause and one change | [`causes`] |
//! | what was assumed about mold, feed, cycle and ejection | [`process_assumptions`] |
//! | what was assumed, and what is not known | [`assumptions`] |
//! | what does a person read first | [`mod@answer`] |
//!
//! A finding is data: what was measured, what it may be, where, why, and the smallest
//! change that cures it. [`judge`] collects them, [`verdict`] draws the answer.

mod kind;
pub mod effect;
mod file;
pub mod release_remedies;
mod release;
pub mod pressure_window;
mod walls;
mod shot;
mod feed;
mod standing_metal;
pub mod clamping;
mod cycle;
mod ejection;
pub mod filling_remedies;
mod filling;
pub(crate) mod milling;
pub mod causes;
pub(crate) use release::draft_severity;
mod process_assumptions;
pub mod assumptions;
pub mod answer;
#[cfg(test)]
pub(crate) mod fixtures;
#[cfg(test)]
mod contradictions;

use crate::analysis::Analysis;
use crate::geom::Point;
use effect::ShortChange;
pub use kind::Kind;
use serde::{Deserialize, Serialize};

/// Of one kind of finding at most so many places are listed; one more line counts the
/// rest.
pub const MOST_OF_A_KIND: usize = 6;

/// Everything that the user should know about `analysis`, worst first.
pub fn judge(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = file::judge(analysis);
    findings.extend(release::judge(analysis));
    findings.extend(walls::judge(analysis));
    findings.extend(shot::judge(analysis));
    findings.extend(feed::judge(analysis));
    findings.extend(filling::judge(analysis));
    findings.extend(milling::judge(analysis));
    findings.extend(standing_metal::judge(analysis));
    findings.extend(clamping::judge(analysis));
    findings.extend(cycle::judge(analysis));
    findings.extend(ejection::judge(analysis));
    findings.extend(analysis.setup.press.remarks().into_iter().map(|line| {
        Finding::new(Kind::UnusualPress, Severity::Note, line)
            .because("what small presses usually have (common practice)")
            .cured_by("nothing to do if your press has it; else correct the press file")
    }));
    findings.extend(assumptions::missing(analysis).into_iter().map(|line| {
        Finding::new(Kind::MissingInput, Severity::Note, line)
            .because("what is not known leaves the verdict open")
            .cured_by("give it, and the verdict is drawn")
    }));
    // Stable: within a severity the subjects keep their order, and the worst leads; before all a
    // unit that is open, because everything else hangs on it.
    findings.sort_by_key(|it| (!leads(it.kind, it.severity), it.severity));
    findings
}

/// Whether a finding comes before all others, however bad: a unit that nobody gave and that the
/// size speaks against.
fn leads(kind: Kind, severity: Severity) -> bool {
    kind == Kind::Unit && severity < Severity::Note
}

/// The first few of `all`, which are of one kind and the worst first, and one line for the
/// number of the other `places`.
fn worst_few(mut all: Vec<Finding>, places: &str) -> Vec<Finding> {
    let more = all.len().saturating_sub(MOST_OF_A_KIND);
    all.truncate(MOST_OF_A_KIND + 1);
    if more > 0
        && let Some(last) = all.last_mut()
    {
        last.title = format!("{more} more {places}");
        last.at_mm = None;
        last.places = more;
        "see report.json for every place".clone_into(&mut last.cure);
    }
    all
}

/// The answer. What speaks against cutting decides; where nothing does, an input that is
/// missing leaves the question open. A unit that is open leaves everything open.
pub fn verdict(analysis: &Analysis, findings: &[Finding]) -> Verdict {
    verdict_of(analysis, findings.iter().map(|finding| finding.severity))
}

/// The same of severities alone.
pub fn verdict_of(
    analysis: &Analysis,
    severities: impl Iterator<Item = Severity>,
) -> Verdict {
    match severities.min() {
        // What was measured in a wrong unit says nothing.
        _ if file::is_unit_open(analysis) => Verdict::Unknown,
        Some(Severity::Stop) => Verdict::DoNotCut,
        Some(Severity::Fix) => Verdict::FixFirst,
        _ if !assumptions::missing(analysis).is_empty() => Verdict::Unknown,
        _ => Verdict::Cut,
    }
}

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Finding {
    /// A stable name of the kind of finding, such as `thin_wall`.
    #[serde(rename = "id")]
    pub kind: Kind,
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
    /// How many places it stands for: 1, or as many as a line for the rest counts.
    pub places: usize,
    /// The first change of its cure, short, where its judge says which.
    #[serde(skip)]
    pub change: Option<ShortChange>,
}

/// The answer to "shall I cut this mold today?".
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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

impl Finding {
    /// A finding without number and place.
    fn new(kind: Kind, severity: Severity, title: impl Into<String>) -> Self {
        Self {
            kind,
            severity,
            title: title.into(),
            value: None,
            limit: None,
            unit: String::new(),
            at_mm: None,
            basis: String::new(),
            cure: String::new(),
            places: 1,
            change: None,
        }
    }

    fn number(mut self, value: f64, limit: Option<f64>, unit: &str) -> Self {
        self.value = Some(value);
        self.limit = limit;
        self.unit = unit.to_owned();
        self
    }

    fn at(mut self, at: impl Into<Option<Point>>) -> Self {
        self.at_mm = at.into().map(Into::into);
        self
    }

    fn standing_for(mut self, places: usize) -> Self {
        self.places = places;
        self
    }

    fn because(mut self, basis: impl Into<String>) -> Self {
        self.basis = basis.into();
        self
    }

    fn cured_by(mut self, cure: impl Into<String>) -> Self {
        self.cure = cure.into();
        self
    }

    fn changed_by(mut self, change: Option<ShortChange>) -> Self {
        self.change = change;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::fixtures::{analysis, fixture_settings, open, plug, setup, with};
    use super::{Finding, Kind, Severity, Verdict, judge, verdict};
    use crate::mesh::shapes;

    fn finding(severity: Severity) -> Finding {
        Finding::new(Kind::Unit, severity, "any")
    }

    #[test]
    fn the_worst_finding_decides() {
        let sound = analysis(&plug());
        for (severities, answer) in [
            (&[][..], Verdict::Cut),
            (&[Severity::Note], Verdict::Cut),
            (&[Severity::Note, Severity::Fix], Verdict::FixFirst),
            (&[Severity::Fix, Severity::Stop, Severity::Note], Verdict::DoNotCut),
        ] {
            let findings: Vec<Finding> = severities.iter().map(|&s| finding(s)).collect();
            assert_eq!(verdict(&sound, &findings), answer, "{severities:?}");
        }
    }

    #[test]
    fn a_missing_input_opens_the_question_but_answers_no_stop() {
        let mut setup = setup("pp");
        setup.press.clamp = None;
        let unknown = with(&plug(), setup, &fixture_settings());
        assert_eq!(verdict(&unknown, &[finding(Severity::Note)]), Verdict::Unknown);
        assert_eq!(verdict(&unknown, &[finding(Severity::Fix)]), Verdict::FixFirst);
        assert_eq!(verdict(&unknown, &[finding(Severity::Stop)]), Verdict::DoNotCut);
    }

    /// A box of 4 mm has walls and draft that stop any mold, were it in millimeters.
    #[test]
    fn an_open_unit_comes_first_and_leaves_the_question_open() {
        let tiny = shapes::cuboid(4.0, 3.0, 2.0);
        let analysis = with(&tiny, setup("pp"), &fixture_settings());
        let findings = judge(&analysis);
        assert_eq!(findings[0].kind, Kind::Unit);
        assert!(findings[0].cure.starts_with("run again with --unit in"));
        assert!(findings.len() > 1);
        assert_eq!(verdict(&analysis, &findings), Verdict::Unknown);
    }

    #[test]
    fn a_sound_part_has_no_finding_and_an_open_one_leads_with_the_worst() {
        // Fronts meet opposite to any gate on its rim.
        let mut sound = judge(&analysis(&plug()));
        sound.retain(|found| found.kind != Kind::Weld && found.kind != Kind::TrappedAir);
        assert_eq!(sound, Vec::new());
        let all = judge(&analysis(&open(&plug())));
        assert!(!all.is_empty() && all.is_sorted_by_key(|finding| finding.severity));
        // Every finding says where its limit is from and what cures it.
        assert!(all.iter().all(|f| !f.basis.is_empty() && !f.cure.is_empty()));
    }
}
