//! What the shape says, before any plastic: one question, one file.
//!
//! | question | file |
//! |---|---|
//! | how is a value spread over the surface, and where is it bad? | [`surface_statistics`] |
//! | which facets make up what a designer calls a face? | [`faces`] |
//! | what is made of the mesh once, for all the others? | [`Part`] in `part_model` |
//! | how wide and deep is a round hole? | [`holes`] |
//! | how large, how heavy, where is its middle? | [`mass`] |
//! | what does it cover, seen along the pull? | [`silhouette`] |
//! | which is the largest ball inside that touches here? | [`inscribed_ball`] |
//! | what becomes of its walls when they are changed? | [`wall_change`] |
//! | how thick is the wall? | [`thickness`] |
//! | what can neither half leave? | [`undercut`] |
//! | which trapped regions does one change free? | [`undercut_causes`] |
//! | which half forms a place, and what is a half for? | [`halves`] |
//! | how much do the walls taper, and which too little? | [`draft`] |
//! | which half has the core? | [`core_half`] |
//! | which metal does it shrink onto? | [`grips`] |
//! | which metal of the mold stands alone between plastic? | [`standing_metal`] |
//! | where can ejector pins push? | [`ejector_pin_sites`] |
//! | where can a sprue stand on a face? | [`sprue_face`] |
//! | where do the two halves meet, and what does each form? | [`parting`] |
//! | which way should the mold open? | [`pull`] |
//! | what can be done about a trapped place? | [`remedies`] |
//! | what does an eye see from afar? | [`visibility`] |
//! | how has one shape to be turned and shifted to lie on another? | [`pose`] |
//! | what did another shape of the part change? | [`revision`] |
//!
//! ```
//! use goodshot::mesh::bvh::Bvh;
//! use goodshot::mesh::samples::Samples;
//! use goodshot::mesh::shapes;
//! use goodshot::part::{mass, thickness};
//!
//! // A tray of 30 × 20 × 10 mm with walls of 2 mm.
//! let tray = shapes::tray([30.0, 20.0, 10.0], 2.0);
//! let solid = mass::measure(&tray, true).solid.unwrap();
//! assert!((solid.volume - (30.0 * 20.0 * 10.0 - 26.0 * 16.0 * 8.0)).abs() < 1e-9);
//!
//! let bvh = Bvh::new(&tray);
//! let samples = Samples::spread(&tray, &bvh, 2000);
//! let walls = thickness::map(&bvh, &samples).of_walls();
//! let thinnest = walls.into_iter().flatten().fold(f64::INFINITY, f64::min);
//! assert!((thinnest - 2.0).abs() < 0.02);
//! ```

pub mod halves;
pub mod surface_statistics;
pub mod faces;
mod part_model;
pub mod holes;
pub mod mass;
pub mod silhouette;
pub mod inscribed_ball;
pub mod wall_change;
pub mod thickness;
pub mod undercut;
pub mod undercut_causes;
pub mod draft;
pub mod core_half;
pub mod grips;
pub mod ejector_pin_sites;
pub mod sprue_face;
pub mod parting;
pub mod standing_metal;
pub mod pull;
pub mod remedies;
pub mod visibility;
pub mod pose;
pub mod revision;

pub use crate::part::part_model::Part;
