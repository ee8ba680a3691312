//! The report as one HTML file that stands by itself: no address is asked for anything, no script
//! runs. Everything that comes of a sheet or a spec is escaped by the template engine.

use std::sync::LazyLock;

use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment, UndefinedBehavior};
use serde::Serialize;
use thiserror::Error;
use truing_units::Decimal;

use super::bars::Drawing;
use super::curve::CurveDrawing;
use super::first_page::{COMPLAINT, MEMBERS, first_rows, first_untested};
use super::photo::Picture;
use super::summary::listed_texts;
use super::text::Text;
use super::view::{Family, Group, JobView, NotTested, PartView, ReadView};

/// So many rounds stand side by side.
const ROUNDS_SIDE_BY_SIDE: usize = 4;

/// Why a report could not be written. With the templates that are compiled in this cannot come.
#[derive(Debug, Error)]
#[error("the report cannot be written: {0}")]
pub struct NotWritten(#[from] minijinja::Error);

/// A job's report as HTML. `pictures` are those that the view was made with.
///
/// # Errors
/// Where a template does not fit the view.
pub fn job_html(view: &JobView, pictures: &[Result<Picture, Text>]) -> Result<String, NotWritten> {
    let page = Page::of(view, pictures);
    let template = TEMPLATES.get_template("job.html")?;
    Ok(format!("{}\n", template.render(Serde(&page))?))
}

/// The templates of all pages.
pub(crate) static TEMPLATES: LazyLock<Environment<'static>> = LazyLock::new(|| {
    let mut templates = Environment::new();
    templates.set_undefined_behavior(UndefinedBehavior::Strict);
    templates.set_auto_escape_callback(|name| match name.rsplit('.').next() {
        Some("css") => AutoEscape::None,
        _ => AutoEscape::Html,
    });
    templates.add_filter("capitalize_first", crate::comparison::capital);
    templates.add_filter("spaced", spaced);
    for (name, text) in [
        ("job.html", include_str!("../../templates/job.html")),
        ("marks.html", include_str!("../../templates/marks.html")),
        ("job.css", include_str!("../../templates/job.css")),
        ("faults.html", include_str!("../../templates/faults.html")),
        ("faults.css", include_str!("../../templates/faults.css")),
    ] {
        // A test says that each of them is sound; of one that is not there, `job_html` tells.
        let _ = templates.add_template(name, text);
    }
    templates
});

/// A spec's own names among its words, for people who do not know it.
fn spaced(text: &str) -> String {
    text.replace('_', " ")
}

/// What the templates are filled with.
#[derive(Serialize)]
struct Page<'v> {
    r: &'v JobView,
    complaint_short: Option<Text>,
    /// One for each family of the view.
    drawings: Vec<Option<Drawing>>,
    curves: Vec<Option<CurveDrawing>>,
    notes: Vec<Vec<Note>>,
    first: Vec<First>,
    groups: Vec<GroupOf>,
    parts: Vec<&'v PartView>,
    total: Option<String>,
    untested: Vec<&'v NotTested>,
    untested_more: usize,
    /// What was not tested without a reason given.
    unsaid: Vec<&'v NotTested>,
    written: Vec<Block<'v>>,
    /// One for each photo of the view.
    pictures: Vec<Option<String>>,
}

/// What the first page shows of a family.
#[derive(Serialize)]
struct First {
    family: usize,
    rows: Vec<usize>,
    more: Option<Text>,
}

/// The families of a group.
#[derive(Serialize)]
struct GroupOf {
    title: &'static str,
    families: Vec<usize>,
}

/// What was read in several rounds, side by side.
#[derive(Serialize)]
struct Block<'v> {
    rounds: Vec<usize>,
    lines: Vec<Line<'v>>,
}

/// One reading in each of these rounds.
#[derive(Serialize)]
struct Line<'v> {
    title: &'v Text,
    cells: Vec<Option<&'v ReadView>>,
}

/// A sentence on a family.
#[derive(Serialize)]
struct Note {
    lead: Text,
    text: Text,
    /// Whether it is in the words of the spec.
    of_spec: bool,
}

impl<'v> Page<'v> {
    fn of(view: &'v JobView, pictures: &[Result<Picture, Text>]) -> Self {
        let parts: Vec<&PartView> = view.done.iter().flat_map(|done| &done.parts).collect();
        let (untested, untested_more) = first_untested(&view.not_tested);
        let address = |place: usize| Some(pictures.get(place)?.as_ref().ok()?.address());
        Self {
            r: view,
            complaint_short: view
                .job
                .complaint
                .as_ref()
                .and_then(|complaint| complaint.beginning(COMPLAINT)),
            drawings: view.readings.iter().map(Drawing::of).collect(),
            curves: view.readings.iter().map(|f| CurveDrawing::of(f.curve.as_ref()?)).collect(),
            notes: view.readings.iter().map(notes).collect(),
            first: first(view),
            groups: groups(view),
            total: total(&parts),
            parts,
            untested,
            untested_more,
            unsaid: view.not_tested.iter().filter(|of| !of.said).collect(),
            written: written(view),
            pictures: (0..view.photos.len()).map(address).collect(),
        }
    }
}

fn first(view: &JobView) -> Vec<First> {
    let mut chosen: Vec<(usize, &Family)> = view
        .readings
        .iter()
        .enumerate()
        .filter(|(_, family)| family.first_page.is_some())
        .collect();
    chosen.sort_by_key(|(_, family)| family.first_page);
    let firsts = chosen.into_iter().map(|(place, family)| {
        let rows = first_rows(family);
        First { family: place, more: more(family, &rows), rows }
    });
    firsts.collect()
}

/// What else of a family was outside, where the first page has no room for it.
fn more(family: &Family, shown: &[usize]) -> Option<Text> {
    let members = |wanted: &dyn Fn(usize) -> bool| {
        let mut members: Vec<Text> = Vec::new();
        for (place, row) in family.rows.iter().enumerate().filter(|(place, _)| wanted(*place)) {
            if let Some(member) = row.member.as_ref().filter(|m| !members.contains(m))
                && (shown.contains(&place) || row.outcome.starts_with("outside"))
            {
                members.push(member.clone());
            }
        }
        members
    };
    let here = members(&|place| shown.contains(&place));
    let others: Vec<Text> =
        members(&|_| true).into_iter().filter(|member| !here.contains(member)).collect();
    let full = here.len() >= MEMBERS && !others.is_empty();
    full.then(|| Text::line(&format!("Outside as well: {}.", listed_texts(&others))))
}

/// The readings as written, a column for each round, as many rounds together as a page is wide.
fn written(view: &JobView) -> Vec<Block<'_>> {
    let places: Vec<usize> = (0..view.rounds.len()).collect();
    let blocks = places.chunks(ROUNDS_SIDE_BY_SIDE).map(|rounds| {
        let of = |place: &usize| view.rounds.get(*place).map_or(&[][..], |round| &round.read);
        let mut lines: Vec<(&Text, Line<'_>)> = Vec::new();
        for (column, place) in rounds.iter().enumerate() {
            for read in of(place) {
                let known = lines.iter().position(|(name, _)| *name == &read.name);
                let at = known.unwrap_or(lines.len());
                if known.is_none() {
                    let cells = vec![None; rounds.len()];
                    lines.push((&read.name, Line { title: &read.title, cells }));
                }
                let cell = lines.get_mut(at).and_then(|(_, line)| line.cells.get_mut(column));
                if let Some(cell) = cell {
                    *cell = Some(read);
                }
            }
        }
        Block { rounds: rounds.to_vec(), lines: lines.into_iter().map(|(_, line)| line).collect() }
    });
    blocks.filter(|block| !block.lines.is_empty()).collect()
}

fn groups(view: &JobView) -> Vec<GroupOf> {
    let all = [
        (Group::Outside, "Outside the limit when found, or still"),
        (Group::NotSettled, "Not settled"),
        (Group::Worn, "Worn: inside the service limit only"),
        (Group::Within, "Within the limit"),
        (Group::Recorded, "Recorded, without a limit"),
    ];
    let groups = all.map(|(group, title)| {
        let families = view.readings.iter().enumerate().filter(|(_, f)| f.group == group);
        GroupOf { title, families: families.map(|(place, _)| place).collect() }
    });
    groups.into_iter().filter(|group| !group.families.is_empty()).collect()
}

/// Why what is not plainly within came out so, each reason once; what would settle it; advice.
fn notes(family: &Family) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::new();
    let mut notes_of: Vec<Text> = Vec::new();
    let mut say = |lead: &Text, text: Text, of_spec: bool| {
        if !notes.iter().any(|note| note.text == text) {
            notes.push(Note { lead: lead.clone(), text, of_spec });
        }
    };
    for row in &family.rows {
        let lead = match &row.member {
            Some(member) => Text::line(&format!("{member}, {}", row.when)),
            None => row.when.clone(),
        };
        if let Some(limit) = &row.limit {
            say(&lead, Text::line(&format!("Limit: {limit}.")), true);
        }
        if !matches!(row.outcome, "within" | "recorded") {
            say(&lead, row.why.clone(), true);
        }
        if !row.settled_by.is_empty() {
            let with = listed_texts(&row.settled_by);
            say(&lead, Text::line(&format!("{with}, at hand, would decide it.")), false);
        }
        // What was noted of one member often holds for all.
        for remark in &row.remarks {
            if !notes_of.contains(&remark.text) {
                say(&lead, Text::line(&format!("{}: {}", remark.name, remark.text)), false);
            }
        }
        notes_of.extend(row.remarks.iter().map(|remark| remark.text.clone()));
    }
    let lead = Text::line("Advice");
    family.advice.iter().for_each(|advice| say(&lead, advice.clone(), true));
    notes
}

/// What all parts cost, where each of them has its price.
fn total(parts: &[&PartView]) -> Option<String> {
    let mut cents: i128 = 0;
    let mut decimals = 0;
    for part in parts {
        let price = Decimal::parse(part.price.as_ref()?.as_str()).ok()?;
        decimals = decimals.max(price.decimals());
    }
    for part in parts {
        let price = Decimal::parse(part.price.as_ref()?.as_str()).ok()?;
        let power = i32::try_from(decimals).ok()?.checked_add(price.exponent())?;
        let factor = 10_i128.checked_pow(u32::try_from(power).ok()?)?;
        let one = price.coefficient().checked_mul(factor)?;
        cents = cents.checked_add(one.checked_mul(i128::from(part.quantity))?)?;
    }
    let exponent = i32::try_from(decimals).ok()?.checked_neg()?;
    (!parts.is_empty()).then(|| Decimal::new(cents, exponent).to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(quantity: u32, price: Option<&str>) -> PartView {
        PartView {
            name: Text::line("stator"),
            number: None,
            quantity,
            price: price.map(Text::line),
        }
    }

    #[test]
    fn every_template_is_sound() {
        for name in ["job.html", "marks.html", "job.css", "faults.html", "faults.css"] {
            assert!(TEMPLATES.get_template(name).is_ok(), "{name}");
        }
    }

    #[test]
    fn no_template_lets_anything_by_unescaped() {
        for text in [
            include_str!("../../templates/job.html"),
            include_str!("../../templates/marks.html"),
            include_str!("../../templates/faults.html"),
        ] {
            for word in
                ["|safe", "| safe", "autoescape", "{% raw", "<script", "http:", "https:", " style="]
            {
                assert!(!text.contains(word), "{word}");
            }
        }
    }

    #[test]
    fn prices_are_added_to_the_last_figure() {
        let total_of = |parts: &[PartView]| total(&parts.iter().collect::<Vec<_>>());
        assert_eq!(total_of(&[part(1, Some("165"))]).as_deref(), Some("165"));
        assert_eq!(
            total_of(&[part(3, Some("0.10")), part(1, Some("165"))]).as_deref(),
            Some("165.30")
        );
        assert_eq!(total_of(&[part(1, Some("165")), part(1, None)]), None);
        assert_eq!(total_of(&[]), None);
        assert_eq!(total_of(&[part(u32::MAX, Some("9999999999999999999999999999999999"))]), None);
    }
}
