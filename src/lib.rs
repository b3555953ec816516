//! `goodshot` reads a plastic part as STL and answers, before anyone cuts metal: *if I
//! mill this mold today, will I get a good part out of my press?*
//!
//! ```text
//!  bytes ─► mesh ─► part ─► process ─► fill, mold ─► analysis ─► findings ─► schema ─► report ─► files
//! ```
//!
//! The `mod` lines below are the rooms in reading order. A room imports only rooms above
//! it, and a file only siblings that its `mod.rs` lists before it; `tests/layers.rs`
//! holds both.
//!
//! ```
//! use goodshot::analysis::{self, Setup};
//! use goodshot::fill::cells::Resolution;
//! use goodshot::findings::{self, Severity};
//! use goodshot::process::plastic::library::Plastics;
//! use goodshot::process::press::Press;
//! use goodshot::settings::{FillChoices, Settings};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let part = include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/models/bar_end_plug.stl"));
//! let plastics = Plastics::builtin()?;
//! let setup = Setup {
//!     press: Press::builtin()?,
//!     press_given: false,
//!     plastic: plastics.find("pp")?.clone(),
//!     plastic_given: true,
//!     sources: plastics.sources(),
//! };
//! // Few samples and cells, for a quick answer.
//! let fill = FillChoices { cells: Resolution::Budget(500), ..FillChoices::default() };
//! let settings = Settings { samples: 3000, fill, ..Settings::default() };
//! let analysis = analysis::run(part, setup, &settings, &|stage| println!("{stage}"))?;
//! let volume_mm3 = analysis.mass.solid.map(|solid| solid.volume);
//! assert!((volume_mm3.unwrap() - 3843.3).abs() < 20.0);
//! assert!(analysis.filling.is_ok());
//!
//! let findings = findings::judge(&analysis);
//! assert!(findings.iter().all(|finding| finding.severity != Severity::Stop));
//! # Ok(())
//! # }
//! ```

mod names;
pub mod units;
pub mod numeric;
pub mod geom;
pub mod mesh;
pub mod part;
pub mod process;
pub mod fill;
pub mod mold;
pub mod settings;
pub mod analysis;
pub mod findings;
pub mod variations;
pub mod schema;
pub mod draw;
pub mod viewer;
pub mod report;
pub mod compare;
pub mod cli;
