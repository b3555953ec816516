//! What keeps the mold shut.
//!
//! | question | file |
//! |---|---|
//! | which thread has a bolt of this size | [`thread`] |
//! | what does its class or grade withstand | [`bolt_strength`] |
//! | how hard does a bolt hold | [`bolts`] |
//! | how far may it be tightened | [`tightening`] |
//! | what are the mold's plates made of | [`alloys`] |
//! | how far does metal in the cavity bend, when does it break | [`standing_metal`] |
//! | which steel is bought in its place | [`bought_steel`] |
//! | whether it holds, and what would | [`strained_metal`] |
//! | how large are they, where are the bolts | [`mold_plates`] |
//! | which force opens the mold, which holds it | [`force`] |
//! | how stiff is a plate with a pocket | [`plate_section`] |
//! | how far does a strip of plate lift off its land | [`one_sided_contact`] |
//! | which bolt is loaded most | [`bolt_pattern`] |
//! | when does a bolted joint open | [`bolted_joint`] |
//! | how far do both plates bow | [`plate_bow`] |
//! | does melt flash through the parting line | [`flash`] |
//! | which change keeps it shut | [`remedies`] |

pub mod thread;
pub mod bolt_strength;
pub mod bolts;
pub mod tightening;
pub mod alloys;
pub mod standing_metal;
pub mod bought_steel;
pub mod strained_metal;
pub mod mold_plates;
pub mod force;
pub mod plate_section;
pub mod one_sided_contact;
pub mod bolt_pattern;
pub mod bolted_joint;
pub mod plate_bow;
pub mod flash;
pub mod remedies;
