//! Lists of labels in which the members of a family stand together.

use crate::account::Account;
use crate::layout::shown;

/// "charges, insulated[U, V, W]": labels in order, each family once.
pub(crate) fn folded<'a>(accounts: impl IntoIterator<Item = &'a Account>) -> String {
    let mut families: Vec<(&str, Vec<&str>)> = Vec::new();
    for account in accounts {
        let (name, member) = match account.label.split_once('[') {
            Some((name, rest)) => (name, Some(rest.trim_end_matches(']'))),
            None => (account.label.as_str(), None),
        };
        match families.iter_mut().find(|(known, _)| *known == name) {
            Some((_, members)) => members.extend(member),
            None => families.push((name, member.into_iter().collect())),
        }
    }
    let told = families.iter().map(|(name, members)| match members.as_slice() {
        [] => shown(name),
        _ => shown(&format!("{name}[{}]", members.join(", "))),
    });
    told.collect::<Vec<_>>().join(", ")
}
