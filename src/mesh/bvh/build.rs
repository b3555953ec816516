//! Builds the tree: which facets lie together.
//!
//! Ranges are cut where the surface area heuristic over a few bins says (Wald, "On fast
//! construction of SAH-based bounding volume hierarchies", 2007), the part of the
//! greatest surface first, until a node is full. Far up, whole cells of the
//! space-filling curve are sorted instead of facets. Cuts of small ranges fall on whole
//! blocks, so that nearly every block is full. No choice depends on the number of
//! threads.

use rayon::prelude::*;

use super::curve;
use super::facets::LANES;
use super::nodes::{Box32, Child, Node, WIDTH};

/// Bins along each axis; half as many for small ranges.
const BINS: usize = 16;

/// So few facets are cut in halves along their longer side.
const FEW: usize = 8;

/// Cuts of ranges of no more facets fall on whole blocks.
const SMALL: usize = 256;

/// Ranges of no more facets are sorted facet by facet.
const LOCAL: usize = 1024;

/// So deep, ranges are cut in halves: a bound to the depth, whatever the part.
const DEEP: usize = 12;

/// More than the children that wait at once in any search: seven a level, over levels of
/// [`DEEP`] and those that halve 2³² items, three cuts a level, twice: above and below
/// [`LOCAL`].
pub(super) const WAITING: usize = (WIDTH - 1) * 2 * (DEEP + 11) + 1;

/// One facet or several that follow each other on the curve.
#[derive(Clone, Copy)]
pub(super) struct Item {
    pub(super) around: Box32,
    /// Of a cell its place on the curve, of a single facet its index.
    pub(super) first: u32,
    pub(super) facets: u32,
}

impl Item {
    /// Twice the middle of the box.
    #[inline(always)]
    fn middle(&self) -> [f32; 3] {
        let ([i, j, k], [x, y, z]) = (self.around.low, self.around.high);
        [i + x, j + y, k + z]
    }
}

/// Nodes and the facets in their leaves.
#[derive(Default)]
pub(super) struct Tree {
    /// The first is the root.
    pub(super) nodes: Vec<Node>,
    /// Facets, leaf by leaf.
    pub(super) facets: Vec<u32>,
    /// Facets of each leaf.
    pub(super) counts: Vec<u8>,
}

impl Tree {
    /// The tree over facets that are sorted along the curve; `boxes` are by facet.
    pub(super) fn build(keyed: &[(u64, u32)], boxes: &[Box32]) -> Self {
        let facets = |cell: &Item| {
            let places = cell.first as usize..(cell.first + cell.facets) as usize;
            keyed[places].iter().map(|&(_, facet)| Item {
                around: boxes[facet as usize],
                first: facet,
                facets: 1,
            })
        };
        let mut cells: Vec<Item> = curve::cells(keyed)
            .into_par_iter()
            .map(|places| {
                let (first, count) = (places.start as u32, places.len() as u32);
                let cell = Item { around: Box32::EMPTY, first, facets: count };
                let around =
                    facets(&cell).fold(cell.around, |all, one| all.joined(&one.around));
                Item { around, ..cell }
            })
            .collect();
        let mut upper = Self::default();
        let mut ranges = Vec::new();
        upper.grow(Range::new(&mut cells), 0, &mut |_, range| {
            if range.items.len() > 1 && range.facets > LOCAL {
                return Err(range);
            }
            ranges.push(range.items);
            Ok(Child::leaf(ranges.len() as u32 - 1))
        });
        let lower: Vec<Self> = ranges
            .into_par_iter()
            .map(|cells| Self::build_local(cells.iter().flat_map(facets).collect()))
            .collect();
        upper.join(lower)
    }

    /// The facets of each leaf.
    pub(super) fn leaves(&self) -> Vec<&[u32]> {
        let mut rest = &self.facets[..];
        let counts = self.counts.iter().map(|&count| usize::from(count));
        counts
            .map(|count| {
                let (leaf, after) = rest.split_at(count);
                rest = after;
                leaf
            })
            .collect()
    }

    /// The tree of single facets.
    fn build_local(mut items: Vec<Item>) -> Self {
        let mut tree = Self::default();
        tree.grow(Range::new(&mut items), 0, &mut |tree, range| {
            if range.items.len() > LANES {
                return Err(range);
            }
            tree.counts.push(range.items.len() as u8);
            Ok(Child::leaf(tree.counts.len() as u32 - 1))
        });
        tree.facets = items.iter().map(|item| item.first).collect();
        tree
    }

    /// Adds the node of `range` and all below it, down to what `leaf` makes a leaf of.
    fn grow<'a>(
        &mut self,
        range: Range<'a>,
        depth: usize,
        leaf: &mut impl FnMut(&mut Self, Range<'a>) -> Result<Child, Range<'a>>,
    ) -> Child {
        let place = self.nodes.len();
        self.nodes.push(Node::empty());
        for (index, part) in range.cut_up(depth).into_iter().enumerate() {
            let around = part.around;
            let child = match leaf(self, part) {
                Ok(leaf) => leaf,
                Err(part) => self.grow(part, depth + 1, leaf),
            };
            self.nodes[place].set(index, child, &around);
        }
        Child::node(place as u32)
    }

    /// This tree with `lower[i]` in place of its leaf i.
    fn join(mut self, lower: Vec<Self>) -> Self {
        let mut starts = Vec::with_capacity(lower.len());
        let (mut nodes, mut leaves) = (self.nodes.len() as u32, 0);
        for tree in &lower {
            starts.push((nodes, leaves));
            nodes += tree.nodes.len() as u32;
            leaves += tree.counts.len() as u32;
        }
        for child in self.nodes.iter_mut().flat_map(|node| &mut node.children) {
            if child.is_leaf() && *child != Child::NONE {
                *child = Child::node(starts[child.index()].0);
            }
        }
        for (mut tree, (nodes, leaves)) in lower.into_iter().zip(starts) {
            for child in tree.nodes.iter_mut().flat_map(|node| &mut node.children) {
                *child = child.moved(nodes, leaves);
            }
            self.nodes.append(&mut tree.nodes);
            self.facets.append(&mut tree.facets);
            self.counts.append(&mut tree.counts);
        }
        self
    }
}

/// Items that one child holds.
struct Range<'a> {
    items: &'a mut [Item],
    around: Box32,
    /// Around twice the middles.
    middles: Box32,
    facets: usize,
}

impl<'a> Range<'a> {
    fn new(items: &'a mut [Item]) -> Self {
        let (mut around, mut middles, mut facets) = (Box32::EMPTY, Box32::EMPTY, 0);
        for item in &*items {
            let middle = item.middle();
            around = around.joined(&item.around);
            middles = middles.joined(&Box32 { low: middle, high: middle });
            facets += item.facets as usize;
        }
        Self { items, around, middles, facets }
    }

    /// At most [`WIDTH`] parts, in the order of the items.
    fn cut_up(self, depth: usize) -> Vec<Self> {
        let mut parts = Vec::with_capacity(WIDTH);
        parts.push(self);
        while parts.len() < WIDTH {
            let size = |part: &Self| part.gain(depth);
            let largest = (0..parts.len())
                .filter(|&part| parts[part].is_divisible())
                .max_by(|&a, &b| size(&parts[a]).total_cmp(&size(&parts[b])));
            let Some(largest) = largest else { break };
            let [low, high] = parts.remove(largest).cut(depth);
            parts.insert(largest, high);
            parts.insert(largest, low);
        }
        parts
    }

    /// How much a node gains when this part is cut: the greatest surface first. A part
    /// that fits one node by itself gains only when all of it is cut up here, so that
    /// few nodes hold few children. Below a certain depth the count decides, so that all
    /// parts get small.
    fn gain(&self, depth: usize) -> f32 {
        if depth >= DEEP {
            return self.items.len() as f32;
        }
        let blocks = self.facets.div_ceil(LANES);
        let cuts = if blocks <= WIDTH { blocks.saturating_sub(1).max(1) } else { 1 };
        self.around.half_area() / cuts as f32
    }

    /// Single facets are divided into blocks, and cells into cells.
    fn is_divisible(&self) -> bool {
        self.items.len() > if self.is_single() { LANES } else { 1 }
    }

    fn is_single(&self) -> bool {
        self.items.len() == self.facets
    }

    /// Two parts, both not empty.
    fn cut(mut self, depth: usize) -> [Self; 2] {
        let count = self.items.len();
        let best = if depth < DEEP && !(self.is_single() && count <= FEW) {
            Bins::new(&self).best_cut()
        } else {
            None
        };
        let first = match best {
            Some(cut) if count > SMALL || !self.is_single() => {
                let grid = Grid::new(&self.middles, count);
                part(self.items, |item| grid.bin(item)[cut.axis] < cut.bin)
            }
            Some(cut) => self.part_blocks(cut.axis, cut.before),
            None => {
                let size = |axis: usize| self.middles.high[axis] - self.middles.low[axis];
                let longer = |a: usize, b: usize| if size(b) > size(a) { b } else { a };
                self.part_blocks(longer(longer(0, 1), 2), count / 2)
            }
        };
        let (low, high) = self.items.split_at_mut(first);
        [Self::new(low), Self::new(high)]
    }

    /// Sorts about `before` items, of facets whole blocks, before the others along
    /// `axis`; how many.
    fn part_blocks(&mut self, axis: usize, before: usize) -> usize {
        let block = if self.is_single() { LANES } else { 1 };
        let blocks = (before + block / 2) / block;
        let before =
            (blocks * block).clamp(block, (self.items.len() - 1) / block * block);
        self.items.select_nth_unstable_by(before, |a, b| {
            a.middle()[axis].total_cmp(&b.middle()[axis]).then(a.first.cmp(&b.first))
        });
        before
    }
}

/// Moves the items for which `is_first` holds before the others; how many.
fn part(items: &mut [Item], is_first: impl Fn(&Item) -> bool) -> usize {
    let (mut low, mut high) = (0, items.len());
    while low < high {
        if is_first(&items[low]) {
            low += 1;
        } else {
            high -= 1;
            items.swap(low, high);
        }
    }
    low
}

/// Which bin a facet falls into.
struct Grid {
    low: [f32; 3],
    scale: [f32; 3],
    bins: usize,
}

impl Grid {
    fn new(middles: &Box32, items: usize) -> Self {
        let bins = if items > LOCAL { BINS } else { BINS / 2 };
        let mut scale = [0.0; 3];
        for (axis, scale) in scale.iter_mut().enumerate() {
            let size = middles.high[axis] - middles.low[axis];
            if size > 0.0 {
                *scale = bins as f32 * 0.9999 / size;
            }
        }
        Self { low: middles.low, scale, bins }
    }

    /// The bin along each axis.
    #[inline(always)]
    fn bin(&self, item: &Item) -> [usize; 3] {
        let middle = item.middle();
        let mut bins = [0; 3];
        for axis in 0..3 {
            let along = (middle[axis] - self.low[axis]) * self.scale[axis];
            bins[axis] = (along as i32 as usize).min(BINS - 1);
        }
        bins
    }
}

/// Boxes and counts of the facets in each bin, along each axis.
struct Bins {
    around: [[Box32; BINS]; 3],
    facets: [[u32; BINS]; 3],
    used: usize,
}

/// Where to cut: the facets in bins before `bin` along `axis` are `before`.
struct Cut {
    axis: usize,
    bin: usize,
    before: usize,
}

impl Bins {
    fn new(range: &Range<'_>) -> Self {
        let grid = Grid::new(&range.middles, range.items.len());
        let mut bins = Self {
            around: [[Box32::EMPTY; BINS]; 3],
            facets: [[0; BINS]; 3],
            used: grid.bins,
        };
        for item in &*range.items {
            for (axis, bin) in grid.bin(item).into_iter().enumerate() {
                let around = &mut bins.around[axis][bin];
                *around = around.joined(&item.around);
                bins.facets[axis][bin] += item.facets;
            }
        }
        bins
    }

    /// The cut with the least sum of surface times blocks; `None` when all facets fall
    /// into one bin.
    fn best_cut(&self) -> Option<Cut> {
        let mut best = (f32::INFINITY, None);
        for axis in 0..3 {
            let (around, facets) = (&self.around[axis], &self.facets[axis]);
            let mut costs = [f32::INFINITY; BINS];
            let (mut after, mut behind) = (Box32::EMPTY, 0);
            for bin in (1..self.used).rev() {
                after = after.joined(&around[bin]);
                behind += facets[bin];
                if behind > 0 {
                    costs[bin] = after.half_area() * blocks(behind);
                }
            }
            let (mut ahead, mut before) = (Box32::EMPTY, 0);
            for bin in 1..self.used {
                ahead = ahead.joined(&around[bin - 1]);
                before += facets[bin - 1];
                let cost = ahead.half_area() * blocks(before) + costs[bin];
                if before > 0 && cost < best.0 {
                    best = (cost, Some(Cut { axis, bin, before: before as usize }));
                }
            }
        }
        best.1
    }
}

fn blocks(facets: u32) -> f32 {
    facets.div_ceil(LANES as u32) as f32
}
