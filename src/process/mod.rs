//! What plastic and press say: physics on a handful of numbers.
//!
//! | question | file |
//! |---|---|
//! | what is a value worth, where is it from | [`sourced`] |
//! | how thick is the melt at this rate and heat | [`viscosity`] |
//! | what does a channel cost in pressure | [`flow`] |
//! | what is known of one plastic | [`plastic`] |
//! | which plastics are known | [`plastics`] |
//! | how hard does a bolt hold | [`bolts`] |
//! | what pushes the ram | [`drive`] |
//! | what can this press do | [`press`] |
//! | why is a press file refused | [`press_error`] |
//! | what does a press file say | [`press_file`] |
//! | how thick a wall, how much draft | [`limits`] |
//! | does it fit one shot | [`shot`] |
//! | does the mold stay shut | [`clamp`] |
//! | how long to hold and cool | [`cooling`] |
//! | how much larger to cut | [`shrinkage`] |
//! | how long does the melt stay hot | [`residence`] |
//! | does the nozzle hold, lose, freeze | [`nozzle`] |
//! | how wide a runner, with which cutter | [`runner`] |
//! | what leads the melt to the part, and what does it cost | [`feed`] |
//! | how deep a vent, how many | [`vents`] |
//! | what would the next change of the press buy | [`changes`] |
//!
//! This room knows no mesh: quantities come in, quantities go out. A value that a file
//! does not give stays unknown, and the answer that needs it says which one is missing.

pub mod sourced;
pub mod viscosity;
pub mod flow;
pub mod plastic;
pub mod plastics;
pub mod bolts;
pub mod drive;
pub mod press;
pub mod press_error;
mod drive_file;
pub mod press_file;
pub mod limits;
pub mod shot;
pub mod clamp;
pub mod cooling;
pub mod shrinkage;
pub mod residence;
pub mod nozzle;
pub mod runner;
pub mod feed;
pub mod vents;
pub mod changes;
