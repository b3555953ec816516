//! Few causes instead of many findings: what a designer changes in one go is one cause, named
//! and measured once, without coordinates.
//!
//! | question | file |
//! |---|---|
//! | a sentence without its coordinates, its first way out alone | `short_words` |
//! | which walls, bores and faces lack draft | `draft` |
//! | which holes and hooks are trapped | `undercut` |
//! | which lumps are too thick, where do cutters leave metal | `places` |
//!
//! Every finding belongs to one cause; a cause is as severe as its worst finding.

mod short_words;
mod draft;
mod undercut;
mod places;

use crate::analysis::Analysis;
use crate::findings::effect::Effect;
use crate::findings::{Finding, Kind, Severity};
use crate::geom::Point;
use serde::{Deserialize, Serialize};

/// At most so many families of one kind are causes of their own, the rest one more; fewer
/// where a part had too many causes.
const MOST_FAMILIES: [usize; 3] = [2, 1, 0];

/// No part should have more causes.
const MOST_CAUSES: usize = 15;

/// Measures within this ratio are the same.
const ALIKE: f64 = 1.15;

/// What several findings have in common, and the one change that cures them.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Cause {
    /// Kind of its worst finding.
    #[serde(rename = "id")]
    pub kind: Kind,
    /// Severity of its worst finding.
    pub severity: Severity,
    /// What is wrong, without coordinates: "2 holes of 4.5 mm across the pull".
    pub title: String,
    /// The first thing to do about it, a verb with a size; empty where nothing is to be done.
    pub change: String,
    /// What that does to the inputs; `None` where the model cannot follow it.
    #[serde(skip)]
    pub effect: Option<Effect>,
    /// Where its members are, in part coordinates (mm), the worst first.
    pub places_mm: Vec<[f64; 3]>,
    /// Numbers of its findings, from 1. A finding that counts the rest of its kind may stand
    /// for several causes.
    pub findings: Vec<usize>,
    /// Whether its members were looked for, and not only its findings counted.
    #[serde(skip)]
    is_family: bool,
}

/// A cause without its findings.
struct Family {
    kind: Kind,
    severity: Severity,
    title: String,
    change: String,
    effect: Option<Effect>,
    places: Vec<Point>,
}

/// The causes of `findings`, worst first.
pub fn group(analysis: &Analysis, findings: &[Finding]) -> Vec<Cause> {
    let mut tried = MOST_FAMILIES.into_iter().map(|most| with(analysis, findings, most));
    let first = tried.next().unwrap_or_default();
    if first.len() <= MOST_CAUSES {
        return first;
    }
    tried.find(|causes| causes.len() <= MOST_CAUSES).unwrap_or(first)
}

/// The same with at most so many families of a kind.
fn with(analysis: &Analysis, findings: &[Finding], most: usize) -> Vec<Cause> {
    let families = [
        undercut::families(analysis, most),
        draft::families(analysis, most),
        places::thick(analysis, most),
        places::thin(analysis),
        places::metal(analysis, most),
    ];
    let mut causes: Vec<Cause> =
        families.into_iter().flatten().map(Cause::from).collect();
    for (finding, number) in findings.iter().zip(1..) {
        match owner(&causes, finding) {
            Some(index) => causes[index].take(finding, number),
            None => causes.push(Cause::alone(finding, number)),
        }
    }
    // Where a line counts the rest of a kind, it stands for the families without a finding too.
    for cause in causes.iter_mut().filter(|cause| cause.findings.is_empty()) {
        let mut rest = findings.iter().zip(1..);
        let rest = rest.find(|(it, _)| it.kind == cause.kind && it.at_mm.is_none());
        cause.findings.extend(rest.map(|(_, number)| number));
    }
    causes.retain(|cause| !cause.findings.is_empty());
    for cause in causes.iter_mut().filter(|cause| !cause.is_family) {
        let own = cause.findings.iter().map(|&number| &findings[number - 1]);
        let own = own.filter(|finding| finding.kind == cause.kind);
        let places = own.map(|finding| finding.places).sum();
        cause.title = short_words::title(cause.kind, &cause.title, places);
    }
    causes.sort_by_key(|cause| {
        let follows = !super::leads(cause.kind, cause.severity);
        (follows, cause.severity, rank(cause.kind), cause.findings.first().copied())
    });
    causes
}

/// What decides about a mold at all comes before what makes it good: can it leave, does it fill,
/// does one shot do, does it stay shut.
fn rank(kind: Kind) -> u8 {
    match kind {
        Kind::Unit | Kind::OpenSurface | Kind::Undercut => 0,
        Kind::ShortShot | Kind::FillMargin | Kind::Feed | Kind::FeedOrder => 1,
        Kind::Shot | Kind::PlasticRefused => 2,
        Kind::Bolts | Kind::Clamp | Kind::Flash | Kind::Nozzle | Kind::Plates => 3,
        _ => 4,
    }
}

/// Which of `causes` a finding belongs to: of its subject the one with the nearest place, and
/// what counts the rest to the last.
fn owner(causes: &[Cause], finding: &Finding) -> Option<usize> {
    let subject = subject(finding.kind);
    // Two that block and are cured apart are two causes.
    let is_one = |cause: &Cause| {
        cause.kind == finding.kind
            || finding.severity == Severity::Note
            || cause.change == short_words::change(finding)
    };
    let mut same = causes
        .iter()
        .enumerate()
        .filter(|(_, it)| self::subject(it.kind) == subject && is_one(it));
    let Some(at) = finding.at_mm else { return same.next_back().map(|it| it.0) };
    let at = Point::from(at);
    let away = |cause: &Cause| {
        let each = cause.places_mm.iter().map(|&place| (Point::from(place) - at).norm());
        each.fold(f64::INFINITY, f64::min)
    };
    same.min_by(|a, b| away(a.1).total_cmp(&away(b.1))).map(|it| it.0)
}

/// What the file says, what presses the melt, what keeps the halves together, and else each
/// kind alone is one subject.
fn subject(kind: Kind) -> Kind {
    match kind {
        Kind::Repaired | Kind::FlippedFacet => Kind::OddFile,
        Kind::FeedPressure | Kind::FillMargin => Kind::ShortShot,
        Kind::Bolts | Kind::Flash | Kind::Land | Kind::Plates => Kind::Clamp,
        other => other,
    }
}

impl From<Family> for Cause {
    fn from(family: Family) -> Self {
        Self {
            kind: family.kind,
            severity: family.severity,
            title: family.title,
            change: family.change,
            effect: family.effect,
            places_mm: family.places.into_iter().map(Into::into).collect(),
            findings: Vec::new(),
            is_family: true,
        }
    }
}

impl Cause {
    /// The cause of a finding that has no family.
    pub(crate) fn alone(finding: &Finding, number: usize) -> Self {
        Self {
            kind: finding.kind,
            severity: finding.severity,
            title: finding.title.clone(),
            change: short_words::change(finding),
            effect: finding.change.as_ref().and_then(|it| it.effect.clone()),
            places_mm: finding.at_mm.into_iter().collect(),
            findings: vec![number],
            is_family: false,
        }
    }

    /// Findings come worst first, so that the first one names the cause.
    fn take(&mut self, finding: &Finding, number: usize) {
        self.severity = match self.findings.is_empty() {
            true => finding.severity,
            false => self.severity.min(finding.severity),
        };
        if !self.is_family {
            self.places_mm.extend(finding.at_mm);
        }
        self.findings.push(number);
    }
}

/// Families of `all`, members alike in every measure: the first few, worst first as given, and
/// one for the rest.
fn alike<T>(all: Vec<T>, most: usize, measures: impl Fn(&T) -> [f64; 3]) -> Vec<Vec<T>> {
    let mut families: Vec<Vec<T>> = Vec::new();
    for one in all {
        let own = measures(&one);
        let same = |family: &&mut Vec<T>| {
            family.first().is_some_and(|first| are_alike(own, measures(first)))
        };
        match families.iter_mut().find(same) {
            Some(family) => family.push(one),
            None => families.push(vec![one]),
        }
    }
    if families.len() > most + 1 {
        let rest: Vec<T> = families.drain(most..).flatten().collect();
        families.push(rest);
    }
    families
}

fn are_alike(a: [f64; 3], b: [f64; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| a.max(b) <= ALIKE * a.min(b))
}

/// "1 hole", "2 holes".
fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}
