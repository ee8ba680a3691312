//! What is said of a file: `cargo run -p truing-syntax --example findings FILE…`.

use truing_syntax::{Sources, parse};

fn main() {
    let mut sources = Sources::new();
    for path in std::env::args().skip(1) {
        match std::fs::read_to_string(&path) {
            Ok(text) => {
                let id = sources.add(path, text);
                show(&sources, id);
            }
            Err(why) => eprintln!("{path}: {why}"),
        }
    }
}

fn show(sources: &Sources, id: truing_syntax::FileId) {
    let Some(file) = sources.get(id) else { return };
    let parsed = parse(id, file.text());
    for finding in &parsed.findings {
        let place = finding.primary().span;
        let (line, column) = file.line_column(place.start);
        println!("{}:{line}:{column}: [{}] {}", file.name(), finding.slug().0, finding.message());
        println!("    at `{}`", sources.slice(place));
        for note in finding.notes() {
            println!("    note: {note}");
        }
        if let Some(mend) = finding.mending() {
            println!(
                "    mend: {} {:?}",
                mend.text,
                mend.edits.iter().map(|(s, t)| (sources.slice(*s), t)).collect::<Vec<_>>()
            );
        }
    }
    println!("{} items, {} findings", parsed.tree.items.len(), parsed.findings.len());
    let unread: Vec<&str> = parsed.unread.iter().map(|name| &*name.node).collect();
    println!("not read: {}", unread.join(", "));
}
