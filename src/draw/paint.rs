//! From values on the surface to a color for each pixel of a view.
//!
//! A pixel takes the mean of the samples around the point that it shows, nearer ones
//! counting more, and only of samples that face the same way: a thin wall never mixes its
//! two sides. Where no sample is near it looks farther, and where there is none it shows
//! that there is no value.

use crate::draw::atlas::Panel;
use crate::draw::palette::{Kind, NO_VALUE, Rgb, Scale};
use crate::draw::raster::NONE;
use crate::mesh::samples::Samples;

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
    /// The back of a skin.
    Dots,
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
            Hatch::Dots if x % 6 < 2 && y % 6 < 2 => self.color.map(|c| c - c / 5),
            Hatch::Pale if (x + 7 - y % 7) % 7 < 1 => [150; 3],
            _ => self.color,
        }
    }
}

/// The value at each sheet pixel of `panel`; `None` where there is none.
pub(crate) fn means(
    panel: &Panel,
    samples: &Samples,
    values: &[Option<f64>],
) -> Vec<Option<f64>> {
    // Sum, weight with a value, weight in all.
    let sums = panel.points.gather(&panel.camera, samples, |sample| {
        let value = values.get(sample).copied().flatten();
        let known = value.filter(|value| value.is_finite());
        known.map_or([0.0, 0.0, 1.0], |value| [value as f32, 1.0, 1.0])
    });
    let mean = |[sum, known, all]: [f32; 3]| {
        let enough = known > 0.0 && known * 2.0 >= all;
        enough.then(|| f64::from(sum / known))
    };
    sums.into_iter().map(mean).collect()
}

/// The tone of each sheet pixel of `panel`; `None` where the part does not show.
pub(crate) fn tones(panel: &Panel, paint: &Paint<'_>) -> Vec<Option<Tone>> {
    let shown = &panel.points;
    let facets = &shown.facets;
    match paint {
        Paint::Facets { values, scale } => each(facets, |i| {
            let value = values.get(facets[i] as usize).copied().flatten();
            value.map_or(UNKNOWN, |value| Tone::of_value(scale, value))
        }),
        Paint::Samples { samples, values, scale } => {
            let means = means(panel, samples, values);
            let mean = |i: usize| means[i];
            let width = panel.size[0];
            each(facets, |i| {
                let Some(value) = mean(i) else { return UNKNOWN };
                // Of two neighbors on either side of a line, the first is dark.
                let line = scale.line_every.is_some_and(|every| {
                    let band = |value: f64| (value / every).floor();
                    let beside = [i + 1, i + width].into_iter().filter(|&next| {
                        facets.get(next).is_some_and(|&facet| facet != NONE)
                    });
                    let mut bands = beside.filter_map(mean).map(band);
                    bands.any(|other| (other - band(value)).abs() > 0.5)
                });
                let tone = Tone::of_value(scale, value);
                if line {
                    Tone { color: tone.color.map(|c| c / 3), ..tone }
                } else {
                    tone
                }
            })
        }
        Paint::Kinds { samples, kinds } => {
            let sums = shown.gather(&panel.camera, samples, |sample| {
                let mut one = [0.0; 6];
                let kind = kinds.get(sample).copied().flatten();
                let slot = Kind::ALL.iter().position(|&each| Some(each) == kind);
                one[slot.unwrap_or(4)] = 1.0;
                one[5] = 1.0;
                one
            });
            each(facets, |i| most_common(&sums[i]))
        }
    }
}

fn each(facets: &[u32], tone: impl Fn(usize) -> Tone) -> Vec<Option<Tone>> {
    let at = |i: usize| (facets[i] != NONE).then(|| tone(i));
    (0..facets.len()).map(at).collect()
}

fn most_common(sums: &[f32; 6]) -> Tone {
    let most = sums[..5].iter().copied().fold(0.0, f32::max);
    let of = |(kind, sum): (Kind, &f32)| (*sum >= most && most > 0.0).then_some(kind);
    let kind = Kind::ALL.into_iter().zip(sums).find_map(of);
    kind.map_or(UNKNOWN, Tone::of_kind)
}

#[cfg(test)]
mod tests {
    use super::{Paint, Tone, UNKNOWN, tones};
    use crate::draw::palette::{Kind, Scale};
    use crate::draw::{atlas, view};
    use crate::geom::Direction;
    use crate::mesh::samples::Samples;
    use crate::schema::fixtures;

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
            let tones = tones(&atlas.panels[panel], &paint);
            let shown: Vec<Tone> = tones.into_iter().flatten().collect();
            assert!(shown.len() > 10_000);
            assert!(shown.iter().all(|tone| *tone == Tone::of_value(&scale, value)));
        }
        let side = tones(&atlas.panels[2], &paint);
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
        let above = tones(&atlas.panels[0], &paint);
        let trapped = Tone::of_kind(Kind::Trapped);
        assert!(above.iter().flatten().all(|tone| *tone == trapped));
        let scale = Scale::signed(5.0, "°");
        let paint = Paint::Facets { values: &[Some(2.0)], scale: &scale };
        let below = tones(&atlas.panels[1], &paint);
        let known =
            below.iter().flatten().filter(|tone| **tone != UNKNOWN).count() as f64;
        let share = known / below.iter().flatten().count() as f64;
        assert!((share - 0.5).abs() < 0.02, "facet 0 is half of the underside: {share}");
    }
}
