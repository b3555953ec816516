//! Solids whose answers are known in closed form.
