//! The same report in every form: no renderer knows another, and none computes.
//!
//! [`model`] is what may be said, [`words`] how, and [`outline`] in which order and in
//! which [`blocks`]. A map grows from [`view`] over [`raster`] and [`atlas`] (shared by
//! all maps) to [`map`] (one sheet a question) and [`halves`] (the part pulled
//! apart); [`flows`] draws the filling, [`moving`] its front, `cut_map` shows the halves as the spindle does. [`assemble`] fills the model from an
//! analysis ([`production`] and [`sheet`] what concerns the press), [`bundle`] makes all files of a report from it, and [`mold`] all those of a mold.

pub mod model;
pub mod words;
mod gauge;
mod production;
mod filled;
mod milled;
mod sheet;
pub mod assemble;
#[cfg(test)]
pub(crate) mod fixtures;
pub mod blocks;
mod opening;
mod metal;
pub mod filling;
mod milling;
pub mod molding;
pub mod what_if;
pub mod outline;
pub mod json;
pub mod palette;
pub mod view;
pub mod raster;
mod light;
mod fields;
mod points;
pub mod atlas;
mod canvas;
pub mod paint;
mod seam;
mod legend;
pub mod marks;
pub mod map;
mod moving;
mod flows;
mod cut_map;
mod skins;
pub mod halves;
pub mod ply;
pub mod dxf;
pub mod markdown;
mod charts;
pub mod viewer;
mod turning;
pub mod html;
pub mod bundle;
pub mod mold;
