//! Tokens, for what the grammar is not asked: what stands where it stumbled, where the lines of a
//! broken body begin, what the formatter moves. Blanks are what lies between tokens.

/// One token, in bytes of the text that was given.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) struct Token {
    pub(crate) kind: TokenKind,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

impl Token {
    /// What it says in `text`.
    pub(crate) fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or("")
    }
}

/// The kinds of token.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum TokenKind {
    /// Letters, digits and `_`.
    Word,
    /// Digits, with a decimal point and a power of ten if they touch.
    Number,
    /// `"…"`
    Text,
    /// A quote that is not closed on its line.
    OpenText,
    /// An operator or a bracket.
    Sign,
    /// `# …` to the end of the line.
    Comment,
    /// A character that the language does not have.
    Odd,
}

/// Signs of more than one character, longer ones first; those of other languages are here to be
/// named in findings.
const LONG_SIGNS: &[&str] = &[
    "+/-", "...", "===", "..", "+-", "<=", ">=", "==", "!=", "=>", "=<", "<>", "&&", "||", ":=",
    "->", "**",
];

const SHORT_SIGNS: &str = "{}()[]:=,.+-−*/^<>±;!&|%'";

/// The tokens of `text` in order.
pub(crate) fn lex(text: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(first) = text.get(at..).and_then(|rest| rest.chars().next()) {
        if first.is_ascii_whitespace() || first == '\u{b}' {
            at += 1;
            continue;
        }
        let rest = text.get(at..).unwrap_or("");
        let (kind, length) = token(rest, first);
        tokens.push(Token { kind, start: at, end: at + length });
        at += length;
    }
    tokens
}

fn token(rest: &str, first: char) -> (TokenKind, usize) {
    match first {
        '#' => (TokenKind::Comment, line_length(rest)),
        '"' => text_token(rest),
        '0'..='9' => (TokenKind::Number, number_length(rest)),
        _ if first.is_alphabetic() || first == '_' => (TokenKind::Word, word_length(rest)),
        _ => match LONG_SIGNS.iter().find(|sign| rest.starts_with(**sign)) {
            Some(sign) => (TokenKind::Sign, sign.len()),
            None if SHORT_SIGNS.contains(first) => (TokenKind::Sign, first.len_utf8()),
            None => (TokenKind::Odd, first.len_utf8()),
        },
    }
}

/// Up to the end of the line, without blanks there.
fn line_length(rest: &str) -> usize {
    rest.split('\n').next().unwrap_or(rest).trim_end().len()
}

fn word_length(rest: &str) -> usize {
    rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len())
}

fn text_token(rest: &str) -> (TokenKind, usize) {
    let mut escaped = false;
    for (at, character) in rest.char_indices().skip(1) {
        match character {
            '\n' => return (TokenKind::OpenText, rest.get(..at).unwrap_or("").trim_end().len()),
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return (TokenKind::Text, at + 1),
            _ => {}
        }
    }
    (TokenKind::OpenText, rest.trim_end().len())
}

fn number_length(rest: &str) -> usize {
    let digits = |from: usize| {
        let tail = rest.as_bytes().get(from..).unwrap_or(&[]);
        tail.iter().take_while(|byte| byte.is_ascii_digit()).count()
    };
    let byte = |at: usize| rest.as_bytes().get(at).copied();
    let mut length = digits(0);
    if byte(length) == Some(b'.') && digits(length + 1) > 0 {
        length += 1 + digits(length + 1);
    }
    if matches!(byte(length), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(byte(length + 1), Some(b'+' | b'-')));
        let power = digits(length + 1 + sign);
        if power > 0 {
            length += 1 + sign + power;
        }
    }
    length
}

/// Whether a line break lies between two places of the text.
pub(crate) fn breaks_line(text: &str, from: usize, to: usize) -> bool {
    text.get(from..to).is_some_and(|between| between.contains('\n'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<&str> {
        lex(text).into_iter().map(|token| token.of(text)).collect()
    }

    #[test]
    fn tokens_are_what_a_reader_sees() {
        assert_eq!(words("a=12.5e3..3 V # x"), ["a", "=", "12.5e3", "..", "3", "V", "# x"]);
        assert_eq!(words("\"a \\\" b\" größe_2"), ["\"a \\\" b\"", "größe_2"]);
        assert_eq!(words("\"open\nx => y"), ["\"open", "x", "=>", "y"]);
        assert_eq!(words("2V..3V"), ["2", "V", "..", "3", "V"]);
    }
}
