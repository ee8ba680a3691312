//! Libraries from a folder, for checks in tests.

use std::path::{Path, PathBuf};

use truing_compile::{Library, LoadError, Loaded};

/// Folders in which libraries are looked for: first beside the using file, then in each folder.
#[derive(Clone, Debug)]
pub struct Shelf {
    folders: Vec<PathBuf>,
}

impl Shelf {
    /// Looks in these folders, in this order.
    #[must_use]
    pub fn new(folders: Vec<PathBuf>) -> Self {
        Self { folders }
    }
}

impl Library for Shelf {
    fn load(&self, from: &str, path: &str) -> Result<Loaded, LoadError> {
        let beside = Path::new(from).parent().unwrap_or(Path::new("")).to_path_buf();
        for folder in &self.folders {
            for name in [beside.join(path), PathBuf::from(path)] {
                let name = name.with_extension("truing");
                if let Ok(text) = std::fs::read_to_string(folder.join(&name)) {
                    let name = name.to_string_lossy().into_owned();
                    return Ok(Loaded { name: name.into(), text: text.into() });
                }
            }
        }
        Err(LoadError::NotFound { nearest: None })
    }
}

/// Every `.truing` file directly in a folder, by name: `(name, text)`.
///
/// # Errors
/// Where the folder or a file cannot be read.
pub fn truing_files(folder: &Path) -> std::io::Result<Vec<(String, String)>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|extension| extension == "truing") {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            files.push((name, std::fs::read_to_string(&path)?));
        }
    }
    files.sort();
    Ok(files)
}
