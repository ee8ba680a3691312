//! Published values of uncertainty, conformity, meters and statistics: `tests/reference/` at the top of
//! the repository. Every entry is handled, and each handler works the published inputs through the
//! library.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test stops where its data are not what they should be"
)]

mod conformity;
mod entries;
mod examples;
mod gum;
mod meters;
mod readings;
