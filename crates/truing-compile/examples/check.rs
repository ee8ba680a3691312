//! Checks files given on the command line against the libraries below a folder: for trying things out.
use std::sync::Arc;
use truing_compile::{Library, LoadError, Loaded, Session};
use truing_syntax::Sources;

struct Dir(Vec<std::path::PathBuf>);
impl Library for Dir {
    fn load(&self, _from: &str, path: &str) -> Result<Loaded, LoadError> {
        for root in &self.0 {
            let file = root.join(format!("{path}.truing"));
            if let Ok(text) = std::fs::read_to_string(&file) {
                return Ok(Loaded { name: Arc::from(path), text: text.into() });
            }
        }
        Err(LoadError::NotFound { nearest: None })
    }
}
fn main() {
    let mut args: Vec<String> = std::env::args().skip(1).collect();
    let roots = args.remove(0).split(':').map(Into::into).collect();
    let dir = Dir(roots);
    let session = Session::new();
    for arg in args {
        let mut sources = Sources::new();
        let text = std::fs::read_to_string(&arg).unwrap_or_default();
        let file = sources.add(arg.as_str(), text);
        let start = std::time::Instant::now();
        let checked = session.check(&mut sources, file, &dir);
        if std::env::var_os("REPEAT").is_some() {
            let text = std::fs::read_to_string(&arg).unwrap_or_default();
            let best = |f: &mut dyn FnMut()| {
                (0..200)
                    .map(|_| {
                        let t = std::time::Instant::now();
                        f();
                        t.elapsed()
                    })
                    .min()
            };
            let parse = best(&mut || {
                std::hint::black_box(truing_syntax::parse(file, &text));
            });
            let all = best(&mut || {
                let mut s = Sources::new();
                let file = s.add(arg.as_str(), text.as_str());
                std::hint::black_box(session.check(&mut s, file, &dir));
            });
            println!("{arg}: parse {parse:?}, all {all:?}");
        }
        println!(
            "{arg}: {} findings, spec {}, {:?}",
            checked.findings.len(),
            checked.spec.is_some(),
            start.elapsed()
        );
        for f in &checked.findings {
            let p = f.primary();
            let s = sources
                .get(p.span.file)
                .map(|s| (s.name().to_owned(), s.line_column(p.span.start)));
            println!(
                "  {:?} {} {:?}: {} [{}] at {:?}",
                f.severity(),
                f.slug().0,
                s,
                f.message(),
                p.text,
                sources.slice(p.span)
            );
            for l in f.labels() {
                println!("      - {:?}: {}", sources.slice(l.span), l.text);
            }
            for n in f.notes() {
                println!("      note: {n}");
            }
            if let Some(m) = f.mending() {
                println!("      mend: {}", m.text);
            }
        }
    }
}
