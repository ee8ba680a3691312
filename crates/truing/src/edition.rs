//! Which spec a job was judged by: its edition, a hash of its text, the limits themselves.

use std::sync::Arc;

use sha2::{Digest, Sha256};
use truing_engine::{Findings, Sheet};
use truing_job::edition::Standing;
use truing_job::{JobSheet, Judged};
use truing_report::judged_limits;

use crate::compiled::Compiled;

impl Compiled {
    /// The SHA-256 of the spec's text and of every library that it uses, `sha256:…`. Names of files,
    /// ends of lines and a byte-order mark are no part of it: the same text gives the same hash
    /// wherever it lies.
    #[must_use]
    pub fn spec_hash(&self) -> &str {
        self.kept_hash()
    }

    /// Writes into a job's sheet by what it is judged: the spec's name, its edition and its hash.
    pub fn stamp(&self, sheet: &mut JobSheet) {
        sheet.spec = Some(self.spec().name.clone());
        sheet.edition.clone_from(&self.spec().edition);
        sheet.spec_hash = Some(self.spec_hash().to_owned());
    }

    /// The limits that the rounds of a job were held against, as printed: for the sheet's `judged`.
    #[must_use]
    pub fn judged(&self, rounds: &[(&Sheet, &Findings)]) -> Vec<Judged> {
        judged_limits(self.spec(), rounds)
    }

    /// Whether this spec is the one that a job was judged by, and which limits are others now.
    #[must_use]
    pub fn standing(&self, sheet: &JobSheet, rounds: &[(&Sheet, &Findings)]) -> Standing {
        let edition = self.spec().edition.as_deref();
        Standing::of(sheet, edition, self.spec_hash(), &self.judged(rounds))
    }
}

/// The texts in the order in which they were read, each with its length, so that no text can pass
/// for the end of another.
pub(crate) fn hash_of(texts: &[Arc<str>]) -> String {
    let mut hasher = Sha256::new();
    for text in texts {
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(text).replace("\r\n", "\n");
        hasher.update((text.len() as u64).to_le_bytes());
        hasher.update(text.as_bytes());
    }
    let digits: String = hasher.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    format!("sha256:{digits}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hash(texts: &[&str]) -> String {
        hash_of(&texts.iter().map(|text| Arc::from(*text)).collect::<Vec<_>>())
    }

    #[test]
    fn the_hash_goes_by_the_text_and_not_by_how_it_was_saved() {
        assert_eq!(hash(&["a\nb\n"]), hash(&["\u{FEFF}a\r\nb\r\n"]));
        assert_ne!(hash(&["a\nb\n"]), hash(&["a\nc\n"]));
        assert_ne!(hash(&["ab", "c"]), hash(&["a", "bc"]));
        assert_ne!(hash(&["a"]), hash(&["a", ""]));
    }

    #[test]
    fn the_hash_is_the_published_function() {
        // FIPS 180-4: eight bytes of nought (a length of nought and no text). `printf
        // '\0\0\0\0\0\0\0\0' | sha256sum` of GNU coreutils 9.1 gives the same.
        let digits = "af5570f5a1810b7af78caf4bc70a660f0df51e42baf91d4de5b2328de0e83dfc";
        assert_eq!(hash(&[""]), format!("sha256:{digits}"));
    }

    #[test]
    fn a_library_that_changed_changes_the_hash_of_the_spec() {
        let spec = "spec a \"A\" { edition \"1\" }\nuse \"b\"\nsource s \"S\"\nstate rest \"Rest\"\n\
                    reading v \"V\" : dc_voltage { during rest }\n\
                    limit l : dc_voltage = min 1 V cite s \"1\"\ncheck c \"C\" : v within l\n";
        let dir = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
        write("a.truing", spec);
        let hash = |library: &str| {
            write("b.truing", library);
            Compiled::from_path(dir.path().join("a.truing")).unwrap().spec_hash().to_owned()
        };
        let before = hash("library b \"B\"\n# first\n");
        assert_eq!(before, hash("library b \"B\"\n# first\n"));
        assert_ne!(before, hash("library b \"B\"\n# second\n"));
    }
}
