//! Does the melt reach the last corner at my pressure.
//!
//! | question | file |
//! |---|---|
//! | which cells of a grid hold plastic | [`grid`] |
//! | where do lines run inside the part | [`scan`] |
//! | how much of each cell is plastic | [`fractions`] |
//! | how thick is the wall around a cell, is it a wall or a rod | [`walls`] |
//! | the part as cells | [`cells`] |
//! | how much of a wall has frozen | [`skin`] |
//! | how fast does melt move in a gap | [`fluidity`] |
//! | what is known of the melt | [`melt`] |
//! | cells in ever coarser groups | [`levels`] |
//! | the pressure field, conductances given | [`solve`] |
//! | where does the melt enter | [`gate`] |
//! | ram, feed and cavity of one instant | [`flow`] |
//! | what does not change from one filling to the next | [`ready`] |
//! | where goes what came in during a step | [`advance`] |
//! | the front from gate to last corner | [`front`] |
//! | how warm is the melt at the front | [`warmth`] |
//! | where do fronts meet | [`welds`] |
//! | where does it fill last, is air shut in | [`pockets`] |
//! | how strong must the ram be | [`demand`] |
//! | how long is the way from the gate | [`distance`] |
//! | where is a gate best | [`gates`] |
//! | how far can the answer be trusted | [`numbers`] |
//!
//! The equations are those of a thin gap (Hele-Shaw; Hieber & Shen, *J. Non-Newtonian
//! Fluid Mech.* 7, 1980) in every cell, with its own wall: melt moves along the pressure
//! gradient, as fast as in a gap or rod of that thickness, full of melt at one temperature
//! with a skin that grows from the walls. Blind to inertia, to the fountain at the front,
//! to shear heating and cooling of the core ([`numbers`] says when they matter), to air that is pressed, and to shrinkage while it fills. With a hot
//! core on one side and no reheating of the skin on the other, a freezing length may be
//! off by a third (judgement, not measured).
//!
//! A run: [`cells::Cells::of`] once, then [`front::fill`], [`welds::lines`],
//! [`pockets::pockets`], [`demand::least`]; [`gates::best`] before, to choose the gate.

mod grid;
mod scan;
mod fractions;
mod walls;
pub mod cells;
mod carved;
pub mod skin;
pub mod fluidity;
pub mod melt;
mod levels;
mod solve;
pub mod gate;
pub mod flow;
pub mod ready;
mod advance;
pub mod front;
mod warmth;
pub mod welds;
pub mod pockets;
pub mod demand;
pub mod distance;
pub mod gates;
pub mod numbers;
