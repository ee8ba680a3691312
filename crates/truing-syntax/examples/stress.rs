//! One text for a profiler: `stress HEAD UNIT` reads 64 kB of it.

fn main() {
    let mut arguments = std::env::args().skip(1);
    let (head, unit) = (arguments.next().unwrap_or_default(), arguments.next().unwrap_or_default());
    let unescape = |text: String| text.replace("\\n", "\n");
    let (head, unit) = (unescape(head), unescape(unit));
    let text = head.clone() + &unit.repeat((64 << 10) / unit.len().max(1));
    let start = std::time::Instant::now();
    let parsed = truing_syntax::parse(truing_syntax::FileId(0), &text);
    println!(
        "{:?} {} items {} findings",
        start.elapsed(),
        parsed.tree.items.len(),
        parsed.findings.len()
    );
}
