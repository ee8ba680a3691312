//! Meters and the state that the machine stands in.

use truing::job::journal::Event;
use truing::job::{Instrument, SheetError, find_state, nearest, slugs};

use truing::units::Kind;

use super::Session;
use super::ask::Ask;
use crate::said::Said;
use crate::scale::{Gauge, Scale};
use crate::typed::typed;

impl Session {
    /// `meter`, `meter M-B`, `meter M-B = handheld_6000 calibrated 2026-02-10 zeroed`
    pub(super) fn meter(&mut self, text: &str, said: &mut Vec<Said>) {
        let text = text.strip_prefix("meter ").unwrap_or(text).trim();
        if text.is_empty() || text == "meter" {
            return self.list_meters(said);
        }
        let (name, behind) = text.split_once('=').unwrap_or((text, ""));
        let (name, behind) = (name.trim(), behind.trim());
        if behind.is_empty() {
            return self.use_meter(name, said);
        }
        match described(name, behind) {
            Ok(meter) => self.describe_meter(meter, said),
            Err(why) => said.push(Said::refused(why)),
        }
    }

    fn describe_meter(&mut self, meter: Instrument, said: &mut Vec<Said>) {
        let (name, profile) = (meter.name.clone(), meter.profile.clone());
        if !self.would_fit(&Event::Meter(meter.clone()), said) {
            return;
        }
        if self.keep(Event::Meter(meter), said) {
            // While a job is opened the first meter named is the first that is tried.
            if !matches!(self.ask, Some(Ask::Intake(_))) && self.task.is_some() {
                self.prefer(&name);
            }
            let title = self.bench.profiles().find(&profile).map(|it| it.title.clone());
            let title = title.unwrap_or_default();
            said.push(Said::recorded(format!("Recorded: meter {name}, {title}.")));
        }
    }

    fn use_meter(&mut self, name: &str, said: &mut Vec<Said>) {
        if let Err(error) = self.known_meter(name) {
            said.push(Said::mistake("", &error));
            return;
        }
        self.prefer(name);
        said.push(Said::text(format!("In use from now on, for all that it measures: {name}.")));
        // The step is shown anew, with this meter.
        self.current = None;
    }

    fn prefer(&mut self, name: &str) {
        self.named.retain(|known| known != name);
        self.named.push(name.to_owned());
    }

    /// Whether a meter is at hand under this name, or is a profile's own.
    pub(super) fn known_meter(&self, name: &str) -> Result<(), SheetError> {
        let meters = self.record.sheet().instruments.iter().map(|it| it.name.as_str());
        let names: Vec<&str> = meters.chain(self.bench.profiles().names()).collect();
        if names.contains(&name) {
            return Ok(());
        }
        let message = format!("there is no meter `{name}`");
        let mend = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("describe it: meter {name} = PROFILE; meter alone lists the profiles"),
        };
        Err(SheetError::new(slugs::UNKNOWN_INSTRUMENT, message).mend(mend))
    }

    fn list_meters(&self, said: &mut Vec<Said>) {
        let meters = self.meters();
        for meter in meters.iter() {
            said.push(Said::text(format!("At hand: {}, {}.", meter.name, meter.instrument.title)));
        }
        let profiles = self.bench.profiles().iter();
        let told: Vec<String> = profiles.map(|it| format!("{} ({})", it.name, it.title)).collect();
        said.push(Said::text(format!("Profiles: {}.", told.join("; "))));
    }

    /// `ambient 18`, `ambient 64 degF`
    pub(super) fn ambient(&mut self, text: &str, said: &mut Vec<Said>) {
        let scale = Scale::Sure("degC".to_owned());
        let catalogue = self.bench.spec().catalogue();
        let gauge = Gauge { catalogue, kind: Kind::TEMPERATURE, scale, lone_one: false };
        let Some((number, unit)) = typed(text, &gauge, None).ok().and_then(|typed| typed.figure)
        else {
            said.push(Said::refused("How warm is the air, in degrees Celsius? ambient 18."));
            return;
        };
        let Some(round) = self.in_round(said) else { return };
        let ambient = format!("{number} {unit}");
        let rounds = &self.record.sheet().rounds;
        let meters = rounds.last().map_or_else(Vec::new, |it| it.conditions.meters.clone());
        let told = format!("Recorded: air {ambient}.");
        let event = Event::Conditions { round: Some(round), meters, ambient: Some(ambient) };
        if self.would_fit(&event, said) && self.keep(event, said) {
            said.push(Said::recorded(told));
        }
    }

    /// `state`, `state idling`
    pub(super) fn stands(&mut self, name: &str, said: &mut Vec<Said>) {
        if name.is_empty() {
            let stands = self.state.and_then(|id| self.bench.spec().state(id));
            if let Some(state) = stands {
                said.push(Said::text(format!(
                    "The machine stands so: {} ({}).",
                    state.title, state.name
                )));
            }
            said.extend(self.states());
            return;
        }
        match find_state(self.bench.spec(), name) {
            Ok(id) => {
                let spec = self.bench.spec();
                let title = spec.state(id).map_or("", |state| state.title.as_str());
                said.push(Said::text(format!("The machine stands so: {title}.")));
                let cautions = crate::way::cautions(spec, &[id], &[]);
                self.show_cautions(&cautions, said);
                (self.state, self.declared) = (Some(id), Some(id));
            }
            Err(error) => {
                said.push(Said::mistake("", &error));
            }
        }
    }

    /// Every state with its name.
    pub(super) fn states(&self) -> Vec<Said> {
        let states = self.bench.spec().states.iter();
        states.map(|state| Said::text(format!("{}: {}.", state.name, state.title))).collect()
    }
}

/// `handheld_6000 calibrated 2026-02-10 zeroed`
fn described(name: &str, text: &str) -> Result<Instrument, String> {
    let mut words = text.split_whitespace();
    let profile = words.next().unwrap_or_default().to_owned();
    let mut meter = Instrument { name: name.to_owned(), profile, ..Instrument::default() };
    while let Some(word) = words.next() {
        match (word, word.eq_ignore_ascii_case("calibrated").then(|| words.next())) {
            (_, Some(Some(day))) => meter.calibrated = Some(day.to_owned()),
            (_, Some(None)) => return Err("Say the day: calibrated 2026-02-10.".to_owned()),
            ("zeroed", None) => meter.zeroed = true,
            (other, None) => {
                return Err(format!(
                    "`{other}` says nothing of a meter. Write: {name} = PROFILE calibrated 2026-02-10 zeroed."
                ));
            }
        }
    }
    Ok(meter)
}
