//! Shapes whose answer can be written down: every measure against its formula.

/// Volume, area, centroid and inertia of the shapes themselves.
mod solids;
/// Wall thickness.
mod walls;
/// Projected area.
mod projected_areas;
/// What is trapped.
mod undercuts;
/// Faces, draft and which half forms them.
mod drafts;
/// The way the mold opens.
mod pulls;
/// Self-intersection.
mod crossings;
/// Samples and what is said of values on them.
mod fields;
