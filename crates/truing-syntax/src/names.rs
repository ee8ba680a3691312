//! Names of one file, each kept once.

use std::collections::HashSet;
use std::sync::Arc;

/// The longest name, in bytes.
pub(crate) const LONGEST_NAME: usize = 64;

/// A file writes the same few names over and over: they share one allocation.
#[derive(Default)]
pub(crate) struct Names {
    seen: HashSet<Arc<str>>,
}

impl Names {
    /// The shared copy of `text`.
    pub(crate) fn shared(&mut self, text: &str) -> Arc<str> {
        if let Some(known) = self.seen.get(text) {
            return Arc::clone(known);
        }
        let fresh: Arc<str> = Arc::from(text);
        self.seen.insert(Arc::clone(&fresh));
        fresh
    }
}
