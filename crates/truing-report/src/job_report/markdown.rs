//! The report as Markdown: for a work order system, a mail, a pull request.

use super::summary::listed_texts;
use super::text::Text;
use super::view::{Family, Group, JobView, Named, NotTested, Row, StageView};
use crate::comparison::capital;

/// A job's report as Markdown. Whatever comes of a sheet or a spec is escaped: it shows as text and
/// makes no heading, link, picture, table or HTML.
#[must_use]
pub fn job_markdown(view: &JobView) -> String {
    let mut page = Page::default();
    head(view, &mut page);
    in_short(view, &mut page);
    readings(view, &mut page);
    cautions_and_next(view, &mut page);
    view.suspects.iter().enumerate().for_each(|(n, stage)| suspects(n, stage, &mut page));
    not_tested(view, &mut page);
    record(view, &mut page);
    judged_by(view, &mut page);
    page.paragraph(&format!("*{}*", escaped(view.disclaimer)));
    page.text
}

#[derive(Default)]
struct Page {
    text: String,
}

impl Page {
    fn heading(&mut self, level: usize, text: &str) {
        self.paragraph(&format!("{} {text}", "#".repeat(level)));
    }

    fn paragraph(&mut self, text: &str) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        self.text.push_str(text);
        self.text.push('\n');
    }

    fn list(&mut self, items: impl IntoIterator<Item = String>) {
        let items: Vec<String> = items.into_iter().map(|item| format!("- {item}")).collect();
        if !items.is_empty() {
            self.paragraph(&items.join("\n"));
        }
    }

    /// Nothing where there is no row.
    fn table(&mut self, head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) {
        let rows: Vec<String> =
            rows.into_iter().map(|cells| format!("| {} |", cells.join(" | "))).collect();
        if !rows.is_empty() {
            let rule = vec!["---"; head.len()].join(" | ");
            self.paragraph(&format!("| {} |\n| {rule} |\n{}", head.join(" | "), rows.join("\n")));
        }
    }
}

/// Text on one line, with every character that Markdown could take for a mark escaped.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut began = false;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let c = if c.is_whitespace() { ' ' } else { c };
        let always = matches!(
            c,
            '\\' | '`'
                | '*'
                | '_'
                | '['
                | ']'
                | '<'
                | '>'
                | '#'
                | '|'
                | '~'
                | '&'
                | '!'
                | '$'
                | '{'
                | '}'
                | '^'
        );
        // Only where a line or a list could begin, or an address.
        let next = chars.peek().copied();
        let ends = next.is_none_or(|next| next == ' ' || next == c);
        let at_first = !began && (matches!(c, '=' | ':') || (matches!(c, '-' | '+') && ends));
        let ordinal = matches!(c, '.' | ')') && ends && out.chars().all(|c| c.is_ascii_digit());
        let address = (c == ':' && next == Some('/')) || c == '@' || www(&out, c);
        if always || at_first || (ordinal && began) || address {
            out.push('\\');
        }
        began |= c != ' ';
        out.push(c);
    }
    out
}

/// `www.` alone is made a link by some.
fn www(before: &str, c: char) -> bool {
    c == '.'
        && before
            .get(before.len().saturating_sub(3)..)
            .is_some_and(|w| w.eq_ignore_ascii_case("www"))
}

fn of(text: &Text) -> String {
    escaped(text.as_str())
}

fn or_dash(text: Option<&Text>) -> String {
    text.map_or("–".to_owned(), of)
}

/// Several lines as a quotation.
fn quotation(text: &Text) -> String {
    let lines =
        text.as_str().split('\n').map(|line| format!("> {}", escaped(line)).trim_end().to_owned());
    lines.collect::<Vec<_>>().join("\n")
}

fn head(view: &JobView, page: &mut Page) {
    let job = &view.job;
    let number = job.number.as_ref().map_or("without a number".to_owned(), of);
    page.heading(1, &format!("Job {number}"));
    let mut rows = Vec::new();
    let mut row = |name: &str, text: String| rows.push(vec![name.to_owned(), text]);
    if !view.machine.fits.is_empty() {
        row("Spec fits", view.machine.fits.iter().map(of).collect::<Vec<_>>().join("; "));
    }
    for (name, text) in [("Model", &view.machine.model), ("Year", &view.machine.year)] {
        if let Some(text) = text {
            row(name, of(text));
        }
    }
    for Named { name, text } in &view.machine.properties {
        row(&of(name), of(text));
    }
    for (name, text) in [("Date", &job.date), ("Measured by", &job.technician)] {
        if let Some(text) = text {
            row(name, of(text));
        }
    }
    page.table(&["Machine and job", ""], rows);
    page.heading(2, "Complaint");
    match &job.complaint {
        Some(complaint) => page.paragraph(&quotation(complaint)),
        None => page.paragraph("The sheet gives no complaint."),
    }
    match (&job.shows, &job.complaint) {
        (Some(shows), _) => {
            page.paragraph(&format!("It shows under this condition: {}.", of(shows)))
        }
        (None, Some(_)) => page.paragraph("The sheet does not say under which condition it shows."),
        (None, None) => {}
    }
    if let Some(note) = &job.note {
        page.paragraph("Note:");
        page.paragraph(&quotation(note));
    }
}

fn in_short(view: &JobView, page: &mut Page) {
    page.heading(2, "Found");
    page.list(view.found.iter().map(|found| {
        let sure =
            found.sure.as_ref().map_or(String::new(), |sure| format!(" ({} sure)", of(sure)));
        let mends = found
            .mends
            .as_ref()
            .map_or(String::new(), |mends| format!(" What mends it: {}", of(mends)));
        let two = found.two.as_ref().map_or(String::new(), |two| format!(" {}", of(two)));
        format!("{}: **{}**{sure}{mends}{two}", of(&found.when), of(&found.what))
    }));
    page.heading(2, "Done");
    if view.done.is_empty() {
        page.paragraph("Nothing was mended or renewed.");
    }
    page.list(view.done.iter().map(|done| {
        let what: Vec<String> = done.what.iter().map(of).collect();
        format!("Before {}: {}", of(&done.before), what.join("; "))
    }));
    let parts = view.done.iter().flat_map(|done| &done.parts);
    page.table(
        &["Part", "Number", "Quantity", "Price of one"],
        parts.map(|part| {
            let number = or_dash(part.number.as_ref());
            vec![of(&part.name), number, part.quantity.to_string(), or_dash(part.price.as_ref())]
        }),
    );
    page.heading(2, "Proof");
    page.paragraph(&format!("**{}**", escaped(view.closing.words)));
    page.list(view.closing.because.iter().chain(&view.closing.in_the_way).map(of));
    if let Some(closed) = &view.closing.closed {
        page.paragraph(&of(closed));
    }
}

fn readings(view: &JobView, page: &mut Page) {
    page.heading(2, "Readings");
    page.paragraph(&format!("{}.", escaped(&capital(view.spec.rule.as_str()))));
    for (group, title) in [
        (Group::Outside, "Outside the limit when found, or still"),
        (Group::NotSettled, "Not settled"),
        (Group::Worn, "Worn: inside the service limit only"),
        (Group::Within, "Within the limit"),
        (Group::Recorded, "Recorded, without a limit"),
    ] {
        let families: Vec<&Family> = view.readings.iter().filter(|f| f.group == group).collect();
        if families.is_empty() {
            continue;
        }
        page.heading(3, title);
        let rows =
            families.iter().flat_map(|family| family.rows.iter().map(|row| cells(family, row)));
        page.table(&["Check", "Round", "Reading", "Limit", "Outcome"], rows);
        let whys = families.iter().flat_map(|family| why(family));
        page.list(whys);
    }
}

fn cells(family: &Family, row: &Row) -> Vec<String> {
    let member = row.member.as_ref().map_or(String::new(), |member| format!(" {}", of(member)));
    let doubt = row.doubt.as_ref().map_or(String::new(), |doubt| format!(" {}", of(doubt)));
    let limit = row.limit.as_ref().or(family.limit.as_ref());
    let outcome = match row.outcome {
        "within" | "recorded" => row.outcome.to_owned(),
        outcome => format!("**{outcome}**"),
    };
    vec![
        format!("{}{member}", of(&family.check)),
        of(&row.when),
        format!("{}{doubt}", of(&row.judged)),
        or_dash(limit),
        outcome,
    ]
}

/// Why what is not within came out so, where its limit was printed, and what is advised.
fn why(family: &Family) -> Vec<String> {
    let mut told = Vec::new();
    let mut say = |text: String| {
        if !told.contains(&text) {
            told.push(text);
        }
    };
    let source =
        family.source.as_ref().map_or(String::new(), |source| format!(" ({})", of(source)));
    say(format!("{}: {}{source}", of(&family.check), of(&family.title)));
    for row in family.rows.iter().filter(|row| !matches!(row.outcome, "within" | "recorded")) {
        say(format!("{}, {}: {}", of(&row.check), of(&row.when), of(&row.why)));
    }
    for row in family.rows.iter().filter(|row| !row.settled_by.is_empty()) {
        let with = escaped(&listed_texts(&row.settled_by));
        say(format!("{}, {}: {with}, at hand, would decide it.", of(&row.check), of(&row.when)));
    }
    family.advice.iter().for_each(|advice| say(format!("{}: {}", of(&family.check), of(advice))));
    told
}

fn cautions_and_next(view: &JobView, page: &mut Page) {
    if !view.cautions.is_empty() {
        page.heading(2, "Before anybody repeats this");
        page.list(view.cautions.iter().map(|caution| {
            let acknowledged =
                if caution.acknowledged { " (acknowledged on the sheet)" } else { "" };
            format!("{}{acknowledged}", of(&caution.text))
        }));
    }
    if let Some(next) = &view.next {
        page.heading(2, "What comes next");
        page.list(next.cautions.iter().map(|caution| format!("**{}**", of(caution))));
        page.paragraph(&of(&next.text));
    }
}

fn suspects(place: usize, stage: &StageView, page: &mut Page) {
    if place == 0 {
        page.heading(2, "Suspects, and what cleared them");
    }
    page.heading(3, &of(&stage.heading));
    if let Some(proof) = &stage.proof {
        page.paragraph(&of(proof));
    }
    page.list(stage.told.iter().map(|told| format!("{}: {}", of(&told.name), of(&told.text))));
    if let Some(weighed) = &stage.weighed {
        page.paragraph(&format!(
            "{} ({}) against {} ({}):",
            of(&weighed.leader),
            of(&weighed.leader_chance),
            of(&weighed.rival),
            of(&weighed.rival_chance)
        ));
        let mut rows = Vec::new();
        let whole = |name: &str, weight: &Option<Text>| {
            vec![
                name.to_owned(),
                String::new(),
                String::new(),
                String::new(),
                or_dash(weight.as_ref()),
            ]
        };
        rows.push(whole("Before these readings", &weighed.before));
        rows.extend(weighed.contributions.iter().map(|of_check| {
            vec![
                of(&of_check.title),
                of(&of_check.came_out),
                of(&of_check.leader_shows),
                of(&of_check.rival_shows),
                format!("{}, {}", or_dash(of_check.decibans.as_ref()), of_check.strength),
            ]
        }));
        rows.push(whole("In all", &weighed.in_all));
        page.table(&["Check", "Came out", "The first shows that", "The second", "Weight"], rows);
    }
    page.table(
        &["Ruled down", "By what was in order", "The fault fails that"],
        stage
            .cleared
            .iter()
            .map(|cleared| vec![of(&cleared.fault), of(&cleared.title), of(&cleared.would_fail)]),
    );
}

fn not_tested(view: &JobView, page: &mut Page) {
    let rows = |of_these: &[NotTested]| {
        of_these.iter().map(|it| vec![of(&it.title), of(&it.why)]).collect::<Vec<_>>()
    };
    page.heading(2, "Not tested, and why");
    if view.not_tested.is_empty() {
        page.paragraph("Every check that is about this machine was taken.");
    }
    page.table(&["What", "Why"], rows(&view.not_tested));
    page.table(
        &["Left out of", "What, though taken in another round", "Why"],
        view.left_out.iter().map(|it| vec![of(&it.when), of(&it.what), of(&it.why)]),
    );
    page.table(&["Not about this machine, or without a limit", "Why"], rows(&view.not_applicable));
}

fn record(view: &JobView, page: &mut Page) {
    page.heading(2, "The record");
    page.list(view.bypasses.iter().map(|bypass| {
        let state = if bypass.removed { "taken off again" } else { "**still there**" };
        format!("Bridged for a test ({}): {}, {state}", of(&bypass.when), of(&bypass.what))
    }));
    page.list(view.remarks.iter().map(|remark| {
        let time = remark.time.as_ref().map_or(String::new(), |time| format!(", {}", of(time)));
        let about = remark.of.as_ref().map_or(String::new(), |about| format!(", {}", of(about)));
        format!("{}{time}{about}: {}", of(&remark.when), of(&remark.text))
    }));
    page.list(view.photos.iter().map(|photo| {
        let about = photo.of.as_ref().map_or(String::new(), |about| format!(", {}", of(about)));
        let note = photo.note.as_ref().map_or(String::new(), |note| format!(": {}", of(note)));
        format!("Photo {} ({}{about}){note}", of(&photo.path), of(&photo.when))
    }));
    for round in &view.rounds {
        page.heading(3, &format!("Round: {}", of(&round.name)));
        let time =
            round.time.as_ref().map_or(String::new(), |time| format!("Begun {}. ", of(time)));
        let air = round.ambient.as_ref().map_or(String::new(), |air| format!("Air {}. ", of(air)));
        page.paragraph(&format!("{time}{air}{}.", escaped(&capital(round.summary.as_str()))));
        let rows = round.read.iter().map(|read| {
            let noted: Vec<String> = read.time.iter().chain(&read.remarks).map(of).collect();
            let meter = read.meter.as_ref().map_or(String::new(), of);
            vec![of(&read.title), of(&read.text), meter, noted.join("; ")]
        });
        page.table(&["Read", "As written", "With", "Noted"], rows);
    }
    page.heading(3, "Instruments");
    if view.instruments.is_empty() {
        page.paragraph("The sheet names none: doubts are those of the digits alone.");
    }
    page.table(
        &["Instrument", "What it is", "Calibrated", "Readings"],
        view.instruments.iter().map(|instrument| {
            let zeroed = if instrument.zeroed { ", zeroed on its leads" } else { "" };
            let calibrated = instrument.calibrated.as_ref().map_or("not said".to_owned(), of);
            let what = format!("{}{zeroed}", of(&instrument.profile));
            vec![of(&instrument.name), what, calibrated, instrument.readings.to_string()]
        }),
    );
}

fn judged_by(view: &JobView, page: &mut Page) {
    let spec = &view.spec;
    page.heading(3, "Judged by");
    let edition = spec.edition.as_ref().map_or(String::new(), |e| format!(", edition {}", of(e)));
    let hash = spec.hash.as_ref().map_or(String::new(), |hash| format!(", {}", of(hash)));
    let mut items = vec![format!("Spec: {}, {}{edition}{hash}", of(&spec.title), of(&spec.name))];
    items.extend(spec.differs.as_ref().map(|differs| format!("**{}**", of(differs))));
    items.extend(spec.sources.iter().map(|source| {
        let places: Vec<String> = source.places.iter().chain(&source.corrections).map(of).collect();
        let places =
            if places.is_empty() { String::new() } else { format!(": {}", places.join(", ")) };
        format!("Source: {}{places}", of(&source.title))
    }));
    page.list(items);
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn marks_are_escaped_and_figures_are_not() {
        assert_eq!(escaped("-1.2 A"), "-1.2 A");
        assert_eq!(escaped("0.512 V"), "0.512 V");
        assert_eq!(escaped("- one"), "\\- one");
        assert_eq!(escaped("---"), "\\---");
        assert_eq!(escaped("13.6 .. 14.8 V"), "13.6 .. 14.8 V");
        assert_eq!(escaped("1. one"), "1\\. one");
        assert_eq!(
            escaped("a|b <i> [x](y) `c` *d* _e_"),
            "a\\|b \\<i\\> \\[x\\](y) \\`c\\` \\*d\\* \\_e\\_"
        );
        assert_eq!(escaped("http://x www.x a@b"), "http\\://x www\\.x a\\@b");
        assert_eq!(escaped("two\nlines"), "two lines");
    }
}
