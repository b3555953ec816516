//! From bytes to a closed, oriented, indexed mesh.
//!
//! Reading order is the order of the `mod` lines: an STL becomes a soup of triangles
//! ([`stl`]), the soup shared corners ([`weld`]), the corners edges and bodies
//! ([`topology`]), and named repairs ([`heal`]) give the [`TriMesh`] that every measure
//! trusts. [`bvh`] and [`samples`] are how the measures ask it.

mod tri_mesh;
pub mod shapes;
pub mod neighbors;
pub mod bvh;
pub mod samples;

pub use tri_mesh::TriMesh;
