//! The melt flow rate of the bag (ISO 1133): what a viscosity model implies, and the model
//! that gives the rate of the bag.
//!
//! | question | file |
//! |---|---|
//! | how is a rate written, at which test | [`data_sheet`] |
//! | what does a model let out of the die | [`capillary`] |
//! | which model gives the rate of the bag | [`level`] |
//!
//! A level set without the integral over the die and without the loss at its entry is 10 to
//! 80 % too thick for a melt that thins: so both are in.

pub mod data_sheet;
pub mod capillary;
pub mod level;

#[cfg(test)]
mod tests;
