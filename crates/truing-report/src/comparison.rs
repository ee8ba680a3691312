//! Rounds side by side: as found and as left.

use truing_model::Outcome;

use crate::account::Account;
use crate::layout::{counted, hanging, shown, table};
use crate::style::{Style, Tone};

/// The checks of several rounds side by side, one column for each round. Without `all`, checks
/// that were within wherever they were taken are counted and not listed.
pub(crate) fn render_comparison(
    rounds: &[(String, Vec<Account>)],
    all: bool,
    style: Style,
) -> String {
    let names: Vec<String> = rounds.iter().map(|(name, _)| shown(name)).collect();
    let mut heading = vec!["check".to_owned()];
    heading.extend(names.iter().cloned());
    let mut rows = vec![heading];
    let (mut within, mut never_taken) = (0, 0);
    for row in side_by_side(rounds) {
        if !all && row.iter().all(|account| never_found_wanting(account)) {
            let taken = row.iter().flatten().any(|a| a.outcome == Outcome::Within);
            *(if taken { &mut within } else { &mut never_taken }) += 1;
            continue;
        }
        let label = row.iter().flatten().next().map_or("", |account| account.label.as_str());
        let mut cells = vec![shown(label)];
        cells.extend(row.iter().map(|account| account.map_or(String::new(), cell)));
        rows.push(cells);
    }
    let title = format!("{} side by side", capital(&crate::layout::listed(&names)));
    let mut out = format!("{}\n", style.paint(Tone::Heading, &title));
    if rows.len() > 1 {
        out.push_str(&table(&rows, 2, style.columns()));
    }
    for (n, text) in [(within, "within wherever judged"), (never_taken, "judged in no round")] {
        if n > 0 {
            let text = format!("{}: {text}.", counted(n, "more check", "more checks"));
            out.push_str(&hanging("  ", &text, style.columns()));
        }
    }
    out.push('\n');
    out
}

/// The accounts of one check in every round, for each check that a round tells of.
fn side_by_side(rounds: &[(String, Vec<Account>)]) -> Vec<Vec<Option<&Account>>> {
    let Some((_, first)) = rounds.first() else { return Vec::new() };
    let of = |round: &'_ [Account], wanted: &Account| {
        round.iter().position(|account| account.check == wanted.check)
    };
    first
        .iter()
        .map(|wanted| rounds.iter().map(|(_, round)| round.get(of(round, wanted)?)).collect())
        .collect()
}

/// Nothing to look at: within, not about this machine, or simply not taken.
fn never_found_wanting(account: &Option<&Account>) -> bool {
    account.is_none_or(|account| {
        matches!(account.outcome, Outcome::Within | Outcome::NotApplicable) || account.untouched
    })
}

fn cell(account: &Account) -> String {
    shown(&format!("{} {}", account.outcome.words(), account.judged))
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
