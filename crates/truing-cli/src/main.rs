//! The `truing` command.
fn main() {}
