//! The metal around the part: a block of two plates, parted where the part parts, with
//! feed, bolts, dowels, ejector pins, core pins, vents and pry slots.
//!
//! | question | file |
//! |---|---|
//! | what do the cutters leave of a half | [`milling`] |
//! | which solids do drills, mills and reamers leave | [`primitives`] |
//! | where are the axes of the mold | [`axes`] |
//! | along which rings do the surfaces of the halves meet | [`rings`] |
//! | what is a file off by that no mill can tell | [`snapping`] |
//! | how are rings moved apart, so that none touches itself | [`ring_offset`] |
//! | which parting surface do both halves share | [`parting_surface`] |
//! | what are the halves with nothing but the part in them | [`blanks`] |
//! | does a point lie in the plastic | [`point_in_plastic`] |
//! | what is cut, in which half, where, how large | [`cut_feature`] |
//! | how do several equal cavities lie | [`cavities`] |
//! | where is room in the parting face | [`clearance`] |
//! | where do sprue, runner and gate lie | [`feed`] |
//! | what do they take of the metal, and the nozzle's counterbore | [`feed_cuts`] |
//! | which ejector pins, and where | [`ejector_pin_search`] |
//! | which holes does a bolt ask for, how long is it sold | [`bolt_holes`] |
//! | how large is the block, where are feed, bolts and pins | [`layout`] |
//! | how are the holes of ejector pins made | `pin_holes` |
//! | where do dowels and pry slots go | [`dowels`] |
//! | which bought pins stand for cores that are too thin | [`core_pins`] |
//! | where do vents go | [`vents`] |
//! | how deep are blind holes, which screws fit | [`screws`] |
//! | which tall cores are set into their plate | [`inserts`] |
//! | what is cut out of the blanks | `cutting` |
//! | why is there no mold | [`no_mold`] |
//! | which steps lead from part to halves | [`build`] |
//! | what is each half milled from | [`stock`] |
//! | how do the halves lie in their files | [`pose`] |
//! | which faces does a CAD program see in the finished solids | [`brep`] |
//! | what do the cutters leave of the finished halves | [`milled_halves`] |
//! | how much metal is left beside the holes of the pins | [`pin_metal`] |
//! | how deep does one solid get into another as it moves | [`entry`] |
//! | which operations make a half, in their order | [`operations`] |
//! | which programs for the mill make what is plain | [`toolpaths`] |
//! | are the finished solids a mold | [`mold_checks`] |
//! | which strip shows how far the melt flows | [`test_piece`] |
//!
//! ```text
//!  part ─► axes ─► rings ─► feed's way ─► layout ─► surface ─► blanks ─► halves ─► checks
//! ```
//!
//! Everything happens in the axes of the mold ([`axes`]): z along the pull, zero where the
//! halves meet, lengths as they are cut. The **blanks** are the halves with nothing but the
//! part in them: each is closed by the skin that it forms, by the parting surface
//! ([`parting_surface`]) that both share corner by corner, and by the walls of the block. So part
//! and blanks fill the block by construction, whatever the shape of the part. Only what is
//! drilled and milled besides is cut by booleans ([`crate::mesh::solid`]).
//!
//! Blind: what cutters cannot reach is not left standing in the solids, and round holes are
//! polygons of 48 sides. What the user's cutters leave of a half, and which of them are needed,
//! is asked of fields of heights ([`milling`]): of the part alone before there is a mold, of
//! the finished halves after ([`milled_halves`]).

pub mod milling;
pub mod primitives;
pub mod axes;
pub mod rings;
pub mod snapping;
pub mod ring_offset;
pub mod parting_surface;
pub mod blanks;
pub mod point_in_plastic;
pub mod cut_feature;
pub mod cavities;
pub mod clearance;
pub mod feed;
pub mod feed_cuts;
pub mod bolt_holes;
pub mod layout;
mod pin_holes;
pub mod dowels;
pub mod core_pins;
pub mod vents;
pub mod screws;
pub mod inserts;
mod cutting;
mod no_mold;
pub mod build;
pub mod stock;
pub mod pose;
pub mod brep;
pub mod milled_halves;
pub mod entry;
pub mod pin_metal;
pub mod operations;
pub mod toolpaths;
pub mod mold_checks;
pub mod ejector_pin_search;
pub mod test_piece;

#[cfg(test)]
mod feed_tests;
#[cfg(test)]
mod insert_tests;
#[cfg(test)]
mod tests;
