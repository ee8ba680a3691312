//! The language reference stays true: its examples are checked, its tables are made from the code.
//!
//! `TRUING_WRITE_PAGES=1 cargo test -p truing-tests --test reference` writes the tables anew.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a helper of a test fails the test")]

use truing::Libraries;
use truing_compile::Session;
use truing_syntax::{Severity, Sources};
use truing_tests::markdown::{between, blocks, replaced};
use truing_tests::place;

const PAGE: &str = "grammar/reference.md";
const UNITS: &str = "grammar/units.md";

/// The block as a whole file: most blocks show items alone.
fn as_file(block: &truing_tests::markdown::Block) -> String {
    let headed = block.text.lines().any(|l| l.starts_with("spec ") || l.starts_with("library "));
    match (headed || block.tag("finds") == Some("header-missing"), block.has("spec")) {
        (true, _) => block.text.clone(),
        (false, true) => format!("spec example \"Example\" {{ edition \"1\" }}\n{}", block.text),
        (false, false) => format!("library example \"Example\"\n{}", block.text),
    }
}

#[test]
fn every_example_of_the_reference_is_as_it_says() {
    let page = place::read(PAGE).unwrap();
    let examples: Vec<_> =
        blocks(&page).into_iter().filter(|block| block.language == "truing").collect();
    assert!(examples.len() >= 25, "the reference shows {} examples only", examples.len());
    let session = Session::new();
    let mut wrong = Vec::new();
    for block in &examples {
        let mut sources = Sources::new();
        let name = format!("{PAGE}:{}", block.line);
        let file = sources.add(name.clone(), as_file(block));
        let checked = session.check(&mut sources, file, &Libraries::built_in());
        let own = checked.findings.iter().filter(|finding| finding.primary().span.file == file);
        // Warnings count only where they are what the block shows: an example is no whole spec.
        let shown = block.tag("finds");
        let found: Vec<_> = own
            .filter(|f| f.severity() == Severity::Error || Some(f.slug().0) == shown)
            .map(|finding| finding.slug().0)
            .collect();
        let wanted: Vec<_> = block.tag("finds").into_iter().collect();
        // The empty spec that uses a library leaves its limits open: that is what it shows.
        let tolerated = block.has("spec") && block.text.starts_with("use ");
        if found != wanted && !(tolerated && found.iter().all(|slug| *slug == "limit-open")) {
            wrong.push(format!(
                "{name}: wanted {wanted:?}, found {found:?}: {:?}",
                checked.findings
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The page's stretch equals what the code says, or is written anew where that was asked for.
fn hold(path: &str, name: &str, made: &str) {
    let page = place::read(path).unwrap();
    let stands = between(&page, name).unwrap_or_else(|| panic!("{path} has no `{name}` stretch"));
    if stands == made {
        return;
    }
    if std::env::var_os("TRUING_WRITE_PAGES").is_some() {
        let text = replaced(&page, name, made).unwrap();
        std::fs::write(place::root().join(path), text).unwrap();
        return;
    }
    panic!(
        "{path}: the `{name}` stretch is not what the code says; \
            TRUING_WRITE_PAGES=1 cargo test -p truing-tests --test reference writes it anew"
    );
}

#[test]
fn the_table_of_operators_is_the_one_in_the_code() {
    use truing_units::{Class, Operator};
    let heads: Vec<String> = Class::ALL.iter().map(ToString::to_string).collect();
    let mut two =
        format!("| left, operator | … {} |\n|---|---|---|---|---|---|", heads.join(" | … "));
    let mut one = format!("| operator | {} |\n|---|---|---|---|---|---|", heads.join(" | "));
    let mut open = None;
    for row in truing_units::operator_table() {
        let unary = matches!(row.operator, Operator::Power(_) | Operator::Negate);
        let line = if unary { None } else { Some(row.left) };
        let table = if unary { &mut one } else { &mut two };
        if open != Some((row.operator, line)) {
            open = Some((row.operator, line));
            let left = line.map_or_else(String::new, |class| format!("{class} "));
            table.push_str(&format!("\n| {left}`{}` |", row.operator.sign()));
        }
        match &row.outcome {
            Ok(class) => table.push_str(&format!(" {class} |")),
            Err(refusal) => table.push_str(&format!(" *{}* |", refusal.rule())),
        }
    }
    let table = format!("{two}\n\n{one}");
    hold(PAGE, "operators", &table);
}

#[test]
fn the_table_of_functions_is_the_one_in_the_code() {
    let mut table = String::from("| function | of | gives |\n|---|---|---|");
    for row in truing_compile::functions() {
        table.push_str(&format!("\n| `{}` | {} | {} |", row.name, row.takes, row.gives));
    }
    hold(PAGE, "functions", &table);
}

#[test]
fn the_page_of_kinds_and_units_is_the_catalogue() {
    let catalogue = truing_units::Catalogue::standard();
    let mut table = String::from("| kind | what it is | units |\n|---|---|---|");
    let (mut kinds, mut units) = (0, std::collections::BTreeSet::new());
    for (kind, def) in catalogue.kinds() {
        let symbols: Vec<_> = catalogue
            .units_of(kind)
            .iter()
            .map(|unit| format!("`{}`", unit.unit.symbol()))
            .collect();
        units.extend(symbols.iter().cloned());
        kinds += 1;
        table.push_str(&format!("\n| `{}` | {} | {} |", def.name, def.doc, symbols.join(" ")));
    }
    assert!(kinds >= 45, "{kinds} kinds");
    assert!(units.len() >= 250, "{} units", units.len());
    hold(UNITS, "kinds", &table);
}
