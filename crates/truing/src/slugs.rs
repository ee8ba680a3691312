//! The stable names of what can be wrong with a path, or between a sheet and a spec.

use truing_syntax::Slug;

pub use truing_syntax::slugs::{FILE_TOO_LARGE, NOT_UTF8};

/// A path that does not exist.
pub const NO_SUCH_FILE: Slug = Slug("no-such-file");
/// A directory without a spec.
pub const NO_SPECS: Slug = Slug("no-specs");
/// A path that cannot be read.
pub const UNREADABLE: Slug = Slug("unreadable");
/// A library where a spec is due.
pub const IS_A_LIBRARY: Slug = Slug("is-a-library");
/// A sheet that was judged by another edition of the spec.
pub const EDITION_MISMATCH: Slug = Slug("edition-mismatch");
/// A job that stands in several files which differ.
pub const JOB_TWICE: Slug = Slug("job-twice");
/// A spec with errors in it.
pub const SPEC_IN_ERROR: Slug = Slug("spec-in-error");
/// A sheet whose spec is not to be found.
pub const SPEC_NOT_FOUND: Slug = Slug("spec-not-found");
