//! Holes along the pull: spotted together, then drilled and finished by kind and diameter.

use super::{Making, Operation, Up, Work, empty};
use crate::mold::cut_feature::{Cut, Kind};
use crate::units::format::four_digits;

/// Feed of a drill, mm/min (judgment: 0.02 mm a turn at 3000 turns a minute).
const DRILL_MM_MIN: f64 = 60.0;
/// Time a hole takes besides drilling, min (judgment).
const PER_HOLE_MIN: f64 = 0.3;
/// Time to ream a hole, min (judgment).
const REAM_MIN: f64 = 0.5;
/// Time to tap a hole by hand, min (judgment).
const TAP_MIN: f64 = 2.0;
/// Time to open a sprue to its taper and to polish it along the pull, min (judgment).
const SPRUE_MIN: f64 = 15.0;
/// A spot so deep marks a hole, mm; of a small one this share of its drill, so that no chamfer is
/// left around it (judgment).
const SPOT_MM: f64 = 1.0;
const SPOT_SHARE: f64 = 0.4;
/// Feed of a reamer, mm/min (judgment: 0.06 to 0.1 mm a turn).
const REAM_MM_MIN: f64 = 60.0;
/// Left for the reamer on the diameter, mm: up to 5 mm, and above (shop practice: 0.1 to 0.2
/// and 0.2 to 0.3, half as much again in light metal).
const REAM_STOCK_MM: [f64; 2] = [0.2, 0.3];

/// Cuts of the layout with their indices.
type Numbered<'a> = Vec<(usize, &'a Cut)>;

impl Making<'_> {
    /// Every hole of the half.
    pub(super) fn holes(&mut self) {
        let all: Numbered<'_> = self
            .own()
            .filter(|(_, cut)| cut.end.is_none())
            .filter(|(_, cut)| !matches!(cut.kind, Kind::Pry | Kind::Seat | Kind::Insert))
            .collect();
        if all.is_empty() {
            return;
        }
        // A relief is drilled down a hole that is there.
        let spots = all.iter().filter(|(_, cut)| !is_from_outside(cut.kind));
        let depth = spots.clone().map(|(_, cut)| spot_depth(cut)).fold(0.0, f64::max);
        let spotted: Vec<usize> = spots.map(|(at, _)| *at).collect();
        self.operations.push(Operation {
            work: Work::Spot,
            what: "spot every hole".to_owned(),
            depth: Some(depth),
            feed: Some(DRILL_MM_MIN),
            minutes: spotted.len() as f64 * PER_HOLE_MIN,
            cuts: spotted,
            ..empty(Up::Parting, "90° spotting drill".to_owned())
        });
        let alike =
            |a: &Cut, b: &Cut| a.kind == b.kind && (a.width - b.width).abs() < 1e-6;
        let mut groups: Vec<Numbered<'_>> = Vec::new();
        for one in all {
            match groups.iter_mut().find(|group| alike(group[0].1, one.1)) {
                Some(group) => group.push(one),
                None => groups.push(vec![one]),
            }
        }
        for group in &groups {
            self.operations.extend(drilled(group));
            self.operations.extend(completed(group));
        }
    }
}

/// Whether it is drilled with the outer face up.
fn is_from_outside(kind: Kind) -> bool {
    matches!(kind, Kind::PinRelief | Kind::InsertScrew)
}

/// Which face lies up when it is drilled.
fn side(kind: Kind) -> Up {
    if is_from_outside(kind) { Up::Outer } else { Up::Parting }
}

fn is_reamed(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::DowelFast
            | Kind::DowelSlides
            | Kind::Pin
            | Kind::Puller
            | Kind::CorePin
            | Kind::CoreSeat
    )
}

/// Drilling holes that are alike.
fn drilled(group: &[(usize, &Cut)]) -> Option<Operation> {
    let (_, first) = group.first()?;
    let narrowest = drill_diameter(first);
    let total: f64 = group.iter().map(|(_, cut)| cut.depth).sum();
    let up = side(first.kind);
    let through = if first.through { " through" } else { "" };
    Some(Operation {
        work: match first.kind {
            // Half of it is in the insert.
            Kind::InsertScrew => Work::Hand,
            _ => Work::Drill(narrowest),
        },
        what: format!("drill{through}: {}", first.kind),
        depth: deepest(group),
        pass: Some(narrowest),
        feed: Some(DRILL_MM_MIN),
        minutes: total / DRILL_MM_MIN + group.len() as f64 * PER_HOLE_MIN,
        cuts: group.iter().map(|(at, _)| *at).collect(),
        ..empty(up, format!("drill {} mm", four_digits(narrowest)))
    })
}

/// Diameter of the drill of a hole, mm.
fn drill_diameter(cut: &Cut) -> f64 {
    match (cut.kind, is_reamed(cut.kind)) {
        (_, true) => cut.width - REAM_STOCK_MM[usize::from(cut.width > 5.0)],
        // The narrow end of a sprue is drilled, the rest is opened.
        (Kind::Sprue, _) => narrow_end(cut),
        _ => cut.width,
    }
}

/// How deep a spotting drill marks a hole, mm.
pub fn spot_depth(cut: &Cut) -> f64 {
    SPOT_MM.min(SPOT_SHARE * drill_diameter(cut))
}

/// Diameter of the narrowest place of a cut around its middle, mm.
fn narrow_end(cut: &Cut) -> f64 {
    let radius =
        cut.solid.points.iter().map(|at| (at.x - cut.at[0]).hypot(at.y - cut.at[1]));
    2.0 * radius.fold(f64::INFINITY, f64::min)
}

/// What comes after drilling.
fn completed(group: &[(usize, &Cut)]) -> Option<Operation> {
    let (_, first) = group.first()?;
    let (what, tool, minutes, work) = match first.kind {
        kind if is_reamed(kind) => (
            format!("ream: {kind}"),
            format!("reamer {} mm", four_digits(first.width)),
            REAM_MIN,
            Work::Ream(first.width),
        ),
        Kind::Tap => {
            (format!("by hand: {}", first.note), "tap".to_owned(), TAP_MIN, Work::Hand)
        }
        Kind::InsertScrew => {
            let tools = "counterbore, drill, tap".to_owned();
            (first.note.clone(), tools, TAP_MIN, Work::Hand)
        }
        Kind::Sprue => (
            format!("open to its taper: {}", first.note),
            "drills in steps, tapered reamer, stone".to_owned(),
            SPRUE_MIN,
            Work::Hand,
        ),
        _ => return None,
    };
    Some(Operation {
        work,
        what,
        feed: matches!(work, Work::Ream(_)).then_some(REAM_MM_MIN),
        depth: deepest(group),
        minutes: minutes * group.len() as f64,
        cuts: group.iter().map(|(at, _)| *at).collect(),
        ..empty(side(first.kind), tool)
    })
}

fn deepest(group: &[(usize, &Cut)]) -> Option<f64> {
    group.iter().map(|(_, cut)| cut.depth).max_by(f64::total_cmp)
}
