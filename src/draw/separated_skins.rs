//! The part cut along its parting line: one skin a half, moved apart along the pull.

use crate::draw::view::View;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, sample_grid::SampleGrid, samples::Samples};
use crate::part::halves::Half;

/// Free room between the skins, as a share of their height.
const APART: f64 = 0.05;
/// Around what is trapped samples count to this many spacings.
const AROUND: f64 = 4.0;

/// The part cut along its parting line and moved apart.
pub(crate) struct SeparatedSkins {
    /// Both skins; the corners of one are not those of the other.
    pub(crate) mesh: TriMesh,
    /// The half of each corner; `None` where no facet uses it.
    half_of_corner: Vec<Option<Half>>,
    /// Edges of the parting line: both ends on the + skin, both on the − skin.
    pub(crate) seam: Vec<[[u32; 2]; 2]>,
    /// How far each half moved, mm along the pull.
    moved: [f64; 2],
    /// How far the skins are apart, mm.
    pub(crate) apart: f64,
}

impl SeparatedSkins {
    pub(crate) fn separate(
        mesh: &TriMesh,
        half_of_facet: &[Half],
        pull: Direction,
        views: &[View],
    ) -> Self {
        let Cut { mut points, half_of_corner, facets, seam } =
            Cut::split(mesh, half_of_facet);
        let apart = needed(&points, &half_of_corner, pull, views);
        let moved = [0.5 * apart, -0.5 * apart];
        for (point, half) in points.iter_mut().zip(&half_of_corner) {
            let way = half.map_or(0.0, |half| moved[half as usize]);
            *point += pull.vector() * way;
        }
        let mesh = TriMesh::new(points, facets);
        Self { mesh, half_of_corner, seam, moved, apart }
    }

    /// The samples of the part where they are now; `half` gives that of each.
    pub(crate) fn samples(
        &self,
        samples: &Samples,
        pull: Direction,
        half: impl Fn(u32, &Point) -> Half,
    ) -> Samples {
        let mut samples = samples.clone();
        for (point, &facet) in samples.points.iter_mut().zip(&samples.facets) {
            *point += pull.vector() * self.moved[half(facet, point) as usize];
        }
        samples
    }

    /// The half of a facet of the moved mesh.
    pub(crate) fn half(&self, facet: u32) -> Option<Half> {
        let [corner, ..] = self.mesh.facets().get(facet as usize)?;
        self.half_of_corner[*corner as usize]
    }

    pub(crate) fn at(&self, corner: u32) -> Point {
        self.mesh.points()[corner as usize]
    }
}

/// The part cut along its parting line, nothing moved yet.
struct Cut {
    points: Vec<Point>,
    half_of_corner: Vec<Option<Half>>,
    facets: Vec<[u32; 3]>,
    seam: Vec<[[u32; 2]; 2]>,
}

impl Cut {
    /// Gives each half corners of its own where both meet.
    fn split(mesh: &TriMesh, half_of_facet: &[Half]) -> Self {
        let corners = mesh.points().len();
        let mut used = vec![[false; 2]; corners];
        for (facet, half) in mesh.facets().iter().zip(half_of_facet) {
            facet.iter().for_each(|&corner| used[corner as usize][*half as usize] = true);
        }
        let mut points = mesh.points().to_vec();
        let first = |used: &[bool; 2]| match used {
            [true, _] => Some(Half::Plus),
            [_, true] => Some(Half::Minus),
            _ => None,
        };
        let mut half_of_corner: Vec<Option<Half>> = used.iter().map(first).collect();
        let mut twins: Vec<u32> = (0..corners as u32).collect();
        for corner in (0..corners).filter(|&corner| used[corner] == [true; 2]) {
            twins[corner] = points.len() as u32;
            points.push(mesh.points()[corner]);
            half_of_corner.push(Some(Half::Minus));
        }
        let own = |(facet, half): (&[u32; 3], &Half)| match half {
            Half::Plus => *facet,
            Half::Minus => facet.map(|corner| twins[corner as usize]),
        };
        let facets = mesh.facets().iter().zip(half_of_facet).map(own).collect();
        let seam = seam(mesh, half_of_facet, &used)
            .into_iter()
            .map(|edge| [edge, edge.map(|corner| twins[corner as usize])])
            .collect();
        Self { points, half_of_corner, facets, seam }
    }
}

/// The distance at which the skins are clear of each other, along the pull and in each
/// of `views`.
fn needed(
    points: &[Point],
    half_of_corner: &[Option<Half>],
    pull: Direction,
    views: &[View],
) -> f64 {
    let ranges = |way: Vector| {
        let mut ranges = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
        for (point, half) in points.iter().zip(half_of_corner) {
            let Some(half) = half else { continue };
            let value = way.dot(&point.coords);
            let [least, most] = &mut ranges[*half as usize];
            (*least, *most) = (least.min(value), most.max(value));
        }
        ranges
    };
    // Up in a picture is the pull less what of it runs along the view.
    let ups = views.iter().filter_map(|view| {
        let toward = view.toward.vector();
        Direction::new(pull.vector() - toward * view.toward.dot(&pull.vector()))
    });
    let apart = |up: Direction| {
        let [plus, minus] = ranges(up.vector());
        let room = APART * (plus[1].max(minus[1]) - plus[0].min(minus[0]));
        (minus[1] - plus[0] + room) / up.dot(&pull.vector())
    };
    let needed = ups.chain([pull]).map(apart).fold(0.0, f64::max);
    if needed.is_finite() { needed } else { 0.0 }
}

/// The edges that facets of both halves use.
fn seam(mesh: &TriMesh, half_of_facet: &[Half], used: &[[bool; 2]]) -> Vec<[u32; 2]> {
    let shared = |corner: u32| used[corner as usize] == [true; 2];
    let mut edges: Vec<([u32; 2], u8)> = Vec::new();
    for (facet, half) in mesh.facets().iter().zip(half_of_facet) {
        for side in 0..3 {
            let (from, to) = (facet[side], facet[(side + 1) % 3]);
            if shared(from) && shared(to) {
                edges.push(([from.min(to), from.max(to)], *half as u8));
            }
        }
    }
    edges.sort_unstable();
    edges.dedup();
    let met = |pair: &[([u32; 2], u8)]| (pair[0].0 == pair[1].0).then_some(pair[0].0);
    edges.windows(2).filter_map(met).collect()
}

/// The samples that are trapped and those around them, and which are: the rest of the
/// part need not be asked.
pub(crate) fn near_trapped(all: &Samples, trapped: &[bool]) -> (Samples, Vec<bool>) {
    let is = |sample: usize| trapped.get(sample).copied().unwrap_or(false);
    let few = all.only((0..all.len()).filter(|&sample| is(sample)));
    if few.is_empty() {
        return (few, Vec::new());
    }
    let grid = SampleGrid::new(&few, AROUND * all.spacing());
    let near: Vec<usize> = (0..all.len())
        .filter(|&sample| grid.near(&all.points[sample]).next().is_some())
        .collect();
    let trapped = near.iter().map(|&sample| is(sample)).collect();
    (all.only(near.into_iter()), trapped)
}

#[cfg(test)]
mod tests {
    use super::SeparatedSkins;
    use crate::draw::view;
    use crate::geom::Direction;
    use crate::mesh::TriMesh;
    use crate::part::halves::Half;
    use crate::schema::fixtures::{facing, solids};

    #[test]
    fn every_facet_is_in_one_skin_and_the_skins_are_apart() {
        let views: Vec<_> = view::candidates(Direction::Z).into_iter().skip(6).collect();
        assert_eq!(views.len(), 8, "all corners");
        for mesh in solids() {
            let halves = facing(&mesh);
            let skins = SeparatedSkins::separate(&mesh, &halves, Direction::Z, &views);
            assert_eq!(skins.mesh.facets().len(), mesh.facets().len());
            let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
            for (facet, half) in halves.iter().enumerate() {
                assert_eq!(skins.half(facet as u32), Some(*half));
                for corner in skins.mesh.facets()[facet] {
                    assert_eq!(skins.half_of_corner[corner as usize], Some(*half));
                    let z = skins.at(corner).z;
                    match half {
                        Half::Plus => lowest = lowest.min(z),
                        Half::Minus => highest = highest.max(z),
                    }
                }
            }
            assert!(lowest - highest > 0.5, "{lowest} {highest}");
            let same = |a: f64, b: f64| (a - b).abs() < 1e-9 * a;
            let area = |mesh: &TriMesh| mesh.areas().iter().sum::<f64>();
            assert!(same(area(&mesh), area(&skins.mesh)));
        }
    }

    #[test]
    fn the_seam_is_the_parting_line_of_the_closed_form() {
        // Box: its top rim, 2 (30 + 20). Torus: inner and outer equator, inscribed in
        // 32 corners: 2 · 32 sin(π/32) (25 + 15).
        let [block, _, torus] = solids();
        let polygon = 64.0 * (std::f64::consts::PI / 32.0).sin();
        for (mesh, length) in [(block, 100.0), (torus, polygon * 40.0)] {
            let halves = facing(&mesh);
            let skins = SeparatedSkins::separate(&mesh, &halves, Direction::Z, &[]);
            for half in 0..2 {
                let ends = skins.seam.iter().map(|edge| edge[half].map(|c| skins.at(c)));
                let sum: f64 = ends.map(|[a, b]| (b - a).norm()).sum();
                assert!((sum / length - 1.0).abs() < 1e-9, "{sum} {length}");
            }
        }
    }
}
