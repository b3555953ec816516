//! Programs for what is plain on the mill: facing, spotting, drilling, reaming, the runner, gate,
//! vents and pry slots, the counterbore of the nozzle. All else is work for CAM or by hand.
//!
//! | question | file |
//! |---|---|
//! | what do the tools look like, how fast do they turn | [`tool`] |
//! | which moves does a tool make | [`path`] |
//! | how does a half lie, where is its metal | `setup` |
//! | does a program cut what it should, and nothing else | [`simulation`] |
//! | how are holes spotted, drilled and reamed | `holes` |
//! | how are runner, gate, vents and pry slots milled | `slots` |
//! | how is stock faced, and a round pocket milled | `faces` |
//!
//! One program is one tool on one half with one face up, in the order of [`crate::mold::operations`];
//! operations that follow each other with the same tool share one. The tool goes fast only above all
//! metal and inside a hole that it has drilled itself. Each program is run over a field of
//! heights before anybody sees it: one that fails is left out, and so is a hole or slot that is
//! not plain; both are named.

pub mod tool;
pub mod path;
mod setup;
pub mod simulation;
mod holes;
mod slots;
mod faces;

#[cfg(test)]
mod tests;

use crate::mold::build::Mold;
use crate::mold::cut_feature::Cut;
use crate::mold::milling::cutter::Cutter;
use crate::mold::milling::outcome::MillingOutcome;
use crate::mold::operations::{self, Operation, Plan, Up, Work};
use crate::part::halves::{Half, Role};
use path::{Move, Path};
use setup::Setup;
use slots::Rates;
use tool::{Form, Tool};

/// One program; lengths in mm, in the axes of its setup.
#[derive(Clone, Debug)]
pub struct Program {
    /// Name of its file.
    pub file: String,
    /// The half that it mills.
    pub half: Half,
    /// Which of its faces lies up.
    pub up: Up,
    /// With what.
    pub tool: Tool,
    /// The operations of the half's plan that it makes, as indices.
    pub operations: Vec<usize>,
    /// Their cuts of the layout, as indices.
    pub cuts: Vec<usize>,
    /// Height of rapid moves.
    pub safe: f64,
    /// How deep the tip goes.
    pub lowest: f64,
    /// How far the tip goes below the half: there has to be something that may be cut.
    pub beneath: f64,
    /// From the tip to the chuck at least, so that the chuck stays above the metal.
    pub stick_out: f64,
    /// Time of the feed moves, min.
    pub minutes: f64,
    /// What it does.
    pub moves: Vec<Move>,
    /// Cuts of the layout that it leaves out, and why.
    pub left_out: Vec<LeftOut>,
}

/// A hole or slot that a program leaves out.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// The cut of the layout, as an index.
    pub cut: usize,
    /// Why.
    pub why: String,
}

/// Operations that are plain and got no program.
#[derive(Clone, Debug)]
pub struct Missing {
    /// The half.
    pub half: Half,
    /// Operations of its plan, as indices.
    pub operations: Vec<usize>,
    /// Why.
    pub why: String,
}

/// The programs of a mold.
#[derive(Clone, Debug, Default)]
pub struct Programs {
    /// In the order of the sheets, the cavity half first.
    pub list: Vec<Program>,
    /// What got none.
    pub missing: Vec<Missing>,
}

/// The programs of `mold`; `cutting` is what the cutters of a list do, when it is known.
pub fn write(mold: &Mold, cutting: Option<(&MillingOutcome, &[Cutter])>) -> Programs {
    let mut programs = Programs::default();
    for role in Role::BOTH {
        let half = role.half(mold.core);
        let plan = operations::plan(mold, half, cutting);
        let whole = &mold.halves[usize::from(half == Half::Minus)];
        let setups =
            [Up::Outer, Up::Parting].map(|up| Setup::new(mold, half, up, &plan, whole));
        // A plate is faced before its inserts are in it.
        let has_insert = mold.inserts.iter().any(|it| it.half == half);
        let plate = has_insert
            .then(|| Setup::new(mold, half, Up::Parting, &plan, mold.plate(half)))
            .flatten();
        let mut number = 0;
        for run in runs(&plan) {
            let up = plan.operations[run[0]].up;
            let is_facing = matches!(plan.operations[run[0]].work, Work::Face(_));
            let setup = setups[usize::from(up == Up::Parting)].as_ref();
            let of_plate = plate.as_ref().filter(|_| is_facing && up == Up::Parting);
            let made = of_plate
                .or(setup)
                .ok_or_else(|| "the block is far too large".to_owned())
                .and_then(|setup| program(setup, &plan, &run));
            match made {
                Ok(program) => {
                    number += 1;
                    let word = program.tool.file_word();
                    let file = format!("{role}_{number}_{word}.nc");
                    programs.list.push(Program { file, ..program });
                }
                Err(why) => {
                    programs.missing.push(Missing { half, operations: run, why });
                }
            }
        }
    }
    programs
}

/// Plain operations, those together that follow each other with one tool and one face up.
fn runs(plan: &Plan) -> Vec<Vec<usize>> {
    let mut runs: Vec<Vec<usize>> = Vec::new();
    let key = |at: usize| {
        let it = &plan.operations[at];
        form(it.work).map(|form| (it.up, form, diameter(it.work).unwrap_or_default()))
    };
    for at in (0..plan.operations.len()).filter(|&at| key(at).is_some()) {
        match runs.last_mut() {
            Some(run)
                if run.last() == Some(&(at.wrapping_sub(1)))
                    && key(at - 1) == key(at) =>
            {
                run.push(at);
            }
            _ => runs.push(vec![at]),
        }
    }
    runs
}

/// The form of the tool of plain work.
fn form(work: Work) -> Option<Form> {
    match work {
        Work::Cam | Work::Hand => None,
        Work::Spot => Some(Form::Spot),
        Work::Drill(_) => Some(Form::Drill),
        Work::Ream(_) => Some(Form::Reamer),
        Work::Groove(_) => Some(Form::Ball),
        Work::Face(_) | Work::Slot(_) | Work::Counterbore(_) => Some(Form::Flat),
    }
}

fn diameter(work: Work) -> Option<f64> {
    match work {
        Work::Cam | Work::Hand | Work::Spot => None,
        Work::Face(d)
        | Work::Drill(d)
        | Work::Ream(d)
        | Work::Slot(d)
        | Work::Groove(d)
        | Work::Counterbore(d) => Some(d),
    }
}

/// The program of some operations of a plan, which share a tool.
///
/// # Errors
/// Why there is none.
fn program(setup: &Setup<'_>, plan: &Plan, run: &[usize]) -> Result<Program, String> {
    let operations = || run.iter().map(|&at| &plan.operations[at]);
    let first = &plan.operations[run[0]];
    let form = form(first.work).ok_or("it is no plain work")?;
    let tool = match diameter(first.work) {
        Some(diameter) => Tool { form, diameter },
        None => spotting_drill(setup, first),
    };
    let mut path = Path::new(setup.safe);
    let mut left_out = Vec::new();
    for operation in operations() {
        left_out.extend(add(setup, &mut path, operation, tool)?);
    }
    let moves = path.moves;
    if moves.is_empty() {
        let why = left_out.first().map_or("nothing is left to do", |it| &it.why);
        return Err(why.to_owned());
    }
    let is_faced = operations().all(|it| !matches!(it.work, Work::Face(_)));
    let top = setup.tops[usize::from(is_faced)];
    simulation::run(setup, tool, &moves, top).map_err(|fault| fault.to_string())?;
    let lowest = path::lowest(&moves);
    Ok(Program {
        file: String::new(),
        half: setup.half,
        up: setup.up,
        tool,
        operations: run.to_vec(),
        cuts: operations().flat_map(|it| it.cuts.iter().copied()).collect(),
        safe: setup.safe,
        lowest,
        beneath: (setup.underside - lowest).max(0.0),
        stick_out: top - lowest,
        minutes: path::minutes(&moves),
        moves,
        left_out,
    })
}

fn spotting_drill(setup: &Setup<'_>, operation: &Operation) -> Tool {
    let cuts = operation.cuts.iter().filter_map(|&at| setup.mold.layout.cuts.get(at));
    let plain: Vec<_> = cuts.filter_map(|cut| holes::hole(setup, cut).ok()).collect();
    holes::spotting_drill(setup, &plain)
}

/// Adds the moves of an operation; what of its cuts is left out.
///
/// # Errors
/// Where nothing of it can be done.
fn add(
    setup: &Setup<'_>,
    path: &mut Path,
    operation: &Operation,
    tool: Tool,
) -> Result<Vec<LeftOut>, String> {
    let feed = operation.feed.ok_or("its feed is not known")?;
    let pass = operation.pass.unwrap_or(tool.diameter);
    let step = operation.side_step.unwrap_or(tool.radius());
    let rates = Rates { pass, step, feed };
    if let Work::Face(_) = operation.work {
        faces::face(setup, path, tool, rates);
        return Ok(Vec::new());
    }
    let mut one = |cut: &Cut| match operation.work {
        Work::Spot => {
            let hole = holes::hole(setup, cut)?;
            holes::spot(setup, path, &hole, tool, feed)
        }
        Work::Drill(_) => {
            let hole = holes::hole(setup, cut)?;
            holes::drill(setup, path, &hole, tool, feed)
        }
        Work::Ream(_) => {
            let hole = holes::hole(setup, cut)?;
            holes::ream(setup, path, &hole, cut, feed);
            Ok(())
        }
        Work::Slot(_) => slots::slot(setup, path, cut, tool, rates),
        Work::Groove(_) => slots::groove(setup, path, cut, tool, rates),
        Work::Counterbore(_) => faces::counterbore(setup, path, cut, tool, rates),
        Work::Face(_) | Work::Cam | Work::Hand => Ok(()),
    };
    let cuts = operation.cuts.iter().filter_map(|&at| {
        let cut = setup.mold.layout.cuts.get(at)?;
        one(cut).err().map(|why| LeftOut { cut: at, why })
    });
    Ok(cuts.collect())
}
