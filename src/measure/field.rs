//! One value a sample.
