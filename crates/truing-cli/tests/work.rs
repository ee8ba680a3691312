//! `truing work` as a program: from a pipe and a script, killed and gone on with, two at a time.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Stdio};

use call::{Called, Shop};

/// The answers to the questions of a new job of the trike: technician and model year, complaint,
/// state and meters.
const OPENING: &str = "T1\n2021\nflat\n\n\n";

#[test]
fn a_pipe_makes_a_transcript_with_its_answers_and_a_sheet_that_is_assessed() {
    let shop = Shop::with_trike();
    let input = format!("{OPENING}battery_rest 12,1\nyes\nconnector clean\nquit\n");
    let called = shop.call_with_input(&["work", "trike.truing", "T-1"], input).exits(0);
    for told in [
        "\nTechnician: T1\n",
        "Complaint, in the customer's words: flat\n",
        "Caution: The battery gives off gas",
        "Recorded: battery_rest 12.1 V.",
        "Battery is charged (charged): outside low;",
        "Recorded: connector clean.",
        "Stopped.",
    ] {
        assert!(called.out.contains(told), "{told}: {}", called.out);
    }
    assert_eq!(called.err, "");
    let assessed = shop.call(&["assess", "trike.truing", "T-1.toml"]).exits(1);
    assert!(assessed.out.contains("battery_rest 12.1 V"), "{}", assessed.out);
}

#[test]
fn a_job_goes_on_where_it_was_left_whether_it_was_left_by_quit_or_by_the_end_of_the_lines() {
    let shop = Shop::with_trike();
    shop.call_with_input(&["work", "trike.truing", "T-1"], format!("{OPENING}connector clean"))
        .exits(0);
    let called =
        shop.call_with_input(&["work", "trike.truing", "T-1.toml"], "list\nback\n").exits(0);
    assert!(called.out.contains("Job T-1, opened again."), "{}", called.out);
    assert!(called.out.contains("Taken in this round: connector clean."), "{}", called.out);
    assert!(called.out.contains("Taken back: connector clean"), "{}", called.out);
    let called = shop.call_with_input(&["work", "trike.truing", "T-1"], "list\n").exits(0);
    assert!(called.out.contains("Taken in this round: nothing yet."), "{}", called.out);
    let journal = shop.read("T-1.journal");
    assert!(journal.contains("\"clean\"") && journal.contains("\"undo\""), "{journal}");
}

#[test]
fn the_work_order_is_asked_for_where_the_call_names_no_job() {
    let shop = Shop::with_trike();
    shop.call_with_input(&["work", "trike.truing"], format!("../PL 7\n{OPENING}quit\n")).exits(0);
    assert!(shop.read("PL-7.toml").contains("job = \"../PL 7\""));
    let called = shop.call_with_input(&["work", "trike.truing"], "").exits(0);
    assert_eq!(called.out, "Work order: \n");
}

/// The command with its pipes, to be talked to line by line.
struct Talk {
    child: Child,
    input: ChildStdin,
    output: BufReader<std::process::ChildStdout>,
}

impl Talk {
    fn new(shop: &Shop, arguments: &[&str]) -> Self {
        let mut command = shop.command(arguments);
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (input, output) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        Self { child, input, output: BufReader::new(output) }
    }

    fn say(&mut self, text: &str) {
        self.input.write_all(text.as_bytes()).unwrap();
        self.input.flush().unwrap();
    }

    /// Reads until a line holds this.
    fn until(&mut self, text: &str) {
        let mut line = String::new();
        while !line.contains(text) {
            line.clear();
            assert!(self.output.read_line(&mut line).unwrap() > 0, "never told: {text}");
        }
    }

    fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

#[test]
fn what_was_acknowledged_is_there_when_the_process_is_killed() {
    let shop = Shop::with_trike();
    let mut talk = Talk::new(&shop, &["work", "trike.truing", "T-1"]);
    talk.say(&format!("{OPENING}connector corroded\n"));
    talk.until("Recorded: connector corroded.");
    talk.say("battery_rest 12.7\nyes\n");
    talk.until("Recorded: battery_rest 12.7 V.");
    talk.kill();
    assert!(!shop.path().join("T-1.toml").exists());
    let called = shop.call_with_input(&["work", "trike.truing", "T-1"], "list\nquit\n").exits(0);
    let taken = "Taken in this round: connector corroded; battery_rest 12.7 V.";
    assert!(called.out.contains(taken), "{}", called.out);
    // What a crash left half-written is set aside and told.
    let mut journal =
        fs::OpenOptions::new().append(true).open(shop.path().join("T-1.journal")).unwrap();
    journal.write_all(b"{\"n\":99,\"ha").unwrap();
    let called = shop.call_with_input(&["work", "trike.truing", "T-1"], "list\nquit\n").exits(0);
    assert!(called.out.contains("was not written whole"), "{}", called.out);
    assert!(called.out.contains(taken), "{}", called.out);
}

#[test]
fn a_second_process_on_the_job_is_refused() {
    let shop = Shop::with_trike();
    let mut talk = Talk::new(&shop, &["work", "trike.truing", "T-1"]);
    talk.say("T1\n\n");
    talk.until("Technician");
    talk.say("flat\n\n\nconnector clean\n");
    talk.until("Recorded: connector clean.");
    let second = shop.call_with_input(&["work", "trike.truing", "T-1"], "").exits(2);
    assert!(second.err.contains("has this job open"), "{}", second.err);
    talk.kill();
    // A lock does not outlive its process.
    shop.call_with_input(&["work", "trike.truing", "T-1"], "quit\n").exits(0);
}

#[test]
fn a_sheet_from_a_file_is_gone_on_with_and_one_changed_by_hand_is_set_aside() {
    let shop = Shop::with_trike();
    shop.write("T-1.toml", "job = \"T-1\"\n[readings]\nconnector = \"clean\"\n");
    let called = shop.call_with_input(&["work", "trike.truing", "T-1"], "list\nquit\n").exits(0);
    assert!(called.out.contains("Begun from the sheet T-1.toml."), "{}", called.out);
    assert!(called.out.contains("connector clean"), "{}", called.out);
    assert!(!called.out.contains("changed by hand"), "{}", called.out);
    let again = shop.call_with_input(&["work", "trike.truing", "T-1"], "quit\n").exits(0);
    assert!(!again.out.contains("changed by hand"), "{}", again.out);
    for nonsense in [shop.read("T-1.toml").replace("clean", "burnt"), "= = [nonsense\n".to_owned()]
    {
        shop.write("T-1.toml", &nonsense);
        let called =
            shop.call_with_input(&["work", "trike.truing", "T-1"], "list\nquit\n").exits(0);
        assert!(called.out.contains("T-1.toml was changed by hand."), "{}", called.out);
        assert!(called.out.contains("connector clean"), "{}", called.out);
        assert!(shop.read("T-1.toml").contains("connector = "), "{}", shop.read("T-1.toml"));
        let aside = fs::read_dir(shop.path()).unwrap().filter_map(Result::ok);
        let mut aside = aside.filter(|it| it.file_name().to_string_lossy().contains("by-hand"));
        assert!(aside.any(|it| fs::read_to_string(it.path()).unwrap() == nonsense));
    }
    // Nonsense without a journal is told as a sheet's mistakes are.
    shop.write("T-2.toml", "= = [nonsense\n");
    let called = shop.call_with_input(&["work", "trike.truing", "T-2"], "").exits(2);
    assert!(called.err.contains("T-2.toml"), "{}", called.err);
    assert!(!shop.path().join("T-2.journal").exists());
}

#[test]
fn a_folder_that_cannot_be_written_keeps_nothing_and_says_so() {
    let shop = Shop::with_trike();
    let called = shop
        .call_with_input(&["work", "trike.truing", "nowhere/T-1"], "T1\n\nT1\n\nquit\n")
        .exits(0);
    assert!(called.out.contains("Not recorded:"), "{}", called.out);
    assert!(!called.out.contains("Recorded:"), "{}", called.out);
}

#[test]
fn another_spec_procedure_or_script_that_is_not_there_is_an_error() {
    let shop = Shop::with_trike();
    shop.call_with_input(&["work", "trike.truing", "T-1"], format!("{OPENING}connector clean\n"))
        .exits(0);
    let other = call::TRIKE.replace("spec trike", "spec other");
    shop.write("other.truing", other);
    let called = shop.call_with_input(&["work", "other.truing", "T-1"], "").exits(2);
    assert!(called.err.contains("trike"), "{}", called.err);
    let newer = call::TRIKE.replace("edition \"2026-11\"", "edition \"2027-01\"");
    shop.write("newer.truing", newer);
    let called = shop.call_with_input(&["work", "newer.truing", "T-1"], "").exits(2);
    assert!(called.err.contains("edition 2026-11"), "{}", called.err);
    shop.call_with_input(&["work", "newer.truing", "T-1", "--this-edition"], "quit\n").exits(0);
    let called =
        shop.call_with_input(&["work", "trike.truing", "T-2", "--procedure", "flat"], "").exits(2);
    assert!(called.err.contains("no procedure `flat`"), "{}", called.err);
    let called = shop.call(&["work", "trike.truing", "T-2", "--script", "none.txt"]).exits(2);
    assert!(called.err.contains("none.txt"), "{}", called.err);
    assert!(!shop.path().join("T-2.journal").exists());
}

#[test]
fn escape_sequences_and_bytes_that_are_no_text_do_no_harm() {
    let shop = Shop::with_trike();
    let mut input = OPENING.as_bytes().to_vec();
    input.extend_from_slice(b"note \x1b]0;x\x07\x1b[2J \xff\xfe \xe2\x80\xae\nlist\n");
    input.extend_from_slice("x".repeat(10_000).as_bytes());
    input.extend_from_slice(b"\nquit\n");
    let called = shop.call_with_input(&["work", "trike.truing", "T-1"], input).exits(0);
    let harmful = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
    assert!(!called.out.contains(harmful), "{}", called.out);
}

#[test]
fn json_is_one_object_a_line_by_its_schema() {
    let shop = Shop::with_trike();
    let input = format!("{OPENING}connector clean\nquit\n");
    let called =
        shop.call_with_input(&["work", "trike.truing", "T-1", "--format", "json"], input).exits(0);
    let sorts: Vec<String> = called
        .out
        .lines()
        .map(|line| {
            let one = Called { status: 0, out: line.to_owned(), err: String::new() };
            one.document("truing-work")["sort"].as_str().unwrap().to_owned()
        })
        .collect();
    for sort in ["title", "prompt", "answer", "recorded", "outcome"] {
        assert!(sorts.iter().any(|it| it == sort), "{sort}: {sorts:?}");
    }
}

#[test]
fn the_transcript_of_a_demo_job_reads_well() {
    let shop = Shop::empty();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let spec = root.join("specs/demo/ostrevik-hauler-680.truing").display().to_string();
    let script = root.join("specs/demo/jobs/scripts/pl-0704.txt").display().to_string();
    let mut command = shop.command(&["work", &spec, "PL-0704", "--script", &script]);
    let mut child = command.env("COLUMNS", "90").stdout(Stdio::piped()).spawn().unwrap();
    let mut text = String::new();
    child.stdout.take().unwrap().read_to_string(&mut text).unwrap();
    assert!(child.wait().unwrap().success());
    insta::assert_snapshot!(text);
}
