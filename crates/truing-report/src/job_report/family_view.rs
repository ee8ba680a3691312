//! The readings of a job report as data: every check with its members, in every round.

use serde::Serialize;

use super::curve::CurveView;
use super::text::Text;
use super::view::Named;

/// Where a family of checks stands in the report.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Group {
    /// Outside its limit in some round.
    Outside,
    /// Undecided or blocked in the end.
    NotSettled,
    /// Inside the service limit only.
    Worn,
    /// Within.
    Within,
    /// Read, and there is no limit.
    Recorded,
}

/// A check with all its members, in every round in which something was read for it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Family {
    /// The check's name.
    pub check: Text,
    /// What holds when the machine is in order.
    pub title: Text,
    /// Where it stands.
    pub group: Group,
    /// Its place on the first page, from 1, where it is shown there.
    pub first_page: Option<usize>,
    /// The limit as printed.
    pub limit: Option<Text>,
    /// Where that was printed.
    pub source: Option<Text>,
    /// The unit of the numbers in `rows`.
    pub unit: Option<Text>,
    /// One for each member and round.
    pub rows: Vec<Row>,
    /// What the spec advises.
    pub advice: Vec<Text>,
    /// The curve, where the limit is one.
    pub curve: Option<CurveView>,
}

/// One check in one round.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Row {
    /// The check, `insulated[V]`.
    pub check: Text,
    /// Which member.
    pub member: Option<Text>,
    /// Which round, by its place.
    pub round: usize,
    /// Its name.
    pub when: Text,
    /// Whether it stands after the last repair.
    pub after_repair: bool,
    /// `within`, `outside low`, …
    pub outcome: &'static str,
    /// What was judged, as people read it.
    pub judged: Text,
    /// Its expanded uncertainty, with its unit.
    pub doubt: Option<Text>,
    /// The limit that was applied, where it is not the family's.
    pub limit: Option<Text>,
    /// What was read for it.
    pub read: Vec<Named>,
    /// The instruments.
    pub meters: Vec<Text>,
    /// What the sheet says beside the readings, under their titles.
    pub remarks: Vec<Named>,
    /// Why it came out so.
    pub why: Text,
    /// The instruments at hand that would have decided it.
    pub settled_by: Vec<Text>,
    /// What is known of the value.
    pub value: Option<Known>,
    /// The limit; of a graded one its standard part.
    pub standard: Option<Ends>,
    /// The service limit.
    pub service: Option<Ends>,
    /// Half the width of the guard band around each end: the uncertainty that the decision rule
    /// took into account.
    pub guard: Option<f64>,
}

/// What is known of a value.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Known {
    /// The best value, where there is one.
    pub best: Option<f64>,
    /// The lower end, where there is one.
    pub low: Option<f64>,
    /// The upper end, where there is one.
    pub high: Option<f64>,
}

/// The ends of a limit.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Ends {
    /// The lower end.
    pub low: Option<End>,
    /// The upper end.
    pub high: Option<End>,
}

/// One end of a limit.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct End {
    /// Where.
    pub value: f64,
    /// Whether the end itself lies outside.
    pub open: bool,
}
