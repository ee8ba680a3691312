//! A session to talk to in tests, on the invented trike or on a demo machine.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::path::{Path, PathBuf};

use truing::Compiled;
use truing::job::JobSheet;
use truing_work::{InMemory, Said, Session, Sort};

/// An invented spec with every sort of place: a caution, a family, words, a current in two units,
/// ohms in all sizes, a fault with its fix. Its limits are invented.
pub const TRIKE: &str = r#"
spec trike "Orchard trike (invented)" { edition "1"  decide simple }
source sheet "Trike data"
family phase = U, V, W
property rectifier "Rectifier" : bridge, switched
caution gas "The battery gives off gas that burns: no flame near it."
caution exhaust "Exhaust gas kills. Run the engine outdoors."
state as_received "Key off, as it came in"
state at_rest "Key off for an hour" { from as_received  takes 60 min  caution gas }
state running "Engine running" { from at_rest  takes 5 min  caution exhaust }
reading battery_rest "Battery at rest" : dc_voltage {
    during at_rest  red on "positive post"  black on "negative post"  takes 3 min  plausible 0 .. 18 V
}
reading voltage "Charge voltage" : dc_voltage { during running  takes 2 min  plausible 5 .. 20 V }
reading drop "Drop" : dc_voltage { during running  takes 2 min  plausible -0.1 .. 5 V }
reading output "Alternator output" : ac_voltage { during running  takes 2 min }
reading drain "Drain" : dc_current { during at_rest  takes 5 min  plausible 0 .. 10 A }
reading charge "Charge current" : dc_current { during running  takes 2 min  plausible -60 .. 60 A }
reading starting "Starter current" : dc_current { during running  takes 2 min  plausible 0 .. 600 A }
reading to_ground[phase] "Winding {phase} to ground" : resistance { takes 1 min }
reading speed "Engine speed" : rotational_speed { during running  plausible 300 .. 9000 rpm }
observation connector "Connector" : clean, corroded, badly_burnt { takes 1 min }
limit rest : dc_voltage = min 12.4 V cite sheet "1"
limit charging : dc_voltage = 13.2 .. 14.8 V cite sheet "1"
limit drop_limit : dc_voltage = max 0.20 V cite sheet "1"
limit insulation : resistance = min 1 Mohm cite sheet "1"
limit drain_limit : dc_current = max 3 mA cite sheet "1"
limit output_limit : ac_voltage = min 60 V cite sheet "1"
check charged "Battery is charged" : battery_rest within rest { advise "Charge the battery." }
check charges "System charges" : voltage within charging
check drops_little "Drop is small" : drop within drop_limit
check makes_voltage "Alternator makes its voltage" : output within output_limit
check gains "Battery gains" : charge > 0 A
check no_drain "Nothing drains" : drain within drain_limit
check insulated[phase] "Winding {phase} is clear of ground" : to_ground[phase] within insulation
check connector_sound "Connector is sound" : connector is clean
fix renew_battery "Renew the battery" { part "battery"  takes 20 min  proves charged  caution gas }
fix renew_stator "Renew the stator" { part "stator"  part "gasket"  takes 90 min  proves insulated, charges }
fix clean_connector "Clean the connector" { takes 10 min  proves connector_sound }
fault worn "Battery worn" { odds 30 of 100  makes charged low 95 %  fix renew_battery }
fault grounded "Stator grounded" {
    odds 20 of 100  makes insulated low 95 %  makes charges low 90 %  fix renew_stator
}
fault dirty "Connector dirty" { odds 20 of 100  makes connector_sound fail 95 %  makes charges low 30 %  fix clean_connector }
procedure flat "Goes flat" {
    caution gas
    take connector_sound, charged
    if charged fails { suspect worn  stop }
    advise "The battery is in order."
    take charges
}
"#;

/// The root of the project.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A demo spec by the name of its file.
pub fn demo(name: &str) -> Compiled {
    let path = root().join(format!("specs/demo/{name}.truing"));
    Compiled::from_path(path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// A session with what it said.
pub struct Desk {
    pub session: Session,
    pub said: Vec<Said>,
}

impl Desk {
    /// On a job of the trike that is just begun, its questions asked.
    pub fn new(spec: &Compiled) -> Self {
        let clock = || Some("2026-11-03T09:10:00".to_owned());
        let record = Box::new(InMemory::default());
        let session = Session::new(spec.clone(), record, Box::new(clock), false);
        let mut desk = Self { session: session.unwrap(), said: Vec::new() };
        desk.said = desk.session.start("T-1");
        desk
    }

    /// On the trike, behind the questions of a new job.
    pub fn trike() -> Self {
        Self::trike_with("")
    }

    /// The same with a meter, `M-B = handheld_6000`.
    pub fn trike_with(meter: &str) -> Self {
        let spec = Compiled::from_text("trike", TRIKE).unwrap_or_else(|error| panic!("{error}"));
        let mut desk = Self::new(&spec);
        desk.all(&["T1", "bridge", "flat", ""]);
        if !meter.is_empty() {
            desk.say(meter);
        }
        desk.say("");
        desk
    }

    /// Says a line, and gives what was said to it.
    pub fn say(&mut self, line: &str) -> String {
        self.said = self.session.step(line);
        self.text()
    }

    /// Says several.
    pub fn all(&mut self, lines: &[&str]) -> String {
        lines.iter().map(|line| self.say(line)).collect::<Vec<_>>().join("\n")
    }

    /// What was said last.
    pub fn text(&self) -> String {
        self.said.iter().map(|said| said.text.as_str()).collect::<Vec<_>>().join("\n")
    }

    /// Whether something is asked back.
    pub fn asks_back(&self) -> bool {
        self.said.iter().any(|said| said.sort == Sort::Asked)
    }

    /// The sheet.
    pub fn sheet(&self) -> &JobSheet {
        self.session.sheet()
    }

    /// What stands on the sheet's last round under a name.
    pub fn reading(&self, path: &str) -> Option<&str> {
        let round = self.sheet().rounds.last()?;
        let entry = round.readings.iter().find(|entry| entry.path == path)?;
        Some(entry.value.as_str())
    }
}
