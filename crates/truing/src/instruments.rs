//! The instruments that readings can be taken with: those of a spec, those that are built in, and
//! those of a file.

use std::path::Path;
use std::sync::{Arc, LazyLock};

use truing_compile::{Library, check};
use truing_engine::{Finding, Findings, MeterUse, Sheet, would_settle};
use truing_job::{JobSheet, Profiles, SheetError, bind_with};
use truing_model::{CheckId, Instrument, Outcome};
use truing_syntax::Sources;

use crate::compiled::Compiled;
use crate::error::{Error, Refused};
use crate::library::Libraries;
use crate::text::read_text;
use crate::walk::normal;

/// The folder of the libraries of instruments that are built in.
const METERS: &str = "meters/";

/// The instruments that are built in, by name.
#[must_use]
pub fn built_in_instruments() -> &'static [Arc<Instrument>] {
    static BUILT_IN: LazyLock<Vec<Arc<Instrument>>> = LazyLock::new(|| {
        let names = Libraries::built_in_names().filter(|name| name.starts_with(METERS));
        // A test says that each of them can be read.
        let mut all = brought_by("instruments", names, &Libraries::built_in()).unwrap_or_default();
        all.sort_by(|one, other| one.name.cmp(&other.name));
        all
    });
    &BUILT_IN
}

/// The instruments of a file, a spec or a library.
///
/// # Errors
/// Where the file cannot be read or has errors in it ([`Error::Refused`]).
pub fn instruments_from_path(
    path: impl AsRef<Path>,
    libraries: &Libraries,
) -> Result<Vec<Arc<Instrument>>, Error> {
    let path = normal(path.as_ref());
    let text = read_text(&path)?;
    match Compiled::from_text_with(&path.display().to_string(), &text, libraries) {
        Ok(spec) => Ok(spec.spec().instruments.iter().cloned().map(Arc::new).collect()),
        Err(Error::Library { .. }) => {
            let stem = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
            // By a spec beside it, under a name that no file has.
            let beside = path.with_file_name("instruments of a file");
            brought_by(&beside.display().to_string(), [stem], libraries)
        }
        Err(error) => Err(error),
    }
}

/// What libraries bring, in the order in which they stand: by a spec that uses them and says
/// nothing besides.
fn brought_by<'n>(
    beside: &str,
    names: impl IntoIterator<Item = &'n str>,
    libraries: &dyn Library,
) -> Result<Vec<Arc<Instrument>>, Error> {
    let uses: String = names.into_iter().map(|name| format!("use \"{name}\"\n")).collect();
    let text = format!("spec instruments \"Instruments\" {{ edition \"1\" }}\n{uses}");
    let mut sources = Sources::new();
    let file = sources.add(beside, text.as_str());
    let checked = check(&mut sources, file, libraries);
    match checked.spec {
        Some(spec) => Ok(spec.into_parts().instruments.into_iter().map(Arc::new).collect()),
        None => Err(Error::Refused(Refused {
            name: beside.to_owned(),
            sources: Arc::new(sources),
            findings: checked.findings,
        })),
    }
}

impl Compiled {
    /// The instruments that a sheet of this spec may name: the spec's own, then those that are
    /// built in.
    #[must_use]
    pub fn profiles(&self) -> Profiles {
        Profiles::of(self.spec()).and(built_in_instruments().iter().cloned())
    }

    /// For each check that is undecided, which of these instruments would have decided it, had
    /// they shown the same values. Those that were used are left out.
    #[must_use]
    pub fn would_settle(
        &self,
        sheet: &Sheet,
        findings: &Findings,
        at_hand: &[MeterUse],
    ) -> Vec<(CheckId, Vec<String>)> {
        let undecided = |finding: &&Finding| finding.outcome == Outcome::Undecided;
        let open = findings.findings.iter().filter(undecided);
        let settled = open.filter_map(|finding| {
            let used: Vec<&str> = finding
                .reason
                .used
                .iter()
                .filter_map(|slot| Some(sheet.meter(*slot)?.meter.as_str()))
                .collect();
            let places = would_settle(self.plan(), sheet, finding.check, at_hand);
            let names = places.into_iter().filter_map(|place| at_hand.get(place));
            let names = names.map(|meter| meter.meter.clone());
            let names: Vec<String> = names.filter(|name| !used.contains(&name.as_str())).collect();
            (!names.is_empty()).then_some((finding.check, names))
        });
        settled.collect()
    }

    /// The instruments at hand: those that a sheet describes, and those that the spec is meant to be
    /// decided with.
    #[must_use]
    pub fn at_hand(&self, sheet: Option<&JobSheet>) -> Vec<MeterUse> {
        let described = sheet.map(|sheet| sheet.instruments.as_slice()).unwrap_or_default();
        // The instruments that are built in are read once, and only where a sheet describes some.
        let profiles = if described.is_empty() { Profiles::default() } else { self.profiles() };
        let mut at_hand: Vec<MeterUse> = described
            .iter()
            .filter_map(|of| {
                let instrument = Arc::clone(profiles.find(&of.profile)?);
                Some(MeterUse { zeroed: true, ..MeterUse::new(of.name.as_str(), instrument) })
            })
            .collect();
        let meant = self.spec().meters.iter().filter_map(|id| self.spec().instrument(*id));
        for instrument in meant {
            if at_hand.iter().all(|other| other.instrument.name != instrument.name) {
                let meter = MeterUse::new(instrument.name.as_str(), Arc::new(instrument.clone()));
                at_hand.push(MeterUse { zeroed: true, ..meter });
            }
        }
        at_hand
    }

    /// Binds one round of a job sheet, by its place, to this spec.
    ///
    /// # Errors
    /// Every mistake of the sheet against this spec, in order of line.
    pub fn bind(&self, sheet: &JobSheet, round: usize) -> Result<Sheet, Vec<SheetError>> {
        if sheet.names_instruments() {
            return bind_with(sheet, round, self.spec(), &self.profiles());
        }
        truing_job::bind(sheet, round, self.spec())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_instruments_can_be_read() {
        let names: Vec<&str> =
            built_in_instruments().iter().map(|instrument| instrument.name.as_str()).collect();
        assert!(names.contains(&"handheld_6000"), "{names:?}");
        assert!(names.is_sorted_by(|one, other| one < other), "{names:?}");
    }
}
