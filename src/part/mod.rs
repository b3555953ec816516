//! What the shape says, before any plastic: one question, one file.
//!
//! | question | file |
//! |---|---|
//! | how is a value spread over the surface, and where is it bad? | [`field`] |
//! | which facets make up what a designer calls a face? | [`faces`] |
//! | what is made of the mesh once, for all the others? | [`Part`] in `model` |
//! | how wide and deep is a round hole? | `holes` |
//! | how large, how heavy, where is its middle? | [`mass`] |
//! | what does it cover, seen along the pull? | [`silhouette`] |
//! | how thick is the wall? | [`thickness`] |
//! | what can neither half leave? | [`undercut`] |
//! | which half forms each point, and which half is the core? | [`draft`], in `draft::sides` |
//! | how much do the walls taper, and which too little? | [`draft`] |
//! | which metal does it shrink onto? | [`grips`] |
//! | where can ejector pins push? | [`pin_sites`] |
//! | where do the two halves meet, and what does each form? | [`parting`] |
//! | which way should the mold open? | [`pull`] |
//! | what can be done about a trapped place? | [`remedies`] |
//! | what does an eye see from afar? | [`visibility`] |
//! | how has one shape to be turned and shifted to lie on another? | [`pose`] |
//! | what did another shape of the part change? | [`revision`] |

pub mod field;
pub mod faces;
mod model;
mod holes;
pub mod mass;
pub mod silhouette;
pub mod thickness;
pub mod undercut;
pub mod draft;
pub mod grips;
pub mod pin_sites;
pub mod parting;
pub mod pull;
pub mod remedies;
pub mod visibility;
pub mod pose;
pub mod revision;

pub use model::Part;
