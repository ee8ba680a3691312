//! Following a written procedure of the spec.

use truing::engine::procedure::What;
use truing::job::nearest;

use super::Session;
use crate::guide::{by_procedure, walked};
use crate::said::Said;
use crate::tell::step;

impl Session {
    /// Follows a procedure of this name from here on.
    pub(super) fn take_up(&mut self, procedure: &str) -> Result<(), String> {
        let spec = self.bench.spec();
        if spec.procedure_named(procedure).is_none() {
            let names = || spec.procedures.iter().map(|it| it.name.as_str());
            let known = match nearest(procedure, names()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if spec.procedures.is_empty() => "it has none".to_owned(),
                None => format!("it has {}", names().collect::<Vec<_>>().join(", ")),
            };
            return Err(format!("the spec has no procedure `{procedure}`; {known}"));
        }
        self.procedure = Some(procedure.to_owned());
        self.passed.clear();
        Ok(())
    }

    /// `follow`, `follow goes_flat`, `follow none`
    pub(super) fn choose_procedure(&mut self, name: &str, said: &mut Vec<Said>) {
        if name.is_empty() {
            let procedures = self.bench.spec().procedures.iter();
            said.extend(procedures.map(|it| Said::text(format!("{}: {}.", it.name, it.title))));
            return;
        }
        if name == "none" {
            self.procedure = None;
        } else if let Err(why) = self.take_up(name) {
            said.push(Said::refused(crate::tell::sentence(&crate::tell::capital(&why))));
            return;
        }
        (self.task, self.current) = (None, None);
        (self.idle, self.free) = (false, false);
    }

    /// The next step of the written procedure, with what it says on the way there. False where none
    /// is followed, or it has ended and that was told.
    pub(super) fn propose_by_procedure(&mut self, said: &mut Vec<Said>) -> bool {
        let Some(name) = &self.procedure else { return false };
        let Some(procedure) = self.bench.spec().procedure_named(name).cloned() else {
            return false;
        };
        let walk = walked(&self.bench, &self.standing, &procedure);
        for passed in &walk.trail {
            if !self.passed.contains(&passed.step) {
                self.passed.insert(passed.step);
                said.extend(step::passed(&self.bench, &procedure, passed));
                if let What::Cautioned(ids) = &passed.what {
                    self.warned.extend(ids);
                }
            }
        }
        if let Some(task) = by_procedure(&self.bench, &self.standing, &walk) {
            said.extend(step::task(&self.bench, &task, None));
            self.task = Some(task);
            return true;
        }
        let text = if walk.ended() {
            "The procedure ends here. What follows is the measurement that tells most."
        } else {
            "The procedure cannot go on: no reading settles its next condition. What follows is the measurement that tells most."
        };
        said.push(Said::title(text));
        self.procedure = None;
        false
    }
}
