//! Volume, area, centroid, inertia: signed tetrahedra over the closed surface.
//!
//! Exact to rounding for the mesh as it is. An open mesh has an area and a center of
//! area, no volume; self-intersecting parts count what lies inside twice, twice.

use nalgebra::Matrix3;
use rayon::prelude::*;

use crate::geom::{Point, Vector};
use crate::mesh::TriMesh;

/// Facets summed at a time; fixed, so that the sum does not depend on the threads.
const CHUNK: usize = 4096;

/// Mass properties for unit density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mass {
    /// Area of the surface, mm².
    pub area: f64,
    /// Center of volume, or of area when open, mm.
    pub centroid: Point,
    /// What only a closed surface has.
    pub solid: Option<Solid>,
}

/// What only a closed surface has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solid {
    /// Enclosed volume, mm³.
    pub volume: f64,
    /// Moments of inertia about the centroid for unit density, mm⁵.
    pub inertia: Matrix3<f64>,
}

/// Measures `mesh`; `closed` says whether it encloses a volume.
pub fn measure(mesh: &TriMesh, closed: bool) -> Mass {
    let origin =
        if mesh.facets().is_empty() { Point::origin() } else { mesh.bounds().center() };
    let parts: Vec<Sums> = (0..mesh.facets().len())
        .collect::<Vec<_>>()
        .par_chunks(CHUNK)
        .map(|facets| {
            facets
                .iter()
                .fold(Sums::default(), |sums, &facet| sums.with(mesh, facet, &origin))
        })
        .collect();
    let sums = parts.iter().fold(Sums::default(), |a, b| a.plus(b));
    if closed && sums.volume > 0.0 {
        let centroid = sums.volume_moment / sums.volume;
        let second = sums.second - centroid * centroid.transpose() * sums.volume;
        let inertia = Matrix3::identity() * second.trace() - second;
        let solid = Some(Solid { volume: sums.volume, inertia });
        return Mass { area: sums.area, centroid: origin + centroid, solid };
    }
    let centroid = origin + sums.area_moment / sums.area.max(f64::MIN_POSITIVE);
    Mass { area: sums.area, centroid, solid: None }
}

#[derive(Clone, Copy, Default)]
struct Sums {
    area: f64,
    area_moment: Vector,
    volume: f64,
    volume_moment: Vector,
    /// ∫ x xᵀ dV.
    second: Matrix3<f64>,
}

impl Sums {
    /// Adds the tetrahedron between `facet` and `origin`.
    fn with(mut self, mesh: &TriMesh, facet: usize, origin: &Point) -> Self {
        let [a, b, c] = mesh.corners(facet).map(|corner| corner - origin);
        let sum = a + b + c;
        let area = mesh.areas()[facet];
        let volume = a.dot(&b.cross(&c)) / 6.0;
        self.area += area;
        self.area_moment += sum * (area / 3.0);
        self.volume += volume;
        self.volume_moment += sum * (volume / 4.0);
        // ∫ x xᵀ dV of a tetrahedron with one corner in the origin: V/20 (Σ p pᵀ + s sᵀ).
        let squares = a * a.transpose() + b * b.transpose() + c * c.transpose();
        self.second += (squares + sum * sum.transpose()) * (volume / 20.0);
        self
    }

    fn plus(self, other: &Self) -> Self {
        Self {
            area: self.area + other.area,
            area_moment: self.area_moment + other.area_moment,
            volume: self.volume + other.volume,
            volume_moment: self.volume_moment + other.volume_moment,
            second: self.second + other.second,
        }
    }
}
