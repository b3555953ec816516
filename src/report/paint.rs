//! From values on the surface to a color for each pixel of a view.
//!
//! A pixel takes the mean of the samples around the point that it shows, nearer ones
//! counting more, and only of samples that face the same way: a thin wall never mixes its
//! two sides. Where no sample is near it looks farther, and where there is none it shows
//! that there is no value.

use crate::mesh::TriMesh;
use crate::mesh::samples::Samples;
use crate::report::atlas::{FINE, Panel};
use crate::report::palette::{Kind, NO_VALUE, Rgb, Scale};
use crate::report::raster::NONE;

/// What to color the part by.
#[derive(Clone, Copy)]
pub enum Paint<'a> {
    /// A value a sample; `None` where there is no value.
    Samples {
        /// Where the values are.
        samples: &'a Samples,
        /// One value a sample, in the unit of the scale.
        values: &'a [Option<f64>],
        /// Their colors.
        scale: &'a Scale,
    },
    /// A value a facet; `None` where there is no value.
    Facets {
        /// One value a facet, in the unit of the scale.
        values: &'a [Option<f64>],
        /// Their colors.
        scale: &'a Scale,
    },
    /// A kind a sample.
    Kinds {
        /// Where the kinds are.
        samples: &'a Samples,
        /// One kind a sample; `None` where it is not known.
        kinds: &'a [Option<Kind>],
    },
}

/// A color, and whether a pattern goes over it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Tone {
    pub(crate) color: Rgb,
    pub(crate) hatch: Hatch,
}

/// A pattern that says the same as the color, for those who cannot see it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Hatch {
    /// None.
    Plain,
    /// Trapped, or leaning back.
    Dark,
    /// No value.
    Pale,
}

/// The tone of a place without a value.
pub(crate) const UNKNOWN: Tone = Tone { color: NO_VALUE, hatch: Hatch::Pale };

impl Tone {
    /// The tone of `value` on `scale`.
    pub(crate) fn of_value(scale: &Scale, value: f64) -> Self {
        let hatch = if scale.hatched(value) { Hatch::Dark } else { Hatch::Plain };
        Self { color: scale.color(value), hatch }
    }

    /// The tone of `kind`.
    pub(crate) fn of_kind(kind: Kind) -> Self {
        let hatch = if kind.hatched() { Hatch::Dark } else { Hatch::Plain };
        Self { color: kind.color(), hatch }
    }

    /// Its color at a sheet pixel, pattern included.
    pub(crate) fn at(self, x: usize, y: usize) -> Rgb {
        match self.hatch {
            Hatch::Dark if (x + y) % 7 < 2 => self.color.map(|c| c / 3),
            Hatch::Pale if (x + 7 - y % 7) % 7 < 1 => [150; 3],
            _ => self.color,
        }
    }
}

/// The tone of each sheet pixel of `panel`; `None` where the part does not show.
pub(crate) fn tones(
    mesh: &TriMesh,
    panel: &Panel,
    paint: &Paint<'_>,
) -> Vec<Option<Tone>> {
    let shown = Shown::of(panel);
    match paint {
        Paint::Facets { values, scale } => shown.tones(|i| {
            let value = values.get(shown.facets[i] as usize).copied().flatten();
            value.map_or(UNKNOWN, |value| Tone::of_value(scale, value))
        }),
        Paint::Samples { samples, values, scale } => {
            // Sum, weight with a value, weight in all.
            let sums = shown.gather(mesh, panel, samples, |sample| {
                let value = values.get(sample).copied().flatten();
                let known = value.filter(|value| value.is_finite());
                known.map_or([0.0, 0.0, 1.0], |value| [value as f32, 1.0, 1.0])
            });
            shown.tones(|i| {
                let [sum, known, all] = sums[i];
                let enough = known > 0.0 && known * 2.0 >= all;
                let mean = || Tone::of_value(scale, f64::from(sum / known));
                if enough { mean() } else { UNKNOWN }
            })
        }
        Paint::Kinds { samples, kinds } => {
            let sums = shown.gather(mesh, panel, samples, |sample| {
                let mut one = [0.0; 6];
                let kind = kinds.get(sample).copied().flatten();
                let slot = Kind::ALL.iter().position(|&each| Some(each) == kind);
                one[slot.unwrap_or(4)] = 1.0;
                one[5] = 1.0;
                one
            });
            shown.tones(|i| most_common(&sums[i]))
        }
    }
}

fn most_common(sums: &[f32; 6]) -> Tone {
    let most = sums[..5].iter().copied().fold(0.0, f32::max);
    let of = |(kind, sum): (Kind, &f32)| (*sum >= most && most > 0.0).then_some(kind);
    let kind = Kind::ALL.into_iter().zip(sums).find_map(of);
    kind.map_or(UNKNOWN, Tone::of_kind)
}

/// How far a pixel looks for samples, in spacings, and how well they must face the same
/// way: first closely, then, only where nothing was found, farther.
const LOOKS: [(f64, f64); 3] = [(2.0, 0.5), (4.5, 0.2), (12.0, 0.0)];

/// The facet and depth that stand for each sheet pixel: those of its first covered part.
struct Shown {
    width: usize,
    height: usize,
    facets: Vec<u32>,
    /// Column, row and depth of the point that shows, in buffer pixels.
    points: Vec<[f32; 3]>,
}

impl Shown {
    fn of(panel: &Panel) -> Self {
        let [width, height] = panel.size;
        let buffer = &panel.buffer;
        let mut facets = vec![NONE; width * height];
        let mut points = vec![[0.0; 3]; width * height];
        for i in 0..width * height {
            let (x, y) = (i % width * FINE, i / width * FINE);
            let parts = (0..FINE * FINE).map(|part| (x + part % FINE, y + part / FINE));
            let covered =
                |&(x, y): &(usize, usize)| buffer.facets[y * buffer.width + x] != NONE;
            let Some((x, y)) = parts.into_iter().find(covered) else { continue };
            let at = y * buffer.width + x;
            facets[i] = buffer.facets[at];
            points[i] = [x as f32 + 0.5, y as f32 + 0.5, buffer.depths[at]];
        }
        Self { width, height, facets, points }
    }

    fn tones(&self, tone: impl Fn(usize) -> Tone) -> Vec<Option<Tone>> {
        let at = |i: usize| (self.facets[i] != NONE).then(|| tone(i));
        (0..self.facets.len()).map(at).collect()
    }

    /// For each pixel the weighted sum of `part` over the samples around; the last entry
    /// of `part` must be 1, so that the last sum is the weight in all.
    fn gather<const N: usize>(
        &self,
        mesh: &TriMesh,
        panel: &Panel,
        samples: &Samples,
        part: impl Fn(usize) -> [f32; N],
    ) -> Vec<[f32; N]> {
        let mut sums = vec![[0.0; N]; self.facets.len()];
        let mut open: Vec<bool> =
            self.facets.iter().map(|&facet| facet != NONE).collect();
        for (reach, facing) in LOOKS {
            if !open.contains(&true) {
                break;
            }
            let reach =
                (reach * samples.spacing() * panel.camera.scale()).max(3.0) as f32;
            for (sample, (point, normal)) in
                samples.points.iter().zip(&samples.normals).enumerate()
            {
                let from = panel.camera.project(point);
                self.each_near(from, reach, |i, weight| {
                    let facet = self.facets[i] as usize;
                    if open[i] && mesh.normals()[facet].dot(normal) > facing {
                        add(&mut sums[i], weight, part(sample));
                    }
                });
            }
            for (open, sum) in open.iter_mut().zip(&sums) {
                *open &= sum[N - 1] <= 0.0;
            }
        }
        sums
    }

    /// Calls `found` for each pixel whose point lies within `reach` of `from`, with a
    /// weight that falls smoothly to zero at that distance.
    fn each_near(&self, from: [f32; 3], reach: f32, mut found: impl FnMut(usize, f32)) {
        let fine = FINE as f32;
        let span = |at: f32, count: usize| {
            let first = ((at - reach) / fine).floor().max(0.0) as usize;
            let end = ((at + reach) / fine).ceil().clamp(0.0, count as f32) as usize;
            first.min(end)..end
        };
        let columns = span(from[0], self.width);
        let per_square = 1.0 / (reach * reach);
        for row in span(from[1], self.height) {
            for i in row * self.width + columns.start..row * self.width + columns.end {
                let point = &self.points[i];
                let (dx, dy) = (point[0] - from[0], point[1] - from[1]);
                let depth = point[2] - from[2];
                let left = 1.0 - (dx * dx + dy * dy + depth * depth) * per_square;
                if left > 0.0 && self.facets[i] != NONE {
                    found(i, left * left);
                }
            }
        }
    }
}

fn add<const N: usize>(sums: &mut [f32; N], weight: f32, parts: [f32; N]) {
    for (sum, part) in sums.iter_mut().zip(parts) {
        *sum += weight * part;
    }
}

#[cfg(test)]
mod tests {
    use super::{Paint, Tone, UNKNOWN, tones};
    use crate::geom::Direction;
    use crate::mesh::samples::Samples;
    use crate::report::palette::{Kind, Scale};
    use crate::report::{atlas, fixtures, view};

    /// A plate 0.2 thick whose samples say 1 above and 3 below, and nothing elsewhere.
    fn plate() -> (crate::mesh::TriMesh, Samples, Vec<Option<f64>>) {
        let mesh = fixtures::block([20.0, 20.0, 0.2]);
        let samples = fixtures::scattered(&mesh, 4000);
        let value = |z: f64| if z > 0.5 { Some(1.0) } else { (z < -0.5).then_some(3.0) };
        let values = samples.normals.iter().map(|normal| value(normal.z)).collect();
        (mesh, samples, values)
    }

    #[test]
    fn a_thin_wall_never_mixes_its_sides() {
        let (mesh, samples, values) = plate();
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let scale = Scale::magnitude(1.0, 3.0, "mm");
        let paint = Paint::Samples { samples: &samples, values: &values, scale: &scale };
        for (panel, value) in [(0, 1.0), (1, 3.0)] {
            let tones = tones(&mesh, &atlas.panels[panel], &paint);
            let shown: Vec<Tone> = tones.into_iter().flatten().collect();
            assert!(shown.len() > 10_000);
            assert!(shown.iter().all(|tone| *tone == Tone::of_value(&scale, value)));
        }
        let side = tones(&mesh, &atlas.panels[2], &paint);
        assert!(side.iter().flatten().all(|tone| *tone == UNKNOWN));
    }

    #[test]
    fn kinds_and_facets_paint_and_missing_values_are_said() {
        let (mesh, samples, _) = plate();
        let atlas = atlas::draw(&mesh, view::candidates(Direction::Z));
        let kind = |z: f64| Some(if z > 0.5 { Kind::Trapped } else { Kind::Core });
        let kinds: Vec<Option<Kind>> =
            samples.normals.iter().map(|normal| kind(normal.z)).collect();
        let paint = Paint::Kinds { samples: &samples, kinds: &kinds };
        let above = tones(&mesh, &atlas.panels[0], &paint);
        let trapped = Tone::of_kind(Kind::Trapped);
        assert!(above.iter().flatten().all(|tone| *tone == trapped));
        let scale = Scale::angle(5.0, "°");
        let paint = Paint::Facets { values: &[Some(2.0)], scale: &scale };
        let below = tones(&mesh, &atlas.panels[1], &paint);
        let known =
            below.iter().flatten().filter(|tone| **tone != UNKNOWN).count() as f64;
        let share = known / below.iter().flatten().count() as f64;
        assert!((share - 0.5).abs() < 0.02, "facet 0 is half of the underside: {share}");
    }
}
