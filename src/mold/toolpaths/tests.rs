//! Programs against closed forms of what they cut, and wrong programs that have to be caught.

use std::f64::consts::PI;

use super::path::{Motion, Move, minutes};
use super::setup::Setup;
use super::simulation::{self, Fault};
use super::tool::Form;
use super::{Program, write};
use crate::geom::Point;
use crate::mesh::shapes;
use crate::mold::build::Mold;
use crate::mold::cut_feature::Kind;
use crate::mold::layout::Without;
use crate::mold::milled_halves;
use crate::mold::milling::CutterList;
use crate::mold::milling::cutter::Cutter;
use crate::mold::milling::outcome::{CellSize, MillingOutcome};
use crate::mold::operations::{self, Plan, Up};
use crate::mold::tests::{BARE, More, feed, made};
use crate::part::halves::Half;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::vents;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;

/// The mold of a tray with everything in it.
fn tray() -> Mold {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let vent = vents::vent(plastics.find("pp").unwrap()).unwrap();
    let feed = feed(&press, &plastics, FeedLayout::Edge);
    let pin = |x: f64| (Point::new(x, 8.0, 2.0), 2.0);
    let more = More {
        bolts: press.bolts(),
        feed: Some((&feed, vec![Point::new(40.0, 15.0, 12.0)])),
        pins: Some((3.0, vec![pin(10.0), pin(30.0)])),
        vents: Some((&vent, 1, vec![Point::new(12.0, 30.0, 12.0)])),
        ..More::default()
    };
    made(&shapes::tray([40.0, 30.0, 12.0], 2.0), Without::default(), &more).unwrap()
}

/// What the cutters of the built-in list do to it.
fn milled(mold: &Mold) -> (MillingOutcome, Vec<Cutter>) {
    let list = CutterList::builtin().unwrap().cutters;
    let size = CellSize::Edge(0.4);
    let pull = crate::geom::Direction::Z;
    (milled_halves::simulate(mold, pull, &list, size).unwrap(), list)
}

/// A mold, its programs, and the plan of each half.
struct Shop {
    mold: Mold,
    list: Vec<Program>,
    plans: [Plan; 2],
}

fn shop() -> Shop {
    let mold = tray();
    let (outcome, list) = milled(&mold);
    let cutting = Some((&outcome, &list[..]));
    let programs = write(&mold, cutting);
    let missing: Vec<&String> = programs.missing.iter().map(|it| &it.why).collect();
    assert!(missing.is_empty(), "{missing:?}");
    let plans = Half::BOTH.map(|half| operations::plan(&mold, half, cutting));
    Shop { mold, list: programs.list, plans }
}

impl Shop {
    fn setup(&self, program: &Program) -> Setup<'_> {
        let plan = &self.plans[usize::from(program.half == Half::Minus)];
        {
            let whole = &self.mold.halves[usize::from(program.half == Half::Minus)];
            Setup::new(&self.mold, program.half, program.up, plan, whole).unwrap()
        }
    }

    /// What a program takes of metal that ends in the parting plane, or at the outer face, mm³.
    fn taken(&self, program: &Program, moves: &[Move]) -> Result<f64, Fault> {
        let setup = self.setup(program);
        // Around a core the stock is higher: what is roughed away before does not count.
        let left = simulation::run(&setup, program.tool, moves, setup.tops[1])?;
        let depth: f64 = left.values.iter().map(|z| (-z).max(0.0)).sum();
        Ok(depth * setup.grid.cell * setup.grid.cell)
    }

    fn find(&self, form: Form, kind: Kind) -> Vec<&Program> {
        let cuts = &self.mold.layout.cuts;
        let own = self.list.iter().filter(|it| {
            it.tool.form == form && it.cuts.iter().any(|&at| cuts[at].kind == kind)
        });
        own.collect()
    }
}

/// Drills by hand: each blind hole is π/4 d² deep to its shoulder and a cone of 118° below. A tool
/// counts half a cell less, so d here is 0.1 mm less than that of the drill; the cone begins at the
/// drill's own tip, whose height above the shoulder is that of its full radius.
#[test]
fn a_drilled_hole_is_as_deep_as_the_table_says() {
    let shop = shop();
    let programs = shop.find(Form::Drill, Kind::DowelFast);
    let program = programs[0];
    let cuts = &shop.mold.layout.cuts;
    let holes: Vec<_> = program.cuts.iter().map(|&at| &cuts[at]).collect();
    assert!(holes.len() == 2 && holes.iter().all(|it| it.kind == Kind::DowelFast));
    let depth = holes[0].depth;
    assert!((program.lowest + depth + program.tool.tip()).abs() < 1e-6, "{depth}");
    let [d, cell] = [program.tool.diameter, 0.1];
    let r = (d - cell) / 2.0;
    let tip = r / 59.0_f64.to_radians().tan();
    let below = program.tool.tip() - tip;
    let one = PI * r * r * (depth + below + tip / 3.0);
    let taken = shop.taken(program, &program.moves).unwrap();
    assert!((taken / (2.0 * one) - 1.0).abs() < 0.01, "{taken} {one}");
    // Fast only above all metal, or down its own hole.
    for pair in program.moves.windows(2).filter(|it| it[1].motion == Motion::Rapid) {
        let [a, b] = [pair[0].to, pair[1].to];
        let is_near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let is_upright = is_near(a[0], b[0]) && is_near(a[1], b[1]);
        let is_above = is_near(a[2], program.safe) && is_near(b[2], program.safe);
        assert!(is_upright || is_above, "{pair:?}");
    }
    assert!(minutes(&program.moves) > 0.3);
}

/// The groove of a runner by hand: half of a rod of its length and a quarter ball at each end: π/2 r² L + 2/3 π r³.
/// A slot of width w, whose cutter comes out at the wall of the block: w t L less the two inner corners
/// that a round cutter leaves, (2 − π/2) r² t.
#[test]
fn grooves_and_slots_take_what_they_should() {
    let shop = shop();
    let runners = shop.find(Form::Ball, Kind::Runner);
    assert_eq!(runners.len(), 2, "half in each plate");
    for program in runners {
        let runner = &shop.mold.layout.cuts[program.cuts[0]];
        let end = runner.end.unwrap();
        let length = (end[0] - runner.at[0]).hypot(end[1] - runner.at[1]);
        // In the solids a rod has 48 sides, and the ball counts as wide as these are inside.
        let r = runner.width / 2.0 * (PI / 48.0).cos();
        let by_hand = PI / 2.0 * r * r * length + 2.0 / 3.0 * PI * r.powi(3);
        let taken = shop.taken(program, &program.moves).unwrap();
        // The rim of the ball is lost between cells of 0.1 mm.
        assert!((taken / by_hand - 1.0).abs() < 0.03, "{taken} {by_hand}");
    }
    let slots = shop.find(Form::Flat, Kind::Relief);
    let program = slots[0];
    let relief = shop.mold.layout.cuts.iter().find(|it| it.kind == Kind::Relief).unwrap();
    let setup = shop.setup(program);
    let [from, to] = [relief.at, relief.end.unwrap()].map(|at| setup.flat(at));
    let top = setup.tops[1];
    let left = simulation::run(&setup, program.tool, &program.moves, top).unwrap();
    // The middle half of its length has its full width, less a cell, and its depth.
    let mut taken = 0.0;
    let mix = |share: f64| [0, 1].map(|i| from[i] + (to[i] - from[i]) * share);
    let line = [mix(0.6), mix(0.9)];
    let along = (line[1][0] - line[0][0]).hypot(line[1][1] - line[0][1]);
    setup.under(line, relief.width, &mut |cell, _| {
        let [column, row] = left.place(cell);
        let at = setup.grid.middle(column, row);
        let is_between = (0..2).all(|axis| {
            let [a, b] = [line[0][axis], line[1][axis]];
            (a - b).abs() < 1e-6 || (at[axis] > a.min(b) && at[axis] < a.max(b))
        });
        if is_between {
            let depth = (-left.values[cell]).max(0.0);
            taken += depth * setup.grid.cell * setup.grid.cell;
        }
    });
    let by_hand = (relief.width - setup.grid.cell) * relief.depth * along;
    assert!((taken / by_hand - 1.0).abs() < 0.02, "{taken} {by_hand}");
}

#[test]
fn every_plain_operation_has_a_program_and_the_outer_face_its_own_zero() {
    let shop = shop();
    for program in &shop.list {
        assert!(program.left_out.is_empty(), "{}: {:?}", program.file, program.left_out);
        assert!(program.stick_out > 0.0 && program.safe >= 5.0, "{}", program.file);
    }
    let forms = [Form::Flat, Form::Ball, Form::Drill, Form::Spot, Form::Reamer];
    for form in forms {
        assert!(shop.list.iter().any(|it| it.tool.form == form), "{form:?}");
    }
    // The counterbore of the nozzle: its floor as deep below the outer face as the table says.
    let cuts = &shop.mold.layout.cuts;
    let seat = cuts.iter().position(|it| it.kind == Kind::Seat).unwrap();
    let program = shop.list.iter().find(|it| it.cuts.contains(&seat)).unwrap();
    assert_eq!(program.up, Up::Outer);
    assert!((program.lowest + cuts[seat].depth).abs() < 1e-6);
    let width = cuts[seat].width - 0.1;
    let by_hand = PI / 4.0 * width * width * cuts[seat].depth;
    let counterbore: Vec<Move> =
        program.moves.iter().copied().filter(|it| it.to[2] < 0.0).collect();
    let taken = shop.taken(program, &counterbore).unwrap();
    assert!((taken / by_hand - 1.0).abs() < 0.01, "{taken} {by_hand}");
}

/// The same programs, wrong: moved by 1 mm, 1 mm too deep, fast where they cut, or far outside.
#[test]
fn a_wrong_program_is_caught() {
    let shop = shop();
    let mut rapids = 0;
    for program in &shop.list {
        let changed = |change: &dyn Fn(&Move) -> Move| {
            let moves: Vec<Move> = program.moves.iter().map(change).collect();
            let setup = shop.setup(program);
            let has_faced = program.tool.form != Form::Flat || program.lowest < 0.0;
            let top = setup.tops[usize::from(has_faced)];
            simulation::run(&setup, program.tool, &moves, top).err()
        };
        let file = &program.file;
        assert_eq!(changed(&|it| *it), None, "{file}");
        let far =
            changed(&|it| Move { to: [it.to[0] + 500.0, it.to[1], it.to[2]], ..*it });
        assert!(matches!(far, Some(Fault::Outside(_))), "{file}: {far:?}");
        let fast = changed(&|it| Move { motion: Motion::Rapid, ..*it });
        assert!(matches!(fast, Some(Fault::Rapid(_))), "{file}: {fast:?}");
        rapids += 1;
        if !matches!(program.tool.form, Form::Drill | Form::Spot | Form::Ball) {
            continue;
        }
        let aside =
            changed(&|it| Move { to: [it.to[0] + 1.0, it.to[1] + 1.0, it.to[2]], ..*it });
        assert!(aside.is_some(), "{file}");
        let cuts = program.cuts.iter().map(|&at| &shop.mold.layout.cuts[at]);
        let is_through = cuts.clone().all(|it| it.through || it.kind == Kind::Sprue);
        let deep =
            changed(&|it| Move { to: [it.to[0], it.to[1], it.to[2] - 3.0], ..*it });
        assert!(deep.is_some() || is_through, "{file}");
    }
    assert!(rapids > 10, "{rapids}");
}

/// A part that is parted along a ramp: its vent follows the ramp and is no work for a flat cutter
/// that goes level.
#[test]
fn a_vent_on_a_ramp_is_left_to_somebody() {
    let plastics = Plastics::builtin().unwrap();
    let vent = vents::vent(plastics.find("pp").unwrap()).unwrap();
    let part = shapes::blocks([&[0.0, 40.0], &[0.0, 30.0], &[0.0, 6.0]], |_, _, _| true)
        .map_points(|at| Point::new(at.x, at.y, at.z + 0.3 * at.x));
    let wanted = vec![Point::new(20.0, 0.0, 6.0)];
    let more = More { vents: Some((&vent, 1, wanted)), ..More::default() };
    let mold = made(&part, Without { vents: false, ..BARE }, &more).unwrap();
    let (outcome, list) = milled(&mold);
    let programs = write(&mold, Some((&outcome, &list[..])));
    let why: Vec<&String> = programs.missing.iter().map(|it| &it.why).collect();
    assert!(!why.is_empty() && why.iter().all(|it| it.contains("slope")), "{why:?}");
}
