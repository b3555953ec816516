//! What the user's cutters can and cannot cut: three-axis milling on height fields.
//!
//! Each half is a field of heights on a grid across the pull ([`halves`]), as the spindle
//! sees it. A cutter is a profile t(r), the height of its edge above its tip at r from
//! its axis ([`cutter`]). Its tip can come down to CL(x) = max over u of z(x+u) − t(u),
//! and what is then left is min over u of CL(x−u) + t(u): the gray-scale closing of z by
//! the profile ([`closing`]). Shank and holder take part in the first step, so a cutter
//! that is too short for a place does not come down to it. The set leaves the least that
//! any of its cutters leaves ([`cutter_sequence`]); where that is metal, it is reported by its
//! thickness ([`leftover`]). Of a list only those cutters are used that are worth changing to
//! ([`smallest_set`]), by how fast each works ([`pace`]).
//!
//! The radius of each cutter counts half a cell less, so that a pocket as wide as the cutter
//! is open to it. Blind: what is finer than a cell, faces that only a tilted spindle reaches,
//! and the bow of a long cutter, which is reported apart ([`bending`]). The ridges that flat cutters
//! leave on slopes follow from the facets, not from the cells ([`ridges`]).

pub mod cutter;
mod cutter_file;
pub mod height_field;
pub mod grid;
mod parting_height;
pub mod halves;
pub mod closing;
pub mod leftover;
pub mod bending;
pub mod pace;
pub mod cutter_sequence;
pub mod smallest_set;
pub mod cutter_use;
pub mod outcome;
pub mod ridges;

pub use cutter_file::{CutterError, CutterList};
