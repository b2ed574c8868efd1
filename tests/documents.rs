//! Documents that are made by the program, and are kept up to date by this test:
//! run with `DRYFIT_WRITE=1` to write them anew.

mod common;

use std::path::{Path, PathBuf};

fn root(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

#[track_caller]
fn assert_current(path: &Path, current: &str) {
    if std::env::var_os("DRYFIT_WRITE").is_some() {
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).unwrap();
        }
        std::fs::write(path, current).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    let differs = kept
        .lines()
        .zip(current.lines())
        .enumerate()
        .find(|(_, (kept, current))| kept != current);
    assert!(
        kept == current,
        "{} is not what the program says now (first at {differs:?}); look at the change, then \
         write it with DRYFIT_WRITE=1 cargo test --test documents",
        path.display()
    );
}

#[test]
fn the_kinds_of_findings() {
    assert_current(
        &root("docs/findings.md"),
        &dryfit::report::kinds::documentation(),
    );
}
