//! Where the project's files are.

use std::path::{Path, PathBuf};

/// The project's root.
#[must_use]
pub fn root() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().unwrap_or(tests).to_path_buf()
}

/// A file of the project, by its path from the root.
///
/// # Errors
/// As reading it does, with the path in the message.
pub fn read(path: &str) -> std::io::Result<String> {
    let full = root().join(path);
    std::fs::read_to_string(&full)
        .map_err(|error| std::io::Error::new(error.kind(), format!("{}: {error}", full.display())))
}
