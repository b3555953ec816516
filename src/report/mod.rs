//! The same report in every form: no renderer knows another, and none computes.
//!
//! | question | file |
//! |---|---|
//! | what is said of the causes of a bad part | [`mod@diagnosis`] |
//! | what is said of a log of shots | [`calibration`] |
//! | which sections, rows and tables make up a readable report | [`blocks`] |
//! | what is said of pull and parting | [`release`] |
//! | what is said of cavity sizes, pins and vents | [`metal`] |
//! | what is said of the filling | [`filling`] |
//! | what is said of the cutters | [`milling`] |
//! | what is said of plastic and press | [`process`] |
//! | what is said of steps that were tried | [`what_if`] |
//! | in which order is all that said | [`outline`] |
//! | `report.json`, and its schema | [`json`] |
//! | `part.ply`: the part with its measured values | [`ply`] |
//! | a drawing for CAD, as DXF | [`dxf_file`] |
//! | `parting.dxf`: the parting line for CAD | [`dxf`] |
//! | how are causes listed on a page | [`cause_list`] |
//! | what does a page show first | [`first_screen`] |
//! | the text of finished markup, apart from its tags | `markup_text` |
//! | quantities of a page in both systems of units | [`quantities`] |
//! | what do trade words mean | [`glossary`] |
//! | `report.md` | [`markdown`] |
//! | `report.html` | [`html`] |
//! | the causes of a bad part as a page | [`diagnosis_page`] |
//! | all files of one report | [`bundle`] |
//! | all files of one mold | [`mold`] |
//! | what mold and parts cost | [`cost`] |
//!
//! [`crate::schema`] is what may be said, [`crate::draw`] makes the pictures and
//! [`crate::viewer`] the part that is turned on the page.

pub mod diagnosis;
pub mod calibration;
pub mod blocks;
mod release;
mod metal;
pub mod filling;
mod milling;
pub mod process;
pub mod what_if;
pub mod outline;
pub mod json;
pub mod ply;
pub(crate) mod dxf_file;
pub mod dxf;
mod cause_list;
pub(crate) mod first_screen;
mod markup_text;
pub(crate) mod quantities;
mod glossary;
pub mod markdown;
pub mod html;
pub mod diagnosis_page;
pub mod bundle;
pub mod mold;
pub mod cost;
