//! From bytes to a closed, oriented, indexed mesh.
//!
//! Reading order is the order of the `mod` lines: an STL becomes a soup of triangles
//! ([`stl`]), the soup shared corners ([`weld`]), the corners edges and bodies
//! ([`topology`]), and named repairs ([`heal`]) give the [`TriMesh`] that every measure
//! trusts. [`neighbors`], [`bvh`] and [`samples`] are how the measures ask it;
//! [`self_intersection`] finds what [`heal`] cannot see.

mod tri_mesh;
pub mod shapes;
mod stl_problem;
mod stl_binary;
mod stl_words;
mod stl_text;
pub mod stl;
pub mod weld;
pub mod disjoint_sets;
pub mod topology;
mod defects;
pub mod triangulation;
mod holes;
mod nesting;
mod facet_repairs;
mod body_repairs;
pub mod heal;
pub mod neighbors;
pub mod bvh;
pub mod self_intersection;
pub mod samples;
pub mod sample_grid;

pub use tri_mesh::TriMesh;
