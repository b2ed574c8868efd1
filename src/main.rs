//! The `dryfit` command: everything lives in the library.
use std::process::ExitCode;

// Measuring takes many small lists, on all cores at once.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    dryfit::cli::run(std::env::args_os())
}
