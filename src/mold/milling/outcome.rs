//! Both halves after the whole set: the places where metal is left and what would take it,
//! which cutters are needed and for how long, and the part as it will come out.

use crate::geom::{Direction, Point};
use crate::mesh::TriMesh;
use crate::mold::milling::cutter_sequence::{self, Cut};
use crate::mold::milling::cutter_use::Use;
use crate::mold::milling::grid::{Grid, NoHalves};
use crate::mold::milling::height_field::Field;
use crate::mold::milling::leftover::{self, BLUR_CELLS, REPORTED_CELLS};
use crate::mold::milling::smallest_set::{self, Choice, Limits};
use crate::mold::milling::{cutter::Cutter, halves::Halves};
use crate::part::halves::Half;
use crate::part::parting::Parting;

/// Cells of a grid where the user does not say: both halves within a second or so.
pub const CELLS: f64 = 200_000.0;
/// No finer than this unless asked for, mm: a router does not repeat better.
const FINEST_MM: f64 = 0.05;
/// More metal than this is a part of another shape, mm (judgment); less rounds an edge.
pub const FAR_TOO_MUCH_MM: f64 = 1.0;
/// Less metal than this is not reported, mm: a file takes it off.
const LEAST_LEFT_MM: f64 = 0.1;
/// A place thinner than so many cells, within so many radii of its cutter from a thicker
/// one, is the grid's: the round of a cutter runs out there along the wall.
const RUNOUT_CELLS: f64 = 4.0;
const RUNOUT_RADII: f64 = 1.5;

/// How fine the grid is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum CellSize {
    /// As fine as [`CELLS`] cells are.
    #[default]
    Budget,
    /// This edge, mm.
    Edge(f64),
}

/// What would take the metal.
#[derive(Clone, Debug, PartialEq)]
pub enum Cure {
    /// A cutter of the list that is not worth a change for what it would take.
    Further {
        /// Which one.
        cutter: usize,
        /// Its reach.
        reach: f64,
    },
    /// A cutter of the list, if it reached this far, mm.
    Longer {
        /// Which one.
        cutter: usize,
        /// Its reach.
        reach: f64,
    },
    /// A flat cutter of this radius with this reach, mm.
    Narrower {
        /// The widest that fits.
        radius: f64,
        /// Its reach.
        reach: f64,
    },
    /// Nothing round that the grid can tell: an insert, or a radius on the part.
    Insert,
}

/// A place that no cutter of the list reaches.
#[derive(Clone, Debug)]
pub struct Unreached {
    /// In which half.
    pub half: Half,
    /// Thickest metal there, mm.
    pub left: f64,
    /// Its area seen along the spindle, mm².
    pub area: f64,
    /// Its volume, mm³.
    pub volume: f64,
    /// Where it is thickest, on the wanted surface.
    pub at: Point,
    /// Depth of that place below what stands around it within the holder, mm.
    pub depth: f64,
    /// Whether it stands on the parting surface, where it keeps the halves apart.
    pub on_parting: bool,
    /// Radius of the cutter that comes nearest: what the edge of the part comes out with, mm.
    pub radius: f64,
    /// The part there along the pull, as drawn and as milled, mm; nothing where the halves
    /// meet.
    pub wall: [f64; 2],
    /// What would take it.
    pub cure: Cure,
}

/// Both halves after the whole set.
#[derive(Clone, Debug)]
pub struct MillingOutcome {
    /// The halves as wanted.
    pub halves: Halves,
    /// The + half after the set.
    pub plus: Cut,
    /// The − half after the set.
    pub minus: Cut,
    /// Metal that is thinner is not reported, mm.
    pub limit: f64,
    /// Where more is left, thickest first.
    pub unreached: Vec<Unreached>,
    /// The cutters that are used, and what the others would take.
    choice: Choice,
    /// One entry a cutter.
    pub uses: Vec<Use>,
    /// Plastic that the metal left takes away, mm³.
    pub lost: f64,
    /// The cells of the places where metal is left in the + half and in the − half.
    listed: [Vec<bool>; 2],
}

/// Sends the cutters of `list` over the halves for a part.
///
/// # Errors
/// When the halves are not known, or the grid is too fine.
pub fn simulate(
    mesh: &TriMesh,
    parting: &Parting,
    pull: Direction,
    list: &[Cutter],
    size: CellSize,
) -> Result<MillingOutcome, NoHalves> {
    let widest = list.iter().map(Cutter::widest).fold(0.0, f64::max);
    let cell = match size {
        CellSize::Edge(cell) => cell,
        CellSize::Budget => budget(mesh, pull, widest)?,
    };
    let grid = Grid::over(mesh, pull, cell, widest)?;
    Ok(after(Halves::from_part(mesh, parting, grid)?, list))
}

/// Sends the cutters of `list` over `halves`.
pub fn after(halves: Halves, list: &[Cutter]) -> MillingOutcome {
    let cell = halves.grid.cell;
    let [finished, limit] =
        [BLUR_CELLS, REPORTED_CELLS].map(|cells| (cells * cell).max(LEAST_LEFT_MM));
    let limits = Limits { finished, far: FAR_TOO_MUCH_MM };
    let choice = smallest_set::choose(&halves, list, limits);
    let chosen = &choice.chosen[..];
    let one = |half: Half| {
        cutter_sequence::run(&halves.bodies(half), list, chosen, cell, finished)
    };
    let (plus, minus) = rayon::join(|| one(Half::Plus), || one(Half::Minus));
    let mut milled = MillingOutcome {
        halves,
        plus,
        minus,
        limit,
        choice,
        unreached: Vec::new(),
        uses: Vec::new(),
        lost: 0.0,
        listed: [Vec::new(), Vec::new()],
    };
    milled.uses =
        (0..).zip(list).map(|(at, it)| milled.use_in(&Half::BOTH, at, it)).collect();
    let Unmilled { unreached, lost, listed } = milled.find_unreached(list);
    milled.unreached = unreached;
    milled.lost = lost;
    milled.listed = listed;
    milled
}

/// The edge of a cell at which the grid has about [`CELLS`] cells, to a hundredth of a mm.
fn budget(mesh: &TriMesh, pull: Direction, margin: f64) -> Result<f64, NoHalves> {
    let coarse =
        Grid::over(mesh, pull, (mesh.bounds().diagonal() / 64.0).max(1e-3), margin)?;
    let edges = coarse.size.map(|count| count as f64 * coarse.cell);
    Ok(size_for(edges, CELLS))
}

/// The edge at which a grid with these edges has about so many cells, to a hundredth of a mm.
pub fn size_for(edges: [f64; 2], cells: f64) -> f64 {
    let cell = (edges[0] * edges[1] / cells).sqrt();
    (cell * 100.0).ceil().max(FINEST_MM * 100.0) / 100.0
}

/// What is left in both halves, as in [`MillingOutcome`].
struct Unmilled {
    unreached: Vec<Unreached>,
    lost: f64,
    listed: [Vec<bool>; 2],
}

impl MillingOutcome {
    /// Edge of a cell, mm.
    pub fn cell(&self) -> f64 {
        self.halves.grid.cell
    }

    /// Whether metal at `cell` is reported: the steps of a stepped parting are not.
    pub fn judged(&self, cell: usize) -> bool {
        self.halves.filled[cell] || self.halves.flat
    }

    /// Volume of the places that no cutter reaches in `half`, mm³.
    pub fn left_in(&self, half: Half) -> f64 {
        let own = self.unreached.iter().filter(|place| place.half == half);
        own.map(|place| place.volume).sum()
    }

    /// The thickest place that no cutter reaches, on the parting surface or beside it.
    pub fn worst(&self, on_parting: bool) -> Option<&Unreached> {
        self.unreached.iter().find(|place| place.on_parting == on_parting)
    }

    /// One half after the set.
    pub fn cut(&self, half: Half) -> &Cut {
        match half {
            Half::Plus => &self.plus,
            Half::Minus => &self.minus,
        }
    }

    /// The least inside radius that the halves ask for, as far as the cells show, mm: that of
    /// the smallest cutter that is needed or missing; nothing where only an insert does.
    pub fn smallest_radius(&self, list: &[Cutter]) -> Option<f64> {
        let missing = self.unreached.iter().map(|place| match place.cure {
            Cure::Further { cutter, .. } | Cure::Longer { cutter, .. } => {
                list[cutter].radius()
            }
            Cure::Narrower { radius, .. } => radius,
            Cure::Insert => 0.0,
        });
        let needed = self.uses.iter().zip(list).filter(|(it, _)| it.needed);
        let needed = needed.map(|(_, cutter)| cutter.radius());
        missing.chain(needed).min_by(f64::total_cmp)
    }

    /// The greatest depth over diameter of a cutter that is needed.
    pub fn deepest_ratio(&self) -> Option<f64> {
        let needed = self.uses.iter().filter(|it| it.needed);
        needed.map(|it| it.ratio).max_by(f64::total_cmp)
    }

    /// What cutter `at` of the list is for in these halves.
    pub fn use_in(&self, halves: &[Half], at: usize, cutter: &Cutter) -> Use {
        let turns = halves.iter().map(|half| &self.cut(*half).turns[at]);
        Use::of(cutter, &turns.collect::<Vec<_>>(), &self.choice, at)
    }

    /// Whether the plastic at `at` comes out; `None` beside the part, seen along the pull.
    pub fn stays(&self, at: &Point) -> Option<bool> {
        let grid = &self.halves.grid;
        let cell = grid.cell_at(grid.frame.flatten(at))?;
        let height = grid.frame.height(at);
        let is_part = self.halves.filled[cell]
            && height >= self.halves.minus.values[cell]
            && -height >= self.halves.plus.values[cell];
        is_part.then(|| !self.is_metal(at))
    }

    /// Whether metal is left at `at`, in the plastic as drawn.
    pub fn is_metal(&self, at: &Point) -> bool {
        let grid = &self.halves.grid;
        let Some(cell) = grid.cell_at(grid.frame.flatten(at)) else { return false };
        let height = grid.frame.height(at);
        [(Half::Plus, -height), (Half::Minus, height)].into_iter().zip(&self.listed).any(
            |((half, height), listed)| {
                listed.get(cell) == Some(&true)
                    && height < self.cut(half).cut.values[cell]
            },
        )
    }

    /// The places that no cutter reaches, and the plastic that they take away.
    fn find_unreached(&self, list: &[Cutter]) -> Unmilled {
        let area = self.cell().powi(2);
        let mut all = Vec::new();
        let mut lost = vec![0.0_f64; self.halves.filled.len()];
        let mut listed = [(); 2].map(|()| vec![false; self.halves.filled.len()]);
        for half in [Half::Plus, Half::Minus] {
            let cut = self.cut(half);
            let wanted = self.halves.half(half);
            let around = cutter_sequence::highest_within(
                wanted,
                list.iter().map(|it| it.holder / 2.0).fold(0.0, f64::max),
                self.cell(),
            );
            let mut thick: Vec<usize> = Vec::new();
            // What stands on the parting is listed apart: there it keeps the halves apart.
            let places = [false, true].into_iter().flat_map(|on_parting| {
                leftover::places(&cut.left, self.limit, 0.2 * self.cell(), |it| {
                    self.judged(it) && self.halves.filled[it] != on_parting
                })
            });
            for place in places {
                let reach =
                    RUNOUT_RADII * list[cut.nearest[place.worst] as usize].radius();
                let is_near = |other: &usize| self.apart([*other, place.worst]) < reach;
                if place.left < RUNOUT_CELLS * self.cell() && thick.iter().any(is_near) {
                    continue;
                }
                thick.push(place.worst);
                let up = |cell: &usize| cut.cut.values[*cell] - wanted.values[*cell];
                let listed = &mut listed[usize::from(half == Half::Minus)];
                for cell in place.cells.iter().filter(|&&cell| self.halves.filled[cell]) {
                    lost[*cell] += up(cell);
                    listed[*cell] = true;
                }
                let depth = around.values[place.worst] - wanted.values[place.worst];
                all.push(Unreached {
                    half,
                    left: place.left,
                    area: place.cells.len() as f64 * area,
                    volume: place.cells.iter().map(up).sum::<f64>() * area,
                    at: self.halves.point(half, place.worst, wanted.values[place.worst]),
                    depth,
                    on_parting: !self.halves.filled[place.worst],
                    radius: list[cut.nearest[place.worst] as usize].radius(),
                    wall: self.wall(place.worst),
                    cure: self.cure(list, half, place.core, depth),
                });
            }
        }
        all.sort_by(|a, b| b.left.total_cmp(&a.left));
        let gone =
            lost.iter().enumerate().map(|(cell, lost)| lost.min(self.wall(cell)[0]));
        Unmilled { unreached: all, lost: gone.sum::<f64>() * area, listed }
    }

    /// Between the middles of two cells, mm.
    fn apart(&self, cells: [usize; 2]) -> f64 {
        let [a, b] = cells.map(|cell| self.halves.plus.place(cell));
        self.cell() * (a[0] as f64 - b[0] as f64).hypot(a[1] as f64 - b[1] as f64)
    }

    /// The part at `cell` along the pull, as drawn and as milled, mm.
    pub fn wall(&self, cell: usize) -> [f64; 2] {
        let gap = |plus: &Field, minus: &Field| -plus.values[cell] - minus.values[cell];
        let drawn = gap(&self.halves.plus, &self.halves.minus).max(0.0);
        [drawn, gap(&self.plus.cut, &self.minus.cut).clamp(0.0, drawn)]
    }

    /// The mildest thing that would leave nothing at a place.
    fn cure(&self, list: &[Cutter], half: Half, worst: usize, depth: f64) -> Cure {
        let wanted = self.halves.half(half);
        let cell = self.cell();
        let clears = |cutter: &Cutter| {
            let reach = (2.0 * cutter.widest() / cell) as usize + 3;
            let (near, at) = wanted.window(worst, reach);
            let cut = cutter_sequence::endless(&near, cutter, cell);
            leftover::thickness(&near, &cut, cell).values[at] <= self.limit
        };
        let is_short = |cutter: &Cutter| cutter.reach < depth || cutter.stickout < depth;
        let further = (0..list.len()).find(|&at| {
            !self.choice.chosen[at] && !is_short(&list[at]) && clears(&list[at])
        });
        if let Some(cutter) = further {
            return Cure::Further { cutter, reach: list[cutter].reach };
        }
        let longer = list.iter().position(|cutter| is_short(cutter) && clears(cutter));
        if let Some(cutter) = longer {
            return Cure::Longer { cutter, reach: depth };
        }
        let least = list.iter().map(Cutter::radius).fold(f64::INFINITY, f64::min);
        // Down to where a disc is hardly larger than a cell.
        let steps = (0..24).map(|step| least * 0.9_f64.powi(step));
        let fits = steps.take_while(|radius| *radius >= 1.5 * cell).find(|&radius| {
            let flat = Cutter {
                diameter: 2.0 * radius,
                corner: 0.0,
                taper: 0.0,
                ..list[0].clone()
            };
            clears(&flat)
        });
        // Half a cell was taken off each side of it.
        let radius = fits.map(|radius| radius - 0.5 * cell);
        radius.map_or(Cure::Insert, |radius| Cure::Narrower { radius, reach: depth })
    }
}
