//! Hands over to the command line.

fn main() {}
