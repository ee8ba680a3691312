//! The journal while its process is killed, its disk is full, its folder may not be written to, or
//! another process has it open. The writer is this test program itself, called with the path of a
//! journal in its environment.

#![cfg(unix)]
#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use truing_job::Entry;
use truing_job::journal::{Event, Header, Journal, JournalError, Recovered, read};

/// Where the writer finds which journal to write.
const JOURNAL: &str = "TRUING_TEST_JOURNAL";
/// How many entries the writer writes, at the most.
const MOST: &str = "TRUING_TEST_MOST";
/// A user who is not root, and may be anybody.
const NOBODY: u32 = 65_534;

fn reading(value: u64) -> Event {
    // Long enough that it spans more than one page of memory.
    let value = format!("{value} V{}", " ".repeat(5_000));
    let entry = Entry { path: "battery_rest".to_owned(), value, ..Entry::default() };
    Event::Reading { round: 0, entry }
}

/// Writes entry after entry and says the number of each that is acknowledged, until it is killed or
/// something fails.
fn write_entries(path: &Path, most: u64) -> Result<u64, JournalError> {
    let mut out = std::io::stdout();
    let mut say = |line: String| out.write_all(line.as_bytes()).and_then(|()| out.flush()).unwrap();
    let mut journal = if path.exists() {
        Journal::open(path)?.journal
    } else {
        Journal::create(path, Header::default())?
    };
    say(format!("opened {}\n", journal.entries().len()));
    let first =
        [Event::Opened(Header::default()), Event::NextRound { name: "a".into(), time: None }];
    let due = journal.entries().len().min(2);
    for event in first.into_iter().skip(due) {
        say(format!("kept {}\n", journal.append(event)?));
    }
    let mut kept = journal.entries().len() as u64;
    while kept < most {
        kept = journal.append(reading(kept + 1))?;
        say(format!("kept {kept}\n"));
    }
    Ok(kept)
}

/// As a test of its own it writes a few entries; called by another it writes what that one says.
#[test]
fn writer() {
    let most = std::env::var(MOST).map_or(5, |most| most.parse().unwrap());
    let Ok(path) = std::env::var(JOURNAL) else {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.journal");
        assert_eq!(write_entries(&path, most), Ok(most));
        assert_eq!(read(&path).unwrap().entries.len() as u64, most);
        return;
    };
    if let Err(error) = write_entries(Path::new(&path), most) {
        println!("failed {error}");
    }
}

/// The writer, not started yet; `program` is this test program or a copy of it.
fn call(program: &Path, journal: &Path, most: u64) -> Command {
    let mut command = Command::new(program);
    command
        .args(["--exact", "writer", "--nocapture", "--test-threads=1"])
        .env(JOURNAL, journal)
        .env(MOST, most.to_string())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    command
}

fn this_program() -> PathBuf {
    std::env::current_exe().unwrap()
}

/// What the writer said, word and rest of each line; what the test harness says is passed over.
fn said(line: &str) -> Option<(&str, &str)> {
    let line = line.trim_end();
    // The harness names a test before it runs it, on the same line.
    let line = line.rsplit_once("... ").map_or(line, |(_, said)| said);
    line.split_once(' ').filter(|(word, _)| ["opened", "kept", "failed"].contains(word))
}

fn all_said(out: &str, word: &str) -> Vec<String> {
    let lines = out.lines().filter_map(said).filter(|(first, _)| *first == word);
    lines.map(|(_, rest)| rest.to_owned()).collect()
}

/// Whatever was acknowledged is there with its value, and no more than one entry besides.
fn assert_kept(path: &Path, kept: u64) -> Recovered {
    let found = read(path).unwrap_or_else(|error| panic!("{error}"));
    let there = found.entries.len() as u64;
    assert!(there >= kept && there <= kept + 1, "{there} entries, {kept} acknowledged");
    for entry in &found.entries {
        if let Event::Reading { entry: reading, .. } = &entry.event {
            assert!(reading.value.starts_with(&format!("{} V", entry.sequence)));
        }
    }
    found
}

/// A generator of numbers that is the same in every run (xorshift, 64 bits).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % end
    }
}

/// Lets the writer acknowledge `entries`, and a moment more.
fn let_write(
    child: &mut Child,
    entries: u64,
    moment: Duration,
) -> (BufReader<ChildStdout>, String) {
    let mut from = BufReader::new(child.stdout.take().unwrap());
    let mut out = String::new();
    let mut seen = 0;
    while seen < entries && from.read_line(&mut out).unwrap() > 0 {
        let last = out.lines().last().and_then(said);
        seen += u64::from(last.is_some_and(|(word, _)| word == "kept"));
    }
    let start = Instant::now();
    while start.elapsed() < moment {
        std::hint::spin_loop();
    }
    (from, out)
}

#[test]
fn killed_a_thousand_times_at_one_write_after_the_other_it_loses_nothing() {
    const KILLS: u64 = 1_000;
    const KILLS_OF_ONE: u64 = 50;
    let memory = Path::new("/dev/shm");
    let dir = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    let dir = dir.unwrap();
    let program = this_program();
    let mut numbers = Numbers(0x2545_F491_4F6C_DD1D);
    let (mut kept, mut written) = (0, 0);
    for kill in 0..KILLS {
        let path = dir.path().join(format!("{}.journal", kill / KILLS_OF_ONE));
        if kill % KILLS_OF_ONE == 0 {
            kept = 0;
        }
        let mut child = call(&program, &path, u64::MAX).spawn().unwrap();
        let moment = Duration::from_micros(numbers.below(400));
        let (mut from, mut out) = let_write(&mut child, numbers.below(3), moment);
        child.kill().unwrap();
        assert!(!child.wait().unwrap().success());
        // What it said before it died counts as well.
        let mut rest = Vec::new();
        from.read_to_end(&mut rest).unwrap();
        out.push_str(&String::from_utf8_lossy(&rest));
        let failed = all_said(&out, "failed");
        assert!(failed.is_empty(), "{failed:?}");
        if let Some(found) = all_said(&out, "opened").first() {
            let found: u64 = found.parse().unwrap();
            assert!(found >= kept && found <= kept + 1, "opened with {found}, {kept} acknowledged");
            kept = found;
        }
        let last = all_said(&out, "kept").last().map_or(kept, |last| last.parse().unwrap());
        written += last - kept;
        kept = last;
        if path.exists() {
            assert_kept(&path, kept);
        } else {
            assert_eq!(kept, 0);
        }
    }
    assert!(written >= KILLS, "only {written} entries were written");
}

/// A copy of this program in a folder that every user may look into.
fn for_everybody(dir: &Path) -> PathBuf {
    fs::set_permissions(dir, fs::Permissions::from_mode(0o755)).unwrap();
    let program = dir.join("writer");
    fs::copy(this_program(), &program).unwrap();
    fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).unwrap();
    program
}

fn is_root() -> bool {
    let id = Command::new("id").arg("-u").output().unwrap();
    String::from_utf8(id.stdout).unwrap().trim() == "0"
}

/// The writer as a user for whom permissions hold.
fn as_a_user(mut command: Command) -> Command {
    if is_root() {
        command.uid(NOBODY);
    }
    command
}

#[test]
fn in_a_folder_that_may_not_be_written_to_it_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let program = for_everybody(dir.path());
    let folder = dir.path().join("jobs");
    fs::create_dir(&folder).unwrap();
    let path = folder.join("a.journal");
    assert_eq!(write_entries(&path, 4), Ok(4));
    fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o555)).unwrap();
    for (journal, done) in [(folder.join("new.journal"), "created"), (path.clone(), "opened")] {
        let out = as_a_user(call(&program, &journal, 9)).output().unwrap();
        let told = all_said(&String::from_utf8_lossy(&out.stdout), "failed");
        let expected = format!(
            "{}: the journal cannot be {done}: this user may not write there",
            journal.display()
        );
        assert_eq!(told, [expected]);
    }
    assert_kept(&path, 4);
    // Who may write the journal itself needs no right on its folder, unless an end was torn.
    fs::set_permissions(&path, fs::Permissions::from_mode(0o666)).unwrap();
    let out = as_a_user(call(&program, &path, 6)).output().unwrap();
    assert_eq!(all_said(&String::from_utf8_lossy(&out.stdout), "kept"), ["5", "6"]);
    let mut torn = fs::read(&path).unwrap();
    torn.extend_from_slice(b"{\"form\":1,");
    fs::write(&path, &torn).unwrap();
    let out = as_a_user(call(&program, &path, 9)).output().unwrap();
    let told = all_said(&String::from_utf8_lossy(&out.stdout), "failed");
    assert!(told.concat().contains("have its torn end set aside: this user may not"), "{told:?}");
    assert_eq!(fs::read(&path).unwrap(), torn);
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).unwrap();
}

/// What must hold of a writer whose disk was full.
fn assert_full(path: &Path, out: &[u8], why: &str) {
    let out = String::from_utf8_lossy(out);
    let told = all_said(&out, "failed");
    assert_eq!(told.len(), 1, "{out}");
    assert!(told.concat().contains("the journal cannot be written: "), "{told:?}");
    assert!(told.concat().ends_with(why), "{told:?}");
    let kept: Vec<u64> = all_said(&out, "kept").iter().map(|it| it.parse().unwrap()).collect();
    let last = *kept.last().unwrap();
    assert!(last > 2, "{out}");
    let found = assert_kept(path, last);
    // Half an entry was taken out again: nothing stands behind what was acknowledged.
    assert_eq!((found.entries.len() as u64, found.torn), (last, None));
}

/// What a writer says that may let its files grow to so many blocks of 512 or 1024 bytes. The signal
/// of that is for programs that do not look at what writing gives.
fn with_limit(path: &Path, blocks: u32) -> Vec<u8> {
    let writer = call(&this_program(), path, u64::MAX);
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    let mut limited = Command::new("sh");
    limited
        .args(["-c", &script])
        .arg(writer.get_program())
        .args(writer.get_args())
        .envs(writer.get_envs().filter_map(|(key, value)| Some((key, value?))))
        .stdin(Stdio::null())
        .stderr(Stdio::null());
    limited.output().unwrap().stdout
}

#[test]
fn on_a_file_that_may_not_grow_it_keeps_what_it_acknowledged_and_goes_on_later() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.journal");
    // EFBIG of Linux, macOS and the BSDs.
    assert_full(&path, &with_limit(&path, 40), "(os error 27)");
    let kept = read(&path).unwrap().entries.len() as u64;
    assert_eq!(write_entries(&path, kept + 3), Ok(kept + 3));
}

#[test]
fn on_a_full_disk_it_keeps_what_it_acknowledged() {
    let dir = tempfile::tempdir().unwrap();
    let disk = dir.path().join("disk");
    fs::create_dir(&disk).unwrap();
    let path = disk.join("a.journal");
    let copy = dir.path().join("copy.journal");
    let writer = call(&this_program(), &path, u64::MAX);
    // A disk of 64 kB that only the writer sees.
    let script = "mount -t tmpfs -o size=64k tmpfs \"$DISK\" || exit 77; \"$0\" \"$@\"; cp \
                  \"$DISK/a.journal\" \"$COPY\"";
    let mut mounted = None;
    for unshare in [&["-m"][..], &["-r", "-m"]] {
        let mut command = Command::new("unshare");
        command
            .args(unshare)
            .args(["sh", "-c", script])
            .arg(writer.get_program())
            .args(writer.get_args())
            .envs(writer.get_envs().filter_map(|(key, value)| Some((key, value?))))
            .env("DISK", &disk)
            .env("COPY", &copy)
            .stdin(Stdio::null())
            .stderr(Stdio::null());
        mounted = command.output().ok().filter(|_| copy.exists());
        if mounted.is_some() {
            break;
        }
    }
    match mounted {
        Some(out) => assert_full(&copy, &out.stdout, "the disk is full"),
        // Where nobody may mount a disk, files that may not grow stand for it.
        None => {
            let path = dir.path().join("a.journal");
            assert_full(&path, &with_limit(&path, 60), "(os error 27)");
        }
    }
}

#[test]
fn a_second_process_is_refused_and_told_which_is_first_until_that_is_gone() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.journal");
    let mut first = call(&this_program(), &path, u64::MAX).spawn().unwrap();
    let _from = let_write(&mut first, 3, Duration::ZERO);
    let error = Journal::open(&path).unwrap_err();
    assert_eq!(error, JournalError::InUse { path: path.clone(), process: Some(first.id()) });
    let words = format!(
        "{}: process {} has this job open; close it there first",
        path.display(),
        first.id()
    );
    assert_eq!(error.to_string(), words);
    let second = call(&this_program(), &path, u64::MAX).output().unwrap();
    assert_eq!(all_said(&String::from_utf8_lossy(&second.stdout), "failed"), [words]);
    // Who only looks is not kept out.
    assert!(read(&path).unwrap().entries.len() >= 3);
    first.kill().unwrap();
    first.wait().unwrap();
    let opened = Journal::open(&path).unwrap();
    let again = Journal::open(&path).unwrap_err();
    assert_eq!(
        again,
        JournalError::InUse { path: path.clone(), process: Some(std::process::id()) }
    );
    drop(opened);
    assert!(Journal::open(&path).is_ok());
}
