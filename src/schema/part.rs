//! What was read: the part's size, and how sound its file is.

use serde::{Deserialize, Serialize};

/// What was read, and how sound it is.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Part {
    /// File name, without folders.
    pub file: String,
    /// Unit of the file's numbers: `mm`, `cm`, `m` or `in`.
    pub unit: String,
    /// Whether the user named the unit; otherwise mm was taken.
    pub unit_given: bool,
    /// Facets kept after the repairs.
    pub facets: usize,
    /// Separate closed or open surfaces, voids included.
    pub bodies: usize,
    /// Whether the surface encloses a volume.
    pub closed: bool,
    /// Volume of the plastic in mm³; `null` when the surface is open.
    pub volume_mm3: Option<f64>,
    /// Area of the surface in mm².
    pub area_mm2: f64,
    /// Center of volume (of area when open), mm.
    pub centroid_mm: [f64; 3],
    /// Extent along the part axes.
    pub bounding_box_mm: BoundingBox,
    /// Moments of inertia about the centroid for unit density, mm⁵: the rows of the
    /// symmetric matrix; `null` when the surface is open.
    pub inertia_mm5: Option<[[f64; 3]; 3]>,
    /// Largest distance between the facets and the curved surface that they stand for,
    /// estimated from the mesh, mm; `null` when nothing is curved.
    pub chord_error_mm: Option<f64>,
    /// What is wrong with the file.
    pub defects: Vec<Defect>,
    /// What was done about it.
    pub repairs: Vec<Repair>,
}

/// Extent along the part axes, mm.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BoundingBox {
    /// Least coordinates.
    pub min: [f64; 3],
    /// Greatest coordinates.
    pub max: [f64; 3],
}

/// One kind of defect of the file.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Defect {
    /// Which, such as `hole` or `non_manifold_edge`.
    pub kind: String,
    /// How many.
    pub count: usize,
    /// Where the first one is, mm; `null` where it has no place.
    pub at_mm: Option<[f64; 3]>,
}

/// One kind of repair that was made.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Repair {
    /// Which, such as `drop_duplicate_facets`.
    pub kind: String,
    /// How many.
    pub count: usize,
    /// Volume that counted twice before bodies were united, mm³; `null` for other repairs.
    pub volume_mm3: Option<f64>,
}
