//! What plastic and press say: physics on a handful of numbers.
//!
//! | question | file |
//! |---|---|
//! | what is a value worth, where is it from | [`sourced`] |
//! | how thick is the melt at this rate and heat | [`crate::process::plastic::viscosity`] |
//! | which melt flow rate does that mean, and the other way | [`crate::process::plastic::melt_flow`] |
//! | can the values of a plastic be right | [`crate::process::plastic::bounds`] |
//! | how hot is it run here | [`crate::process::plastic::temperatures`] |
//! | what does a channel cost in pressure | [`crate::process::feed::channel`] |
//! | what do real shots say of bag, press and thermometers | [`calibration`] |
//! | what is known of one plastic | [`plastic`] |
//! | which plastics are known | [`crate::process::plastic::library`] |
//! | what does a bolt of this size and class stand | [`crate::process::clamping::thread`] |
//! | how hard does a bolt hold | [`crate::process::clamping::bolts`] |
//! | what pushes the ram | [`crate::process::press::drive`] |
//! | how far may it be turned | [`crate::process::clamping::tightening`] |
//! | what are the mold's plates made of | [`crate::process::clamping::alloys`] |
//! | how large are they, where are the bolts | [`crate::process::clamping::mold_plates`] |
//! | what can this press do | [`press`] |
//! | why is a press file refused | [`crate::process::press::file_error`] |
//! | what does a press file say | [`crate::process::press::file`] |
//! | how thick a wall, how much draft | [`part_limits`] |
//! | does it fit one shot | [`crate::process::press::shot`] |
//! | does the mold stay shut | [`crate::process::clamping::force`] |
//! | how far do the plates bow | [`crate::process::clamping::plate_bow`] |
//! | which bolt is loaded most | [`crate::process::clamping::bolt_pattern`] |
//! | when does a bolted joint open | [`crate::process::clamping::bolted_joint`] |
//! | does melt flash through the parting line | [`crate::process::clamping::flash`] |
//! | what keeps it shut | [`crate::process::clamping::remedies`] |
//! | how long to hold and cool | [`crate::process::thermal::cooling`] |
//! | how long is one cycle, and which step rules it | [`crate::process::thermal::cycle`] |
//! | how warm does the mold get | [`crate::process::thermal::heat_up`] |
//! | how much larger to cut | [`crate::process::plastic::shrinkage`] |
//! | how long does the melt stay hot | [`crate::process::plastic::residence`] |
//! | does the nozzle hold, lose, freeze | [`crate::process::feed::nozzle`] |
//! | how wide a runner, with which cutter | [`crate::process::feed::runner`] |
//! | how may a feed lie | [`crate::process::feed::layout`] |
//! | how thick are sprue, runner and gate for this press | [`crate::process::feed::sizing`] |
//! | what leads the melt to the part, and what does it cost | [`feed`] |
//! | how deep a vent, how many | [`crate::process::feed::vents`] |
//! | what would the next change of the press buy | [`crate::process::press::upgrades`] |
//! | what to set at the press for a melt pressure | [`crate::process::press::setting`] |
//! | which change gives more pressure within the ratings | [`crate::process::press::more_pressure`] |
//! | to which size, and where to leave metal | [`crate::process::plastic::cavity_sizes`] |
//! | what does it take to push the part off | [`ejection`] |
//! | with how many pins | [`crate::process::ejection::pins`] |
//! | which pressure fills, which is held, which is there | [`crate::process::evaluation::pressure_window`] |
//! | all of this for one part | [`evaluation`] |
//! | what do mold and parts cost | [`cost`] |
//!
//! This room knows no mesh: quantities come in, quantities go out. A value that a file
//! does not give stays unknown, and the answer that needs it says which one is missing.

pub mod sourced;
pub mod calibration;
pub mod plastic;
pub mod clamping;
pub mod thermal;
pub mod press;
pub mod part_limits;
pub mod feed;
pub mod ejection;
pub mod evaluation;
pub mod cost;
