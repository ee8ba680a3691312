//! A library of texts for tests.

use std::collections::BTreeMap;

use crate::library::{Library, LoadError, Loaded};

/// Libraries by name.
pub(crate) struct Shelf(BTreeMap<String, String>);

impl Shelf {
    /// The first text, and the libraries that follow it, each behind a line `## file: NAME`.
    pub(crate) fn cut(text: &str) -> (String, Shelf) {
        let mut parts = text.split("## file: ");
        let main = parts.next().unwrap_or("").to_owned();
        let library = parts.filter_map(|part| {
            let (name, text) = part.split_once('\n')?;
            Some((name.trim().to_owned(), text.to_owned()))
        });
        (main, Shelf(library.collect()))
    }
}

impl Library for Shelf {
    fn load(&self, _from: &str, path: &str) -> Result<Loaded, LoadError> {
        match self.0.get(path) {
            Some(text) => Ok(Loaded { name: path.into(), text: text.as_str().into() }),
            None => Err(LoadError::NotFound { nearest: None }),
        }
    }
}
