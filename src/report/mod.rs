//! The same report in every form: no renderer knows another, and none computes.
//!
//! [`model`] is what may be said and [`words`] how; a map grows from [`view`] over
//! [`raster`] and [`atlas`] (shared by all maps) to [`map`] (one sheet a question).

pub mod model;
pub mod words;
pub mod palette;
pub mod view;
pub mod raster;
mod light;
pub mod atlas;
mod canvas;
pub mod paint;
mod legend;
pub mod marks;
pub mod map;

#[cfg(test)]
mod fixtures;
