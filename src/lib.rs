//! `goodshot` reads a plastic part as STL and answers, before anyone cuts metal: *if I
//! mill this mold today, will I get a good part out of my press?*
//!
//! ```text
//!  bytes ─► mesh ─► measure ─► process ─► analysis ─► findings ─► report ─► files
//! ```
//!
//! The `mod` lines below are the rooms in reading order. A room imports only rooms above
//! it, and a file only siblings that its `mod.rs` lists before it; `tests/layers.rs`
//! holds both.

mod names;
pub mod units;
pub mod numeric;
pub mod geom;
pub mod mesh;
pub mod part;
pub mod process;
pub mod fill;
pub mod mold;
pub mod settings;
pub mod analysis;
pub mod findings;
pub mod variations;
pub mod schema;
pub mod draw;
pub mod viewer;
pub mod report;
pub mod compare;
pub mod cli;
