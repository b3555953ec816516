//! From data to pixels: the maps of a report, the moving front, the plans of a mold.
//!
//! | question | file |
//! |---|---|
//! | which color stands for a value | [`palette`] |
//! | which for what is wrong | [`problems`] |
//! | where is the part looked at from | [`view`] |
//! | which facet shows at a pixel | [`raster`] |
//! | how light is a pixel | `shading` |
//! | which values are colored | `color_scales` |
//! | which point of the surface does a pixel show | `surface_points` |
//! | which views stand where on a sheet | [`atlas`] |
//! | letters, lines and discs | `canvas` |
//! | a color for each pixel of a view | [`paint`] |
//! | the parting line on a picture | `parting_line` |
//! | what the colors mean | `legend` |
//! | numbers at the worst places | [`marks`] |
//! | one sheet for one question | [`map`] |
//! | the cost of a part over the number of parts | `cost_chart` |
//! | the front on its way, moving | `filling_animation` |
//! | the pictures of a filling | `filling_maps` |
//! | the halves as the spindle sees them | `milling_map` |
//! | the part cut along its parting line | `separated_skins` |
//! | the part pulled apart | [`halves_map`] |
//! | drawings for the page | `charts` |
//! | the parting face of each half of a mold | `mold_plan` |
//! | what each place of a half forms | `formed_surfaces` |
//! | both halves of a mold side by side | `open_mold` |

pub mod palette;
pub mod problems;
pub mod view;
pub mod raster;
mod shading;
pub(crate) mod color_scales;
mod surface_points;
pub mod atlas;
mod canvas;
pub mod paint;
mod parting_line;
mod legend;
pub mod marks;
pub mod map;
pub(crate) mod cost_chart;
mod filling_animation;
pub(crate) mod filling_maps;
pub(crate) mod milling_map;
mod separated_skins;
pub mod halves_map;
pub(crate) mod charts;
pub(crate) mod mold_plan;
pub(crate) mod formed_surfaces;
pub(crate) mod open_mold;
