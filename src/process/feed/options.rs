//! What can be cut of sprue, runner and gate: the measures that are weighed against each
//! other.

use super::{FeedChoices, FeedTask, Gate, Runner, Sprue};
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::runner;
use crate::process::thermal::cooling::{self, Section};
use crate::process::thermal::cycle::{REMOVE_S, VISE_S};
use crate::units::format::four_digits;
use crate::units::{Length, Quantity, Ratio, Time, from_degrees, from_mm, in_mm};

/// Depth of the gate over that of the wall: 60 % is the rule of industry's pressures, 90 % the
/// deepest that is still trimmed cleanly (common practice).
pub const GATE_DEPTHS: [f64; 3] = [0.6, 0.75, 0.9];
/// Width of the gate over its depth: two is the rule, a low pressure needs more (common
/// practice).
pub const GATE_WIDTHS: [f64; 4] = [2.0, 3.0, 4.0, 6.0];
/// Steps in which the sprue is reamed, mm.
const REAM_MM: f64 = 0.5;
/// Sprues that are tried.
const MOST_REAMS: usize = 14;

/// No sprue or runner is so thick that it makes the shortest cycle longer by this factor.
pub const MOST_CYCLE: f64 = 2.0;
/// What hands take at the least besides cooling, s: closing, opening, taking the part out.
pub const HANDS_S: f64 = 2.0 * VISE_S + REMOVE_S;
/// A rod cools as long as a plate of its diameter over 1.43 (from memory); used where the
/// plastic does not say.
const ROD_OVER_PLATE: f64 = 1.43;

/// What can be cut of each piece, the thinnest first.
pub(super) struct Options {
    pub(super) sprues: Vec<Sprue>,
    pub(super) runners: Vec<Option<Runner>>,
    /// Empty where the sprue stands on the part.
    pub(super) gates: Vec<Gate>,
}

/// What can be cut for `task`; what the user gave is the only option.
pub(super) fn list(
    task: &FeedTask<'_>,
    choices: &FeedChoices,
    notes: &mut Vec<String>,
) -> Options {
    let sprues = sprues(task, choices, notes);
    let runners = if task.layout == FeedLayout::Direct || task.runner_length.si() <= 0.0 {
        vec![None]
    } else {
        let diameters = runners(task, choices, notes).into_iter();
        let length = task.runner_length;
        let section = choices.runner_section;
        diameters.map(|diameter| Some(Runner { diameter, length, section })).collect()
    };
    let gates = match task.layout {
        FeedLayout::Direct => Vec::new(),
        FeedLayout::Edge | FeedLayout::Split => gates(task, choices, deepest(&runners)),
    };
    Options { sprues, runners, gates }
}

fn deepest(runners: &[Option<Runner>]) -> Option<Length> {
    let depths = runners.iter().flatten().map(Runner::depth);
    depths.max_by(|a, b| a.si().total_cmp(&b.si()))
}

fn sprues(
    task: &FeedTask<'_>,
    choices: &FeedChoices,
    notes: &mut Vec<String>,
) -> Vec<Sprue> {
    let orifice = task.press.nozzle.as_ref().map(|nozzle| nozzle.orifice);
    if let Some(own) = choices.sprue_inlet {
        if orifice.is_some_and(|orifice| own <= orifice) {
            notes.push(
                "the sprue is no wider than the orifice: its slug will not pull"
                    .to_owned(),
            );
        }
        return vec![sprue(own, task, choices)];
    }
    let usual = super::USUAL_ORIFICE_MM;
    if orifice.is_none() {
        notes.push(format!(
            "the press file names no nozzle: an orifice of {usual} mm is taken"
        ));
    }
    let first = orifice.unwrap_or(from_mm(usual)) + from_mm(super::SPRUE_STEP_MM);
    let most =
        task.room.map_or(most_diameter(task), |room| room.min(most_diameter(task)));
    let inlets = (0..MOST_REAMS).map(|step| first + from_mm(REAM_MM) * step as f64);
    let all = inlets.map(|inlet| sprue(inlet, task, choices));
    // The thinnest that the orifice allows stands, however thin the part is.
    all.enumerate()
        .filter(|(at, it)| *at == 0 || it.foot <= most)
        .map(|it| it.1)
        .collect()
}

pub(super) fn sprue(inlet: Length, task: &FeedTask<'_>, choices: &FeedChoices) -> Sprue {
    let taper = choices.sprue_taper.unwrap_or(from_degrees(super::SPRUE_TAPER_DEG));
    let foot = inlet + 2.0 * task.sprue_length * (taper.si() / 2.0).tan();
    Sprue { inlet, foot, length: task.sprue_length }
}

/// The cutters from that of the rule up to the widest that still cools in time.
fn runners(
    task: &FeedTask<'_>,
    choices: &FeedChoices,
    notes: &mut Vec<String>,
) -> Vec<Length> {
    if let Some(own) = choices.runner_diameter {
        return vec![own];
    }
    let mut cutters = choices.cutters_at_hand();
    cutters.sort_by(|a, b| a.si().total_cmp(&b.si()));
    let allowance = task.plastic.runner_allowance.value.unwrap_or(Ratio::from_si(0.0));
    let wanted = runner::wanted(task.part, task.runner_length, allowance);
    let Some(least) = runner::cutter(wanted, &cutters) else {
        let text = four_digits(in_mm(wanted));
        notes.push(format!("no cutter is as wide as the runner of {text} mm: it is made so by two passes or a larger cutter"));
        return vec![wanted];
    };
    let most = most_diameter(task).max(least);
    cutters.retain(|cutter| *cutter >= least && *cutter <= most);
    cutters.dedup();
    cutters
}

/// Gates from the flattest up, none deeper than what of the deepest runner lies in one plate.
fn gates(
    task: &FeedTask<'_>,
    choices: &FeedChoices,
    runner: Option<Length>,
) -> Vec<Gate> {
    let land = choices.gate_land.unwrap_or(from_mm(super::GATE_LAND_MM));
    let deepest = GATE_DEPTHS[GATE_DEPTHS.len() - 1];
    let most = (task.wall * deepest).min(task.most_gate_depth);
    let most = runner.map_or(most, |deep| most.min(deep));
    let depths = choices.gate_depth.map_or_else(
        || GATE_DEPTHS.map(|share| most * (share / deepest)).to_vec(),
        |own| vec![own],
    );
    let mut all = Vec::new();
    for depth in depths {
        let widths = choices.gate_width.map_or_else(
            || {
                GATE_WIDTHS
                    .map(|times| (depth * times).min(task.most_gate_width))
                    .to_vec()
            },
            |own| vec![own],
        );
        all.extend(widths.into_iter().map(|width| Gate {
            depth,
            width,
            land,
            is_round: false,
        }));
    }
    all.dedup();
    all
}

/// The foot of a sprue that stands on the part, as its gate.
pub(super) fn foot_gate(sprue: &Sprue) -> Gate {
    let land = Length::default();
    Gate { depth: sprue.foot, width: sprue.foot, land, is_round: true }
}

/// How long a piece of this measure cools until it is stiff.
pub(super) fn cooling_time(
    task: &FeedTask<'_>,
    section: Section,
    measure: Length,
) -> Option<Time> {
    let heat = cooling::to_ejection(task.plastic).ok()?;
    cooling::time(section, measure, &heat)
}

/// The thickest sprue or runner with which cooling and hands take [`MOST_CYCLE`] times as long
/// as with the part alone.
pub fn most_diameter(task: &FeedTask<'_>) -> Length {
    let part = cooling_time(task, Section::Plate, task.thickest);
    let rod = cooling_time(task, Section::Rod, from_mm(1.0));
    // The time of a rod grows with the square of its diameter.
    let ratio = part.zip(rod).map(|(part, rod)| {
        let cycle = part.si() + HANDS_S;
        (MOST_CYCLE * cycle - HANDS_S) / rod.si()
    });
    let ratio = ratio.filter(|ratio| ratio.is_finite() && *ratio > 0.0);
    ratio.map_or(task.thickest * ROD_OVER_PLATE * MOST_CYCLE.sqrt(), |ratio| {
        from_mm(ratio.sqrt())
    })
}
