//! How a bad shot was made, as far as its molder says.

use crate::units::{Pressure, Temperature, Time};

/// How the shot was made; what is not given is taken as the process sheet has it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MoldedShot {
    /// Melt pressure that the press was set for.
    pub pressure: Option<Pressure>,
    /// Temperature of the melt.
    pub melt: Option<Temperature>,
    /// Temperature of the mold.
    pub mold: Option<Temperature>,
    /// How long pressure was held, from the full mold on.
    pub held: Option<Time>,
    /// How long it cooled, from the full mold on.
    pub cooled: Option<Time>,
    /// How long the charge was in the hot barrel.
    pub in_barrel: Option<Time>,
    /// How long the plastic was dried; nothing for not at all.
    pub dried: Option<Time>,
    /// Which shot of the session it was, from 1.
    pub number: Option<u32>,
    /// Whether this mold made good parts before, on this press and of this plastic.
    pub was_good: bool,
}
