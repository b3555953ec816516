//! How light a pixel is and what lines run through it: what makes a map look like a part.
//!
//! Light varies little, so that colors keep their meaning. Lines run along outlines, where
//! a nearer surface ends, and along creases.

use crate::draw::palette::{INK, Rgb, WHITE, mix};
use crate::draw::raster::{Camera, GBuffer, NONE};
use crate::mesh::TriMesh;

/// The darkest a lit surface gets.
const DARKEST: f64 = 0.84;
/// Facets that meet at less than this angle (its cosine: 33°) are one curved surface.
const CREASE: f64 = 0.84;
/// A depth step of more buffer pixels than this, beyond what the slope explains, is an edge.
const STEP: f32 = 5.0;

/// One sheet pixel without its color; each share from 0 to 1.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Light {
    /// How much of it the part covers.
    pub(crate) cover: f32,
    /// How light the covered share is.
    pub(crate) shade: f32,
    /// How much of the covered share is line.
    pub(crate) line: f32,
    /// How much of the covered share shows a facet from behind.
    pub(crate) behind: f32,
}

impl Light {
    /// The pixel with its covered share in `color`.
    pub(crate) fn over(&self, color: Rgb) -> Rgb {
        let lit = color.map(|c| (f32::from(c) * self.shade).round() as u8);
        // A black line does not show on a dark face.
        let dark = 2 * u16::from(lit[0]) + 5 * u16::from(lit[1]) + u16::from(lit[2]);
        let inner = dark < 8 * 75 && self.cover > 0.99;
        let pencil = if inner { lit.map(|c| c.saturating_add(120)) } else { INK };
        [0, 1, 2].map(|channel| {
            let lined = mix(lit[channel], pencil[channel], self.line * 0.8);
            mix(WHITE[channel], lined, self.cover)
        })
    }
}

/// The light of each pixel that stands for `fine` × `fine` pixels of `buffer`.
pub(crate) fn shade(
    mesh: &TriMesh,
    camera: &Camera,
    buffer: &GBuffer,
    fine: usize,
) -> Vec<Light> {
    let (width, height) = (buffer.width / fine, buffer.height / fine);
    let mut lights = vec![Light::default(); width * height];
    let eye = Eye { mesh, camera, buffer };
    let part = 1.0 / (fine * fine) as f32;
    for y in 0..height * fine {
        for x in 0..width * fine {
            let at = y * buffer.width + x;
            if buffer.facets[at] == NONE {
                continue;
            }
            let light = &mut lights[y / fine * width + x / fine];
            let [_, _, away] = eye.normal(at);
            light.cover += part;
            light.shade += part * eye.shade(at);
            light.line += part * eye.line(x, y);
            light.behind += if away > 1e-6 { part } else { 0.0 };
        }
    }
    for light in lights.iter_mut().filter(|light| light.cover > 0.0) {
        light.shade /= light.cover;
        light.line /= light.cover;
        light.behind /= light.cover;
    }
    lights
}

struct Eye<'a> {
    mesh: &'a TriMesh,
    camera: &'a Camera,
    buffer: &'a GBuffer,
}

impl Eye<'_> {
    /// The normal at a covered buffer pixel along right, down and away from the eye.
    fn normal(&self, at: usize) -> [f64; 3] {
        let facet = self.buffer.facets[at] as usize;
        self.mesh.normals().get(facet).map_or([0.0, 0.0, -1.0], |n| self.camera.turn(n))
    }

    /// Lambert's cosine to a lamp at the eye's upper left, squeezed into a narrow band.
    fn shade(&self, at: usize) -> f32 {
        let [right, down, away] = self.normal(at);
        let (right, down) = if away > 0.0 { (-right, -down) } else { (right, down) };
        let cosine = (-0.35 * right - 0.45 * down + 0.82 * away.abs()).clamp(0.0, 1.0);
        // In steps too small to see: equal neighbors make a picture small.
        (DARKEST + (1.0 - DARKEST) * (cosine * 20.0).round() / 20.0) as f32
    }

    /// How strongly a line runs through a covered buffer pixel.
    fn line(&self, x: usize, y: usize) -> f32 {
        let buffer = self.buffer;
        let at = y * buffer.width + x;
        let inner = x > 0 && y > 0 && x + 1 < buffer.width && y + 1 < buffer.height;
        if !inner {
            return 1.0;
        }
        let around = [
            (at - 1, -1.0, 0.0),
            (at + 1, 1.0, 0.0),
            (at - buffer.width, 0.0, -1.0),
            (at + buffer.width, 0.0, 1.0),
        ];
        let mut line = 0.0_f32;
        for (next, dx, dy) in around {
            if buffer.facets[next] == NONE {
                return 1.0;
            }
            if buffer.facets[next] != buffer.facets[at] {
                line = line.max(self.between(at, next, [dx, dy]));
            }
        }
        line
    }

    /// The line between two neighboring covered pixels of different facets.
    fn between(&self, at: usize, next: usize, step: [f64; 2]) -> f32 {
        let here = self.normal(at);
        let there = self.normal(next);
        let rise = |[right, down, away]: [f64; 3]| {
            let slope = -(right * step[0] + down * step[1]) / away;
            if slope.is_finite() { slope.clamp(-20.0, 20.0) as f32 } else { 0.0 }
        };
        let jump = self.buffer.depths[next] - self.buffer.depths[at];
        let beyond = (jump - rise(here)).abs().min((jump - rise(there)).abs());
        if beyond > STEP && jump > 0.0 {
            return 1.0;
        }
        let cosine: f64 = here.iter().zip(there).map(|(a, b)| a * b).sum();
        if cosine < CREASE { 0.55 } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::shade;
    use crate::draw::raster::{Camera, draw};
    use crate::draw::view::View;
    use crate::geom::{Direction, Point, Vector};
    use crate::schema::fixtures;

    #[test]
    fn outlines_and_creases_are_lines_and_light_stays_in_its_band() {
        let toward = Direction::Z.reversed();
        let view = View { name: String::new(), toward, up: Vector::y() };
        let camera = Camera::new(&view, Point::origin()).scaled(8.0, [100.0, 100.0]);
        let mesh = fixtures::cup();
        let lights = shade(&mesh, &camera, &draw(&mesh, &camera, 200, 200), 2);
        let row: Vec<_> = lights[50 * 100..51 * 100].iter().collect();
        // Radius 10 at 4 px/mm: outline near columns 10 and 89, inner rim near 18 and 81.
        let lined: Vec<usize> = (0..100).filter(|&x| row[x].line > 0.4).collect();
        assert!(
            lined.iter().all(|x| [9, 10, 17, 18, 81, 82, 89, 90].contains(x)),
            "{lined:?}"
        );
        assert!(lined.len() >= 4, "{lined:?}");
        let inside = lights.iter().filter(|light| light.cover > 0.99);
        assert!(inside.clone().count() > 4000);
        for light in inside {
            assert!((0.8..=1.0).contains(&light.shade) && light.behind < 0.01);
        }
        assert!(row[0].cover < 1e-6);
    }
}
