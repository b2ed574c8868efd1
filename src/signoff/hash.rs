//! SHA-256 of contents, the way files are told apart.

use sha2::{Digest, Sha256};
use std::path::Path;

/// SHA-256 in lower-case hexadecimal.
pub fn hash(content: &[u8]) -> String {
    hex(&Sha256::digest(content))
}

fn hex(digest: &[u8]) -> String {
    use std::fmt::Write;
    digest.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// SHA-256 of a file, without holding all of it.
///
/// # Errors
/// When it cannot be read.
pub fn hash_file(path: &Path) -> std::io::Result<String> {
    let mut file = std::fs::File::open(path)?;
    let mut hasher = Sha256::new();
    std::io::copy(&mut file, &mut hasher)?;
    Ok(hex(&hasher.finalize()))
}
