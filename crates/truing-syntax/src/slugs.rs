//! The findings of this crate: their stable names, and what `explain` says of them.

use crate::diagnostic::Slug;

/// The text does not read as the language is written.
pub const SYNTAX: Slug = Slug("syntax");
/// A bracket or a quote without its other half.
pub const UNCLOSED: Slug = Slug("unclosed");
/// A comma between the digits of a number.
pub const DECIMAL_COMMA: Slug = Slug("decimal-comma");
/// Brackets inside brackets inside brackets, too many.
pub const NESTED_TOO_DEEP: Slug = Slug("nested-too-deep");
/// A file beyond the largest size.
pub const FILE_TOO_LARGE: Slug = Slug("file-too-large");
/// An item beyond the largest size.
pub const ITEM_TOO_LONG: Slug = Slug("item-too-long");
/// An expression with too many operators.
pub const EXPRESSION_TOO_LONG: Slug = Slug("expression-too-long");
/// A name beyond 64 letters.
pub const NAME_TOO_LONG: Slug = Slug("name-too-long");
/// A number with more digits than can be kept.
pub const NUMBER_TOO_LONG: Slug = Slug("number-too-long");
/// Bytes that are no UTF-8, or a NUL.
pub const NOT_UTF8: Slug = Slug("not-utf8");
/// A line that begins no item.
pub const UNKNOWN_ITEM: Slug = Slug("unknown-item");
/// `a < b < c`.
pub const CHAINED_COMPARISON: Slug = Slug("chained-comparison");
/// `0L` and the like for `OL`.
pub const OVERLOAD_SPELLING: Slug = Slug("overload-spelling");
/// The same said twice in one place where once is all.
pub const SAID_TWICE: Slug = Slug("said-twice");
/// Signs of other languages.
pub const FOREIGN_SIGN: Slug = Slug("foreign-sign");
/// More findings than anyone reads.
pub const TOO_MANY_FINDINGS: Slug = Slug("too-many-findings");
