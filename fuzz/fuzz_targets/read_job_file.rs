//! Any text as a job file with its expressions: no panic, and every problem
//! says what is wrong.
#![no_main]

use dryfit::construction::JobFile;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Err(error) = JobFile::parse(text, "dryfit.toml") {
        assert!(error.to_string().contains("dryfit.toml"));
    }
});
