//! The one integration binary: each `mod` says what belongs there.
#![expect(clippy::unwrap_used, reason = "a test may panic")]

mod healing;
mod loading;
