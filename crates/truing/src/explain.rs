//! What there is to say of each finding and each mistake, by its stable name.

use truing_syntax::{Severity, SlugDoc};

use crate::slugs;

/// Every name with what it means: of texts, of specs, of sheets, of paths.
pub fn all_slugs() -> impl Iterator<Item = &'static SlugDoc> {
    let texts = truing_syntax::slugs::slugs().iter();
    texts.chain(truing_compile::slugs()).chain(truing_job::slugs()).chain(PATHS)
}

/// What a finding's name means, `unit-mismatch`.
#[must_use]
pub fn explain(slug: &str) -> Option<&'static SlugDoc> {
    all_slugs().find(|doc| doc.slug.0 == slug)
}

macro_rules! paths {
    ($($slug:ident $title:literal $explain:literal)*) => {
        static PATHS: &[SlugDoc] = &[$(SlugDoc {
            slug: slugs::$slug,
            severity: Severity::Error,
            title: $title,
            explain: $explain,
            wrong: "",
            right: "",
        }),*];
    };
}

paths! {
    NO_SUCH_FILE "A path that does not exist"
        "There is no file and no directory of this name. A path starts from the directory that the program runs in."
    NO_SPECS "A directory without a spec"
        "No file in it, at any depth, ends in `.truing`. Directories whose name begins with a point are passed over."
    UNREADABLE "A path that cannot be read"
        "The system does not let this user read it, or it is a directory where a file is due."
    IS_A_LIBRARY "A library where a spec is due"
        "A library leaves limits open, for a spec to fill. Readings are judged by a spec that uses it."
    EDITION_MISMATCH "A sheet that was judged by another edition"
        "The sheet says which edition of the spec it was judged by, and this is another. Its limits may be others, and a job that was done must not come out differently without anybody noticing. The limits that changed are listed where the sheet lists those that it was judged by. `--this-edition` judges the job anew."
    JOB_TWICE "A job in several files that differ"
        "A job counts once, whichever files it stands in. Where files of one number do not say the same, nobody can tell which of them is the job, and none of them counts. Name one of them, or give the jobs numbers of their own."
    SPEC_IN_ERROR "A spec with errors in it"
        "A spec judges nothing until it has no errors: half a spec would pass what the other half refuses."
    SPEC_NOT_FOUND "A sheet whose spec is not to be found"
        "A spec is looked for by the name that the sheet gives it: in the sheet's folder, in the folders above it, and in their folders `specs`. Where two files of one folder have it, one has to be named."
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_name_is_there_once_and_says_something() {
        let mut seen = BTreeSet::new();
        for doc in all_slugs() {
            assert!(seen.insert(doc.slug.0), "{} has two docs", doc.slug.0);
            assert!(!doc.title.is_empty() && !doc.explain.is_empty(), "{}", doc.slug.0);
        }
        assert!(seen.len() > 60);
    }

    #[test]
    fn a_name_from_every_crate_is_explained() {
        for slug in
            ["unclosed", "unit-mismatch", "reading-twice", "no-specs", "not-utf8", "file-too-large"]
        {
            assert_eq!(explain(slug).map(|doc| doc.slug.0), Some(slug));
        }
        assert!(explain("no-such-slug").is_none());
    }
}
