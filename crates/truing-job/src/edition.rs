//! Whether a sheet was judged by the limits at hand, or by those of another edition.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::sheet::{JobSheet, Judged};

/// How the limits at hand stand to those that a sheet was judged by.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(tag = "standing", rename_all = "kebab-case")]
pub enum Standing {
    /// The sheet names neither edition nor text: it was not judged before, or by nobody knows what.
    #[default]
    Unrecorded,
    /// The limits are those that it was judged by, as far as it says.
    Same,
    /// The edition is the same, and the text of the spec or of a library that it uses is another.
    OtherText {
        /// What that changed.
        changes: Changes,
    },
    /// The edition is another one.
    OtherEdition {
        /// The one that the sheet was judged by.
        recorded: String,
        /// The one at hand; none where the spec says none.
        at_hand: Option<String>,
        /// What that changed.
        changes: Changes,
    },
}

/// The limits that are others than when a sheet was judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "known", content = "limits", rename_all = "kebab-case")]
pub enum Changes {
    /// The sheet does not list the limits that it was judged by.
    No,
    /// These, by the names of the checks, those first that were and are judged; perhaps none.
    Yes(Vec<LimitChange>),
}

/// A limit that is another one now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LimitChange {
    /// The check, `insulated[V]`.
    pub check: String,
    /// The limit then, as printed; none where the check was not judged then.
    pub was: Option<String>,
    /// The limit now, as printed; none where the check is not judged now.
    pub now: Option<String>,
    /// Where the limit was printed then.
    pub source_was: Option<String>,
    /// Where it is printed now.
    pub source_now: Option<String>,
}

impl Standing {
    /// How a spec of this edition and hash stands to what a sheet was judged by. `now` are the limits
    /// that its readings are held against by this spec.
    #[must_use]
    pub fn of(sheet: &JobSheet, edition: Option<&str>, hash: &str, now: &[Judged]) -> Self {
        match (&sheet.edition, &sheet.spec_hash) {
            (Some(recorded), _) if Some(recorded.as_str()) != edition => Self::OtherEdition {
                recorded: recorded.clone(),
                at_hand: edition.map(str::to_owned),
                changes: Changes::between(&sheet.judged, now),
            },
            (_, Some(recorded)) if recorded != hash => {
                Self::OtherText { changes: Changes::between(&sheet.judged, now) }
            }
            (None, None) => Self::Unrecorded,
            _ => Self::Same,
        }
    }
}

impl Changes {
    fn between(was: &[Judged], now: &[Judged]) -> Self {
        if was.is_empty() {
            return Self::No;
        }
        let mut checks: BTreeMap<&str, [Option<&Judged>; 2]> = BTreeMap::new();
        for judged in was {
            let [then, _] = checks.entry(&judged.check).or_default();
            *then = Some(judged);
        }
        for judged in now {
            let [_, at_hand] = checks.entry(&judged.check).or_default();
            *at_hand = Some(judged);
        }
        let limit = |of: Option<&Judged>| of.map(|it| it.limit.clone());
        let source = |of: Option<&Judged>| of.and_then(|it| it.source.clone());
        let changed = checks.into_iter().filter_map(|(check, [was, now])| {
            let change = LimitChange {
                check: check.to_owned(),
                was: limit(was),
                now: limit(now),
                source_was: source(was),
                source_now: source(now),
            };
            // Where it is printed may change and the figure stay: that is no other limit.
            (change.was != change.now).then_some(change)
        });
        let mut changed: Vec<LimitChange> = changed.collect();
        // What became another limit tells more than what was read then, or is read now, only.
        changed.sort_by_key(|change| (change.was.is_none(), change.now.is_none()));
        Self::Yes(changed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(check: &str, limit: &str) -> Judged {
        Judged { check: check.to_owned(), limit: limit.to_owned(), ..Judged::default() }
    }

    fn sheet(edition: Option<&str>, hash: Option<&str>, judged: Vec<Judged>) -> JobSheet {
        let (edition, spec_hash) = (edition.map(str::to_owned), hash.map(str::to_owned));
        JobSheet { edition, spec_hash, judged, ..JobSheet::default() }
    }

    #[test]
    fn the_edition_goes_before_the_hash() {
        let of = |edition, hash| Standing::of(&sheet(edition, hash, vec![]), Some("2"), "h", &[]);
        assert_eq!(of(None, None), Standing::Unrecorded);
        assert_eq!(of(Some("2"), None), Standing::Same);
        assert_eq!(of(Some("2"), Some("h")), Standing::Same);
        assert_eq!(of(None, Some("h")), Standing::Same);
        assert_eq!(of(Some("2"), Some("g")), Standing::OtherText { changes: Changes::No });
        assert_eq!(of(None, Some("g")), Standing::OtherText { changes: Changes::No });
        assert!(matches!(of(Some("1"), Some("h")), Standing::OtherEdition { .. }));
        let none = Standing::of(&sheet(Some("1"), None, vec![]), None, "h", &[]);
        assert!(matches!(none, Standing::OtherEdition { at_hand: None, .. }));
    }

    #[test]
    fn the_limits_that_changed_came_or_went_are_listed() {
        let then = vec![judged("a", "min 1 V"), judged("b", "max 2 V"), judged("gone", "max 3 V")];
        let now = [judged("a", "min 1 V"), judged("b", "max 2.5 V"), judged("a_new", "max 4 V")];
        let standing = Standing::of(&sheet(Some("1"), None, then), Some("2"), "h", &now);
        let Standing::OtherEdition { changes: Changes::Yes(changes), .. } = standing else {
            panic!("{standing:?}");
        };
        let told: Vec<_> = changes
            .iter()
            .map(|it| (it.check.as_str(), it.was.as_deref(), it.now.as_deref()))
            .collect();
        assert_eq!(
            told,
            [
                ("b", Some("max 2 V"), Some("max 2.5 V")),
                ("gone", Some("max 3 V"), None),
                ("a_new", None, Some("max 4 V")),
            ]
        );
    }
}
