//! From bytes to a closed, oriented, indexed mesh.
//!
//! | question | file |
//! |---|---|
//! | which triangle mesh do all measures ask | [`tri_mesh`] |
//! | where is a solid whose answers are known in closed form | [`shapes`] |
//! | what can be wrong with an STL file | [`stl_problem`] |
//! | what does a binary STL hold | [`stl_binary`] |
//! | which words stand on which line of a text STL | [`stl_words`] |
//! | what does a text STL hold | [`stl_text`] |
//! | which triangles do these bytes hold | [`stl`] |
//! | which corners are the same point | [`vertex_weld`] |
//! | which things hang together | [`disjoint_sets`] |
//! | which facets share an edge, which make up a body | [`topology`] |
//! | what can be wrong with a surface | [`defects`] |
//! | which triangles fill the plane between rings | [`triangulation`] |
//! | where is the surface open, and can it be closed | [`holes`] |
//! | which body lies inside which | [`nesting`] |
//! | which facets have no area, are there twice or face the wrong way | [`facet_repairs`] |
//! | which bodies are closed, which way do they face | [`body_repairs`] |
//! | which facets lie across the edges of a facet | [`neighbors`] |
//! | what does a ray hit first, which surface point is nearest | [`bvh`] |
//! | in which order are corners and facets of a solid written | [`canonical_order`] |
//! | how are solids cut from each other | [`solid`] |
//! | which solids overlap, and what is both in one | [`overlaps`] |
//! | which repairs give a sound mesh | [`heal`] |
//! | does the surface pass through itself | [`self_intersection`] |
//! | which points stand for the surface, each for an equal area | [`samples`] |
//! | which samples lie near a point | [`sample_grid`] |
//!
//! Every measure trusts the [`TriMesh`] that [`heal::heal`] gives: closed where it says so, facing
//! outward, without double corners. Blind to what it is a mesh of.
//!
//! ```
//! use goodshot::mesh::heal::{HealSettings, heal};
//! use goodshot::mesh::{shapes, stl};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let cup = shapes::tray([30.0, 20.0, 10.0], 2.0);
//! let mut bytes = Vec::new();
//! stl::write((0..cup.facets().len()).map(|facet| cup.corners(facet)), &mut bytes)?;
//!
//! let file = stl::read(&bytes)?;
//! let healed = heal(&file.scaled(1.0), HealSettings::default())?;
//! assert!(healed.closed && healed.record.repairs.is_empty());
//! assert_eq!(healed.mesh.facets().len(), cup.facets().len());
//!
//! // Without its last facet the surface is open, and the hole is listed.
//! let open = heal(&file.scaled(1.0)[1..], HealSettings::default())?;
//! assert!(!open.closed);
//! assert_eq!(open.record.holes.len(), 1);
//! # Ok(())
//! # }
//! ```

mod tri_mesh;
pub mod shapes;
mod stl_problem;
mod stl_binary;
mod stl_words;
mod stl_text;
pub mod stl;
pub mod vertex_weld;
pub mod disjoint_sets;
pub mod topology;
mod defects;
pub mod triangulation;
mod holes;
mod nesting;
mod facet_repairs;
mod body_repairs;
pub mod neighbors;
pub mod bvh;
pub mod canonical_order;
pub mod solid;
mod overlaps;
pub mod heal;
pub mod self_intersection;
pub mod samples;
pub mod sample_grid;

pub use tri_mesh::TriMesh;
