//! The point of the surface that each sheet pixel shows, and the samples around it.

use std::ops::Range;

use crate::draw::raster::{Camera, GBuffer, NONE};
use crate::mesh::{TriMesh, samples::Samples};

/// How far a pixel looks for samples, in spacings.
const REACH: f64 = 1.7;
/// How far it looks where it found none there.
const FAR_REACH: f64 = 12.0;
/// Least cosine between the normals of a point and of a sample that counts for it.
const FACING: f32 = 0.5;
/// The sine of the same angle.
const AWAY: f32 = 0.867;

/// Pixels of a row that are passed over at once where all of them are too near or too far.
const BLOCK: usize = 16;

/// What each sheet pixel shows: the first covered one of its parts.
#[derive(Clone, Debug)]
pub(crate) struct Points {
    width: usize,
    height: usize,
    fine: f32,
    /// The facet, or [`NONE`].
    pub(crate) facets: Vec<u32>,
    /// Columns, rows and depths, in buffer pixels; infinite where nothing shows.
    places: [Vec<f32>; 3],
    /// The least and the greatest depth in each [`BLOCK`] of each row.
    spans: Vec<[f32; 2]>,
    /// Outward unit normal along right, down and away from the eye.
    normals: Vec<[f32; 3]>,
}

/// The points of the pixels that stand for `fine` × `fine` pixels of `buffer`.
pub(crate) fn locate(
    mesh: &TriMesh,
    camera: &Camera,
    buffer: &GBuffer,
    fine: usize,
) -> Points {
    let (width, height) = (buffer.width / fine, buffer.height / fine);
    let count = width * height;
    let mut points = Points {
        width,
        height,
        fine: fine as f32,
        facets: vec![NONE; count],
        places: std::array::from_fn(|_| vec![f32::INFINITY; count]),
        spans: Vec::new(),
        normals: vec![[0.0; 3]; count],
    };
    for i in 0..count {
        let (x, y) = (i % width * fine, i / width * fine);
        let mut parts = (0..fine * fine).map(|part| (x + part % fine, y + part / fine));
        let covered =
            |&(x, y): &(usize, usize)| buffer.facets[y * buffer.width + x] != NONE;
        let Some((x, y)) = parts.find(covered) else { continue };
        let at = y * buffer.width + x;
        let facet = buffer.facets[at];
        points.facets[i] = facet;
        let place = [x as f32 + 0.5, y as f32 + 0.5, buffer.depths[at]];
        for (all, own) in points.places.iter_mut().zip(place) {
            all[i] = own;
        }
        points.normals[i] =
            camera.turn(&mesh.normals()[facet as usize]).map(|c| c as f32);
    }
    let nothing = [f32::INFINITY, f32::NEG_INFINITY];
    let span = |block: &[f32]| {
        let shown = block.iter().filter(|depth| depth.is_finite());
        shown.fold(nothing, |[low, high], &at| [low.min(at), high.max(at)])
    };
    let rows = points.places[2].chunks(width.max(1));
    points.spans = rows.flat_map(|row| row.chunks(BLOCK).map(span)).collect();
    points
}

impl Points {
    /// For each pixel the weighted sum of `part` over the samples around; the last entry
    /// of `part` must be 1, so that the last sum is the weight in all. A pixel without
    /// samples around takes the sums of the nearest pixel that faces the same way and has
    /// some, and zeros where there is none.
    pub(crate) fn gather<const N: usize>(
        &self,
        camera: &Camera,
        samples: &Samples,
        part: impl Fn(usize) -> [f32; N],
    ) -> Vec<[f32; N]> {
        let mut sums = self.gather_near(camera, samples, part);
        let spacing = samples.spacing() * camera.scale();
        self.spread(&mut sums, (FAR_REACH * spacing).max(6.0) as f32);
        sums
    }

    /// The same with zeros for every pixel without samples around.
    pub(crate) fn gather_near<const N: usize>(
        &self,
        camera: &Camera,
        samples: &Samples,
        part: impl Fn(usize) -> [f32; N],
    ) -> Vec<[f32; N]> {
        let mut sums = vec![[0.0; N]; self.facets.len()];
        let spacing = samples.spacing() * camera.scale();
        let reach = (REACH * spacing).max(3.0) as f32;
        // A face seen from the front and a sample that faces nearly straight away from the
        // eye are never within 60° of each other.
        let away = if self.shows_behind() { 2.0 } else { AWAY };
        let ours = samples.points.iter().zip(&samples.normals).enumerate();
        for (sample, (point, normal)) in ours {
            let normal = camera.turn(normal).map(|c| c as f32);
            if normal[2] > away {
                continue;
            }
            let from = camera.project(point);
            let part = part(sample);
            self.each_near(from, reach, |i, weight| {
                if dot(&self.normals[i], &normal) > FACING {
                    add(&mut sums[i], weight, &part);
                }
            });
        }
        sums
    }

    /// Whether more than strays along outlines show from behind.
    fn shows_behind(&self) -> bool {
        let behind = self.normals.iter().filter(|normal| normal[2] > 0.01).count();
        behind * 1000 > self.normals.len()
    }

    /// Calls `found` for each pixel whose point lies within `reach` of `from`, with a
    /// weight that falls smoothly to zero at that distance.
    fn each_near(&self, from: [f32; 3], reach: f32, mut found: impl FnMut(usize, f32)) {
        // Casts cut off and saturate; one pixel too many at the end is out of reach.
        let span = |at: f32, reach: f32, count: usize| {
            let first = ((at - reach) / self.fine) as usize;
            let end = (((at + reach) / self.fine) as usize + 1).min(count);
            first.min(end)..end
        };
        let per_square = 1.0 / (reach * reach);
        let blocks = self.width.div_ceil(BLOCK);
        for row in span(from[1], reach, self.height) {
            let aside = (row as f32 + 0.5) * self.fine - from[1];
            let half = (reach * reach - aside * aside).max(0.0).sqrt() + self.fine;
            let columns = span(from[0], half, self.width);
            for block in columns.start / BLOCK..columns.end.div_ceil(BLOCK) {
                let [nearest, farthest] = self.spans[row * blocks + block];
                if from[2] + reach < nearest || from[2] - reach > farthest {
                    continue;
                }
                let first = row * self.width + columns.start.max(block * BLOCK);
                let end = row * self.width + columns.end.min((block + 1) * BLOCK);
                let left = self.left(first..end, &from, per_square).into_iter();
                let near = left.zip(first..end).filter(|(left, _)| *left > 0.0);
                near.for_each(|(left, i)| found(i, left * left));
            }
        }
    }

    /// For each of these pixels, [`BLOCK`] at most, 1 less the square of its distance from `from`
    /// in the unit of `per_square`; 0 for what is not asked for.
    fn left(
        &self,
        pixels: Range<usize>,
        from: &[f32; 3],
        per_square: f32,
    ) -> [f32; BLOCK] {
        let mut left = [0.0; BLOCK];
        let [x, y, depth] = self.places.each_ref().map(|all| &all[pixels.clone()]);
        for (((left, x), y), depth) in left.iter_mut().zip(x).zip(y).zip(depth) {
            *left = 1.0 - square(&[*x, *y, *depth], from) * per_square;
        }
        left
    }

    /// Carries sums from pixel to neighboring pixel, ring by ring, no farther than
    /// `reach` from where they were found.
    fn spread<const N: usize>(&self, sums: &mut [[f32; N]], reach: f32) {
        let has = |sums: &[[f32; N]], i: usize| sums[i][N - 1] > 0.0;
        let open = |sums: &[[f32; N]], i: usize| self.facets[i] != NONE && !has(sums, i);
        let bare: Vec<usize> = (0..sums.len()).filter(|&i| open(sums, i)).collect();
        // (pixel with sums, pixel where they were found)
        let mut ring: Vec<(usize, usize)> = bare
            .iter()
            .flat_map(|&i| self.neighbors(i))
            .filter(|&i| has(sums, i))
            .map(|i| (i, i))
            .collect();
        while !ring.is_empty() {
            let mut next = Vec::new();
            for (at, source) in ring {
                let takes =
                    |to: &usize| open(sums, *to) && self.alike(*to, source, reach);
                let found: Vec<usize> = self.neighbors(at).filter(takes).collect();
                for to in found {
                    sums[to] = sums[source];
                    next.push((to, source));
                }
            }
            ring = next;
        }
    }

    /// Whether two pixels show points within `reach` of each other that face the same way.
    fn alike(&self, a: usize, b: usize, reach: f32) -> bool {
        let [a_at, b_at] = [a, b].map(|i| self.places.each_ref().map(|all| all[i]));
        square(&a_at, &b_at) < reach * reach
            && dot(&self.normals[a], &self.normals[b]) > 0.2
    }

    /// The pixels left, right, above and below.
    fn neighbors(&self, i: usize) -> impl Iterator<Item = usize> + use<> {
        let (x, y) = (i % self.width, i / self.width);
        let (width, height) = (self.width, self.height);
        let steps = [
            (x > 0, i.wrapping_sub(1)),
            (x + 1 < width, i + 1),
            (y > 0, i.wrapping_sub(width)),
            (y + 1 < height, i + width),
        ];
        steps.into_iter().filter_map(|(inside, at)| inside.then_some(at))
    }
}

fn add<const N: usize>(sums: &mut [f32; N], weight: f32, parts: &[f32; N]) {
    for (sum, part) in sums.iter_mut().zip(parts) {
        *sum += weight * part;
    }
}

fn dot(a: &[f32; 3], b: &[f32; 3]) -> f32 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The square of the distance.
fn square(a: &[f32; 3], b: &[f32; 3]) -> f32 {
    let apart = [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    dot(&apart, &apart)
}

#[cfg(test)]
mod tests {
    use crate::draw::{atlas, view};
    use crate::geom::{Direction, Point, Vector};
    use crate::mesh::samples::Samples;
    use crate::schema::fixtures;

    /// The four corners of the top of a 20 × 20 plate, each with its own number.
    fn corners() -> Samples {
        let at = |x: f64, y: f64| Point::new(x, y, 0.5);
        Samples {
            points: vec![at(-9.0, -9.0), at(9.0, -9.0), at(-9.0, 9.0), at(9.0, 9.0)],
            normals: vec![Vector::z(); 4],
            facets: vec![2; 4],
            area_each: 9.0,
        }
    }

    #[test]
    fn far_from_every_sample_the_nearest_counts_and_the_underside_has_none() {
        let mesh = fixtures::block([20.0, 20.0, 1.0]);
        let samples = corners();
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let sums = |panel: usize| {
            let panel = &atlas.panels[panel];
            panel.points.gather(&panel.camera, &samples, |sample| [sample as f32, 1.0])
        };
        let above = sums(0);
        let [width, height] = atlas.panels[0].size;
        let at = |x: usize, y: usize| {
            let [sum, weight] = above[y * height / 20 * width + x * width / 20];
            assert!(weight > 0.0, "{x} {y}");
            sum / weight
        };
        // Up in the picture is +y; 9 mm in from each corner is still its own quarter.
        for (x, y, sample) in [(7, 13, 0.0), (13, 13, 1.0), (7, 7, 2.0), (13, 7, 3.0_f32)]
        {
            assert!((at(x, y) - sample).abs() < 1e-4, "{x} {y} {}", at(x, y));
        }
        let below = sums(1);
        assert!(below.len() > 10_000 && below.iter().all(|sum| sum[1] <= 0.0));
    }
}
