//! Which facet shows at each pixel, and how far away: an orthographic depth buffer.
//!
//! All maps of one view share one buffer. Facets are drawn from either side, the nearest
//! wins, and of two at the same depth the first; so the same mesh gives the same buffer.
//! Facets smaller than a pixel may fall between the pixel centers.

use crate::draw::view::View;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::TriMesh;

/// The facet index of a pixel that shows none.
pub const NONE: u32 = u32::MAX;

/// From part coordinates to pixels. Depth is in pixels too and grows away from the eye.
#[derive(Clone, Copy, Debug)]
pub struct Camera {
    right: Vector,
    down: Vector,
    toward: Vector,
    /// Subtracted before anything else, so that single precision suffices.
    origin: Point,
    /// Pixels per millimeter.
    scale: f64,
    shift: [f64; 2],
}

impl Camera {
    /// A camera for `view` with the image of `origin` at pixel (0, 0) and one pixel per
    /// millimeter.
    pub fn new(view: &View, origin: Point) -> Self {
        let toward = view.toward.vector();
        let across = toward.cross(&view.up);
        // An `up` along the view says nothing: take any axis across it.
        let helper = if toward.x.abs() < 0.6 { Vector::x() } else { Vector::y() };
        let right = Direction::new(across)
            .or_else(|| Direction::new(toward.cross(&helper)))
            .unwrap_or(Direction::X)
            .vector();
        Self {
            right,
            down: toward.cross(&right),
            toward,
            origin,
            scale: 1.0,
            shift: [0.0; 2],
        }
    }

    /// The same camera with `scale` pixels per millimeter, moved by `shift` pixels.
    #[must_use]
    pub fn scaled(self, scale: f64, shift: [f64; 2]) -> Self {
        Self { scale, shift, ..self }
    }

    /// Where the look through a place of the picture meets the plane through `on` with this
    /// `normal`; `None` along the plane.
    pub fn meets(&self, [x, y]: [f64; 2], on: &Point, normal: &Vector) -> Option<Point> {
        let start = self.origin
            + self.right * ((x - self.shift[0]) / self.scale)
            + self.down * ((y - self.shift[1]) / self.scale);
        let slope = normal.dot(&self.toward);
        let far = normal.dot(&(on - start)) / slope;
        (slope.abs() > 1e-9).then(|| start + self.toward * far)
    }

    /// Pixels per millimeter.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Column, row and depth of `point`, in pixels.
    pub fn project(&self, point: &Point) -> [f32; 3] {
        let [x, y, depth] = self.turn(&(point - self.origin));
        [
            (x * self.scale + self.shift[0]) as f32,
            (y * self.scale + self.shift[1]) as f32,
            (depth * self.scale) as f32,
        ]
    }

    /// `vector` along right, down and away from the eye.
    pub fn turn(&self, vector: &Vector) -> [f64; 3] {
        [self.right.dot(vector), self.down.dot(vector), self.toward.dot(vector)]
    }
}

/// What shows at each pixel, row by row from the top left.
#[derive(Clone, Debug)]
pub struct GBuffer {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// The facet that shows, or [`NONE`].
    pub facets: Vec<u32>,
    /// Its depth in pixels; infinite where nothing shows.
    pub depths: Vec<f32>,
}

/// Draws `mesh` as `camera` sees it on `width` × `height` pixels.
pub fn draw(mesh: &TriMesh, camera: &Camera, width: usize, height: usize) -> GBuffer {
    let corners: Vec<[f32; 3]> =
        mesh.points().iter().map(|point| camera.project(point)).collect();
    let facets = vec![NONE; width * height];
    let depths = vec![f32::INFINITY; width * height];
    let mut buffer = GBuffer { width, height, facets, depths };
    for (index, facet) in mesh.facets().iter().enumerate() {
        buffer.fill(index as u32, facet.map(|corner| corners[corner as usize]));
    }
    buffer
}

impl GBuffer {
    /// Draws one triangle wherever it is nearer than what is there. Each row's ends are
    /// computed from the edge alone, with its corners in a fixed order, so that two
    /// facets along one edge leave no gap.
    fn fill(&mut self, index: u32, mut corners: [[f32; 3]; 3]) {
        let Some(plane) = Plane::through(&corners) else { return };
        corners.sort_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])));
        let [top, middle, bottom] = corners;
        // Pixel centers lie at half pixels. A cast saturates, so a row far outside is none.
        let first = (top[1] - 0.5).ceil().max(0.0) as usize;
        let end =
            ((bottom[1] - 0.5).floor() + 1.0).clamp(0.0, self.height as f32) as usize;
        for row in first..end {
            let y = row as f32 + 0.5;
            let long = crossing(&top, &bottom, y);
            let short = if y < middle[1] || bottom[1] <= middle[1] {
                crossing(&top, &middle, y)
            } else {
                crossing(&middle, &bottom, y)
            };
            let (left, right) = if long < short { (long, short) } else { (short, long) };
            let from = (left - 0.5).ceil().max(0.0) as usize;
            let to = ((right - 0.5).floor() + 1.0).clamp(0.0, self.width as f32) as usize;
            if from < to {
                self.fill_row(index, &plane, row, from..to);
            }
        }
    }

    fn fill_row(
        &mut self,
        index: u32,
        plane: &Plane,
        row: usize,
        columns: std::ops::Range<usize>,
    ) {
        let start = row * self.width;
        let span = start + columns.start..start + columns.end;
        let depths = &mut self.depths[span.clone()];
        let facets = &mut self.facets[span];
        let first = plane.depth(columns.start as f32 + 0.5, row as f32 + 0.5);
        for (step, (depth, facet)) in depths.iter_mut().zip(facets).enumerate() {
            let here = plane.bound(first + plane.slope[0] * step as f32);
            if here < *depth {
                *depth = here;
                *facet = index;
            }
        }
    }
}

/// Where the edge `a`–`b` crosses row `y`.
fn crossing(a: &[f32; 3], b: &[f32; 3], y: f32) -> f32 {
    let height = b[1] - a[1];
    if height <= 0.0 {
        return b[0];
    }
    a[0] + (b[0] - a[0]) * ((y - a[1]) / height).clamp(0.0, 1.0)
}

/// Depth over the picture, bounded by the depths of the corners: seen edge-on, a plane
/// runs away within one pixel.
struct Plane {
    at: [f32; 3],
    slope: [f32; 2],
    nearest: f32,
    farthest: f32,
}

impl Plane {
    /// `None` when the triangle is seen edge-on.
    fn through(corners: &[[f32; 3]; 3]) -> Option<Self> {
        let [a, b, c] = corners;
        let [bx, by, bd] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
        let [cx, cy, cd] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
        let twice_area = bx * cy - by * cx;
        let slope = [(bd * cy - cd * by) / twice_area, (cd * bx - bd * cx) / twice_area];
        let nearest = a[2].min(b[2]).min(c[2]);
        let farthest = a[2].max(b[2]).max(c[2]);
        let sound = slope[0].is_finite() && slope[1].is_finite() && nearest <= farthest;
        sound.then_some(Self { at: *a, slope, nearest, farthest })
    }

    fn depth(&self, x: f32, y: f32) -> f32 {
        self.at[2] + self.slope[0] * (x - self.at[0]) + self.slope[1] * (y - self.at[1])
    }

    fn bound(&self, depth: f32) -> f32 {
        depth.max(self.nearest).min(self.farthest)
    }
}

#[cfg(test)]
mod tests {
    use super::{Camera, GBuffer, NONE, draw};
    use crate::draw::view::View;
    use crate::geom::{Direction, Point, Vector};
    use crate::mesh::TriMesh;
    use crate::schema::fixtures;

    fn from_above() -> View {
        let toward = Direction::Z.reversed();
        View { name: "from above".to_owned(), toward, up: Vector::y() }
    }

    /// Draws `mesh` from above on a square of `size` pixels with its origin in the middle.
    fn above(mesh: &TriMesh, size: usize, scale: f64) -> (Camera, GBuffer) {
        let half = size as f64 / 2.0;
        let camera =
            Camera::new(&from_above(), Point::origin()).scaled(scale, [half, half]);
        (camera, draw(mesh, &camera, size, size))
    }

    fn covered(buffer: &GBuffer) -> usize {
        buffer.facets.iter().filter(|&&facet| facet != NONE).count()
    }

    #[test]
    fn projections_have_the_area_of_the_closed_form() {
        // Box 20 × 10, ball of radius 9: areas 200 and 81π (inscribed polygon a bit less).
        let (_, buffer) = above(&fixtures::block([20.0, 10.0, 5.0]), 400, 15.0);
        let area = covered(&buffer) as f64 / 225.0;
        assert!((area / 200.0 - 1.0).abs() < 0.01, "{area}");
        let (_, buffer) = above(&fixtures::ball(9.0, 96), 400, 20.0);
        let area = covered(&buffer) as f64 / 400.0;
        assert!((area / (81.0 * std::f64::consts::PI) - 1.0).abs() < 0.01, "{area}");
    }

    #[test]
    fn a_ball_is_as_deep_as_its_formula_and_has_no_gaps() {
        let (camera, buffer) = above(&fixtures::ball(9.0, 192), 400, 20.0);
        let mut worst = 0.0_f64;
        for row in 0..400 {
            for column in 0..400 {
                let (x, y) = (column as f64 + 0.5 - 200.0, row as f64 + 0.5 - 200.0);
                let inside = 170.0 * 170.0 - x * x - y * y;
                if inside > 0.0 {
                    let depth = f64::from(buffer.depths[row * 400 + column]);
                    let exact = -(180.0_f64.powi(2) - x * x - y * y).sqrt();
                    worst = worst.max((depth - exact).abs());
                }
            }
        }
        // Chord error of 96 parallels of a ball of 180 px: 180 (1 − cos(π/192)) = 0.02;
        // steep near the rim.
        assert!(worst < 0.2, "{worst}");
        assert!((camera.scale() - 20.0).abs() < 1e-12);
    }

    #[test]
    fn the_nearest_facet_wins_in_either_order() {
        let low = [[-4.0, -4.0, 0.0], [4.0, -4.0, 0.0], [0.0, 4.0, 0.0]];
        let high = low.map(|[x, y, _]| [x * 0.5, y * 0.5, 3.0]);
        for (first, second, nearest) in [(low, high, 1), (high, low, 0)] {
            let points = first.iter().chain(&second).map(|p| Point::from(*p)).collect();
            let (_, buffer) =
                above(&TriMesh::new(points, vec![[0, 1, 2], [3, 4, 5]]), 40, 4.0);
            assert_eq!(buffer.facets[20 * 40 + 20], nearest);
            assert!((buffer.depths[20 * 40 + 20] + 12.0).abs() < 1e-5);
            assert_eq!(buffer.facets[34 * 40 + 20], 1 - nearest);
        }
    }

    #[test]
    fn a_cup_from_above_is_a_wall_around_a_floor() {
        let (_, buffer) = above(&fixtures::cup(), 18, 0.75);
        let rows: Vec<String> = (0..18)
            .map(|row| {
                let at = |column: usize| buffer.depths[row * 18 + column];
                let sign = |depth: f32| match depth {
                    d if d.is_infinite() => '.',
                    d if d < -6.0 => '#',
                    _ => '-',
                };
                (0..18).map(|column| sign(at(column))).collect()
            })
            .collect();
        assert_eq!(rows, CUP, "\n{}", rows.join("\n"));
    }

    const CUP: [&str; 18] = [
        "..................",
        "..................",
        ".....########.....",
        "....###----###....",
        "...##--------##...",
        "..##----------##..",
        "..##----------##..",
        "..#------------#..",
        "..#------------#..",
        "..#------------#..",
        "..#------------#..",
        "..##----------##..",
        "..##----------##..",
        "...##--------##...",
        "....###----###....",
        ".....########.....",
        "..................",
        "..................",
    ];
}
