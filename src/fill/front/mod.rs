//! The front from the gate to the last corner.
//!
//! Each step pushes in about one percent of the part, or five where fillings are compared; its
//! duration follows from the flow at its begin and its end (the mean of 1/Q), so volume is
//! conserved whatever the step.
//! Melt carries its heat along and loses it to the walls ([`super::melt_heat`]). The part is
//! short when what still flows could not fill a thousandth more before the thickest of it
//! freezes. Air gets out unhindered; where it cannot, [`super::pockets`] says so. The melt
//! does not shrink while it fills.
//!
//! | question | file |
//! |---|---|
//! | how has the part filled | `outcome` |

mod outcome;

use super::melt::Melt;
use crate::fill::drive::Drive;
use crate::fill::feed_channels::FeedChannels;
use crate::fill::flow_step::Field;
use crate::fill::front_advance::{self, Step};
use crate::fill::gap_nodes::NODES;
use crate::fill::instant::{Cavity, Reach};
use crate::fill::melt_heat::{EnergyBalance, MeltHeat, Passed};
use crate::fill::melt_tables::MeltTables;
use crate::fill::prepared::{Case, FillError, PreparedCavity};
use crate::fill::pressure_watch::{PressureWatch, WatchedCells};
use crate::geom::Vector;
use outcome::FULL;
pub use outcome::{Filling, Instant};

/// Share of what is filled already that one step adds at most, while that is little.
const EARLY_STEP: f64 = 0.2;

/// The flow may fall by about this share in a step, so that freezing off is followed.
const FALL: f64 = 0.25;

/// What could still flow in before all freezes, as a share of the part, below which it is
/// short.
const HOPELESS: f64 = 1e-3;

/// What the solver leaves over of equations that another program will check.
const TIGHT: f64 = 1e-10;

/// A part takes about a hundred steps, a short one twice that.
const MOST_STEPS: usize = 3000;

/// Fills the part of `case` with `drive`.
///
/// # Errors
///
/// [`FillError`] when there is no gate, or the melt does not flow at its temperature.
pub fn fill(case: &Case<'_>, drive: &Drive<'_>) -> Result<Filling, FillError> {
    fill_again(&PreparedCavity::new(case)?, case.melt, drive)
}

/// The same for a part that is prepared.
///
/// # Errors
///
/// [`FillError`] when the melt does not flow at its temperature.
pub fn fill_again(
    prepared: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
) -> Result<Filling, FillError> {
    fill_watched(prepared, melt, drive, &[])
}

/// The same, with the pressure on one side of each piece of metal in `watches`.
///
/// # Errors
///
/// [`FillError`] when the melt does not flow at its temperature.
pub fn fill_watched(
    prepared: &PreparedCavity<'_>,
    melt: &Melt,
    drive: &Drive<'_>,
    watches: &[PressureWatch],
) -> Result<Filling, FillError> {
    let tables = MeltTables::at_pressure(melt, drive.pressure_pa)?;
    Ok(run(&prepared.cavity(&tables), drive, watches))
}

pub(super) fn run(
    cavity: &Cavity<'_>,
    drive: &Drive<'_>,
    watches: &[PressureWatch],
) -> Filling {
    let whole = || {
        let mut front = Front::new(cavity, drive);
        front.watch(cavity, watches);
        while front.step(cavity, drive, 1.0 - FULL) {}
        front.filling(cavity)
    };
    // Within the pool of threads its thousands of small loops start at once; from outside
    // each would wake a thread and wait for it.
    rayon::join(whole, || ()).0
}

/// The equations of the instant at which a share of the part is filled.
#[derive(Clone, Debug)]
pub struct Equations {
    /// Row, column, value of the matrix of the cells that are full; m³/(s Pa).
    pub triplets: Vec<(u32, u32, f64)>,
    /// Right side of every cell, m³/(s Pa).
    pub right: Vec<f64>,
    /// Solution: pressure of every full cell as a share of that at the gate, 0 elsewhere
    /// and in the cells at the gate.
    pub pressure: Vec<f64>,
}

/// Fills until at least the share `filled` and gives the equations of that instant.
///
/// # Errors
///
/// As [`fill`].
pub fn equations(
    case: &Case<'_>,
    drive: &Drive<'_>,
    filled: f64,
) -> Result<Equations, FillError> {
    let prepared = PreparedCavity::new(case)?;
    let tables = MeltTables::at_pressure(case.melt, drive.pressure_pa)?;
    let cavity = prepared.cavity(&tables);
    let mut front = Front::new(&cavity, drive);
    while front.step(&cavity, drive, filled) {}
    let system = front.field.system(&cavity, &front.reach);
    let mut pressure = front.field.share.clone();
    system.solve(&mut pressure, TIGHT);
    let (triplets, right) = system.triplets();
    Ok(Equations { triplets, right: right.to_vec(), pressure })
}

/// The state of the filling.
struct Front<'a> {
    reach: Reach<'a>,
    field: Field,
    /// `None` for a melt that stays at its temperature.
    heat: Option<MeltHeat>,
    /// By how much the clock is ahead of the heat, s.
    behind_s: f64,
    heading: Vec<Vector>,
    /// When the melt entered and filled each cell, s.
    entered_s: Vec<f64>,
    full_s: Vec<f64>,
    filled_m3: f64,
    reachable_m3: f64,
    history: Vec<Instant>,
    /// The step whose duration is not settled yet.
    open_step: Option<Step>,
    longest_freeze_s: f64,
    /// Metal to watch, and the greatest pressure on one side of it so far, Pa.
    watched: Vec<(WatchedCells, f64)>,
}

impl<'a> Front<'a> {
    fn new(cavity: &Cavity<'a>, drive: &Drive<'a>) -> Self {
        let (cells, count) = (cavity.cells, cavity.cells.len());
        let wet = cavity.mouth.is_gate.clone();
        let filled: Vec<f64> = wet.iter().map(|&wet| f64::from(u8::from(wet))).collect();
        let reachable = reachable(cavity);
        let volume = |is_in: &dyn Fn(usize) -> bool| -> f64 {
            (0..count).filter(|&c| is_in(c)).map(|c| cells.volume_mm3[c] * 1e-9).sum()
        };
        let thermal = cavity.tables.thermal.as_ref();
        let freeze = (0..count).filter(|&cell| reachable[cell]).map(|cell| {
            thermal.map_or(f64::INFINITY, |tables| {
                tables.freeze_s(cells.section[cell], cells.wall_mm[cell] * 1e-3)
            })
        });
        let longest_freeze_s = freeze.fold(0.0, f64::max);
        let channels = run_in(cavity, drive);
        let warmth = thermal.map_or_else(Vec::new, |_| vec![[1.0; NODES]; count]);
        Self {
            filled_m3: volume(&|cell| wet[cell]),
            reachable_m3: volume(&|cell| reachable[cell]),
            longest_freeze_s,
            reach: Reach { wet, filled, warmth, channels },
            heat: thermal.map(|tables| MeltHeat::new(cavity, tables)),
            behind_s: 0.0,
            field: Field::new(cells),
            heading: vec![Vector::zeros(); count],
            entered_s: vec![0.0; count],
            full_s: vec![0.0; count],
            history: Vec::new(),
            open_step: None,
            watched: Vec::new(),
        }
    }

    fn watch(&mut self, cavity: &Cavity<'_>, watches: &[PressureWatch]) {
        let found = |it: &PressureWatch| (WatchedCells::find(cavity.cells, it), 0.0);
        self.watched = watches.iter().map(found).collect();
    }

    fn note_watched(&mut self) {
        for (cells, most_pa) in &mut self.watched {
            let now_pa = cells.one_sided(&self.field.share) * self.field.gate_pa;
            *most_pa = most_pa.max(now_pa);
        }
    }

    fn time(&self) -> f64 {
        self.history.last().map_or(0.0, |instant| instant.time_s)
    }

    /// Works out this instant and pushes in the next step; false when it is over.
    fn step(&mut self, cavity: &Cavity<'_>, drive: &Drive<'_>, until: f64) -> bool {
        let before = self.history.last().copied();
        let placed = self.open_step.as_ref().map_or(0.0, |step| step.placed_m3);
        let flow_before = before.map_or(0.0, |instant| instant.flow_m3_s);
        // The time is predicted with the old flow, and settled with both.
        let predicted = if placed > 0.0 { placed / flow_before } else { 0.0 };
        self.warm(cavity, predicted);
        self.field.settle(cavity, &self.reach, drive);
        self.note_watched();
        let flow = self.field.flow_m3_s;
        let inverse =
            if flow > 0.0 { 0.5 / flow + 0.5 / flow_before } else { 1.0 / flow_before };
        let duration = if placed > 0.0 { placed * inverse } else { 0.0 };
        let duration = duration.min(4.0 * placed / flow_before.max(f64::MIN_POSITIVE));
        self.behind_s += duration - predicted;
        self.note_times(duration);
        let time_s = self.time() + duration;
        let filled = self.filled_m3 / self.reachable_m3;
        let gate_pa = self.field.gate_pa;
        let lost = || (drive.feed)(flow) + self.reach.lost(cavity, flow);
        let ram_pa = if flow > 0.0 { gate_pa + lost() } else { drive.pressure_pa };
        self.history.push(Instant { time_s, filled, flow_m3_s: flow, gate_pa, ram_pa });
        let hope = flow * self.longest_freeze_s > HOPELESS * self.reachable_m3;
        if filled >= until || flow <= 0.0 || !hope || self.history.len() > MOST_STEPS {
            return false;
        }
        self.push(cavity, before, duration);
        self.open_step.as_ref().is_some_and(|step| step.placed_m3 > 0.0)
    }

    /// Pushes in as much as a step may hold.
    fn push(&mut self, cavity: &Cavity<'_>, before: Option<Instant>, duration: f64) {
        let flow = self.field.flow_m3_s;
        let mut volume =
            (cavity.step * self.reachable_m3).min(EARLY_STEP * self.filled_m3);
        let fallen = before.map_or(0.0, |before| (before.flow_m3_s / flow).ln());
        if cavity.tables.thermal.is_some() && fallen > 0.0 && duration > 0.0 {
            volume = volume.min(flow * duration * FALL / fallen);
        }
        let volume = volume.min(self.reachable_m3 - self.filled_m3);
        let Some(level) = cavity.levels.first() else { return };
        let step = front_advance::advance(
            cavity.cells,
            level,
            &self.field,
            &mut self.reach,
            &mut self.heading,
            volume,
        );
        let filled = step.filled.iter().map(|(cell, _)| *cell as usize);
        self.field.seed(level, filled);
        self.filled_m3 += step.placed_m3;
        // Until the duration is settled, the old flow predicts it.
        let (time, lasts) = (self.time(), step.placed_m3 / flow);
        self.write_times(&step, time, lasts);
        self.open_step = Some(step);
    }

    /// Settles the times of the last step.
    fn note_times(&mut self, duration: f64) {
        if let Some(step) = self.open_step.take() {
            self.write_times(&step, self.time(), duration);
        }
    }

    fn write_times(&mut self, step: &Step, from: f64, lasts: f64) {
        for &(cell, moment) in &step.entered {
            self.entered_s[cell as usize] = from + moment * lasts;
        }
        for &(cell, moment) in &step.filled {
            self.full_s[cell as usize] = from + moment * lasts;
        }
    }

    /// Lets the last step carry its heat, in so many seconds; what the clock of the steps
    /// before ran ahead is made up.
    fn warm(&mut self, cavity: &Cavity<'_>, predicted_s: f64) {
        let Some((tables, heat)) = cavity.tables.thermal.as_ref().zip(self.heat.as_mut())
        else {
            return;
        };
        let Some(step) = self.open_step.as_ref().filter(|step| step.placed_m3 > 0.0)
        else {
            return;
        };
        let lasts_s = (predicted_s + self.behind_s).max(0.0);
        self.behind_s += predicted_s - lasts_s;
        let mut gate_k = tables.hot();
        let channels = &mut self.reach.channels;
        channels.pass(cavity.fluidity(), tables, step.placed_m3, lasts_s);
        gate_k = channels.outlet().copied().unwrap_or(gate_k);
        let mut warmth = std::mem::take(&mut self.reach.warmth);
        let (field, wet) = (&self.field, &self.reach.wet);
        let gate_k = &gate_k;
        let passed = Passed { cavity, tables, field, wet, step, lasts_s, gate_k };
        heat.pass(&passed, &mut warmth);
        self.reach.warmth = warmth;
    }

    /// When the front passed the middle of a cell.
    fn arrival(&self, cell: usize) -> f64 {
        if self.reach.wet[cell] {
            0.5 * (self.entered_s[cell] + self.full_s[cell])
        } else {
            self.entered_s[cell]
        }
    }

    /// Share of the half gap of each cell that no longer flows.
    fn frozen(&self, cavity: &Cavity<'_>) -> Vec<f64> {
        let cells = cavity.cells;
        let known = cavity.tables.thermal.as_ref().zip(self.heat.as_ref());
        let share = |cell: usize| match known {
            Some((tables, heat)) if self.reach.filled[cell] > 0.0 => {
                let wall_m = cells.wall_mm[cell] * 1e-3;
                tables.frozen(&heat.kelvin[cell], cells.section[cell], wall_m)
            }
            _ => 0.0,
        };
        (0..cells.len()).map(share).collect()
    }

    fn energy(&self, cavity: &Cavity<'_>) -> EnergyBalance {
        let known = cavity.tables.thermal.as_ref().zip(self.heat.as_ref());
        known.map_or_else(EnergyBalance::default, |(tables, heat)| {
            heat.settled(cavity, tables)
        })
    }

    fn filling(self, cavity: &Cavity<'_>) -> Filling {
        let time_s = self.time();
        let count = cavity.cells.len();
        let whole = cavity.cells.total_mm3() * 1e-9;
        let share = self.filled_m3 / self.reachable_m3;
        let gate_pa = self.field.gate_pa;
        let is_full = share >= 1.0 - FULL;
        let reachable = reachable(cavity);
        // The slivers that a full part leaves open fill at the end.
        let arrived = |cell: usize| {
            let late = (is_full && reachable[cell]).then_some(time_s);
            if self.reach.filled[cell] > 0.0 { Some(self.arrival(cell)) } else { late }
        };
        Filling {
            fills: is_full && self.reachable_m3 > (1.0 - FULL) * whole,
            filled: self.filled_m3 / whole,
            reachable: self.reachable_m3 / whole,
            time_s,
            arrival_s: (0..count).map(arrived).collect(),
            pressure_pa: self.field.share.iter().map(|p| p * gate_pa).collect(),
            frozen: self.frozen(cavity),
            front_k: self.heat.as_ref().map_or_else(
                || vec![cavity.tables.melt_k; count],
                |heat| heat.front_k.clone(),
            ),
            energy: self.energy(cavity),
            heading: self.heading,
            one_sided_pa: self.watched.iter().map(|(_, most_pa)| *most_pa).collect(),
            history: self.history,
        }
    }
}

/// The feed, full of melt that has just come to the gate.
fn run_in<'a>(cavity: &Cavity<'_>, drive: &Drive<'a>) -> FeedChannels<'a> {
    let Some(tables) = &cavity.tables.thermal else {
        return FeedChannels::new(drive.channels, [0.0; NODES]);
    };
    let mut channels = FeedChannels::new(drive.channels, tables.hot());
    let flow = |lost: &dyn Fn(f64) -> f64| drive.run_in(lost);
    channels.run_in(cavity.fluidity(), tables, &flow);
    channels
}

/// The cells that are connected to the gate.
fn reachable(cavity: &Cavity<'_>) -> Vec<bool> {
    let mut reached = cavity.mouth.is_gate.clone();
    let Some(level) = cavity.levels.first() else { return reached };
    let mut stack: Vec<usize> =
        (0..reached.len()).filter(|&cell| reached[cell]).collect();
    while let Some(cell) = stack.pop() {
        for &(other, _) in level.beside(cell) {
            if !std::mem::replace(&mut reached[other as usize], true) {
                stack.push(other as usize);
            }
        }
    }
    reached
}
