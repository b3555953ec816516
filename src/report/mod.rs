//! The same report in every form: no renderer knows another, and none computes.
//!
//! [`crate::schema`] is what may be said, [`crate::schema::words`] how, and [`outline`] in which order and in
//! which [`blocks`]. A map grows from [`crate::draw::view`] over [`crate::draw::raster`] and [`crate::draw::atlas`] (shared by
//! all maps) to [`crate::draw::map`] (one sheet a question) and [`crate::draw::halves_map`] (the part pulled
//! apart); [`crate::draw::filling_maps`] draws the filling, [`crate::draw::filling_animation`] its front, `cut_map` shows the halves as the spindle does. [`crate::schema::assemble`] fills the model from an
//! analysis ([`crate::schema::assemble::process`] and [`crate::schema::assemble::process_sheet`] what concerns the press), [`bundle`] makes all files of a report from it, and [`mold`] all those of a mold.

pub mod blocks;
mod release;
mod metal;
pub mod filling;
mod milling;
pub mod process;
pub mod what_if;
pub mod outline;
pub mod json;
pub mod ply;
pub mod dxf;
pub mod markdown;
pub mod html;
pub mod bundle;
pub mod mold;
