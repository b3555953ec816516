//! Odd inputs, many of them: what is read, measured, worked out and served neither panics nor
//! hangs, takes no memory without bound, and gives no number that is none.
//!
//! ```text
//! cargo test --test fuzz                     the same inputs every time, with all assertions
//! GOODSHOT_FUZZ_TIMES=100 GOODSHOT_FUZZ_SEED=7 \
//!     cargo test --release --test fuzz -- --nocapture --test-threads 1
//! ```
//!
//! `GOODSHOT_FUZZ_TIMES` multiplies the executions, `GOODSHOT_FUZZ_SEED` gives other inputs. An
//! input that breaks a target is named and lies in `target/tmp`; once it is cured it joins
//! `tests/fuzz/corpus/TARGET`, whose files are tried first and changed further. Inputs are
//! changed at random; one that gets a new kind of answer is changed further.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a test may say what it did"
)]

/// Random numbers, and bytes changed by them.
mod noise;
/// One target over many inputs.
mod campaign;
/// Numbers that are numbers.
mod finite;
/// Odd meshes.
mod shapes;
/// Every file that is read.
mod readers;
/// What is typed.
mod options;
/// Feed, plates and cycle.
mod presses;
/// From a mesh to an answer.
mod measures;
/// The page's server.
mod desk;
