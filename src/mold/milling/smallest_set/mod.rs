//! Which cutters of a list are worth changing to, and what each of the others would take.
//!
//! Every cutter alone leaves its own surface over a half; a place is finished by a set when one of the set
//! finishes it, since the distance to what any of them has cut is the least of their distances.
//! So a few numbers for each group of places that the same cutters finish say what every set would
//! leave and how long it would take. Cutters are taken off the list while the work gets shorter,
//! each at [`CHANGE_MIN`] for its change, and no more is left than [`MATTERS_MM2`]. Where the widest
//! one finishes a place it is not asked whether another would do, so the widest stays.

use std::collections::BTreeMap;

use super::closing::Mask;
use super::cutter::Cutter;
use super::cutter_sequence::{self, slopes};
use super::halves::{Body, Halves};
use super::height_field::Field;
use super::leftover;
use super::pace::Pace;
use crate::part::halves::Half;

/// Time to change a cutter by hand and to set its length, min (judgment).
pub const CHANGE_MIN: f64 = 5.0;
/// Corners of so much area are not worth a change, mm² (judgment: two of 1.5 × 1.5 mm),
pub const MATTERS_MM2: f64 = 5.0;
/// nor such a share of what the part covers, where that is less.
const MATTERS_SHARE: f64 = 0.005;
/// So many cells may be the grid's.
const FEW_CELLS: f64 = 12.0;
/// Volumes are compared on every so many-th row and column: they are sums over the whole half.
const EVERY: usize = 3;
/// A list with more cutters is used whole: the bits of a number stand for cutters.
const MOST_CUTTERS: usize = 64;

/// What a cutter outside the set would do.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gain {
    /// Area across the pull that it would finish and the set does not, mm².
    pub area: f64,
    /// How long that takes with the change to it, min.
    pub minutes: f64,
}

/// A choice among the cutters of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Whether each is in the set.
    pub chosen: Vec<bool>,
    /// What each that is not would take.
    pub gains: Vec<Gain>,
}

impl Choice {
    /// All of `count` cutters.
    pub fn all(count: usize) -> Self {
        Self { chosen: vec![true; count], gains: vec![Gain::default(); count] }
    }
}

/// What is left, mm.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// A place with less counts as finished.
    pub finished: f64,
    /// More than this is never left for the sake of a change.
    pub far: f64,
}

/// Chooses among the cutters of `list` for `halves`.
pub fn choose(halves: &Halves, list: &[Cutter], limits: Limits) -> Choice {
    if list.len() > MOST_CUTTERS || list.len() < 2 {
        return Choice::all(list.len());
    }
    let survey = |half: Half| -> Vec<Survey> {
        let bodies = halves.bodies(half);
        bodies.all().map(|body| Survey::of(halves, body, list, limits)).collect()
    };
    let (plus, minus) = rayon::join(|| survey(Half::Plus), || survey(Half::Minus));
    let covered = halves.filled.iter().filter(|filled| **filled).count() as f64;
    let cell = halves.grid.cell.powi(2);
    let weighing = Weighing {
        surveys: [plus, minus].concat(),
        paces: list.iter().map(Pace::of).collect(),
        may_stay: MATTERS_MM2.min(MATTERS_SHARE * covered * cell),
        few: FEW_CELLS * cell,
    };
    weighing.choose()
}

/// Places that the same cutters finish.
#[derive(Clone, Copy, Debug, Default)]
struct Group {
    /// Across the pull, mm².
    area: f64,
    /// On the surface, mm².
    surface: f64,
}

/// What each cutter alone does to one body.
#[derive(Clone)]
struct Survey {
    /// By the bits of the cutters that finish it, the places of the part.
    groups: BTreeMap<u64, Group>,
    /// By the bits of the cutters that come within the far limit, or as low as any, area of the
    /// part, mm².
    near: BTreeMap<u64, f64>,
    /// By the bits of the cutters that finish it, area beside the part, mm².
    beside: BTreeMap<u64, f64>,
    /// What each cutter leaves on some of the cells.
    left: Vec<Vec<f64>>,
    /// The top of the stock, mm.
    top: f64,
    /// Area that one of these cells stands for, mm².
    cell_area: f64,
}

impl Survey {
    fn of(halves: &Halves, body: &Body<'_>, list: &[Cutter], limits: Limits) -> Self {
        let wanted = body.wanted.as_ref();
        let cell = halves.grid.cell;
        let mut finishes = vec![0_u64; wanted.values.len()];
        let mut comes_near = finishes.clone();
        // Where the widest one finished the others are not asked.
        let mut open = body.cells();
        let mut left = Vec::new();
        let mut heights: Vec<Vec<f64>> = Vec::new();
        for (at, cutter) in list.iter().enumerate() {
            if open.is_empty() {
                // Nothing is left for this one, whatever it is.
                left.push(Vec::new());
                continue;
            }
            let on = Mask::holding(wanted.size, &open);
            let own = cutter_sequence::alone(wanted, cutter, cell, &on);
            let thin = leftover::thin_at([wanted, &own], &open, cell, limits.finished);
            let [thin, thick] = sorted_by(&open, &thin);
            let near = leftover::thin_at([wanted, &own], &thick, cell, limits.far);
            let [near, _] = sorted_by(&thick, &near);
            thin.iter().for_each(|&it| finishes[it] |= 1 << at);
            thin.iter().chain(&near).for_each(|&it| comes_near[it] |= 1 << at);
            left.push(some_cells(&own, body));
            if at == 0 {
                open = thick;
            }
            heights.push(open.iter().map(|&it| own.values[it]).collect());
        }
        // Where none comes near, those count that come as low as any.
        for (index, &it) in open.iter().enumerate() {
            let low = heights.iter().map(|own| own[index]).fold(f64::INFINITY, f64::min);
            let as_low = |own: &Vec<f64>| own[index] <= low + limits.finished;
            if comes_near[it] == 0 && low.is_finite() {
                let bits = (0..).zip(&heights).filter(|(_, own)| as_low(own));
                comes_near[it] = bits.map(|(at, _): (u32, _)| 1_u64 << at).sum();
            }
        }
        let area = cell * cell;
        let mut survey = Self {
            groups: BTreeMap::new(),
            near: BTreeMap::new(),
            beside: BTreeMap::new(),
            left,
            top: wanted.greatest(),
            cell_area: area * (EVERY * EVERY) as f64,
        };
        let slopes = slopes(wanted, cell).into_iter().enumerate();
        for (at, slope) in slopes.filter(|(at, _)| body.owns(*at)) {
            let group = survey.groups.entry(finishes[at]).or_default();
            group.surface += area * slope;
            if halves.filled[at] {
                group.area += area;
                *survey.near.entry(comes_near[at]).or_default() += area;
            } else if halves.flat {
                *survey.beside.entry(finishes[at]).or_default() += area;
            }
        }
        survey
    }

    /// What each cutter of `set` has to rough after those before it, mm³.
    fn volumes(&self, set: u64) -> Vec<f64> {
        let mut stands = vec![self.top; self.left.first().map_or(0, Vec::len)];
        let taken = |(at, own): (usize, &Vec<f64>)| {
            if set & (1 << at) == 0 {
                return 0.0;
            }
            let mut taken = 0.0;
            for (stands, own) in stands.iter_mut().zip(own).filter(|(a, b)| **b < **a) {
                taken += *stands - own;
                *stands = *own;
            }
            taken * self.cell_area
        };
        self.left.iter().enumerate().map(taken).collect()
    }
}

/// The cells that are such, and those that are not.
fn sorted_by(cells: &[usize], are: &[bool]) -> [Vec<usize>; 2] {
    [true, false].map(|wanted| {
        let own = cells.iter().zip(are).filter(|(_, is)| **is == wanted);
        own.map(|(cell, _)| *cell).collect()
    })
}

/// What stands on every so many-th cell of a body; endless on those that are not its own.
fn some_cells(field: &Field, body: &Body<'_>) -> Vec<f64> {
    let [wide, high] = field.size;
    let rows = (0..high).step_by(EVERY);
    let cells = rows.flat_map(|y| (0..wide).step_by(EVERY).map(move |x| y * wide + x));
    let own = |cell| if body.owns(cell) { field.values[cell] } else { f64::INFINITY };
    cells.map(own).collect()
}

/// Area of the places that `set` leaves and the whole list does not, mm².
fn lost(areas: impl Iterator<Item = (u64, f64)>, set: u64) -> f64 {
    let left = areas.filter(|(mask, _)| *mask != 0 && mask & set == 0);
    left.map(|(_, area)| area).sum()
}

fn by_mask(areas: &BTreeMap<u64, f64>) -> impl Iterator<Item = (u64, f64)> {
    areas.iter().map(|(mask, area)| (*mask, *area))
}

struct Weighing {
    surveys: Vec<Survey>,
    paces: Vec<Pace>,
    /// Area of the part that may be left, mm².
    may_stay: f64,
    /// Area that may be the grid's, mm².
    few: f64,
}

impl Weighing {
    /// Takes off the cutter without which the work is shortest, again and again.
    fn choose(&self) -> Choice {
        let count = self.paces.len();
        let mut set = u64::MAX >> (MOST_CUTTERS - count);
        let mut minutes = self.minutes(set);
        loop {
            let without = (0..count)
                .map(|at| set & !(1 << at))
                .filter(|less| *less != set && *less != 0 && self.leaves_enough(*less))
                .map(|less| (less, self.minutes(less)))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            match without {
                Some((less, shorter)) if shorter <= minutes => {
                    set = less;
                    minutes = shorter;
                }
                _ => break,
            }
        }
        let chosen: Vec<bool> = (0..count).map(|at| set & (1 << at) != 0).collect();
        let gain =
            |at: usize| if chosen[at] { Gain::default() } else { self.gain(set, at) };
        let gains = (0..count).map(gain).collect();
        Choice { chosen, gains }
    }

    /// Whether `set` finishes all that matters of what the whole list does.
    fn leaves_enough(&self, set: u64) -> bool {
        let of_part = |it: &Survey| {
            lost(it.groups.iter().map(|(mask, group)| (*mask, group.area)), set)
        };
        let both = |of: &dyn Fn(&Survey) -> f64| self.surveys.iter().map(of).sum::<f64>();
        both(&of_part) <= self.may_stay.max(self.few)
            && both(&|it| lost(by_mask(&it.near), set)) <= 0.0
            && both(&|it| lost(by_mask(&it.beside), set)) <= self.few
    }

    /// How long both halves take with `set`, changes included.
    fn minutes(&self, set: u64) -> f64 {
        let rough = self.surveys.iter().flat_map(|survey| {
            let volumes = survey.volumes(set);
            volumes.into_iter().zip(&self.paces).map(|(volume, pace)| volume / pace.rough)
        });
        let finish = self.surveys.iter().flat_map(|survey| {
            survey.groups.iter().filter(|(mask, _)| **mask & set != 0).map(
                |(mask, group)| {
                    let first = (mask & set).trailing_zeros() as usize;
                    group.surface / self.paces[first].finish
                },
            )
        });
        let changes = CHANGE_MIN * f64::from(set.count_ones());
        rough.sum::<f64>() + finish.sum::<f64>() + changes
    }

    /// What cutter `at` would finish after `set`.
    fn gain(&self, set: u64, at: usize) -> Gain {
        let bit = 1 << at;
        let mut gain = Gain::default();
        let groups = self.surveys.iter().flat_map(|survey| &survey.groups);
        for (_, group) in
            groups.filter(|(mask, _)| **mask & bit != 0 && **mask & set == 0)
        {
            gain.area += group.area;
            gain.minutes += group.surface / self.paces[at].finish;
        }
        // Less may be the grid's.
        if gain.area <= self.few {
            return Gain::default();
        }
        gain.minutes += CHANGE_MIN;
        gain
    }
}

#[cfg(test)]
mod tests;
