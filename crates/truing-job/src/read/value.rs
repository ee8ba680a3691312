//! What TOML and JSON have in common: values with their lines.

use crate::sheet::Place;

/// A value with its place.
pub(super) struct Node {
    pub(super) place: Place,
    pub(super) value: Value,
}

/// The forms of a value.
pub(super) enum Value {
    Text(String),
    /// With its digits as written.
    Number(String),
    Flag(bool),
    /// A date or time of TOML, as it prints.
    Date(String),
    /// JSON's null: not filled in.
    Nothing,
    List(Vec<Node>),
    Table(Vec<Field>),
    /// Deeper than any sheet goes; its inside was not looked at.
    TooDeep,
}

/// A key with its value, in the order in which they stand.
pub(super) struct Field {
    pub(super) key: String,
    pub(super) place: Place,
    pub(super) node: Node,
}

/// A sheet is five deep: the sheet, its rounds, a round, a family, a member's long form. The tree is
/// built a little deeper, so that a value that is out of place can be named.
pub(super) const DEEPEST: usize = 8;

impl Value {
    /// What stands there, for a message.
    pub(super) fn words(&self) -> &'static str {
        match self {
            Self::Text(_) => "a text",
            Self::Number(_) => "a number",
            Self::Flag(true) => "`true`",
            Self::Flag(false) => "`false`",
            Self::Date(_) => "a date",
            Self::Nothing => "`null`",
            Self::List(_) => "a list",
            Self::Table(_) => "a table",
            Self::TooDeep => "something nested too deep",
        }
    }
}
