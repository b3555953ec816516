//! Where fronts meet: the weld lines.
//!
//! The melt came into two neighboring cells from directions that run into each other at
//! [`WELD_DEG`] or more. A line is listed with when it closed, how warm the melt was then
//! (in the middle of the front), and how thick the frozen layer was at the end: the colder,
//! the weaker. Blind to lines of a few cells; behind a hole the line ends where the two
//! streams have turned side by side.

use std::collections::BTreeMap;

use super::cells::Cells;
use super::front::Filling;
use crate::geom::{Aabb, Point, Vector};
use crate::units::{Quantity, Temperature};

/// Fronts that meet at a flatter angle weld as one (common practice: a meeting angle
/// below 135° leaves a line, which is 45° between the two directions).
pub const WELD_DEG: f64 = 45.0;

/// Lines of fewer cells are noise of the grid.
const LEAST_CELLS: usize = 4;

/// Where two fronts meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Weld {
    /// Its cells.
    pub cells: Vec<u32>,
    /// The cell middle nearest to its center, mm.
    pub at: Point,
    /// Extent, mm.
    pub length_mm: f64,
    /// Angle between the two directions, degrees; the largest along it: 180 is head on.
    pub angle_deg: f64,
    /// When the first and the last of it closed, s.
    pub time_s: [f64; 2],
    /// In the middle of the wall when the fronts met, the mean along it.
    pub temperature: Temperature,
    /// Mean share of its half gap that was frozen when filling ended.
    pub frozen: f64,
}

/// The weld lines of `filling`, longest first.
pub fn lines(cells: &Cells, filling: &Filling) -> Vec<Weld> {
    let met = met(cells, filling);
    let at: BTreeMap<[u16; 3], u32> =
        met.keys().map(|&cell| (cells.at(cell as usize), cell)).collect();
    let mut left: BTreeMap<u32, f64> = met.clone();
    let mut welds = Vec::new();
    while let Some((first, _)) = left.pop_first() {
        let mut line = vec![first];
        let mut next = 0;
        while let Some(&cell) = line.get(next) {
            next += 1;
            let own = cells.at(cell as usize);
            for step in 0..27 {
                let offset = [step / 9, step / 3 % 3, step % 3];
                let beside: [u16; 3] = std::array::from_fn(|axis| {
                    (own[axis] + offset[axis]).wrapping_sub(1)
                });
                if let Some(other) = at.get(&beside)
                    && left.remove(other).is_some()
                {
                    line.push(*other);
                }
            }
        }
        line.sort_unstable();
        if line.len() >= LEAST_CELLS {
            let own = weld(cells, filling, &met, line);
            let warm = own.cells.iter().map(|&cell| filling.front_k[cell as usize]);
            let mean = warm.sum::<f64>() / own.cells.len() as f64;
            welds.push(Weld { temperature: Temperature::from_si(mean), ..own });
        }
    }
    welds.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm));
    welds
}

/// Cells at which melt from two sides meets, with the angle, degrees.
fn met(cells: &Cells, filling: &Filling) -> BTreeMap<u32, f64> {
    let heading = |cell: u32| filling.heading[cell as usize].try_normalize(0.0);
    let mut met: BTreeMap<u32, f64> = BTreeMap::new();
    let mut below: BTreeMap<(u32, u8), u32> = BTreeMap::new();
    let mut pair = |low: u32, high: u32, axis: usize, marked: &[u32]| {
        let (Some(a), Some(b)) = (heading(low), heading(high)) else { return };
        let angle = a.dot(&b).clamp(-1.0, 1.0).acos().to_degrees();
        // They run into each other along the way from one to the other.
        let converge = 2.0 * (0.5 * WELD_DEG).to_radians().sin() * 0.7;
        if angle >= WELD_DEG
            && a[axis] - b[axis] > converge
            && a[axis] > 0.0
            && b[axis] < 0.0
        {
            for &cell in marked {
                let known = met.entry(cell).or_insert(0.0);
                *known = known.max(angle);
            }
        }
    };
    for link in &cells.links {
        pair(link.low, link.high, usize::from(link.axis), &[link.low, link.high]);
        below.insert((link.high, link.axis), link.low);
    }
    // Fronts that meet inside a cell leave it without a direction: its neighbors tell.
    for link in &cells.links {
        let Some(&low) = below.get(&(link.low, link.axis)) else { continue };
        pair(low, link.high, usize::from(link.axis), &[link.low]);
    }
    met
}

fn weld(
    cells: &Cells,
    filling: &Filling,
    met: &BTreeMap<u32, f64>,
    line: Vec<u32>,
) -> Weld {
    let count = line.len() as f64;
    let places: Vec<Point> =
        line.iter().map(|&cell| cells.middle(cell as usize)).collect();
    let middle = places.iter().map(|place| place.coords).sum::<Vector>() / count;
    let away = |place: &&Point| (place.coords - middle).norm_squared();
    let nearest = places.iter().min_by(|a, b| away(a).total_cmp(&away(b)));
    let times = line.iter().filter_map(|&cell| filling.arrival_s[cell as usize]);
    let span =
        times.fold([f64::INFINITY, 0.0_f64], |[low, high], t| [low.min(t), high.max(t)]);
    let frozen =
        line.iter().map(|&cell| filling.frozen[cell as usize]).sum::<f64>() / count;
    Weld {
        at: nearest.copied().unwrap_or_default(),
        length_mm: Aabb::around(&places).diagonal(),
        angle_deg: line
            .iter()
            .filter_map(|cell| met.get(cell))
            .fold(0.0, |a, &b| a.max(b)),
        time_s: span,
        temperature: Temperature::default(),
        frozen,
        cells: line,
    }
}
