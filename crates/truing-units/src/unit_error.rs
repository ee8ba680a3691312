//! Why a text is not a unit.

use thiserror::Error;

/// Why a text is not a unit.
#[derive(Clone, Eq, PartialEq, Debug, Error)]
pub enum UnitError {
    /// No text.
    #[error("there is no unit here")]
    Empty,
    /// More text than any unit has.
    #[error("this is too long for a unit")]
    TooLong,
    /// No such unit.
    #[error("there is no unit `{text}`{}", suggestion(.nearest.as_deref()))]
    Unknown {
        /// What was written.
        text: String,
        /// The symbol most like it.
        nearest: Option<String>,
    },
    /// A spelling that stands for something else than it says, or for several things.
    #[error("`{text}` is not taken as a unit: {why}; write {}", .meant.join(" or "))]
    LookAlike {
        /// What was written.
        text: String,
        /// What may have been meant.
        meant: Vec<String>,
        /// Why it is not taken as written.
        why: &'static str,
    },
    /// An exponent that is nought or too large.
    #[error("`{text}` has an exponent outside 1 to 9")]
    BadExponent {
        /// The factor with the exponent.
        text: String,
    },
    /// A point after a slash, which is read in two ways.
    #[error(
        "`{text}` can be read in two ways: put what the slash divides by in parentheses, as in `J/(kg.K)`"
    )]
    Ambiguous {
        /// What was written.
        text: String,
    },
    /// A stray operator or parenthesis.
    #[error("`{text}` is not put together as a unit")]
    BadForm {
        /// What was written.
        text: String,
    },
    /// A factor that does not fit in exact arithmetic.
    #[error("the factor of `{text}` is too large or too small to be kept exactly")]
    OutOfRange {
        /// What was written.
        text: String,
    },
    /// Not a code of UCUM, or one that has no place here.
    #[error("`{text}` is not a UCUM code that can be used here: {why}")]
    NotUcum {
        /// What was written.
        text: String,
        /// What is wrong with it.
        why: &'static str,
    },
}

fn suggestion(nearest: Option<&str>) -> String {
    nearest.map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
}
