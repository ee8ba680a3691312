//! What instruments can do, by name.

use std::collections::BTreeMap;
use std::sync::Arc;

use truing_model::{Instrument, Spec};

/// The instruments that a sheet may name. Those of the spec go before others of the same name.
#[derive(Clone, Debug, Default)]
pub struct Profiles {
    by_name: BTreeMap<String, Arc<Instrument>>,
}

impl Profiles {
    /// Those that a spec brings.
    #[must_use]
    pub fn of(spec: &Spec) -> Self {
        Self::default().and(spec.instruments.iter().cloned().map(Arc::new))
    }

    /// With these besides, where no other has their name.
    #[must_use]
    pub fn and(mut self, others: impl IntoIterator<Item = Arc<Instrument>>) -> Self {
        for other in others {
            self.by_name.entry(other.name.clone()).or_insert(other);
        }
        self
    }

    /// The instrument of this name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Arc<Instrument>> {
        self.by_name.get(name.trim())
    }

    /// All of them, by name.
    pub fn iter(&self) -> impl Iterator<Item = &Arc<Instrument>> {
        self.by_name.values()
    }

    /// Their names.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.by_name.keys().map(String::as_str)
    }
}
