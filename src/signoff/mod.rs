//! What people put their name to: deviations they accept, jobs they release, and
//! what changed since. Knows nothing of how it is shown.

pub mod accepted;
pub mod date;
pub mod hash;
pub mod open;
pub mod quote;
pub mod release;
pub mod settle;

/// Temporary files are private; records are for others to read.
pub fn readable(file: &std::fs::File) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let _ = file.set_permissions(std::fs::Permissions::from_mode(0o644));
    }
    #[cfg(not(unix))]
    let _ = file;
}
