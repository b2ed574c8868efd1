//! The `dryfit` command: everything lives in the library.
use std::process::ExitCode;

fn main() -> ExitCode {
    dryfit::cli::run(std::env::args_os())
}
