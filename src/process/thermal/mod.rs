//! Heat: how long a shot takes and how warm the mold gets.
//!
//! | question | file |
//! |---|---|
//! | how long to hold and cool | [`cooling`] |
//! | how long is one cycle, and which step rules it | [`cycle`] |
//! | how warm does the mold get | [`heat_up`] |

pub mod cooling;
pub mod cycle;
pub mod heat_up;
