//! The one integration binary: each `mod` says what belongs there.
#![expect(clippy::unwrap_used, reason = "a test may panic")]

/// Parts and helpers that several of the others use.
mod common;

/// Who may import whom.
mod layers;
/// Rules for files that no compiler holds.
mod house;
/// Names in documents and tables that must exist.
mod documents;
/// The program from the outside.
mod cli;
/// Repairs of broken meshes.
mod healing;
/// Bytes that are, or are not, an STL.
mod loading;
/// Shapes whose answer can be written down: every measure against its formula.
mod closed_forms;
/// The quick way against the plain loop over all facets.
mod twins;
/// What must not change when only place, order, fineness or threads change.
mod motion;
/// What each wall is asked for in draft.
mod draft;
/// What can be done about a trapped region, from the geometry and from the plastic.
mod remedies;
mod parting;
/// Filling: fronts, pressures and freezing against closed forms.
mod fill;
/// What the cutters leave of the halves.
mod milling;
