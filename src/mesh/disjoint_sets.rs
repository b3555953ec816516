//! Disjoint sets of numbers: which facets, edges or samples hang together.

/// Sets with path halving; the least member of a set is its root.
///
/// The root does not depend on the order of joining, so neither does what is numbered by it.
#[derive(Clone, Debug)]
pub struct DisjointSets {
    // Facets and samples are counted in u32; half the memory of usize.
    parents: Vec<u32>,
}

impl DisjointSets {
    /// The members from 0 to `count`, each alone.
    pub fn new(count: usize) -> Self {
        let count = count as u32;
        Self { parents: (0..count).collect() }
    }

    /// The least member of the set that holds `member`.
    pub fn root(&mut self, mut member: usize) -> usize {
        while self.parents[member] as usize != member {
            self.parents[member] = self.parents[self.parents[member] as usize];
            member = self.parents[member] as usize;
        }
        member
    }

    /// Makes the sets of `a` and `b` one.
    pub fn join(&mut self, a: usize, b: usize) {
        let [a, b] = [self.root(a), self.root(b)];
        self.parents[a.max(b)] = a.min(b) as u32;
    }

    /// The number of the set of each member, counted by least members, and how many sets
    /// there are.
    pub fn numbered(mut self) -> (Vec<u32>, usize) {
        let mut count = 0;
        let mut number = vec![0; self.parents.len()];
        for member in 0..number.len() {
            let root = self.root(member);
            if root == member {
                number[member] = count;
                count += 1;
            } else {
                number[member] = number[root];
            }
        }
        (number, count as usize)
    }

    /// The sets as their members, ascending, in the order of their least members.
    pub fn groups(self) -> Vec<Vec<usize>> {
        let (number, count) = self.numbered();
        let mut groups = vec![Vec::new(); count];
        for (member, set) in number.into_iter().enumerate() {
            groups[set as usize].push(member);
        }
        groups
    }
}

#[cfg(test)]
mod tests {
    use super::DisjointSets;

    #[test]
    fn joined_members_share_the_least_of_them() {
        let mut sets = DisjointSets::new(7);
        for [a, b] in [[5, 3], [6, 5], [1, 2], [3, 6], [4, 4]] {
            sets.join(a, b);
        }
        let roots: Vec<usize> = (0..7).map(|member| sets.root(member)).collect();
        assert_eq!(roots, [0, 1, 1, 3, 4, 3, 3]);
        assert_eq!(sets.clone().groups(), [vec![0], vec![1, 2], vec![3, 5, 6], vec![4]]);
        assert_eq!(sets.numbered(), (vec![0, 1, 1, 2, 3, 2, 2], 4));
    }

    proptest::proptest! {
        /// However members are joined, two are in one set if and only if a chain of pairs
        /// leads from one to the other.
        #[test]
        fn sets_are_what_pairs_reach(
            pairs in proptest::collection::vec((0..12_usize, 0..12_usize), 0..12)
        ) {
            let mut sets = DisjointSets::new(12);
            // The least member that each can reach, spread until nothing changes.
            let mut least: Vec<usize> = (0..12).collect();
            for &(a, b) in &pairs {
                sets.join(a, b);
            }
            for _ in 0..12 {
                for &(a, b) in &pairs {
                    let low = least[a].min(least[b]);
                    (least[a], least[b]) = (low, low);
                }
            }
            let roots: Vec<usize> = (0..12).map(|member| sets.root(member)).collect();
            assert_eq!(roots, least);
        }
    }
}
