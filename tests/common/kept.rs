//! Files that are kept in the repository and made by the program. They are
//! compared, and written anew with `DRYFIT_WRITE=1`.

use std::path::{Path, PathBuf};

/// A path below the project's folder.
pub fn root(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn writes() -> bool {
    std::env::var_os("DRYFIT_WRITE").is_some()
}

/// Holds a kept file against what the program says now.
#[track_caller]
pub fn assert_current(path: &Path, current: &str) {
    if writes() {
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).unwrap();
        }
        std::fs::write(path, current).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    if kept == current {
        return;
    }
    let differs = kept
        .lines()
        .map(Some)
        .chain(std::iter::repeat(None))
        .zip(current.lines())
        .enumerate()
        .find(|(_, (kept, current))| *kept != Some(current));
    panic!(
        "{} is not what the program says now (first at {differs:?}); look at the change, then \
         write it with DRYFIT_WRITE=1 cargo test",
        path.display()
    );
}

/// Holds the block between two markers of a document against the current one.
#[track_caller]
pub fn assert_block(path: &Path, name: &str, current: &str) {
    let text = std::fs::read_to_string(path).unwrap();
    let (start, end) = (
        format!("<!-- {name} -->\n"),
        format!("<!-- end of {name} -->"),
    );
    let (before, rest) = text
        .split_once(&start)
        .unwrap_or_else(|| panic!("{} has no {start}", path.display()));
    let (_, after) = rest
        .split_once(&end)
        .unwrap_or_else(|| panic!("{} has no {end}", path.display()));
    assert_current(path, &format!("{before}{start}{current}{end}{after}"));
}
