//! Hands over to the command line.

use std::process::ExitCode;

use goodshot::cli::memory::Counted;

#[global_allocator]
static MEMORY: Counted = Counted;

fn main() -> ExitCode {
    goodshot::cli::main()
}
