//! The page on the session lists the commands that there are.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

mod support;

use truing_work::command::COMMANDS;

const BEGIN: &str =
    "<!-- commands: written by TRUING_WRITE_PAGES=1 cargo test -p truing-work --test page -->\n";
const END: &str = "<!-- end of commands -->";

#[test]
fn the_table_of_commands_is_that_of_the_code() {
    let path = support::root().join("grammar/session.md");
    let page = std::fs::read_to_string(&path).unwrap();
    let (before, rest) = page.split_once(BEGIN).unwrap();
    let (table, after) = rest.split_once(END).unwrap();
    let row = |row: &truing_work::command::Row| format!("| `{}` | {} |\n", row.usage, row.help);
    let rows: String = COMMANDS.iter().map(row).collect();
    let made = format!("| typed | does |\n|---|---|\n{rows}");
    if table != made && std::env::var_os("TRUING_WRITE_PAGES").is_some() {
        std::fs::write(&path, format!("{before}{BEGIN}{made}{END}{after}")).unwrap();
        return;
    }
    assert_eq!(table, made);
}
