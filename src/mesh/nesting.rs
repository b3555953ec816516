//! Which closed bodies lie inside which.
//!
//! A line from a point on each body counts the surfaces above it: the sum of the sides
//! that it leaves through is how often the other body winds around the point. Lines run a
//! little askew of the third axis, so that they do not graze edges along the axes.

use crate::geom::{Aabb, Point};

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
    let shadow = Shadow::of(points, facets, |facet| closed[body_of[facet] as usize]);
    for (body, starts) in lines(points, facets, body_of, closed).iter().enumerate() {
        let mut votes: Vec<u32> = Vec::new();
        for &start in starts {
            let mut hits = shadow.above(start, |facet| body_of[facet] as usize == body);
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

/// Facets as seen along the line, sorted into square cells.
struct Shadow<'a> {
    points: &'a [Point],
    facets: &'a [[u32; 3]],
    min: [f64; 2],
    cell: f64,
    across: usize,
    starts: Vec<u32>,
    /// Facets of each cell.
    listed: Vec<u32>,
}

impl<'a> Shadow<'a> {
    fn of(
        points: &'a [Point],
        facets: &'a [[u32; 3]],
        wanted: impl Fn(usize) -> bool,
    ) -> Self {
        let flat =
            points.iter().map(|p| Point::from([flatten(p)[0], flatten(p)[1], 0.0]));
        let bounds = flat.fold(Aabb::empty(), |grown, point| grown.with(&point));
        let chosen: Vec<u32> =
            (0_u32..).take(facets.len()).filter(|&i| wanted(i as usize)).collect();
        let mut across = chosen.len().isqrt().clamp(1, 2000);
        loop {
            let mut shadow = Self {
                points,
                facets,
                min: [bounds.min.x, bounds.min.y],
                cell: bounds.size().amax().max(f64::MIN_POSITIVE) / across as f64,
                across,
                starts: vec![0; across * across + 1],
                listed: Vec::new(),
            };
            // Long facets fill many cells: coarser cells until the lists stay short.
            let entries: usize = chosen.iter().map(|&i| shadow.cells(i).count()).sum();
            if across == 1 || entries <= 16 * chosen.len() {
                shadow.list(&chosen, entries);
                return shadow;
            }
            across /= 2;
        }
    }

    fn list(&mut self, chosen: &[u32], entries: usize) {
        let mut starts = vec![0_u32; self.starts.len()];
        for &facet in chosen {
            self.cells(facet).for_each(|cell| starts[cell + 1] += 1);
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut listed = vec![0; entries];
        for &facet in chosen {
            for cell in self.cells(facet) {
                listed[next[cell] as usize] = facet;
                next[cell] += 1;
            }
        }
        (self.starts, self.listed) = (starts, listed);
    }

    /// The cells that the box around a facet touches.
    fn cells(&self, facet: u32) -> impl Iterator<Item = usize> + use<> {
        let corners =
            self.facets[facet as usize].map(|i| flatten(&self.points[i as usize]));
        let range = |axis: usize| {
            let [a, b, c] = corners.map(|corner| self.index(corner[axis], axis));
            a.min(b).min(c)..=a.max(b).max(c)
        };
        let (columns, across) = (range(0), self.across);
        range(1)
            .flat_map(move |row| columns.clone().map(move |column| row * across + column))
    }

    fn index(&self, x: f64, axis: usize) -> usize {
        // The cast saturates.
        let index = ((x - self.min[axis]) / self.cell) as usize;
        index.min(self.across - 1)
    }

    /// Facets straight above `start`, each with the way that its outside looks: 1 up, −1
    /// down. Facets for which `own` holds are passed over.
    fn above(&self, start: Point, own: impl Fn(usize) -> bool) -> Vec<(u32, i32)> {
        let eye = flatten(&start);
        let cell = self.index(eye[1], 1) * self.across + self.index(eye[0], 0);
        let listed = self.starts[cell] as usize..self.starts[cell + 1] as usize;
        let others = self.listed[listed].iter().filter(|&&facet| !own(facet as usize));
        others
            .filter_map(|&facet| Some((facet, self.hit(facet, eye, start.z)?)))
            .collect()
    }

    fn hit(&self, facet: u32, eye: [f64; 2], height: f64) -> Option<i32> {
        let corners = self.facets[facet as usize];
        let [a, b, c] = corners.map(|i| flatten(&self.points[i as usize]));
        let [i, j, k] = corners;
        let sides = [
            side((j, b), (k, c), eye),
            side((k, c), (i, a), eye),
            side((i, a), (j, b), eye),
        ];
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

/// Twice the area of the triangle over a side and `eye`. Both facets of an edge get the
/// same number with opposite signs, so that no line slips between them.
fn side(from: (u32, [f64; 2]), to: (u32, [f64; 2]), eye: [f64; 2]) -> f64 {
    let area = |a: [f64; 2], b: [f64; 2]| {
        (a[0] - eye[0]) * (b[1] - eye[1]) - (a[1] - eye[1]) * (b[0] - eye[0])
    };
    if from.0 < to.0 { area(from.1, to.1) } else { -area(to.1, from.1) }
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
