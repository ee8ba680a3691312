//! The session's sentences: short, in the workshop's words, each to be understood by itself.

pub(crate) mod outcome;
pub(crate) mod step;
pub(crate) mod suspects;

/// `a`, `a and b`, `a, b and c`
pub(crate) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A text with its full stop, where it has none.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', ':']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// A text with a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
