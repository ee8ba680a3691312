//! Calls of the built command, in a directory of their own.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A spec without a fault. Its limits are invented.
pub const TRIKE: &str = "\
spec trike \"Orchard trike battery\" {
    edition \"2026-11\"
    machine \"Lowmoor\" \"420 orchard trike\" 2019 .. 2024
    decide simple
}

source sheet \"Lowmoor 420 service data, issue 3\"

limit rest_voltage : dc_voltage = min 12.4 V cite sheet \"6-2\"
limit insulation : resistance = min 1 Mohm cite sheet \"6-4\"

caution gas \"The battery gives off gas that burns: no flame near it.\"

state at_rest \"Engine off for 30 min\" {
    caution gas
}

reading battery_rest \"Battery voltage at rest\" : dc_voltage {
    during at_rest
    plausible 0 .. 18 V
}
reading to_ground \"Winding to ground\" : resistance
observation connector \"Connector\" : clean, corroded, burnt

check charged \"Battery is charged\" : battery_rest within rest_voltage
check insulated \"Winding is clear of ground\" : to_ground within insulation {
    when charged passes
}
check connector_sound \"Connector is sound\" : connector is clean

case all_good \"All in order\" {
    battery_rest = 12.40 V
    to_ground    = 1.0 Mohm
    connector    = clean
    expect charged within
    expect insulated within
    expect connector_sound within
}

case flat \"A flat battery stops the rest\" {
    battery_rest = 12.39 V
    to_ground    = 0.9 Mohm
    connector    = burnt
    expect charged outside low
    expect insulated blocked
    expect connector_sound outside
}

case grounded \"A winding on the core\" {
    battery_rest = 12.71 V
    to_ground    = 0.3 ohm
    expect insulated outside low
}
";

/// A directory with files in it, from which the command is called.
pub struct Shop {
    directory: TempDir,
}

/// What came of a call.
#[derive(Debug)]
pub struct Called {
    /// The exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Shop {
    pub fn empty() -> Self {
        Self { directory: tempfile::tempdir().unwrap() }
    }

    /// With the spec in `trike.truing`.
    pub fn with_trike() -> Self {
        let shop = Self::empty();
        shop.write("trike.truing", TRIKE);
        shop
    }

    pub fn path(&self) -> &Path {
        self.directory.path()
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, text).unwrap();
        path
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path().join(name)).unwrap()
    }

    /// The command with these arguments, not started yet, and without what the caller's own
    /// terminal would say of colour and width.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_truing"));
        command
            .current_dir(self.path())
            .args(arguments)
            .env_remove("NO_COLOR")
            .env_remove("COLUMNS");
        command
    }

    pub fn call(&self, arguments: &[&str]) -> Called {
        Called::of(self.command(arguments).stdin(Stdio::null()).output().unwrap())
    }

    pub fn call_with_input(&self, arguments: &[&str], input: impl AsRef<[u8]>) -> Called {
        let mut child = self
            .command(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(input.as_ref()).unwrap();
        Called::of(child.wait_with_output().unwrap())
    }
}

impl Called {
    fn of(output: Output) -> Self {
        let called = Self {
            status: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        };
        assert!(!called.err.contains("panicked"), "{called:?}");
        called
    }

    /// The exit status, with everything that was said where it is another one.
    #[track_caller]
    pub fn exits(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{self:#?}");
        self
    }

    /// Standard output as the document that its `format` names, which it must be by its schema.
    #[track_caller]
    pub fn document(&self, format: &str) -> Value {
        let json: Value =
            serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:#?}"));
        assert_eq!(json["format"], format, "{self:#?}");
        let schemas = concat!(env!("CARGO_MANIFEST_DIR"), "/../truing-report/schema");
        let schema = fs::read_to_string(format!("{schemas}/{format}.schema.json")).unwrap();
        let schema = jsonschema::validator_for(&serde_json::from_str(&schema).unwrap()).unwrap();
        let errors: Vec<String> =
            schema.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{errors:#?}\n{json:#}");
        json
    }
}
