//! The course of a job: cautions before the step, skipping, taking back, repairs, closing. Spec and
//! readings are invented.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

mod support;

use support::{Desk, TRIKE};
use truing::Compiled;
use truing::job::journal::Event;
use truing::job::{SheetFormat, read_sheet, write_toml};
use truing_work::{InMemory, NotKept, Record, Session, Sort};

#[test]
fn a_new_job_is_asked_for_what_it_needs_and_every_question_can_be_left_out() {
    let spec = Compiled::from_text("trike", TRIKE).unwrap();
    let mut desk = Desk::new(&spec);
    let told = desk.all(&[
        "T1",
        "switched",
        "dead in two hours",
        "runing",
        "running",
        "M-B = handheld_6000 calibrated 2026-02-10 zeroed",
        "",
    ]);
    assert!(told.contains("Did you mean `running`?"), "{told}");
    let sheet = desk.sheet();
    assert_eq!(sheet.technician.as_deref(), Some("T1"));
    assert_eq!(sheet.complaint.as_deref(), Some("dead in two hours"));
    assert_eq!(sheet.shows.as_deref(), Some("running"));
    assert_eq!(sheet.edition.as_deref(), Some("1"));
    assert!(sheet.spec_hash.is_some());
    let meter = sheet.instruments.first().unwrap();
    assert!(meter.zeroed && meter.calibrated.as_deref() == Some("2026-02-10"), "{meter:?}");
    let mut desk = Desk::new(&spec);
    desk.all(&["", "", "", "", ""]);
    assert!(desk.session.prompt().ends_with(": "));
    assert_eq!(desk.sheet().complaint, None);
}

#[test]
fn cautions_come_before_the_step_and_are_on_record_when_they_were_read() {
    let mut desk = Desk::trike();
    desk.say("battery_rest");
    let at = |sort: Sort| desk.said.iter().position(|said| said.sort == sort);
    assert!(at(Sort::Caution).is_some(), "{}", desk.text());
    assert!(!desk.text().contains("Red on"), "{}", desk.text());
    desk.say("12.7");
    assert!(desk.text().contains("The caution comes first"), "{}", desk.text());
    assert!(desk.sheet().rounds.is_empty());
    let told = desk.say("yes");
    assert!(told.contains("Red on positive post. Black on negative post."), "{told}");
    assert_eq!(desk.sheet().rounds.last().unwrap().cautions, ["gas"]);
    desk.say("12.7");
    assert_eq!(desk.reading("battery_rest"), Some("12.7 V"));
    // What was read once in a round is not asked for again; another one is.
    desk.say("drain 1 mA");
    assert!(!desk.text().contains("Caution"), "{}", desk.text());
    desk.say("voltage 14.2");
    assert!(desk.text().contains("Caution: Exhaust gas kills"), "{}", desk.text());
    assert_eq!(desk.reading("voltage"), None);
    desk.say("yes");
    assert_eq!(desk.reading("voltage"), Some("14.2 V"));
}

#[test]
fn a_step_that_is_skipped_is_on_record_and_not_proposed_again() {
    let mut desk = Desk::trike();
    let first = desk.said.iter().find(|said| said.sort == Sort::Title).unwrap().text.clone();
    desk.say("skip no access");
    let skipped = desk.sheet().rounds.last().unwrap().skipped.clone();
    assert_eq!(skipped.first().map(|it| it.why.as_str()), Some("no access"));
    let check = skipped.first().unwrap().check.clone();
    assert!(first.contains(&format!("({check})")), "{first}");
    let next = desk.text();
    assert!(next.contains("Next:") && !next.contains(&format!("({check}),")), "{next}");
    // Taken after all, it was not skipped.
    assert_eq!(check, "charged");
    desk.all(&["battery_rest 12.7", "yes"]);
    assert!(desk.sheet().rounds.last().unwrap().skipped.is_empty());
}

#[test]
fn a_check_is_skipped_by_its_name_and_the_air_is_on_record() {
    let mut desk = Desk::trike();
    desk.all(&[
        "skip insulated no meter at hand",
        "skip connector",
        "ambient 18",
        "ambient 64,4 degF",
    ]);
    let round = desk.sheet().rounds.last().unwrap();
    let skipped: Vec<(&str, &str)> =
        round.skipped.iter().map(|it| (it.check.as_str(), it.why.as_str())).collect();
    assert_eq!(skipped, [("insulated", "no meter at hand"), ("connector", "no reason given")]);
    assert_eq!(round.conditions.ambient.as_deref(), Some("64.4 degF"));
    assert!(desk.say("ambient warm").contains("degrees Celsius"), "{}", desk.text());
    assert!(desk.say("ambient -400").contains("Not recorded") || desk.text().contains("Recorded"));
}

#[test]
fn back_takes_back_the_last_entry_and_the_record_keeps_both() {
    let mut desk = Desk::trike();
    desk.all(&["connector corroded", "note green all over"]);
    assert!(desk.say("back").contains("Taken back: note green all over"), "{}", desk.text());
    assert!(desk.say("back").contains("Taken back: connector corroded"), "{}", desk.text());
    assert_eq!(desk.reading("connector"), None);
    // It is asked for again.
    desk.say("clean");
    assert_eq!(desk.reading("connector"), Some("clean"));
    desk.all(&["again", "corroded"]);
    assert_eq!(desk.reading("connector"), Some("corroded"));
}

#[test]
fn a_repair_has_its_cautions_its_parts_and_a_round_of_its_own() {
    let mut desk = Desk::trike();
    desk.all(&["battery_rest 11.6", "yes"]);
    let told = desk.say("fit renew_batery");
    assert!(told.contains("Did you mean renew_battery?"), "{told}");
    assert!(desk.say("fit gasket").contains("Renew the stator"), "{}", desk.text());
    desk.say("back");
    desk.say("fit renew_b");
    desk.all(&["yes", "BT-1", "zero", "2", "cheap", "64,50", ""]);
    let round = desk.sheet().rounds.last().unwrap();
    assert_eq!(
        (round.name.as_str(), round.fitted.fixes.as_slice()),
        ("as left", &["renew_battery".to_owned()][..])
    );
    let part = round.parts.first().unwrap();
    assert_eq!(
        (part.number.as_deref(), part.quantity, part.price.as_deref()),
        (Some("BT-1"), 2, Some("64.50"))
    );
    let told = desk.text();
    assert!(told.contains("Next: Battery is charged (charged)"), "{told}");
    // A new round asks for its cautions again.
    assert!(told.contains("Caution: The battery gives off gas"), "{told}");
    desk.all(&["yes", "12.9"]);
    assert!(desk.text().contains("The repair is proven"), "{}", desk.text());
    assert!(desk.say("done").contains("Closed."), "{}", desk.text());
    assert!(desk.session.is_over());
    assert_eq!(desk.sheet().closed.as_ref().unwrap().reason, None);
    assert!(!desk.sheet().judged.is_empty());
}

#[test]
fn taking_back_a_repair_takes_back_its_round() {
    let mut desk = Desk::trike();
    desk.all(&["connector corroded", "fit clean_connector", "after cleaning"]);
    assert_eq!(desk.sheet().rounds.len(), 2);
    desk.say("back");
    assert_eq!(desk.sheet().rounds.len(), 1);
    assert_eq!(desk.reading("connector"), Some("corroded"));
}

#[test]
fn done_lists_what_stands_in_the_way_and_closes_with_a_reason() {
    let mut desk = Desk::trike();
    desk.all(&["battery_rest 11.6", "yes", "bypass seat switch", "fit renew_battery", "no", ""]);
    let told = desk.say("done");
    assert!(told.contains("In the way of closing the job:"), "{told}");
    assert!(told.contains("seat switch"), "{told}");
    assert!(told.contains("was not taken again"), "{told}");
    desk.say("back");
    assert!(!desk.session.is_over());
    desk.all(&["removed", "done", "customer took it"]);
    assert!(desk.text().contains("not proven"), "{}", desk.text());
    assert_eq!(desk.sheet().closed.as_ref().unwrap().reason.as_deref(), Some("customer took it"));
}

#[test]
fn a_procedure_leads_with_its_caution_its_branches_and_its_advice() {
    let spec = Compiled::from_text("trike", TRIKE).unwrap();
    let session = |name: &str| {
        let record = Box::new(InMemory::default());
        Session::new(spec.clone(), record, Box::new(|| None), false).unwrap().follow(name)
    };
    assert!(session("flta").is_err_and(|why| why.contains("did you mean `flat`?")));
    let mut desk = Desk { session: session("flat").unwrap(), said: Vec::new() };
    desk.said = desk.session.start("T-1");
    let told = desk.all(&["", "", "", "", ""]);
    assert!(told.contains("Caution: The battery gives off gas"), "{told}");
    assert!(told.contains("Next: Connector is sound"), "{told}");
    let told = desk.all(&["yes", "clean", "yes", "12.7"]);
    assert!(told.contains("Advice: The battery is in order."), "{told}");
    assert!(told.contains("Next: System charges"), "{told}");
    let told = desk.say("skip \"no fuel\"");
    assert!(told.contains("The procedure ends here"), "{told}");
    assert_eq!(desk.reading("voltage"), Some("not taken \"'no fuel'\""));
}

#[test]
fn a_procedure_can_be_taken_up_and_left_in_the_middle() {
    let mut desk = Desk::trike();
    assert!(desk.say("follow").contains("flat: Goes flat."), "{}", desk.text());
    assert!(desk.say("follow falt").contains("did you mean `flat`?"), "{}", desk.text());
    assert!(desk.say("follow flat").contains("Next: Connector is sound"), "{}", desk.text());
    assert!(desk.all(&["yes", "why"]).contains("written procedure: Goes flat"), "{}", desk.text());
    assert!(desk.say("follow none").contains("Next: "), "{}", desk.text());
}

#[test]
fn a_reading_in_another_state_than_its_own_is_asked_back_and_then_not_judged() {
    let mut desk = Desk::trike();
    desk.say("state running");
    assert!(desk.text().contains("Caution: Exhaust gas kills"), "{}", desk.text());
    assert!(desk.say("battery_rest 12.7").contains("not judged"), "{}", desk.text());
    desk.all(&["yes", "yes"]);
    let entry = desk.sheet().rounds.last().unwrap().readings.last().unwrap().clone();
    assert_eq!(entry.state.as_deref(), Some("running"));
    assert!(desk.text().contains("blocked"), "{}", desk.text());
}

#[test]
fn remarks_and_photos_stand_beside_the_last_reading() {
    let mut desk = Desk::trike();
    desk.all(&[
        "connector corroded",
        "photo photos/connector.jpg green pins",
        "note one pin loose",
    ]);
    assert!(desk.say("photo ../../etc/passwd").contains("Not recorded"), "{}", desk.text());
    let round = desk.sheet().rounds.last().unwrap();
    let (photo, remark) = (round.photos.first().unwrap(), round.remarks.first().unwrap());
    assert_eq!(photo.of.as_deref(), Some("connector"));
    assert_eq!(photo.note.as_deref(), Some("green pins"));
    assert_eq!((remark.text.as_str(), remark.of.as_deref()), ("one pin loose", Some("connector")));
}

/// A record that refuses after so many entries, as a disk that is full.
struct Full(InMemory, usize);

impl Record for Full {
    fn append(&mut self, event: Event) -> Result<u64, NotKept> {
        if self.0.entries().len() >= self.1 {
            return Err(NotKept("the disk is full".to_owned()));
        }
        self.0.append(event)
    }
    fn entries(&self) -> &[truing::job::journal::Logged] {
        self.0.entries()
    }
    fn sheet(&self) -> &truing::job::JobSheet {
        self.0.sheet()
    }
    fn settle(&mut self) -> Result<(), NotKept> {
        Err(NotKept("the disk is full".to_owned()))
    }
}

#[test]
fn what_cannot_be_kept_is_not_acknowledged() {
    let spec = Compiled::from_text("trike", TRIKE).unwrap();
    for room in 0..12 {
        let record = Box::new(Full(InMemory::default(), room));
        let session = Session::new(spec.clone(), record, Box::new(|| None), false).unwrap();
        let mut desk = Desk { session, said: Vec::new() };
        desk.said = desk.session.start("T-1");
        let mut told = String::new();
        for line in [
            "T1",
            "bridge",
            "flat",
            "",
            "M = handheld_6000",
            "",
            "connector clean",
            "note x",
            "battery_rest 12.7",
            "yes",
            "fit clean_connector",
            "r",
            "quit",
        ] {
            let before = desk.sheet().clone();
            let said = desk.say(line);
            if said.contains("Not recorded: the disk is full") {
                let recorded = desk.said.iter().any(|it| it.sort == Sort::Recorded);
                assert!(!recorded || desk.sheet() != &before, "{said}");
            }
            told.push_str(&said);
        }
        assert!(told.contains("the disk is full"), "{room}: {told}");
        assert!(desk.session.is_over());
    }
}

#[test]
fn the_sheet_of_a_session_reads_back_and_the_job_goes_on_from_its_entries() {
    let spec = Compiled::from_text("trike", TRIKE).unwrap();
    let mut record = InMemory::default();
    record.append(Event::Opened(Default::default())).unwrap();
    for event in [
        Event::Complaint { text: "flat\u{1b}[2J \u{202e}today".to_owned() },
        Event::NextRound { name: "as found".to_owned(), time: None },
    ] {
        record.append(event).unwrap();
    }
    let session = Session::new(spec, Box::new(record), Box::new(|| None), false).unwrap();
    let mut desk = Desk { session, said: Vec::new() };
    desk.said = desk.session.start("T-1");
    assert!(desk.text().contains("opened again"), "{}", desk.text());
    assert!(!desk.text().contains('\u{1b}') && !desk.text().contains('\u{202e}'));
    desk.all(&["connector clean", "quit"]);
    let text = write_toml(desk.sheet());
    let read = read_sheet("job.toml", &text, SheetFormat::Toml).unwrap();
    assert_eq!(read.content(), desk.sheet().content());
}

#[test]
fn a_job_of_another_edition_is_refused_unless_it_is_asked_for() {
    let open = |text: &str, this_edition: bool| {
        let spec = Compiled::from_text("trike", text).unwrap();
        let mut record = InMemory::default();
        let header = truing::job::journal::Header {
            edition: Some("1".to_owned()),
            spec: Some("trike".to_owned()),
            ..Default::default()
        };
        record.append(Event::Opened(header)).unwrap();
        Session::new(spec, Box::new(record), Box::new(|| None), this_edition).map(|_| ())
    };
    let newer = TRIKE.replace("edition \"1\"", "edition \"2\"");
    assert!(open(TRIKE, false).is_ok());
    assert!(
        matches!(open(&newer, false), Err(truing_work::NotOpened::Edition(why)) if why.contains("edition 1"))
    );
    assert!(open(&newer, true).is_ok());
    let other = TRIKE.replace("spec trike", "spec other");
    assert!(matches!(open(&other, false), Err(truing_work::NotOpened::Sheet(_))));
}
