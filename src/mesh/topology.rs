//! Edges → facets, and the patches and bodies that they make.
//!
//! An edge of a sound solid has two facets, which run along it in opposite directions. The
//! sum of directions along an edge, its [`Edge::net`], is zero wherever the surface is
//! closed, however many facets meet there: a mesh whose every edge has a net of zero
//! encloses a volume.

use super::disjoint_sets::DisjointSets;

/// One facet at one edge: 29 bits of facet, two of side, one of direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Use {
    far: u32,
    code: u32,
}

/// More facets than this have no room in a [`Use`].
pub const MOST_FACETS: usize = (1 << 29) - 1;

impl Use {
    /// The facet.
    pub fn facet(self) -> usize {
        (self.code >> 3) as usize
    }

    /// Which of its sides: side *i* runs from corner *i* to corner *i + 1*.
    pub fn side(self) -> usize {
        (self.code >> 1 & 3) as usize
    }

    /// Whether the side runs from the lower vertex index to the higher one.
    pub fn forward(self) -> bool {
        self.code & 1 == 1
    }
}

/// An edge and the facets along it.
#[derive(Clone, Copy, Debug)]
pub struct Edge<'a> {
    /// The lower vertex index.
    pub low: u32,
    /// The higher vertex index.
    pub high: u32,
    /// The facets, in file order.
    pub uses: &'a [Use],
}

impl Edge<'_> {
    /// Sides that run forward less sides that run backward.
    pub fn net(&self) -> i64 {
        self.uses.iter().map(|one| if one.forward() { 1 } else { -1 }).sum()
    }
}

/// Every edge with its facets, sorted by vertex index.
#[derive(Clone, Debug, Default)]
pub struct Edges {
    /// Where the uses of each lower vertex begin.
    starts: Vec<u32>,
    uses: Vec<Use>,
}

impl Edges {
    /// The edges of `facets` over `points` vertices. Facets that name a vertex twice have
    /// none; facets beyond [`MOST_FACETS`] are left out.
    pub fn collect(facets: &[[u32; 3]], points: usize) -> Self {
        let facets = &facets[..facets.len().min(MOST_FACETS)];
        let mut starts = vec![0_u32; points + 1];
        for (low, _) in facets.iter().flat_map(sides) {
            starts[low as usize + 1] += 1;
        }
        for i in 0..points {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let total = starts[points] as usize;
        let mut uses = vec![Use { far: 0, code: 0 }; total];
        for (facet, corners) in (0_u32..).zip(facets) {
            for (low, mut one) in sides(corners) {
                one.code |= facet << 3;
                let slot = &mut next[low as usize];
                uses[*slot as usize] = one;
                *slot += 1;
            }
        }
        for pair in starts.windows(2) {
            uses[pair[0] as usize..pair[1] as usize].sort_unstable();
        }
        Self { starts, uses }
    }

    /// Edges in the order of their vertices.
    pub fn iter(&self) -> impl Iterator<Item = Edge<'_>> {
        (0_u32..).zip(self.starts.windows(2)).flat_map(|(low, pair)| {
            let around = &self.uses[pair[0] as usize..pair[1] as usize];
            around.chunk_by(|a, b| a.far == b.far).map(move |uses| Edge {
                low,
                high: uses[0].far,
                uses,
            })
        })
    }

    /// The facets along the edge between two vertices.
    pub fn between(&self, a: u32, b: u32) -> &[Use] {
        let (low, high) = (a.min(b) as usize, a.max(b));
        let (Some(&from), Some(&to)) = (self.starts.get(low), self.starts.get(low + 1))
        else {
            return &[];
        };
        let around = &self.uses[from as usize..to as usize];
        let begin = around.partition_point(|one| one.far < high);
        let end = around.partition_point(|one| one.far <= high);
        &around[begin..end]
    }

    /// Vertices of edges with an odd number of facets, in ascending order: where the
    /// surface cannot be closed as it stands.
    pub fn open_vertices(&self) -> Vec<u32> {
        let odd = self.iter().filter(|edge| edge.uses.len() % 2 == 1);
        let mut vertices: Vec<u32> = odd.flat_map(|edge| [edge.low, edge.high]).collect();
        vertices.sort_unstable();
        vertices.dedup();
        vertices
    }

    /// How many edges have an odd number of facets.
    pub fn open_edges(&self) -> usize {
        self.iter().filter(|edge| edge.uses.len() % 2 == 1).count()
    }

    /// Whether every edge has a net of zero.
    pub fn balanced(&self) -> bool {
        self.iter().all(|edge| edge.net() == 0)
    }
}

/// The lower vertex of each side and its use, still without the facet.
fn sides(corners: &[u32; 3]) -> impl Iterator<Item = (u32, Use)> + use<> {
    let [a, b, c] = *corners;
    let whole = a != b && b != c && c != a;
    let sides = [(a, b), (b, c), (c, a)];
    (0_u32..).zip(sides).filter(move |_| whole).map(|(side, (from, to))| {
        let forward = from < to;
        let code = side << 1 | u32::from(forward);
        (from.min(to), Use { far: from.max(to), code })
    })
}

/// Which body each facet belongs to: facets that share an edge belong together, but two
/// solids that only touch along an edge, where more than two facets meet, stay apart as
/// long as each is closed there by itself. Numbered in file order.
pub fn bodies(facets: usize, edges: &Edges) -> (Vec<u32>, usize) {
    let mut groups = DisjointSets::new(facets);
    for edge in edges.iter().filter(|edge| edge.uses.len() == 2) {
        groups.join(edge.uses[0].facet(), edge.uses[1].facet());
    }
    let several: Vec<_> = edges.iter().filter(|edge| edge.uses.len() > 2).collect();
    // Patches are compared as they stand before any is joined here, so that the outcome
    // does not hang on the order of edges.
    let patches: Vec<Vec<(usize, bool)>> =
        several.iter().map(|edge| patches_at(edge, &mut groups)).collect();
    for at_edge in patches {
        let open: Vec<usize> = at_edge
            .iter()
            .filter(|(_, closed)| !closed)
            .map(|(facet, _)| *facet)
            .collect();
        for pair in open.windows(2) {
            groups.join(pair[0], pair[1]);
        }
    }
    groups.numbered()
}

/// One facet of each patch at `edge`, and whether the patch is closed there by itself.
fn patches_at(edge: &Edge<'_>, groups: &mut DisjointSets) -> Vec<(usize, bool)> {
    let mut found: Vec<(usize, i64)> = edge
        .uses
        .iter()
        .map(|one| (groups.root(one.facet()), if one.forward() { 1 } else { -1 }))
        .collect();
    found.sort_unstable();
    found
        .chunk_by(|a, b| a.0 == b.0)
        .map(|patch| (patch[0].0, patch.iter().map(|(_, way)| way).sum::<i64>() == 0))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{Edges, bodies};

    const TETRAHEDRON: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];

    #[test]
    fn a_tetrahedron_has_six_balanced_edges() {
        let edges = Edges::collect(&TETRAHEDRON, 4);
        assert_eq!(edges.iter().count(), 6);
        assert!(edges.iter().all(|edge| edge.uses.len() == 2 && edge.net() == 0));
        assert_eq!(edges.between(3, 1).len(), 2);
        assert!(edges.open_vertices().is_empty());
        for edge in edges.iter() {
            for one in edge.uses {
                let corners = TETRAHEDRON[one.facet()];
                let from = corners[one.side()];
                let to = corners[(one.side() + 1) % 3];
                assert_eq!((from.min(to), from.max(to)), (edge.low, edge.high));
                assert_eq!(from < to, one.forward());
            }
        }
    }

    #[test]
    fn a_missing_facet_leaves_three_open_edges() {
        let edges = Edges::collect(&TETRAHEDRON[1..], 4);
        assert_eq!((edges.open_edges(), edges.open_vertices()), (3, vec![0, 1, 2]));
        assert!(!edges.balanced());
    }

    #[test]
    fn solids_that_touch_at_an_edge_are_two_bodies() {
        // A second tetrahedron over the edge 0–1, with vertices 4 and 5 of its own.
        let second = [[0, 4, 1], [0, 1, 5], [1, 4, 5], [4, 0, 5]];
        let both = [TETRAHEDRON, second].concat();
        let edges = Edges::collect(&both, 6);
        assert!(edges.balanced());
        assert_eq!(bodies(8, &edges), (vec![0, 0, 0, 0, 1, 1, 1, 1], 2));
        // A fin on that edge joins neither.
        let fin = [both, vec![[0, 1, 6]]].concat();
        assert_eq!(bodies(9, &Edges::collect(&fin, 7)).1, 3);
    }
}
