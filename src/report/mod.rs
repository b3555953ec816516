//! The same report in every form: no renderer knows another, and none computes.

pub mod model;
