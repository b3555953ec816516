//! Where there is room in the parting face: what stands in the way, and how near one may
//! come.

use crate::geom::{Point, winding};

/// Things in the way are taken as discs no farther apart than this, mm.
const STEP: f64 = 1.0;
/// At the most so many on one line: on one over 4 m they lie farther apart.
const MOST_PIECES: f64 = 4000.0;

/// The parting face and what is taken of it.
#[derive(Clone, Debug)]
pub struct PartingFace {
    /// Spans of the block, x and y.
    pub outline: [[f64; 2]; 2],
    /// Middles and radii.
    taken: Vec<([f64; 2], f64)>,
    /// Rings of the part, to tell its inside.
    rings: Vec<Vec<[f64; 2]>>,
}

impl PartingFace {
    /// A block with a part in it.
    pub fn new(outline: [[f64; 2]; 2], rings: &[Vec<Point>]) -> Self {
        let flat = |ring: &Vec<Point>| -> Vec<[f64; 2]> {
            ring.iter().map(|point| [point.x, point.y]).collect()
        };
        let rings: Vec<Vec<[f64; 2]>> = rings.iter().map(flat).collect();
        let mut parting_face = Self { outline, taken: Vec::new(), rings: Vec::new() };
        for ring in &rings {
            for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                parting_face.take_line(*from, *to, 0.0);
            }
        }
        parting_face.rings = rings;
        parting_face
    }

    /// Takes a disc.
    pub fn take(&mut self, at: [f64; 2], radius: f64) {
        self.taken.push((at, radius));
    }

    /// Takes a line with round ends, `radius` to either side.
    pub fn take_line(&mut self, from: [f64; 2], to: [f64; 2], radius: f64) {
        self.taken.extend(places(from, to).map(|place| (place, radius)));
    }

    /// Metal between a disc and the nearest thing taken, mm; below nothing where they
    /// overlap or the disc lies in the part.
    pub fn metal(&self, at: [f64; 2], radius: f64) -> f64 {
        let inside = self.rings.iter().map(|ring| winding(ring, at)).sum::<i32>() != 0;
        if inside {
            return f64::NEG_INFINITY;
        }
        let gaps = self.taken.iter().map(|(middle, own)| {
            (middle[0] - at[0]).hypot(middle[1] - at[1]) - own - radius
        });
        gaps.fold(f64::INFINITY, f64::min)
    }

    /// The same along a line with round ends.
    pub fn metal_along(&self, from: [f64; 2], to: [f64; 2], radius: f64) -> f64 {
        let metal = places(from, to).map(|place| self.metal(place, radius));
        metal.fold(f64::INFINITY, f64::min)
    }

    /// How far the walls that face along the way [x, y] lie behind `at` within so much to
    /// either side, mm: of a cut that wide that begins on a curved wall, or askew of a straight
    /// one. Less than half of that width: beyond it is another wall.
    pub fn recedes(&self, at: [f64; 2], [x, y]: [f64; 2], wide: f64) -> f64 {
        let half = wide / 2.0;
        let along = |corner: &[f64; 2]| {
            let [dx, dy] = [corner[0] - at[0], corner[1] - at[1]];
            [dx * x + dy * y, dy * x - dx * y]
        };
        let edges = self
            .rings
            .iter()
            .flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
        let behind = edges.filter_map(|(from, to)| {
            let [[a, from], [b, to]] = [from, to].map(along);
            let shares = [-half, half].map(|side| (side - from) / (to - from));
            let low = shares[0].min(shares[1]).max(0.0);
            let high = shares[0].max(shares[1]).min(1.0);
            let ends = [low, high].map(|share| a + share * (b - a));
            let least = ends[0].min(ends[1]);
            // Rings run counter-clockwise around the part.
            (to > from && low < high && least > -half).then_some(-least)
        });
        behind.fold(0.0, f64::max)
    }

    /// Places along the rectangle that lies `inset` inside the block, counter-clockwise from
    /// the corner of least x and y.
    pub fn rim(&self, inset: f64, step: f64) -> Vec<[f64; 2]> {
        let [x, y] = self.outline.map(|[low, high]| [low + inset, high - inset]);
        let corners = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
        let mut places = Vec::new();
        for (i, from) in corners.iter().enumerate() {
            let to = corners[(i + 1) % 4];
            let length = apart(*from, to);
            let mut at = 0.0;
            while at < length {
                places.push(between(*from, to, at / length));
                at += step;
            }
        }
        places
    }
}

/// Places along a line, both ends among them, no farther apart than [`STEP`] where
/// [`MOST_PIECES`] allow.
fn places(from: [f64; 2], to: [f64; 2]) -> impl Iterator<Item = [f64; 2]> {
    let pieces = (apart(from, to) / STEP).ceil().clamp(1.0, MOST_PIECES);
    (0..=pieces as usize).map(move |at| between(from, to, at as f64 / pieces))
}

fn apart(from: [f64; 2], to: [f64; 2]) -> f64 {
    (to[0] - from[0]).hypot(to[1] - from[1])
}

fn between(from: [f64; 2], to: [f64; 2], share: f64) -> [f64; 2] {
    [0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * share)
}

/// Two places as far from each other as can be, which no quarter turn about `middle` brings
/// onto each other by less than `off`: so a half that is turned does not close. By index.
pub fn unlike_pair(
    places: &[[f64; 2]],
    middle: [f64; 2],
    off: f64,
) -> Option<[usize; 2]> {
    let turned = |at: [f64; 2], turns: u32| {
        let [mut x, mut y] = [at[0] - middle[0], at[1] - middle[1]];
        for _ in 0..turns {
            (x, y) = (-y, x);
        }
        [x + middle[0], y + middle[1]]
    };
    let keeps = |pair: [[f64; 2]; 2]| {
        (1..4).all(|turns| {
            let [a, b] = pair.map(|at| turned(at, turns));
            let straight = apart(a, pair[0]).max(apart(b, pair[1]));
            let crossed = apart(a, pair[1]).max(apart(b, pair[0]));
            straight.min(crossed) >= off
        })
    };
    let mut best: Option<(f64, [usize; 2])> = None;
    for (i, a) in places.iter().enumerate() {
        for (j, b) in places.iter().enumerate().skip(i + 1) {
            let far = apart(*a, *b);
            if best.is_none_or(|(least, _)| far > least + 1e-9) && keeps([*a, *b]) {
                best = Some((far, [i, j]));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

#[cfg(test)]
mod tests {
    use super::{PartingFace, unlike_pair};
    use crate::geom::Point;

    #[test]
    fn metal_between_holes_and_beside_the_part() {
        let square = [[-5.0, -5.0], [5.0, -5.0], [5.0, 5.0], [-5.0, 5.0]];
        let ring = square.map(|[x, y]| Point::new(x, y, 0.0)).to_vec();
        let mut parting_face = PartingFace::new([[-30.0, 30.0]; 2], &[ring]);
        assert!((parting_face.metal([10.0, 0.0], 2.0) - 3.0).abs() < 1e-9);
        assert!(parting_face.metal([0.0, 0.0], 1.0) < 0.0);
        parting_face.take([20.0, 0.0], 4.0);
        assert!((parting_face.metal([12.0, 0.0], 2.0) - 2.0).abs() < 1e-9);
        assert!(parting_face.metal_along([10.0, 0.0], [30.0, 0.0], 1.0) < 0.0);
        assert_eq!(parting_face.rim(10.0, 20.0).len(), 8);
    }

    /// By hand: r − √(r² − w²/4) of a circle; nothing of a straight wall, beside a corner
    /// either; half of the width times the slope of a wall askew.
    #[test]
    fn a_curved_wall_recedes_by_its_height_of_arc() {
        let ring = |corners: Vec<[f64; 2]>| -> Vec<Point> {
            corners.into_iter().map(|[x, y]| Point::new(x, y, 0.0)).collect()
        };
        let circle = (0..720).map(|step| (f64::from(step) / 2.0).to_radians().sin_cos());
        let circle = ring(circle.map(|(sin, cos)| [15.4 * cos, 15.4 * sin]).collect());
        let round = PartingFace::new([[-30.0, 30.0]; 2], &[circle]);
        let arc = 15.4 - (15.4_f64.powi(2) - 9.0).sqrt();
        let seen = round.recedes([15.4, 0.0], [1.0, 0.0], 6.0);
        assert!((seen - arc).abs() < 1e-3, "{seen} is not {arc}");
        let corners = vec![[0.0, 0.0], [20.0, 0.0], [20.0, 30.0], [0.0, 30.0]];
        let block = PartingFace::new([[-30.0, 60.0]; 2], &[ring(corners)]);
        for y in [15.0, 29.0] {
            assert!(block.recedes([20.0, y], [1.0, 0.0], 6.0).abs() < 1e-12);
        }
        let (sin, cos) = 20_f64.to_radians().sin_cos();
        let seen = block.recedes([20.0, 15.0], [cos, sin], 6.0);
        assert!((seen - 3.0 * sin / cos).abs() < 1e-9, "{seen}");
    }

    #[test]
    fn dowels_do_not_fit_when_a_half_is_turned() {
        let corners = [[10.0, 10.0], [-10.0, 10.0], [-10.0, -10.0], [10.0, -10.0]];
        let opposite = [corners[0], corners[2]];
        assert_eq!(unlike_pair(&opposite, [0.0; 2], 2.0), None);
        let mut more = corners.to_vec();
        more.push([-10.0, -6.0]);
        let pair = unlike_pair(&more, [0.0; 2], 2.0).unwrap();
        assert_eq!(pair, [0, 4]);
    }
}
