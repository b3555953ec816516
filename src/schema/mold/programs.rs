//! The programs for the mill in words, and which step of a sheet each makes.

use crate::analysis::mold::MoldDesign;
use crate::mold::cut_feature::Kind;
use crate::mold::operations::{Up, Work};
use crate::mold::toolpaths::tool::Form;
use crate::mold::toolpaths::{Program, Programs};
use crate::part::halves::Half;
use crate::schema::mold::{MoldProgram, drill};
use crate::units::format::four_digits;

/// A reamer or drill that should turn more slowly than this has no program for most routers, turns a
/// minute (judgment: their spindles begin at 8000 to 10 000).
const ROUTER_RPM: f64 = 8000.0;
/// A drill that goes deeper than so many diameters wanders (common practice).
const DEEP: f64 = 10.0;

/// Every program of the mold; `None` when they were not asked for.
pub(crate) fn programs(tooled: &MoldDesign) -> Option<Vec<MoldProgram>> {
    let programs = tooled.programs.as_ref()?;
    Some(programs.list.iter().map(|program| described(tooled, program)).collect())
}

/// The file of the program that makes operation `number` of a half's plan.
pub(crate) fn file(
    programs: Option<&Programs>,
    half: Half,
    number: usize,
) -> Option<String> {
    let own = programs?
        .list
        .iter()
        .find(|it| it.half == half && it.operations.contains(&number));
    own.map(|it| it.file.clone())
}

/// What makes it where there is no program, and why; nothing when none were asked for.
pub(crate) fn without(
    programs: Option<&Programs>,
    half: Half,
    number: usize,
    work: Work,
) -> Option<String> {
    if file(programs, half, number).is_some() {
        return None;
    }
    let missing = programs?
        .missing
        .iter()
        .find(|it| it.half == half && it.operations.contains(&number));
    Some(match (work, missing) {
        (Work::Hand, _) => "by hand".to_owned(),
        (_, Some(missing)) => format!("CAM: {}", missing.why),
        (_, None) => "CAM".to_owned(),
    })
}

/// The face that lies up.
pub(crate) fn face(up: Up) -> &'static str {
    match up {
        Up::Outer => "outer",
        Up::Parting => "parting",
    }
}

fn described(tooled: &MoldDesign, program: &Program) -> MoldProgram {
    let mold = &tooled.mold;
    let half = program.half;
    let numbers = |cuts: &[usize]| drill::rows(mold, half, cuts);
    let out: Vec<usize> = program.left_out.iter().map(|it| it.cut).collect();
    let kept: Vec<usize> =
        program.cuts.iter().copied().filter(|cut| !out.contains(cut)).collect();
    let left_out = program.left_out.iter().map(|it| {
        let rows = drill::numbers(&numbers(&[it.cut]));
        format!("row {rows}: {}", it.why)
    });
    MoldProgram {
        file: program.file.clone(),
        half: half.role(mold.core),
        up: face(program.up),
        zero: zero(half, program.up),
        tool: program.tool.describe(),
        diameter_mm: program.tool.diameter,
        spindle_rpm: program.tool.speed(),
        rapid_height_mm: program.safe,
        lowest_mm: program.lowest,
        below_half_mm: program.beneath,
        stick_out_mm: program.stick_out,
        time_min: program.minutes,
        steps: program.operations.iter().map(|at| at + 1).collect(),
        rows: numbers(&kept),
        left_out: left_out.collect(),
        notes: notes(tooled, program),
    }
}

/// Where zero is.
fn zero(half: Half, up: Up) -> String {
    // Turned over, the datum lies at the other side.
    let is_left = (half == Half::Minus) == (up == Up::Parting);
    let side = if is_left { "left" } else { "right" };
    let height = match up {
        Up::Parting => "height of the parting there",
        Up::Outer => "finished outer face",
    };
    format!("X Y lower {side} corner of the finished block, Z {height}")
}

/// What is to be minded besides the cautions that hold for all.
fn notes(tooled: &MoldDesign, program: &Program) -> Vec<String> {
    let mut notes = Vec::new();
    let cuts = &tooled.mold.layout.cuts;
    let own = || program.cuts.iter().filter_map(|&at| cuts.get(at));
    let depths = own().filter(|cut| cut.kind == Kind::Vent).map(|cut| cut.depth);
    if let Some(depth) = depths.reduce(f64::min) {
        notes.push(format!(
            "vents are {depth:.3} mm deep: touch off on the parting face beside them, or scrape them by hand"
        ));
    }
    let is_slow = matches!(program.tool.form, Form::Reamer | Form::Drill);
    if is_slow && program.tool.speed() < ROUTER_RPM {
        let instead = match program.tool.form {
            Form::Reamer => "ream by hand",
            _ => "take a drill press, with the spots for places",
        };
        notes.push(format!("where the spindle cannot turn so slowly: {instead}"));
    }
    let deep = program.stick_out > DEEP * program.tool.diameter;
    if program.tool.form == Form::Drill && deep {
        notes.push(format!(
            "deeper than {DEEP:.0} diameters: a long drill, begun with a short one of the same size"
        ));
    }
    if program.tool.form == Form::Reamer {
        notes.push(format!(
            "cutting oil; the lead of the reamer comes on top of the depth; try {} mm on scrap first",
            four_digits(program.tool.diameter)
        ));
    }
    notes
}
