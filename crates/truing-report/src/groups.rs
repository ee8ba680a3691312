//! The findings of one round in groups: outside, not settled, worn, within, not applicable.

use truing_model::Outcome;

use crate::account::Account;
use crate::folded::folded;
use crate::layout::{counted, hanging, listed, shown, table};
use crate::style::{Style, Tone};

/// The colour that repeats an outcome's word.
pub(crate) const fn tone(outcome: Outcome) -> Tone {
    match outcome {
        Outcome::Within => Tone::Good,
        Outcome::Worn => Tone::Worn,
        Outcome::Outside(_) => Tone::Bad,
        Outcome::Undecided | Outcome::Blocked | Outcome::NotTaken => Tone::Open,
        Outcome::NotApplicable => Tone::Plain,
    }
}

/// All groups that have something in them, in the order in which people need them.
pub(crate) fn render_groups(accounts: &[Account], all: bool, style: Style) -> String {
    let pick = |wanted: fn(&Account) -> bool| accounts.iter().filter(|a| wanted(a)).collect();
    let outside: Vec<_> = pick(|a| a.outcome.fails());
    let open: Vec<_> = pick(|a| is_open(a) && !a.untouched);
    let untouched: Vec<_> = pick(|a| is_open(a) && a.untouched);
    let worn: Vec<_> = pick(|a| a.outcome == Outcome::Worn);
    let within: Vec<_> = pick(|a| a.outcome == Outcome::Within);
    let recorded: Vec<_> = pick(|a| a.outcome == Outcome::NotApplicable && !a.judged.is_empty());
    let no_part: Vec<_> = pick(|a| a.outcome == Outcome::NotApplicable && a.judged.is_empty());

    let mut out = String::new();
    let settled = if all { details } else { compact };
    let missing = if all { details } else { labels };
    for (heading, group, draw) in [
        ("Outside", outside, details as Draw),
        ("Not settled", open, details),
        ("Not taken", untouched, missing),
        ("Worn", worn, details),
        ("Within", within, settled),
        ("Recorded, without a limit", recorded, settled),
        ("Not applicable", no_part, reasons),
    ] {
        if !group.is_empty() {
            let heading = format!("{heading}: {}", counted(group.len(), "check", "checks"));
            out.push_str(&format!("{}\n", style.paint(Tone::Heading, &heading)));
            out.push_str(&draw(&group, style));
            out.push('\n');
        }
    }
    out
}

type Draw = fn(&[&Account], Style) -> String;

fn is_open(account: &Account) -> bool {
    matches!(account.outcome, Outcome::Undecided | Outcome::Blocked | Outcome::NotTaken)
}

/// Everything about each check.
fn details(group: &[&Account], style: Style) -> String {
    let column = group.iter().map(|account| account.outcome.words().len()).max().unwrap_or(0);
    group.iter().map(|account| detail(account, column, style)).collect()
}

fn detail(account: &Account, column: usize, style: Style) -> String {
    let words = account.outcome.words();
    let lead = format!("  {words:<column$}  ");
    let head = format!("{} ({})", shown(&account.title), shown(&account.label));
    let head = hanging(&lead, &head, style.columns());
    // Painted after wrapping, so that the marks of a colour take no room.
    let mut out = head.replacen(words, &style.paint(tone(account.outcome), words), 1);
    let mut row = |name: &str, text: &str| {
        if !text.is_empty() {
            out.push_str(&hanging(&format!("    {name:<8}"), &shown(text), style.columns()));
        }
    };
    row("read", &named(&account.readings));
    row("noted", &account.remarks.join("; "));
    row("value", &named(&account.derived));
    row("limit", &limit_with_source(account));
    row("rule", account.rule.as_deref().unwrap_or(""));
    row("why", &account.why);
    if !account.settled_by.is_empty() {
        row("with", &format!("{} at hand would decide it", listed(&account.settled_by)));
    }
    for advice in &account.advice {
        row("advice", advice);
    }
    out
}

fn named(pairs: &[(String, String)]) -> String {
    pairs.iter().map(|(name, text)| format!("{name} {text}")).collect::<Vec<_>>().join("; ")
}

fn limit_with_source(account: &Account) -> String {
    match (&account.limit, &account.source) {
        (Some(limit), Some(source)) => format!("{limit}, from {source}"),
        (Some(limit), None) => limit.clone(),
        (None, _) => String::new(),
    }
}

/// One line for each check: its title, what was judged, the limit.
fn compact(group: &[&Account], style: Style) -> String {
    let rows: Vec<Vec<String>> = group
        .iter()
        .map(|account| {
            let band = account.band.as_deref().unwrap_or("");
            [account.title.as_str(), &account.judged, band].map(shown).to_vec()
        })
        .collect();
    table(&rows, 2, style.columns())
}

/// The checks' labels alone: there is no more to tell of them.
fn labels(group: &[&Account], style: Style) -> String {
    hanging("  ", &folded(group.iter().copied()), style.columns())
}

/// Labels by reason: one reason often stands for many checks.
fn reasons(group: &[&Account], style: Style) -> String {
    let mut by_reason: Vec<(&str, Vec<&Account>)> = Vec::new();
    for account in group {
        match by_reason.iter_mut().find(|(why, _)| *why == account.why) {
            Some((_, accounts)) => accounts.push(account),
            None => by_reason.push((&account.why, vec![account])),
        }
    }
    let told = by_reason.iter().map(|(why, accounts)| {
        let labels = hanging("  ", &folded(accounts.iter().copied()), style.columns());
        format!("{labels}{}", hanging("    why     ", &shown(why), style.columns()))
    });
    told.collect()
}
