//! What plastic and press say: physics on a handful of numbers.
//!
//! | question | file |
//! |---|---|
//! | what is a value worth, where is it from | [`sourced`] |
//! | how thick is the melt at this rate and heat | [`viscosity`] |
//! | what does a channel cost in pressure | [`flow`] |
//! | what is known of one plastic | [`plastic`] |
//! | which plastics are known | [`plastics`] |
//! | what does a bolt of this size and class stand | [`thread`] |
//! | how hard does a bolt hold | [`bolts`] |
//! | what pushes the ram | [`drive`] |
//! | how far may it be turned | [`tightening`] |
//! | what are the mold's plates made of | [`alloys`] |
//! | how large are they, where are the bolts | [`mold_plates`] |
//! | what can this press do | [`press`] |
//! | why is a press file refused | [`press_error`] |
//! | what does a press file say | [`press_file`] |
//! | how thick a wall, how much draft | [`limits`] |
//! | does it fit one shot | [`shot`] |
//! | does the mold stay shut | [`clamp`] |
//! | how far does a plate bow | [`plates`] |
//! | which bolt is loaded most | [`pattern`] |
//! | when does a bolted joint open | [`joint`] |
//! | does melt flash through the parting line | [`flash`] |
//! | what keeps it shut | [`shut_cures`] |
//! | how long to hold and cool | [`cooling`] |
//! | how long is one cycle, and which step rules it | [`cycle`] |
//! | how warm does the mold get | [`warming`] |
//! | how much larger to cut | [`shrinkage`] |
//! | how long does the melt stay hot | [`residence`] |
//! | does the nozzle hold, lose, freeze | [`nozzle`] |
//! | how wide a runner, with which cutter | [`runner`] |
//! | what leads the melt to the part, and what does it cost | [`feed`] |
//! | how deep a vent, how many | [`vents`] |
//! | what would the next change of the press buy | [`changes`] |
//! | to which size, and where to leave metal | [`cut_sizes`] |
//! | what does it take to push the part off | [`ejection`] |
//! | with how many pins | [`pins`] |
//! | all of this for one part | [`making`] |
//!
//! This room knows no mesh: quantities come in, quantities go out. A value that a file
//! does not give stays unknown, and the answer that needs it says which one is missing.

pub mod sourced;
pub mod viscosity;
pub mod flow;
pub mod plastic;
pub mod plastics;
pub mod thread;
pub mod bolts;
pub mod drive;
pub mod tightening;
pub mod alloys;
pub mod mold_plates;
pub mod press;
pub mod press_error;
mod drive_file;
pub mod press_file;
pub mod limits;
pub mod shot;
pub mod clamp;
pub mod plates;
pub mod pattern;
pub mod joint;
pub mod flash;
pub mod shut_cures;
pub mod cooling;
pub mod cycle;
pub mod warming;
pub mod shrinkage;
pub mod residence;
pub mod nozzle;
pub mod runner;
pub mod feed;
pub mod vents;
pub mod changes;
pub mod cut_sizes;
pub mod ejection;
pub mod pins;
pub mod making;
