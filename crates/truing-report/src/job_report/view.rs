//! A job report as data: what every form of it is written from, and its form for programs.
//!
//! Numbers are in the unit that stands beside them, unrounded; texts are as people read them.

use serde::Serialize;

pub use super::family_view::{End, Ends, Family, Group, Known, Row};
use super::text::Text;

/// A job report as data; `schema/truing-job-report.schema.json` describes it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JobView {
    /// `truing-job-report`
    pub format: &'static str,
    /// The version of that format.
    pub version: u32,
    /// The job.
    pub job: Head,
    /// The machine.
    pub machine: MachineView,
    /// The spec that it was judged by.
    pub spec: SpecView,
    /// What it comes to.
    pub closing: Closing,
    /// What was found, in the order in which it was.
    pub found: Vec<Found>,
    /// What was done.
    pub done: Vec<Done>,
    /// What to do next, where there is something.
    pub next: Option<Next>,
    /// The rounds.
    pub rounds: Vec<RoundView>,
    /// Every check that was taken, members of a family together.
    pub readings: Vec<Family>,
    /// Which fault explains the readings, one for each stage.
    pub suspects: Vec<StageView>,
    /// What was not tested.
    pub not_tested: Vec<NotTested>,
    /// What was left out of one round and taken in another.
    pub left_out: Vec<LeftOut>,
    /// What is not about this machine.
    pub not_applicable: Vec<NotTested>,
    /// The instruments.
    pub instruments: Vec<InstrumentView>,
    /// What can hurt whoever repeats these measurements.
    pub cautions: Vec<CautionView>,
    /// What was remarked.
    pub remarks: Vec<RemarkView>,
    /// The photos.
    pub photos: Vec<PhotoView>,
    /// What was bridged for a test.
    pub bypasses: Vec<BypassView>,
    /// What this report is, and what it is not.
    pub disclaimer: &'static str,
}

/// The job.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Head {
    /// Its number.
    pub number: Option<Text>,
    /// The day.
    pub date: Option<Text>,
    /// Who measured.
    pub technician: Option<Text>,
    /// What the customer said.
    pub complaint: Option<Text>,
    /// The condition that it shows under, in words.
    pub shows: Option<Text>,
    /// What was noted of the job.
    pub note: Option<Text>,
}

/// The machine.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct MachineView {
    /// The machines that the spec is for.
    pub fits: Vec<Text>,
    /// The model, where the sheet says it in words.
    pub model: Option<Text>,
    /// The year, where the sheet says it in words.
    pub year: Option<Text>,
    /// What else is known of this one.
    pub properties: Vec<Named>,
}

/// Something with its name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Named {
    /// Its name.
    pub name: Text,
    /// What stands there.
    pub text: Text,
}

/// The spec that a job was judged by.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpecView {
    /// Its name.
    pub name: Text,
    /// Its title.
    pub title: Text,
    /// Its edition.
    pub edition: Option<Text>,
    /// What its text and its libraries are: `sha256:…`.
    pub hash: Option<Text>,
    /// Where the sheet was judged by another edition or text: a sentence that says so.
    pub differs: Option<Text>,
    /// The decision rule, with what it means.
    pub rule: Text,
    /// The sources of the limits that were applied.
    pub sources: Vec<SourceView>,
}

/// A source of limits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SourceView {
    /// The document.
    pub title: Text,
    /// Where in it.
    pub places: Vec<Text>,
    /// What was corrected by it or in it.
    pub corrections: Vec<Text>,
}

/// What a job comes to.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// The repair is proven.
    Proven,
    /// It is not.
    NotProven,
    /// A fault is still there.
    StillFaulty,
    /// Nothing was mended, and something is outside its limit.
    NothingMended,
    /// Nothing was mended, and no fault shows.
    NoFaultShows,
    /// Nothing was mended, and nothing that bears on a fault was measured.
    NothingMeasured,
}

/// What a job comes to, and why.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Closing {
    /// In short.
    pub state: State,
    /// The same in words.
    pub words: &'static str,
    /// Why.
    pub because: Vec<Text>,
    /// What stands in the way of a proof.
    pub in_the_way: Vec<Text>,
    /// When it was closed, or that it is open.
    pub closed: Option<Text>,
}

/// What was found at one stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// In which rounds.
    pub when: Text,
    /// What it was.
    pub what: Text,
    /// How sure that is.
    pub sure: Option<Text>,
    /// What mends it.
    pub mends: Option<Text>,
    /// That one fault does not explain everything, where it does not.
    pub two: Option<Text>,
}

/// What was done before a round.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Done {
    /// Before which round.
    pub before: Text,
    /// What was done.
    pub what: Vec<Text>,
    /// The parts that were fitted.
    pub parts: Vec<PartView>,
}

/// A part that was fitted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartView {
    /// What it is.
    pub name: Text,
    /// Its number.
    pub number: Option<Text>,
    /// How many.
    pub quantity: u32,
    /// The price of one, as written.
    pub price: Option<Text>,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Next {
    /// What can hurt there; to be read first.
    pub cautions: Vec<Text>,
    /// What to do.
    pub text: Text,
}

/// One round.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoundView {
    /// Its name.
    pub name: Text,
    /// When it was begun.
    pub time: Option<Text>,
    /// The temperature of the air.
    pub ambient: Option<Text>,
    /// Whether it stands after the last repair.
    pub after_repair: bool,
    /// How its checks came out.
    pub summary: Text,
    /// What was read, as written.
    pub read: Vec<ReadView>,
}

/// A reading as written.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadView {
    /// Its name in the spec.
    pub name: Text,
    /// Its title.
    pub title: Text,
    /// What the instrument showed.
    pub text: Text,
    /// The instrument.
    pub meter: Option<Text>,
    /// When.
    pub time: Option<Text>,
    /// A state of its own, a note.
    pub remarks: Vec<Text>,
}

/// Which fault explains the readings of one stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StageView {
    /// The stage in words.
    pub heading: Text,
    /// The rounds that it is made of, by place.
    pub rounds: Vec<usize>,
    /// Whether a repair is proven, in one sentence.
    pub proof: Option<Text>,
    /// What there is to say, in order: `("Most likely", "…")`.
    pub told: Vec<Named>,
    /// The two that the readings are weighed between.
    pub weighed: Option<Weighed>,
    /// What was ruled down, and by what.
    pub cleared: Vec<Cleared>,
}

/// The leader against its rival.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weighed {
    /// The likeliest.
    pub leader: Text,
    /// How likely.
    pub leader_chance: Text,
    /// The likeliest that is mended otherwise.
    pub rival: Text,
    /// How likely.
    pub rival_chance: Text,
    /// How common they are, in decibans for the leader; nothing where one of them is excluded.
    pub before: Option<Text>,
    /// All together.
    pub in_all: Option<Text>,
    /// What speaks for or against the leader, most first.
    pub contributions: Vec<ContributionView>,
    /// So many more checks say little between the two.
    pub say_little: usize,
}

/// What one check says between the leader and its rival.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ContributionView {
    /// The check.
    pub check: Text,
    /// Its title.
    pub title: Text,
    /// How it came out.
    pub came_out: Text,
    /// How often the leader shows that.
    pub leader_shows: Text,
    /// How often the rival does.
    pub rival_shows: Text,
    /// Its weight in decibans, for the leader; nothing where one of them is excluded.
    pub decibans: Option<Text>,
    /// The weight in words.
    pub strength: &'static str,
    /// Whether it speaks for the leader.
    pub speaks_for: bool,
}

/// A fault that a check in order speaks against.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cleared {
    /// The fault.
    pub fault: Text,
    /// The check that was in order.
    pub check: Text,
    /// Its title.
    pub title: Text,
    /// How often the fault fails it.
    pub would_fail: Text,
}

/// Something that was not tested.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotTested {
    /// The check, with its members.
    pub check: Text,
    /// Its title.
    pub title: Text,
    /// Why.
    pub why: Text,
    /// Whether somebody gave that reason.
    pub said: bool,
    /// Whether it bears on a fault of the spec.
    pub bears_on_fault: bool,
}

/// Something that was left out of a round and taken in another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeftOut {
    /// In which round.
    pub when: Text,
    /// What it was.
    pub what: Text,
    /// Why.
    pub why: Text,
}

/// An instrument.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InstrumentView {
    /// Its own name.
    pub name: Text,
    /// What it is.
    pub profile: Text,
    /// The day of its calibration.
    pub calibrated: Option<Text>,
    /// Its leads are zeroed before every reading.
    pub zeroed: bool,
    /// So many readings were taken with it.
    pub readings: usize,
}

/// What can hurt.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CautionView {
    /// What is shown before the step.
    pub text: Text,
    /// Whether the record says that it was acknowledged.
    pub acknowledged: bool,
}

/// A remark.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RemarkView {
    /// In which round.
    pub when: Text,
    /// At what time.
    pub time: Option<Text>,
    /// About what.
    pub of: Option<Text>,
    /// What was noted.
    pub text: Text,
}

/// A photo.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhotoView {
    /// In which round.
    pub when: Text,
    /// Where the file is, from the job's folder.
    pub path: Text,
    /// What it shows.
    pub of: Option<Text>,
    /// What is to be seen.
    pub note: Option<Text>,
    /// The form of the picture; nothing where it was left out.
    pub media: Option<&'static str>,
    /// How many bytes it has.
    pub bytes: Option<usize>,
    /// Why it was left out.
    pub left_out: Option<Text>,
}

/// Something that was bridged for a test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BypassView {
    /// In which round.
    pub when: Text,
    /// What it was.
    pub what: Text,
    /// Whether it was taken off again.
    pub removed: bool,
}
