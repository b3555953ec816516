//! `goodshot` reads a plastic part as STL and answers, before anyone cuts metal: *if I
//! mill this mold today, will I get a good part out of my press?*
//!
//! ```text
//!  bytes ─► mesh ─► part ─► process ─► fill, mold ─► analysis ─► findings ─► schema ─► report ─► files
//! ```
//!
//! | question | room |
//! |---|---|
//! | what does "120 psi" mean, how is a number written | [`units`] |
//! | where does a function change its sign | [`numeric`] |
//! | directions, frames and boxes | [`geom`] |
//! | how do bytes become a closed mesh, and how is it asked | [`mesh`] |
//! | what does the shape say: walls, draft, undercut, pull, parting | [`part`] |
//! | what do plastic and press say, by trade: plastic, clamping, heat, press, feed, ejection | [`process`] |
//! | does the melt reach the last corner | [`fill`] |
//! | what do the two halves of the mold look like, and what can the cutters cut | [`mold`] |
//! | what can a user choose for a run | [`settings`] |
//! | in which order is all of this done | [`analysis`] |
//! | what is wrong, how severe is it, what cures it; what was assumed | [`findings`] |
//! | what if one thing were otherwise | [`variations`] |
//! | what went wrong with a part that was molded | [`diagnosis`] |
//! | which keys does a report have, and where do their values come from | [`schema`] |
//! | how does a picture look: colors, views, legends | [`draw`] |
//! | how is the part turned in the page | [`viewer`] |
//! | how are text, Markdown, page and files written | [`report`] |
//! | what did a revision change | [`compare`] |
//! | what is typed, which files are opened, what does the desk serve | [`cli`] |
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
//!     found: Vec::new(),
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
pub mod diagnosis;
pub mod schema;
pub mod draw;
pub mod viewer;
pub mod report;
pub mod compare;
pub mod cli;
