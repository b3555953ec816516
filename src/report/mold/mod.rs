//! A mold in every form: solids for CAM, tables for the drill press, drawings, pictures.
//!
//! [`crate::schema::mold`] is what may be said, [`crate::schema::mold::assemble`] fills it, [`bundle`] makes all files.

mod solids;
mod table;
pub(crate) mod markdown;
mod drawing;
pub mod bundle;
