//! Does the melt reach the last corner at my pressure.

mod grid;
mod scan;
mod fractions;
mod walls;
pub mod cells;
pub mod skin;
pub mod fluidity;
mod levels;
mod solve;
pub mod melt;
pub mod gate;
pub mod flow;
mod advance;
pub mod front;
