//! A mold in every form: solids for CAM, tables for the drill press, drawings, pictures.
//!
//! | question | file |
//! |---|---|
//! | the halves, the part and the feed as STL and 3MF | [`solids`] |
//! | the same as STEP | [`step`] |
//! | `drill.csv` | [`table`] |
//! | what is done with a test piece | `test_piece` |
//! | the sheets and drill tables at the mill, in the units of the reader | `bench_tables` |
//! | what does every readable form say, in its order | [`outline`] |
//! | `mold.md` | [`markdown`] |
//! | `mold.html` | [`html`] |
//! | the parting faces as a drawing for CAD | [`drawing`] |
//! | level floors, runner, vents and holes of each half as a drawing for CAM | [`levels`] |
//! | the programs for the mill | [`gcode`] |
//! | all files of one mold | [`bundle`] |
//!
//! [`crate::schema::mold`] is what may be said, [`crate::schema::mold::assemble`] fills it.

mod solids;
mod step;
mod table;
mod test_piece;
mod bench_tables;
pub(crate) mod outline;
mod markdown;
pub(crate) mod html;
mod drawing;
mod levels;
pub(crate) mod gcode;
pub mod bundle;
