//! Whether the loops of a flat face are its outline: none of them touches itself or another. Readers take
//! a face that touches itself in a corner for two.

use super::net::Net;
use crate::geom::Vector;

/// Edges that come nearer than this without a shared corner touch, mm.
const TOUCH_MM: f64 = 1e-6;

/// An edge seen across its plane.
struct Side {
    ends: [[f64; 2]; 2],
    corners: [u32; 2],
}

impl Side {
    fn span(&self, axis: usize) -> [f64; 2] {
        let [a, b] = self.ends.map(|end| end[axis]);
        [a.min(b), a.max(b)]
    }
}

/// Whether no two edges of `loops` cross, lie on each other or meet twice in a corner, seen along `normal`.
pub(super) fn is_simple(net: &Net, loops: &[Vec<u32>], normal: &Vector) -> bool {
    let dropped = normal.iamax();
    let flat = |corner: u32| {
        let at = net.at(corner);
        [at[(dropped + 1) % 3], at[(dropped + 2) % 3]]
    };
    let mut sides: Vec<Side> = loops
        .iter()
        .flatten()
        .map(|&edge| {
            let corners = [net.from(edge), net.to(edge)];
            Side { ends: corners.map(flat), corners }
        })
        .collect();
    let mut begins: Vec<u32> = sides.iter().map(|side| side.corners[0]).collect();
    begins.sort_unstable();
    if begins.windows(2).any(|pair| pair[0] == pair[1]) {
        return false;
    }
    sides.sort_by(|a, b| a.span(0)[0].total_cmp(&b.span(0)[0]));
    sides.iter().enumerate().all(|(at, side)| {
        let [_, far] = side.span(0);
        let [low, high] = side.span(1);
        let near =
            sides[at + 1..].iter().take_while(|it| it.span(0)[0] <= far + TOUCH_MM);
        near.filter(|it| {
            it.span(1)[0] <= high + TOUCH_MM && it.span(1)[1] >= low - TOUCH_MM
        })
        .all(|other| !touch(side, other))
    })
}

/// Whether two edges meet other than in a corner that both have.
fn touch(one: &Side, other: &Side) -> bool {
    let shared = |corner: u32, of: &Side| of.corners.contains(&corner);
    // An end of one that is no end of the other lies off that other.
    let lies_on = |of: &Side, on: &Side| {
        (0..2).any(|end| {
            !shared(of.corners[end], on) && distance(of.ends[end], &on.ends) < TOUCH_MM
        })
    };
    let common = one.corners.iter().filter(|corner| shared(**corner, other)).count();
    match common {
        0 => lies_on(one, other) || lies_on(other, one) || cross(&one.ends, &other.ends),
        1 => lies_on(one, other) || lies_on(other, one),
        _ => true,
    }
}

fn distance(at: [f64; 2], [a, b]: &[[f64; 2]; 2]) -> f64 {
    let way = [b[0] - a[0], b[1] - a[1]];
    let off = [at[0] - a[0], at[1] - a[1]];
    let square = (way[0] * way[0] + way[1] * way[1]).max(f64::MIN_POSITIVE);
    let along = ((off[0] * way[0] + off[1] * way[1]) / square).clamp(0.0, 1.0);
    (off[0] - way[0] * along).hypot(off[1] - way[1] * along)
}

fn cross([a, b]: &[[f64; 2]; 2], [c, d]: &[[f64; 2]; 2]) -> bool {
    let turn = |p: &[f64; 2], q: &[f64; 2], r: &[f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
}
