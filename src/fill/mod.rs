//! Does the melt reach the last corner at my pressure.
//!
//! | question | file |
//! |---|---|
//! | which cells of a grid hold plastic | [`grid`] |
//! | where do lines run inside the part | [`scan_lines`] |
//! | how much of each cell is plastic | [`fractions`] |
//! | how thick is the wall around a cell, is it a wall or a rod | [`local_walls`] |
//! | the part as cells | [`cells`] |
//! | which cells are left where cutters leave metal | `milled_cells` |
//! | at which heights in a gap is the temperature known | [`gap_nodes`] |
//! | how much does each of them add to the flow | `node_rates` |
//! | how fast does melt move in a gap | [`fluidity`] |
//! | what is known of the melt | [`melt`] |
//! | temperature through one section, a step on | `gap_profile` |
//! | how much faster shears a warmer melt | `temperature_shift` |
//! | what does the temperature follow from | `thermal_tables` |
//! | how does a melt flow and cool at one pressure | `melt_tables` |
//! | what do sprue, runner and gate cost while they cool | [`feed_channels`] |
//! | what pushes | [`drive`] |
//! | cells in ever coarser groups | [`multigrid_levels`] |
//! | the pressure field, conductances given | [`pressure_solver`] |
//! | where does the melt enter | [`gate`] |
//! | the part that fills, and how far the melt is | `instant` |
//! | ram, feed and cavity of one instant | [`flow_step`] |
//! | what does not change from one filling to the next | [`prepared`] |
//! | on which side of a piece of metal does it push harder | [`pressure_watch`] |
//! | where goes what came in during a step | [`front_advance`] |
//! | how warm is the melt in every cell | [`melt_heat`] |
//! | the front from gate to last corner | [`front`] |
//! | where do fronts meet | [`weld_lines`] |
//! | where does it fill last, is air shut in | [`pockets`] |
//! | how strong must the ram be | [`required_pressure`] |
//! | how long is the way from the gate | [`distance`] |
//! | where is a gate best | [`gate_search`] |
//! | where does the mold have its gate | [`gate_places`] |
//! | where does the parting line let air out, where do vents belong | [`vent_places`] |
//! | how long are weld lines on faces that show | [`shown_faces`] |
//! | what does the feed cost at every flow | [`feed_table`] |
//! | what does heat do to the flow, in a few numbers | [`dimensionless`] |
//! | how does a part answer to what only shots can tell | [`calibration`] |
//!
//! The equations are those of a thin gap (Hele-Shaw; Hieber & Shen, *J. Non-Newtonian
//! Fluid Mech.* 7, 1980) in every cell, with its own wall: melt moves along the pressure
//! gradient, as fast as in a gap or rod of that thickness. Through the half gap of each cell
//! the temperature is known at [`gap_nodes::NODES`] nodes: carried along by the velocity of
//! each, conducted to a mold behind a contact, heated by shear, spread by the fountain at the
//! front. Below the no-flow temperature nothing moves. Sprue, runner and gate cool alike.
//! Blind to inertia, to heat conducted along the flow, to air that is pressed, and to
//! shrinkage while it fills. Strips, discs and steps agree with a solver of another kind
//! within 10 % of the pressure needed (`tests/fill/through_the_gap.rs`); no published
//! filling length with plastic, gap, pressure and temperatures all stated was found to hold
//! it against.
//!
//! A run: [`cells::Cells::new`] once, then [`front::fill`], [`weld_lines::lines`],
//! [`pockets::pockets`], [`required_pressure::least`]; [`gate_search::best`] before, to choose the gate.

mod grid;
mod scan_lines;
mod fractions;
mod local_walls;
pub mod cells;
mod milled_cells;
pub mod gap_nodes;
mod node_rates;
pub mod fluidity;
pub mod melt;
mod gap_profile;
mod temperature_shift;
mod thermal_tables;
mod melt_tables;
pub mod feed_channels;
pub mod drive;
mod multigrid_levels;
mod pressure_solver;
pub mod gate;
mod instant;
pub mod flow_step;
pub mod prepared;
pub mod pressure_watch;
mod front_advance;
pub mod melt_heat;
pub mod front;
pub mod weld_lines;
pub mod pockets;
pub mod required_pressure;
pub mod distance;
pub mod gate_search;
pub mod gate_places;
pub mod vent_places;
pub mod shown_faces;
pub mod feed_table;
pub mod dimensionless;
pub mod calibration;
