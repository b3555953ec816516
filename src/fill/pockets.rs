//! Where the melt comes last, and where it shuts in air.
//!
//! Going back in time from the last place to fill, the empty cells grow together. Where
//! two such regions part, or the front passes the last vent of one, its air is shut in.
//! Blind to pockets of a few cells, to leaks at loose inserts and pins, and to what
//! pressed air does to the front.

use super::cells::Cells;
use super::front::Filling;
use crate::geom::Point;

/// Pockets smaller than this share of the part are noise of the grid.
const LEAST_SHARE: f64 = 5e-4;

/// What lets the air out of a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Air {
    /// Nothing was said of vents, and the place is cut off from the last one to fill.
    ShutIn,
    /// Nothing was said of vents, and it is the last place to fill.
    Last,
    /// A vent lets it out to the end.
    Vented,
    /// The front passed the last vent too early.
    PastVent,
}

/// A place that fills last, of all or of its surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pocket {
    /// The last corner, mm.
    pub at: Point,
    /// When it filled, s; `None` when it never did.
    pub time_s: Option<f64>,
    /// When the front had cut it off from other empty places or from its last vent, s.
    pub closed_s: f64,
    /// What was still empty then, mm³.
    pub volume_mm3: f64,
    /// What happens to its air.
    pub air: Air,
}

/// Whether air gets out at a place of the part.
pub type Vents<'a> = &'a (dyn Fn(&Point) -> bool + Sync);

/// The last places to fill, those that shut in the most air first. `vents` says at which
/// cell middles air gets out, as along the parting line.
pub fn pockets(
    cells: &Cells,
    filling: &Filling,
    vents: Option<Vents<'_>>,
) -> Vec<Pocket> {
    let when = when(cells, filling);
    let mut order: Vec<u32> = (0..cells.len() as u32).collect();
    order.sort_by(|&a, &b| when[b as usize].total_cmp(&when[a as usize]).then(a.cmp(&b)));
    let beside = cells.neighbors();
    let mut empty = Empty {
        cells,
        filling,
        when: &when,
        vents_are_known: vents.is_some(),
        name: vec![NONE; cells.len()],
        volume: vec![0.0; cells.len()],
        vented: vec![false; cells.len()],
        pockets: Vec::new(),
    };
    for &cell in &order {
        let vented = vents.is_some_and(|vents| vents(&cells.middle(cell as usize)));
        empty.add(cell, &beside[cell as usize], vented);
    }
    empty.end(&order);
    let least = LEAST_SHARE * cells.total_mm3();
    let mut pockets = empty.pockets;
    pockets.retain(|pocket| pocket.volume_mm3 >= least || pocket.air == Air::Last);
    pockets.sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
    pockets
}

/// When each cell fills; where the melt never came, later the farther from it.
fn when(cells: &Cells, filling: &Filling) -> Vec<f64> {
    let mut when: Vec<f64> =
        filling.arrival_s.iter().map(|time| time.unwrap_or(f64::INFINITY)).collect();
    let later = 1e-6 * filling.time_s + 1e-12;
    for round in 1..=cells.len() {
        let reached: Vec<u32> = cells
            .links
            .iter()
            .filter_map(|link| {
                let is_known =
                    [link.low, link.high].map(|c| when[c as usize].is_finite());
                match is_known {
                    [true, false] => Some(link.high),
                    [false, true] => Some(link.low),
                    _ => None,
                }
            })
            .collect();
        if reached.is_empty() {
            break;
        }
        for cell in reached {
            when[cell as usize] = filling.time_s + later * round as f64;
        }
    }
    when
}

const NONE: u32 = u32::MAX;

/// Regions of empty cells, growing back in time. A region is named by its last cell.
struct Empty<'a> {
    cells: &'a Cells,
    filling: &'a Filling,
    when: &'a [f64],
    /// Whether the vents are known.
    vents_are_known: bool,
    /// From each cell a step towards the name of its region.
    name: Vec<u32>,
    /// Volume of the region that a cell names, mm³.
    volume: Vec<f64>,
    /// Whether that region has a vent.
    vented: Vec<bool>,
    pockets: Vec<Pocket>,
}

impl Empty<'_> {
    fn region(&mut self, mut cell: u32) -> u32 {
        while self.name[cell as usize] != cell {
            let above = self.name[self.name[cell as usize] as usize];
            self.name[cell as usize] = above;
            cell = above;
        }
        cell
    }

    /// Adds the next cell back in time.
    fn add(&mut self, cell: u32, beside: &[u32], vented: bool) {
        let empty = beside.iter().filter(|&&other| self.name[other as usize] != NONE);
        let empty: Vec<u32> = empty.copied().collect();
        let mut regions: Vec<u32> =
            empty.into_iter().map(|other| self.region(other)).collect();
        // The region that fills last keeps its name.
        regions.sort_by(|&a, &b| {
            self.when[b as usize].total_cmp(&self.when[a as usize]).then(a.cmp(&b))
        });
        regions.dedup();
        let volume = self.cells.volume_mm3[cell as usize];
        let Some((&eldest, younger)) = regions.split_first() else {
            self.name[cell as usize] = cell;
            self.volume[cell as usize] = volume;
            self.vented[cell as usize] = vented;
            return;
        };
        let any_vented = vented || regions.iter().any(|&r| self.vented[r as usize]);
        if self.vents_are_known && any_vented && !self.vented[eldest as usize] {
            self.close(eldest, cell, Air::PastVent);
        }
        for &region in younger {
            let air = match (self.vents_are_known, self.vented[region as usize]) {
                (false, _) => Air::ShutIn,
                (true, true) => Air::Vented,
                (true, false) => Air::PastVent,
            };
            self.close(region, cell, air);
            self.name[region as usize] = eldest;
            self.volume[eldest as usize] += self.volume[region as usize];
        }
        self.name[cell as usize] = eldest;
        self.volume[eldest as usize] += volume;
        self.vented[eldest as usize] |= any_vented;
    }

    /// Lists `region` as it was when `cell` filled.
    fn close(&mut self, region: u32, cell: u32, air: Air) {
        let at = region as usize;
        self.pockets.push(Pocket {
            at: self.cells.middle(at),
            time_s: self.filling.arrival_s[at],
            closed_s: self.when[cell as usize].min(self.filling.time_s),
            volume_mm3: self.volume[at],
            air,
        });
    }

    /// Lists what is left when all has grown together: the last place of each body.
    fn end(&mut self, order: &[u32]) {
        let Some(&first) = order.last() else { return };
        for &cell in order {
            let is_listed =
                self.pockets.iter().any(|p| p.at == self.cells.middle(cell as usize));
            if self.name[cell as usize] == cell && !is_listed {
                let air = match (self.vents_are_known, self.vented[cell as usize]) {
                    (false, _) => Air::Last,
                    (true, true) => Air::Vented,
                    (true, false) => Air::PastVent,
                };
                self.close(cell, first, air);
            }
        }
    }
}
