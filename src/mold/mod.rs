//! The metal around the part.
//!
//! | question | where |
//! |---|---|
//! | what the user's cutters leave, and which of them are needed | [`milling`] |

pub mod milling;
