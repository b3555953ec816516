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
//! | how much of a wall has frozen | [`frozen_layer`] |
//! | how fast does melt move in a gap | [`fluidity`] |
//! | what is known of the melt | [`melt`] |
//! | cells in ever coarser groups | [`multigrid_levels`] |
//! | the pressure field, conductances given | [`pressure_solver`] |
//! | where does the melt enter | [`gate`] |
//! | ram, feed and cavity of one instant | [`flow_step`] |
//! | what does not change from one filling to the next | [`prepared`] |
//! | where goes what came in during a step | [`front_advance`] |
//! | the front from gate to last corner | [`front`] |
//! | how warm is the melt at the front | [`front_temperature`] |
//! | where do fronts meet | [`weld_lines`] |
//! | where does it fill last, is air shut in | [`pockets`] |
//! | how strong must the ram be | [`required_pressure`] |
//! | how long is the way from the gate | [`distance`] |
//! | where is a gate best | [`gate_search`] |
//! | where does the mold have its gate | [`gate_places`] |
//! | where does the parting line let air out, where do vents belong | [`vent_places`] |
//! | how long are weld lines on faces that show | [`shown_faces`] |
//! | what does the feed cost at every flow | [`feed_table`] |
//! | how far can the answer be trusted | [`dimensionless`] |
//!
//! The equations are those of a thin gap (Hele-Shaw; Hieber & Shen, *J. Non-Newtonian
//! Fluid Mech.* 7, 1980) in every cell, with its own wall: melt moves along the pressure
//! gradient, as fast as in a gap or rod of that thickness, full of melt at one
//! temperature with a frozen layer that grows from the walls. Blind to inertia, to the
//! fountain at the front, to shear heating and cooling of the core ([`dimensionless`]
//! says when they matter), to air that is pressed, and to shrinkage while it fills. With
//! a hot core on one side and no reheating of the frozen layer on the other, a freezing
//! length may be off by a third (judgement, not measured).
//!
//! A run: [`cells::Cells::new`] once, then [`front::fill`], [`weld_lines::lines`],
//! [`pockets::pockets`], [`required_pressure::least`]; [`gate_search::best`] before, to choose the gate.

mod grid;
mod scan_lines;
mod fractions;
mod local_walls;
pub mod cells;
mod milled_cells;
pub mod frozen_layer;
pub mod fluidity;
pub mod melt;
mod multigrid_levels;
mod pressure_solver;
pub mod gate;
pub mod flow_step;
pub mod prepared;
mod front_advance;
pub mod front;
mod front_temperature;
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
