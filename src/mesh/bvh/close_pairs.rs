//! Which facets lie near each other.

use rayon::prelude::*;

use super::nodes::{Box32, Child};
use super::{Bvh, padded_box};

/// Pairs of facets whose boxes touch, each pair once.
pub(super) fn find(bvh: &Bvh) -> impl ParallelIterator<Item = (u32, u32)> {
    (0..bvh.blocks.len()).into_par_iter().flat_map_iter(|block| {
        let mut pairs = Vec::new();
        let own = facet_boxes(bvh, block);
        let around = own.iter().fold(Box32::EMPTY, |all, (_, own)| all.joined(own));
        let mut waiting = vec![Child::node(0)];
        while let Some(child) = waiting.pop() {
            if !child.is_leaf() {
                waiting.extend(bvh.nodes[child.index()].touching(&around));
            } else if child.index() >= block {
                let others = facet_boxes(bvh, child.index());
                let skip =
                    |first: usize| if child.index() == block { first + 1 } else { 0 };
                for (first, (a, box_of_a)) in own.iter().enumerate() {
                    let later = others.iter().skip(skip(first));
                    let touching = later.filter(|(_, other)| other.touches(box_of_a));
                    pairs.extend(touching.map(|(b, _)| (*a, *b)));
                }
            }
        }
        pairs
    })
}

/// The facets of a block with their boxes.
fn facet_boxes(bvh: &Bvh, block: usize) -> Vec<(u32, Box32)> {
    let block = &bvh.blocks[block];
    let facet = |lane: usize| (block.facets[lane], padded_box(&block.corners(lane), 0.0));
    (0..block.len()).map(facet).collect()
}
