//! What a typed line asks for: a command, a reading, or a reading under another name.

use truing::job::nearest;

/// The commands.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Command {
    /// What can be typed.
    Help,
    /// Leave this step out.
    Skip,
    /// Take back the last entry.
    Back,
    /// Take a reading once more.
    Again,
    /// Why this step, and what is suspected.
    Why,
    /// What a reading would mean.
    WhatIf,
    /// A remark.
    Note,
    /// A photo.
    Photo,
    /// The meter in use.
    Meter,
    /// A repair is done.
    Fit,
    /// A new round without a repair.
    Round,
    /// Something is bridged for a test.
    Bypass,
    /// A bridge is off again.
    Removed,
    /// How the machine stands.
    State,
    /// The air.
    Ambient,
    /// What was read and what is left.
    List,
    /// What is proposed next.
    Next,
    /// A written procedure.
    Follow,
    /// Close the job.
    Done,
    /// Stop for now.
    Quit,
}

/// One row of what can be typed.
#[derive(Copy, Clone, Debug)]
pub struct Row {
    /// The command.
    pub command: Command,
    /// Its words, the usual one first.
    pub words: &'static [&'static str],
    /// How it is typed.
    pub usage: &'static str,
    /// What it does, one sentence.
    pub help: &'static str,
}

const fn row(
    command: Command,
    words: &'static [&'static str],
    usage: &'static str,
    help: &'static str,
) -> Row {
    Row { command, words, usage, help }
}

/// Every command, in the order in which help lists them.
pub const COMMANDS: &[Row] = &[
    row(
        Command::Skip,
        &["skip"],
        "skip [CHECK OR READING] [WHY]",
        "Leaves this step or question out, or the one named, with the reason on record.",
    ),
    row(
        Command::Back,
        &["back", "undo"],
        "back",
        "Takes back the last entry. The record keeps both.",
    ),
    row(
        Command::Again,
        &["again"],
        "again [READING]",
        "Takes the last reading, or the one named, once more.",
    ),
    row(
        Command::Why,
        &["why"],
        "why",
        "Says why this step comes next, and what speaks for and against the suspects.",
    ),
    row(
        Command::WhatIf,
        &["what if", "whatif"],
        "what if [READING] VALUE",
        "Says what a reading would mean. Nothing is recorded.",
    ),
    row(
        Command::Next,
        &["next"],
        "next",
        "Shows the step once more; where enough is known, goes on measuring all the same.",
    ),
    row(
        Command::Follow,
        &["follow"],
        "follow PROCEDURE",
        "Follows a written procedure from now on; none takes what tells most. Alone it lists them.",
    ),
    row(Command::List, &["list"], "list", "Lists what was read in this round and what is left."),
    row(
        Command::Ambient,
        &["ambient", "air"],
        "ambient TEMPERATURE",
        "Says how warm the air is, in this round. A meter is good for some temperatures.",
    ),
    row(
        Command::State,
        &["state"],
        "state [NAME]",
        "Shows the states of the machine, or says which one it stands in.",
    ),
    row(Command::Note, &["note"], "note TEXT", "Puts a remark on record, beside the last reading."),
    row(
        Command::Photo,
        &["photo"],
        "photo PATH [TEXT]",
        "Puts a photo on record. It lies in the folder of the job: photos/connector.jpg.",
    ),
    row(
        Command::Meter,
        &["meter"],
        "meter NAME [= PROFILE] [calibrated DATE] [zeroed]",
        "Says which meter is in use from now on. Alone it lists the meters.",
    ),
    row(Command::Fit, &["fit"], "fit FIX", "Says that a repair is done. A new round begins."),
    row(
        Command::Round,
        &["round"],
        "round NAME",
        "Begins a new round without a repair: another day, another meter, hot instead of cold.",
    ),
    row(
        Command::Bypass,
        &["bypass"],
        "bypass WHAT",
        "Puts on record that something is bridged or clamped off for a test.",
    ),
    row(Command::Removed, &["removed"], "removed [WHAT]", "Says that a bridge is off again."),
    row(Command::Done, &["done"], "done", "Closes the job, or lists what stands in the way."),
    row(
        Command::Quit,
        &["quit", "exit"],
        "quit",
        "Stops for now. The same command opens the job again where it was left.",
    ),
    row(Command::Help, &["help", "?"], "help [COMMAND]", "Shows what can be typed."),
];

/// The row of a command.
#[must_use]
pub fn named(word: &str) -> Option<&'static Row> {
    let is_it = |row: &&Row| row.words.iter().any(|known| known.eq_ignore_ascii_case(word));
    COMMANDS.iter().find(is_it)
}

/// What a line asks for.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Line<'t> {
    /// Nothing was typed.
    Empty,
    /// A command, and what stands behind it.
    Command(Command, &'t str),
    /// A reading or property by name, `battery_rest = 12.71`; blank: it is asked for next.
    Named(&'t str, &'t str),
    /// A reading of what is asked for.
    Bare(&'t str),
}

/// What a line asks for. `known` says which names are those of readings and properties.
#[must_use]
pub fn line<'t>(text: &'t str, known: impl Fn(&str) -> bool) -> Line<'t> {
    let text = text.trim();
    if text.is_empty() {
        return Line::Empty;
    }
    let (first, rest) = word(text);
    if let Some((name, value)) = assignment(text)
        && (known(name) || named(first).is_none())
    {
        return Line::Named(name, value);
    }
    let (second, behind) = word(rest);
    if first.eq_ignore_ascii_case("what") && second.eq_ignore_ascii_case("if") {
        return Line::Command(Command::WhatIf, behind);
    }
    if let Some(row) = named(first) {
        return Line::Command(row.command, rest);
    }
    let (name, value) = path(text);
    if known(name) { Line::Named(name, value) } else { Line::Bare(text) }
}

/// `battery_rest = 12.71`, `to_ground[U] = OL`. A sign of equality in a note is none.
fn assignment(text: &str) -> Option<(&str, &str)> {
    let (name, value) = text.split_once('=')?;
    let name = name.trim_end();
    let (whole, rest) = path(name);
    let is_name = whole.starts_with(|c: char| c.is_alphabetic()) && !whole.contains(['<', '>']);
    (rest.is_empty() && is_name).then_some((whole, value.trim()))
}

/// The name at the beginning of a text with its member in brackets, and what stands behind it.
pub(crate) fn path(text: &str) -> (&str, &str) {
    let end = text.find(|c: char| c.is_whitespace() || c == '[').unwrap_or(text.len());
    let (name, rest) = text.split_at_checked(end).unwrap_or((text, ""));
    let bracket = rest.trim_start().starts_with('[').then(|| text.find(']')).flatten();
    match bracket.and_then(|at| text.split_at_checked(at + 1)) {
        Some((path, behind)) => (path, behind.trim()),
        None => (name, rest.trim()),
    }
}

fn word(text: &str) -> (&str, &str) {
    let text = text.trim();
    match text.split_once(char::is_whitespace) {
        Some((word, rest)) => (word, rest.trim()),
        None => (text, ""),
    }
}

/// The command, word or name that an unknown word is probably a slip of.
#[must_use]
pub fn probably<'a>(text: &str, others: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let (first, _) = word(text);
    let words = COMMANDS.iter().flat_map(|row| row.words.iter().copied());
    let words = words.filter(|word| word.len() > 2);
    nearest(first, others.into_iter().chain(words)).map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Line<'_> {
        let known = |name: &str| {
            let name = name.split('[').next().unwrap_or(name);
            ["battery_rest", "to_ground", "winding", "list"].contains(&name.trim())
        };
        line(text, known)
    }

    #[test]
    fn a_line_is_a_command_a_named_reading_or_a_reading() {
        assert_eq!(read("  "), Line::Empty);
        assert_eq!(read("12.71"), Line::Bare("12.71"));
        assert_eq!(read("> 20M"), Line::Bare("> 20M"));
        assert_eq!(read(">= 20M"), Line::Bare(">= 20M"));
        assert_eq!(read("skip no time"), Line::Command(Command::Skip, "no time"));
        assert_eq!(read("QUIT"), Line::Command(Command::Quit, ""));
        assert_eq!(read("what if 12.2"), Line::Command(Command::WhatIf, "12.2"));
        assert_eq!(read("battery_rest = 12.71"), Line::Named("battery_rest", "12.71"));
        assert_eq!(read("battery_rest 12.71 V"), Line::Named("battery_rest", "12.71 V"));
        assert_eq!(read("to_ground[V] 0.3"), Line::Named("to_ground[V]", "0.3"));
        assert_eq!(read("to_ground[V]=OL"), Line::Named("to_ground[V]", "OL"));
        assert_eq!(read("winding [U - V] 0.2"), Line::Named("winding [U - V]", "0.2"));
        assert_eq!(read("to_ground[V]"), Line::Named("to_ground[V]", ""));
        assert_eq!(read("oil_pressure = 3"), Line::Named("oil_pressure", "3"));
        assert_eq!(
            read("meter M-B = handheld_6000"),
            Line::Command(Command::Meter, "M-B = handheld_6000")
        );
        assert_eq!(read("note a = b"), Line::Command(Command::Note, "a = b"));
        assert_eq!(read("list = 3"), Line::Named("list", "3"));
        assert_eq!(read("list"), Line::Command(Command::List, ""));
    }

    #[test]
    fn a_slip_of_a_command_finds_it() {
        assert_eq!(probably("skpi", []).as_deref(), Some("skip"));
        assert_eq!(probably("batery_rest 12", ["battery_rest"]).as_deref(), Some("battery_rest"));
        assert_eq!(probably("xylophone", ["battery_rest"]), None);
    }
}
