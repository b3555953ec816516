//! Which closed bodies lie inside which.
//!
//! A line from a point on each body counts the surfaces above it: the sum of the sides
//! that it leaves through is how often the other body winds around the point. Lines run a
//! little askew of the third axis, so that they do not graze edges along the axes.

use crate::geom::Point;

/// Slope of the line, of no length that a drawing has.
const SKEW: [f64; 2] = [0.003_141_592_6, 0.002_718_281_8];
/// Lines from each body; the most frequent answer counts, so that a body that touches
/// another in a point or two is still told apart.
const LINES: usize = 5;

/// For every body the bodies around it, in ascending order. Bodies that are not `closed`
/// neither contain nor are contained.
pub(super) fn containers(
    points: &[Point],
    facets: &[[u32; 3]],
    body_of: &[u32],
    closed: &[bool],
) -> Vec<Vec<u32>> {
    let mut around = vec![Vec::new(); closed.len()];
    if closed.iter().filter(|&&is| is).count() < 2 {
        return around;
    }
    let outline =
        Outline::project(points, facets, |facet| closed[body_of[facet] as usize]);
    for (body, starts) in lines(points, facets, body_of, closed).iter().enumerate() {
        let mut votes: Vec<u32> = Vec::new();
        for &start in starts {
            let mut hits = outline.above(start, |facet| body_of[facet] as usize == body);
            for hit in &mut hits {
                hit.0 = body_of[hit.0 as usize];
            }
            hits.sort_unstable();
            let bodies = hits.chunk_by(|a, b| a.0 == b.0);
            votes.extend(
                bodies
                    .filter(|hits| hits.iter().map(|hit| hit.1).sum::<i32>() != 0)
                    .map(|hits| hits[0].0),
            );
        }
        votes.sort_unstable();
        let majority =
            votes.chunk_by(|a, b| a == b).filter(|v| v.len() * 2 > starts.len());
        around[body] = majority.map(|votes| votes[0]).collect();
    }
    around
}

/// Up to [`LINES`] starting points on each closed body, well inside of facets.
fn lines(
    points: &[Point],
    facets: &[[u32; 3]],
    body_of: &[u32],
    closed: &[bool],
) -> Vec<Vec<Point>> {
    let mut sizes = vec![0_usize; closed.len()];
    for &body in body_of {
        sizes[body as usize] += 1;
    }
    let mut seen = vec![0_usize; closed.len()];
    let mut starts = vec![Vec::new(); closed.len()];
    for (facet, &body) in facets.iter().zip(body_of) {
        let body = body as usize;
        let step = (sizes[body] / LINES).max(1);
        if closed[body] && seen[body].is_multiple_of(step) && starts[body].len() < LINES {
            let [a, b, c] = facet.map(|corner| points[corner as usize].coords);
            starts[body].push(Point::from(a * 0.41 + b * 0.35 + c * 0.24));
        }
        seen[body] += 1;
    }
    starts
}

/// Facets as seen along the line, in a tree of boxes: a fine detail in a wide scene costs no
/// more than an even spread.
struct Outline<'a> {
    points: &'a [Point],
    facets: &'a [[u32; 3]],
    /// Facets, those of one node side by side.
    order: Vec<u32>,
    /// Nodes, each before its parts.
    nodes: Vec<Node>,
}

struct Node {
    min: [f64; 2],
    max: [f64; 2],
    /// The node to go on with where this one is missed.
    skip: usize,
    /// Facets of a node without parts.
    listed: std::ops::Range<usize>,
}

/// Facets in a node without parts.
const LEAF: usize = 8;

impl<'a> Outline<'a> {
    fn project(
        points: &'a [Point],
        facets: &'a [[u32; 3]],
        wanted: impl Fn(usize) -> bool,
    ) -> Self {
        let chosen = (0_u32..).take(facets.len()).filter(|&i| wanted(i as usize));
        let mut outline =
            Self { points, facets, order: chosen.collect(), nodes: Vec::new() };
        let mut order = std::mem::take(&mut outline.order);
        outline.grow(&mut order, 0);
        outline.order = order;
        outline
    }

    /// Adds the node over `part`, which begins at `start` of the whole order.
    fn grow(&mut self, part: &mut [u32], start: usize) {
        let (mut min, mut max) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for &facet in part.iter() {
            for corner in self.flat_corners(facet) {
                for axis in 0..2 {
                    min[axis] = min[axis].min(corner[axis]);
                    max[axis] = max[axis].max(corner[axis]);
                }
            }
        }
        let at = self.nodes.len();
        let listed = if part.len() <= LEAF { start..start + part.len() } else { 0..0 };
        self.nodes.push(Node { min, max, skip: 0, listed });
        if part.len() > LEAF {
            let axis = usize::from(max[1] - min[1] > max[0] - min[0]);
            let middle = part.len() / 2;
            let key = |facet: &u32| {
                self.flat_corners(*facet).iter().map(|corner| corner[axis]).sum::<f64>()
            };
            part.select_nth_unstable_by(middle, |a, b| key(a).total_cmp(&key(b)));
            let (low, high) = part.split_at_mut(middle);
            self.grow(low, start);
            self.grow(high, start + middle);
        }
        self.nodes[at].skip = self.nodes.len();
    }

    fn flat_corners(&self, facet: u32) -> [[f64; 2]; 3] {
        self.facets[facet as usize].map(|corner| flatten(&self.points[corner as usize]))
    }

    /// Facets straight above `start`, each with the way that its outside looks: 1 up, −1
    /// down. Facets for which `own` holds are passed over.
    fn above(&self, start: Point, own: impl Fn(usize) -> bool) -> Vec<(u32, i32)> {
        let eye = flatten(&start);
        let mut hits = Vec::new();
        let mut at = 0;
        while let Some(node) = self.nodes.get(at) {
            let misses =
                |axis: usize| eye[axis] < node.min[axis] || eye[axis] > node.max[axis];
            if misses(0) || misses(1) {
                at = node.skip;
                continue;
            }
            for &facet in &self.order[node.listed.clone()] {
                if !own(facet as usize) {
                    hits.extend(self.hit(facet, eye, start.z).map(|way| (facet, way)));
                }
            }
            at += 1;
        }
        hits
    }

    fn hit(&self, facet: u32, eye: [f64; 2], height: f64) -> Option<i32> {
        let corners = self.facets[facet as usize];
        let [a, b, c] = self.flat_corners(facet);
        let [i, j, k] = corners;
        let [a, b, c] = [(i, a), (j, b), (k, c)].map(|(index, at)| Corner { index, at });
        let sides = [side(b, c, eye), side(c, a, eye), side(a, b, eye)];
        let up = sides.iter().all(|&weight| weight >= 0.0);
        let down = sides.iter().all(|&weight| weight <= 0.0);
        let total: f64 = sides.iter().sum();
        if !(up || down) || total.abs() <= 0.0 {
            return None;
        }
        let heights = corners.map(|i| self.points[i as usize].z);
        let at: f64 = sides.iter().zip(heights).map(|(weight, z)| weight * z).sum();
        (at / total > height).then_some(if up { 1 } else { -1 })
    }
}

/// A corner as seen along the rays.
#[derive(Clone, Copy)]
struct Corner {
    index: u32,
    at: [f64; 2],
}

/// Twice the area of the triangle over a side and `eye`. Both facets of an edge get the
/// same number with opposite signs, so that no line slips between them.
fn side(from: Corner, to: Corner, eye: [f64; 2]) -> f64 {
    let area = |a: [f64; 2], b: [f64; 2]| {
        (a[0] - eye[0]) * (b[1] - eye[1]) - (a[1] - eye[1]) * (b[0] - eye[0])
    };
    if from.index < to.index { area(from.at, to.at) } else { -area(to.at, from.at) }
}

fn flatten(point: &Point) -> [f64; 2] {
    [point.x - SKEW[0] * point.z, point.y - SKEW[1] * point.z]
}

#[cfg(test)]
mod tests {
    use super::containers;
    use crate::geom::Point;

    /// Octahedra with the given middles and radii.
    fn octahedra(balls: &[([f64; 3], f64)]) -> (Vec<Point>, Vec<[u32; 3]>, Vec<u32>) {
        let (mut points, mut facets, mut body_of) = (Vec::new(), Vec::new(), Vec::new());
        for (body, &(middle, radius)) in (0_u32..).zip(balls) {
            for axis in 0..3 {
                for way in [-radius, radius] {
                    let mut tip = middle;
                    tip[axis] += way;
                    points.push(Point::from(tip));
                }
            }
            for octant in 0..8_u32 {
                let [x, y, z] = [0, 1, 2].map(|axis| 2 * axis + (octant >> axis & 1));
                let even = octant.count_ones() % 2 == 1;
                let facet = if even { [x, y, z] } else { [x, z, y] };
                facets.push(facet.map(|corner| corner + 6 * body));
                body_of.push(body);
            }
        }
        (points, facets, body_of)
    }

    #[test]
    fn containment_is_what_the_distances_say() {
        // Octahedra are balls of the sum norm, so distance and radii decide by themselves.
        let mut balls = vec![([0.0; 3], 10.0)];
        for i in 0..60_u32 {
            let place = |step: u32| f64::from(i * step % 23) - 11.0;
            balls.push(([place(5), place(7), place(11)], 0.3 + f64::from(i % 7) * 0.4));
        }
        let (points, facets, body_of) = octahedra(&balls);
        let found = containers(&points, &facets, &body_of, &vec![true; balls.len()]);
        let inside = |inner: &([f64; 3], f64), outer: &([f64; 3], f64)| {
            let distance: f64 =
                inner.0.iter().zip(outer.0).map(|(a, b)| (a - b).abs()).sum();
            (
                distance + inner.1 < outer.1,
                distance < inner.1 + outer.1 && distance + outer.1 > inner.1,
            )
        };
        let mut nested = 0;
        for (inner, around) in found.iter().enumerate() {
            for outer in (0..balls.len()).filter(|&outer| outer != inner) {
                let (within, overlaps) = inside(&balls[inner], &balls[outer]);
                let claimed = around.contains(&u32::try_from(outer).unwrap());
                nested += usize::from(within);
                assert!(!within || claimed, "{inner} lies in {outer}");
                assert!(overlaps || !claimed, "{inner} is apart from {outer}");
            }
        }
        assert!(nested > 10);
    }

    #[test]
    fn open_bodies_contain_nothing() {
        let (points, facets, body_of) = octahedra(&[([0.0; 3], 5.0), ([0.0; 3], 1.0)]);
        let found = containers(&points, &facets, &body_of, &[false, true]);
        assert_eq!(found, vec![Vec::<u32>::new(); 2]);
        let found = containers(&points, &facets, &body_of, &[true, true]);
        assert_eq!(found, [vec![], vec![0]]);
    }
}
