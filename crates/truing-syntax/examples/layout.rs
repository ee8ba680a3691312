//! A file in the one layout: `cargo run -p truing-syntax --example layout FILE…`.

fn main() {
    for path in std::env::args().skip(1) {
        match std::fs::read_to_string(&path) {
            Ok(text) => match truing_syntax::format(&text) {
                Ok(text) => print!("{text}"),
                Err(why) => eprintln!("{path}: {why}"),
            },
            Err(why) => eprintln!("{path}: {why}"),
        }
    }
}
