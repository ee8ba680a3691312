//! Where the text of a used library comes from: the caller knows, this crate does not.

use std::sync::Arc;

use thiserror::Error;

/// Finds the text of libraries. The crate reads no files itself.
pub trait Library {
    /// The library that `path` names when it stands in a `use` of the file `from`.
    ///
    /// # Errors
    /// [`LoadError`] where there is none, or where it cannot be read.
    fn load(&self, from: &str, path: &str) -> Result<Loaded, LoadError>;

    /// What [`truing_syntax::pack`] made of this very text, where that is at hand: it saves parsing
    /// it. Bytes that do not belong to the text are passed over.
    fn packed(&self, _text: &str) -> Option<&[u8]> {
        None
    }
}

/// The text of a library.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// The name that findings show. The same library has the same name, whoever uses it.
    pub name: Arc<str>,
    /// Its whole text.
    pub text: Arc<str>,
}

/// Why a library cannot be had.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LoadError {
    /// There is no library of this name.
    #[error("there is no library of this name")]
    NotFound {
        /// The known name that is most like it.
        nearest: Option<String>,
    },
    /// There is one, and it cannot be read.
    #[error("the library cannot be read: {why}")]
    Unreadable {
        /// Why not.
        why: String,
    },
}

/// No libraries at all: for texts that stand alone.
#[derive(Copy, Clone, Debug, Default)]
pub struct NoLibrary;

impl Library for NoLibrary {
    fn load(&self, _from: &str, _path: &str) -> Result<Loaded, LoadError> {
        Err(LoadError::NotFound { nearest: None })
    }
}
