//! What the shape says, before any plastic: one question, one file.
//!
//! | question | file |
//! |---|---|
//! | how is a value spread over the surface, and where is it bad? | [`field`] |

pub mod field;
pub mod faces;
pub mod mass;
pub mod silhouette;
pub mod thickness;
pub mod undercut;
pub mod draft;
pub mod pull;
