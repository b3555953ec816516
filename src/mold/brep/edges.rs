//! The edges between faces: where two regions meet, corners that lie on a straight line left out.

use super::net::Net;

/// Corners that lie nearer to a straight line are left out of it, mm.
const STRAIGHT_MM: f64 = 2e-6;

/// What becomes of a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Corner {
    /// Not settled yet.
    Open,
    /// An edge ends here.
    Kept,
    /// It lies on an edge.
    Dropped,
}

/// The edges of a net between its regions.
pub(super) struct Edges {
    /// The half edges of each edge, in its direction.
    pub(super) chains: Vec<Vec<u32>>,
    /// The edge of each half edge between regions, and whether it runs as the edge does.
    of: Vec<(u32, bool)>,
}

const NONE: u32 = u32::MAX;

/// The edges along `loops`; corners that are open get settled.
pub(super) fn join(net: &Net, loops: &[Vec<u32>], corners: &mut [Corner]) -> Edges {
    for around in loops {
        settle(net, around, corners);
    }
    let mut edges =
        Edges { chains: Vec::new(), of: vec![(NONE, true); net.half_edges().len()] };
    for around in loops {
        for chain in split(net, around, corners) {
            if edges.of[chain[0] as usize].0 != NONE {
                continue;
            }
            let name = edges.chains.len() as u32;
            for &edge in &chain {
                edges.of[edge as usize] = (name, true);
                edges.of[net.twin(edge) as usize] = (name, false);
            }
            edges.chains.push(chain);
        }
    }
    edges
}

/// Settles the open corners of a loop: those on a straight line between kept ones are dropped.
fn settle(net: &Net, around: &[u32], corners: &mut [Corner]) {
    let count = around.len();
    let corner = |at: usize| net.from(around[at % count]);
    let is_kept =
        |corners: &[Corner], at: usize| corners[corner(at) as usize] == Corner::Kept;
    if !(0..count).any(|at| is_kept(corners, at)) {
        // A loop of its own begins where its least corner is, and turns where it is farthest.
        let Some(first) = (0..count).min_by_key(|&at| corner(at)) else { return };
        let start = net.at(corner(first));
        let off = |at: usize| nalgebra::distance(&net.at(corner(at)), &start);
        let far = (0..count)
            .max_by(|&a, &b| off(a).total_cmp(&off(b)).then(corner(b).cmp(&corner(a))));
        corners[corner(first) as usize] = Corner::Kept;
        if let Some(far) = far {
            corners[corner(far) as usize] = Corner::Kept;
        }
    }
    let Some(first) = (0..count).find(|&at| is_kept(corners, at)) else { return };
    let mut begin = first;
    for at in first + 1..=first + count {
        if is_kept(corners, at) {
            let chain: Vec<u32> = (begin..=at).map(corner).collect();
            straighten(net, &chain, corners);
            begin = at;
        }
    }
}

/// Keeps of a chain the corners that are off the line between those kept (Douglas and Peucker
/// 1973), and drops the others.
fn straighten(net: &Net, chain: &[u32], corners: &mut [Corner]) {
    let mut open = vec![[0, chain.len() - 1]];
    while let Some([from, to]) = open.pop() {
        let [a, b] = [net.at(chain[from]), net.at(chain[to])];
        let way = b - a;
        let length = way.norm().max(f64::MIN_POSITIVE);
        let off = |at: usize| {
            let out = net.at(chain[at]) - a;
            let along = (out.dot(&way) / length).clamp(0.0, length);
            (out - way * (along / length)).norm()
        };
        // The first of those as far.
        let farthest = (from + 1..to)
            .filter(|&at| corners[chain[at] as usize] == Corner::Open)
            .max_by(|&a, &b| off(a).total_cmp(&off(b)).then(b.cmp(&a)));
        match farthest.filter(|&at| off(at) > STRAIGHT_MM) {
            Some(at) => {
                corners[chain[at] as usize] = Corner::Kept;
                open.extend([[at, to], [from, at]]);
            }
            None => {
                for &corner in &chain[from + 1..to] {
                    corners[corner as usize] = Corner::Dropped;
                }
            }
        }
    }
}

impl Edges {
    /// The edges along a loop, from its first kept corner on, each with whether it is run forward.
    pub(super) fn along(
        &self,
        net: &Net,
        around: &[u32],
        corners: &[Corner],
    ) -> Vec<(usize, bool)> {
        let pieces = split(net, around, corners);
        let named = pieces.iter().map(|piece| self.of[piece[0] as usize]);
        named.map(|(edge, is_forward)| (edge as usize, is_forward)).collect()
    }
}

/// A loop in pieces from one kept corner to the next.
fn split(net: &Net, around: &[u32], corners: &[Corner]) -> Vec<Vec<u32>> {
    let is_kept = |edge: &u32| corners[net.from(*edge) as usize] == Corner::Kept;
    let Some(first) = around.iter().position(is_kept) else {
        return Vec::new();
    };
    let mut pieces: Vec<Vec<u32>> = Vec::new();
    let turned = around[first..].iter().chain(&around[..first]);
    for edge in turned {
        if is_kept(edge) {
            pieces.push(Vec::new());
        }
        if let Some(last) = pieces.last_mut() {
            last.push(*edge);
        }
    }
    pieces
}
