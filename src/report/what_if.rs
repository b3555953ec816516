//! What the report says of steps that were tried.

use crate::findings::{Kind, Severity};
use crate::report::blocks::{Section, Table, table};
use crate::schema::{Report, WhatIf, WhatIfStep, words};
use crate::units::format;
use crate::variations::factors::Factor;
use crate::variations::{Outcome, Tried, Turn, Variation};

/// Title of the section.
pub const TITLE: &str = "What if";

/// What was varied, under its keys.
pub fn assemble(variations: &[Variation]) -> Vec<WhatIf> {
    variations.iter().map(one).collect()
}

fn one(variation: &Variation) -> WhatIf {
    let steps = variation.steps.as_ref();
    WhatIf {
        vary: variation.factor,
        now: steps.is_ok().then(|| variation.now.clone()),
        reason: steps.err().cloned(),
        steps: steps
            .map_or_else(|_| Vec::new(), |steps| steps.iter().map(step).collect()),
        turns: variation.turns.clone(),
        beware: variation.beware.map(str::to_owned),
    }
}

fn step(tried: &Tried) -> WhatIfStep {
    let outcome = tried.outcome.as_ref();
    let list = |of: fn(&Outcome) -> &Vec<Kind>| {
        outcome.map_or_else(|_| Vec::new(), |outcome| of(outcome).clone())
    };
    let known = outcome.ok();
    WhatIfStep {
        text: tried.text.clone(),
        value: tried.value,
        reason: outcome.err().cloned(),
        verdict: known.map(|it| it.verdict),
        gone: list(|it| &it.gone),
        new: list(|it| &it.new),
        melt_pressure_mpa: known.map(|it| it.melt_pressure_mpa),
        shot_g: known.and_then(|it| it.shot_g),
        clamp_margin: known.and_then(|it| it.clamp_margin),
        filled_fraction: known.and_then(|it| it.filled_fraction),
        fill_margin: known.and_then(|it| it.fill_margin),
        cycle_s: known.and_then(|it| it.cycle_s),
        ejection_force_n: known.and_then(|it| it.ejection_n),
    }
}

/// The section; `None` where nothing was varied.
pub(crate) fn section(report: &Report) -> Option<Section> {
    if report.what_if.is_empty() {
        return None;
    }
    let notes = report.what_if.iter().filter_map(note);
    let walls = report.what_if.iter().any(|it| it.vary == Factor::Wall);
    let fills = report.what_if.iter().flat_map(|it| &it.steps);
    let coarse = fills.clone().any(|step| step.fill_margin.is_some()).then(|| {
        "The filling of each step runs on cells of twice the edge, scaled to what the fine ones say of this check, with the gate where it is.".to_owned()
    });
    let walls = walls.then(|| {
        "Walls grow or shrink alike and keep their places: box, projected area and cores stay as they are, so this shows the way, not the last digit.".to_owned()
    });
    Some(Section {
        title: TITLE,
        rows: Vec::new(),
        tables: report.what_if.iter().flat_map(tables).collect(),
        notes: notes.chain(walls).chain(coarse).collect(),
    })
}

/// What it is now and what no step of it turns, or why it cannot be varied.
fn note(it: &WhatIf) -> Option<String> {
    if let Some(reason) = &it.reason {
        return Some(format!("Not varied: {reason}."));
    }
    let stays = unturned(it, false);
    let stays = if stays.is_empty() {
        String::new()
    } else {
        format!(" No step of it turns {stays}.")
    };
    it.now.as_ref().map(|now| {
        let beware = it.beware.as_deref().map(format::capitalized);
        let beware = beware.map_or_else(String::new, |beware| format!(" {beware}."));
        let vary = format::capitalized(it.vary.name());
        format!("{vary} in this check: {now}.{stays}{beware}")
    })
}

fn tables(it: &WhatIf) -> Vec<Table> {
    let steps = it.steps.iter().map(step_row).collect();
    let title = format!("{} step by step", format::capitalized(it.vary.name()));
    let columns = [
        "Step", "Answer", "Melt", "Shot", "Clamp", "Fills", "Margin", "Cycle",
        "Push off", "Gone", "New",
    ];
    let mut tables = table(&title, &columns, steps);
    let turned = it.turns.iter().filter(|turn| !turn.at.is_empty());
    let title = format!("What {} turns", it.vary);
    let columns = ["Finding", "Severity", "Turns at", "Not yet at", "But then"];
    tables.extend(table(&title, &columns, turned.map(turn_row).collect()));
    tables
}

/// Kinds of findings that no step turns, as "undercut, draft"; those that bar the cut where
/// `only_bars`.
fn unturned(it: &WhatIf, only_bars: bool) -> String {
    let is_listed = |turn: &&Turn| {
        turn.at.is_empty() && (!only_bars || turn.severity < Severity::Note)
    };
    let kinds: Vec<Kind> =
        it.turns.iter().filter(is_listed).map(|turn| turn.kind).collect();
    plain(&kinds)
}

/// The names of `kinds` in plain letters: "undercut, thin wall".
fn plain(kinds: &[Kind]) -> String {
    let names: Vec<String> =
        kinds.iter().map(|kind| words::plain(kind.as_str())).collect();
    names.join(", ")
}

fn step_row(step: &WhatIfStep) -> Vec<String> {
    let answer = match (&step.reason, step.verdict) {
        (Some(reason), _) => reason.clone(),
        (None, verdict) => {
            verdict.map_or_else(String::new, |it| words::verdict(it).to_owned())
        }
    };
    vec![
        step.text.clone(),
        answer,
        format::maybe(step.melt_pressure_mpa, "MPa"),
        format::maybe(step.shot_g, "g"),
        format::maybe(step.clamp_margin, ""),
        format::maybe_percent(step.filled_fraction),
        format::maybe(step.fill_margin, ""),
        format::maybe(step.cycle_s, "s"),
        format::force(step.ejection_force_n),
        plain_or_dash(&step.gone),
        plain_or_dash(&step.new),
    ]
}

fn turn_row(turn: &Turn) -> Vec<String> {
    let at = turn.at.join(", ");
    vec![
        words::plain(turn.kind.as_str()),
        words::severity(turn.severity).to_owned(),
        if turn.gone { at } else { format!("{at}, where it is milder") },
        turn.not_yet.clone().unwrap_or_else(|| "—".to_owned()),
        plain_or_dash(&turn.then),
    ]
}

fn plain_or_dash(kinds: &[Kind]) -> String {
    if kinds.is_empty() { "—".to_owned() } else { plain(kinds) }
}

/// One line for the terminal: "air, now 7 bar: short shot goes at 9 bar; clamp stays".
pub fn line(it: &WhatIf) -> String {
    if let Some(reason) = &it.reason {
        return format!("not varied: {reason}");
    }
    let bars = |turn: &&Turn| turn.severity < Severity::Note && !turn.at.is_empty();
    let turns = it.turns.iter().filter(bars).map(|turn| {
        let what = words::plain(turn.kind.as_str());
        let then = plain(&turn.then);
        let but = if then.is_empty() { String::new() } else { format!(" (but {then})") };
        let how = if turn.gone { "goes" } else { "is milder" };
        format!("{what} {how} at {}{but}", turn.at.join(", "))
    });
    let stays = unturned(it, true);
    let stays = (!stays.is_empty()).then(|| format!("no step turns {stays}"));
    let turns: Vec<String> = turns.chain(stays).chain(it.beware.clone()).collect();
    let turns =
        if turns.is_empty() { "nothing to turn".to_owned() } else { turns.join("; ") };
    let now = it.now.as_deref().unwrap_or_default();
    format!("{}, now {now}: {turns}", it.vary)
}
