//! A mold in every form: solids for CAM, tables for the drill press, drawings, pictures.
//!
//! [`model`] is what may be said, [`assemble`] fills it, [`bundle`] makes all files.

pub mod model;
mod drill;
pub mod assemble;
mod solids;
mod table;
pub(crate) mod words;
mod drawing;
mod plan;
mod opened;
pub mod bundle;
