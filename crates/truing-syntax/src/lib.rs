//! From text to a typed tree with places, and back.
//!
//! Read in this order: [`span`] and [`source`] (where things stand), [`tree`] (what was written),
//! [`diagnostic`] (what is wrong with it).

pub mod diagnostic;
pub mod source;
pub mod span;
pub mod tree;

pub use diagnostic::{Diagnostic, Label, Mend, Severity, Slug};
pub use source::{SourceFile, Sources};
pub use span::{FileId, Span, Spanned};
