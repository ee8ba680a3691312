//! From text to a typed tree with places, and back.
//!
//! Read in this order: [`span`] and [`source`] (where things stand), [`tree`] (what was written),
//! [`diagnostic`] and [`slugs`](mod@slugs) (what is wrong with it); then [`scanner`] (a file cut into items),
//! `grammar/truing.pest` (one item), `build` (its tree), `parse` and `entries` (the ways in);
//! `recover`, `stumble` and `hints` (broken text); [`format`](mod@format) (back to text).

// What the grammar is made into asks for it by this name.
extern crate alloc;

pub mod diagnostic;
pub mod format;
pub mod scanner;
pub mod slugs;
pub mod source;
pub mod span;
pub mod tree;

mod build;
mod entries;
mod expected;
mod grammar;
mod hints;
mod lex;
mod limits;
mod names;
mod packed;
mod parse;
mod recover;
mod stumble;
mod words;

pub use diagnostic::{Diagnostic, Label, Mend, Severity, Slug, SlugDoc};
pub use entries::{
    CalcLine, LONGEST_LINE, decode, parse_calc, parse_expression, parse_path, parse_reading,
};
pub use format::{FormatError, format};
pub use limits::Limits;
pub use packed::{pack, unpack};
pub use parse::{Parsed, parse, parse_strict, parse_within};
pub use scanner::Comment;
pub use slugs::slugs;
pub use source::{SourceFile, Sources};
pub use span::{FileId, Span, Spanned};
