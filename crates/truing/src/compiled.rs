//! A checked spec, ready to be asked.

use std::path::Path;
use std::sync::{Arc, OnceLock};

use truing_compile::{Library, check};
use truing_engine::suspects::UnsoundFaults;
use truing_engine::{
    Detail, Findings, NotSimulated, Plan, Sheet, Simulated, SimulationFinding, SimulationOptions,
    SuspectPlan, simulate,
};
use truing_model::{CheckId, Spec};
use truing_syntax::{Diagnostic, Sources};

use crate::edition::hash_of;
use crate::error::{Error, Refused};
use crate::library::Libraries;
use crate::sheet_builder::SheetBuilder;
use crate::text::read_text;
use crate::walk::normal;

/// A checked spec with its plan. Cloning is cheap; it may be used from many threads at a time.
#[derive(Clone, Debug)]
pub struct Compiled(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    spec: Arc<Spec>,
    plan: Plan,
    /// Made when first asked for: most sheets are judged without.
    suspects: OnceLock<Result<Option<SuspectPlan>, UnsoundFaults>>,
    /// All that was read, libraries first.
    texts: Vec<Arc<str>>,
    /// Worked out when first asked for.
    hash: OnceLock<String>,
    sources: Arc<Sources>,
    warnings: Vec<Diagnostic>,
}

impl Compiled {
    /// Reads and checks a file; what it uses is looked for on the disk and in the library that is
    /// compiled in.
    ///
    /// # Errors
    /// Where the file cannot be read, is a library, or has errors in it ([`Error::Refused`]).
    pub fn from_path(path: impl AsRef<Path>) -> Result<Self, Error> {
        Self::from_path_with(path, &Libraries::new())
    }

    /// As [`Compiled::from_path`], with libraries from where the caller says.
    ///
    /// # Errors
    /// As [`Compiled::from_path`].
    pub fn from_path_with(path: impl AsRef<Path>, libraries: &Libraries) -> Result<Self, Error> {
        let path = normal(path.as_ref());
        let text = read_text(&path)?;
        Self::compile(&path.display().to_string(), &text, libraries)
    }

    /// Checks a text. `name` stands in its findings. Nothing is read from the disk: it can use the
    /// library that is compiled in, and nothing else.
    ///
    /// # Errors
    /// Where the text is a library, or has errors in it ([`Error::Refused`]).
    pub fn from_text(name: &str, text: &str) -> Result<Self, Error> {
        Self::compile(name, text, &Libraries::built_in())
    }

    /// Checks a text, with libraries from where the caller says. A file's path as its `name` lets it
    /// use what stands beside that file.
    ///
    /// # Errors
    /// As [`Compiled::from_text`].
    pub fn from_text_with(name: &str, text: &str, libraries: &dyn Library) -> Result<Self, Error> {
        Self::compile(name, text, libraries)
    }

    fn compile(name: &str, text: &str, libraries: &dyn Library) -> Result<Self, Error> {
        let mut sources = Sources::new();
        let file = sources.add(name, text);
        let checked = check(&mut sources, file, libraries);
        let sources = Arc::new(sources);
        match checked.spec {
            Some(spec) => Ok(Self::of_spec(spec, sources, checked.texts, checked.findings)),
            None if checked.library && !checked.has_errors() => {
                Err(Error::Library { name: name.to_owned() })
            }
            None => Err(Error::Refused(Refused {
                name: name.to_owned(),
                sources,
                findings: checked.findings,
            })),
        }
    }

    pub(crate) fn of_spec(
        spec: Spec,
        sources: Arc<Sources>,
        texts: Vec<Arc<str>>,
        warnings: Vec<Diagnostic>,
    ) -> Self {
        let plan = Plan::new(&spec);
        let (suspects, hash) = (OnceLock::new(), OnceLock::new());
        let spec = Arc::new(spec);
        Self(Arc::new(Inner { spec, plan, suspects, texts, hash, sources, warnings }))
    }

    /// The spec without what was learned of it. Nothing else depends on that, so it stays sound.
    pub(crate) fn as_its_author_wrote_it(&self) -> Self {
        if self.0.spec.learned.is_none() {
            return self.clone();
        }
        let mut parts = Spec::clone(&self.0.spec).into_parts();
        parts.learned = None;
        match Spec::seal(parts) {
            Ok(spec) => {
                let (sources, texts) = (Arc::clone(&self.0.sources), self.0.texts.clone());
                Self::of_spec(spec, sources, texts, self.0.warnings.clone())
            }
            Err(_) => self.clone(),
        }
    }

    pub(crate) fn kept_hash(&self) -> &str {
        self.0.hash.get_or_init(|| hash_of(&self.0.texts))
    }

    pub(crate) fn kept_suspect_plan(&self) -> &Result<Option<SuspectPlan>, UnsoundFaults> {
        self.0.suspects.get_or_init(|| SuspectPlan::new(&self.0.spec))
    }

    /// The spec as data.
    #[must_use]
    pub fn spec(&self) -> &Spec {
        &self.0.spec
    }

    /// The spec as data, to be kept.
    #[must_use]
    pub fn shared_spec(&self) -> Arc<Spec> {
        Arc::clone(&self.0.spec)
    }

    /// What was found in the text that is probably not what was meant.
    #[must_use]
    pub fn warnings(&self) -> &[Diagnostic] {
        &self.0.warnings
    }

    /// The texts that [`Compiled::warnings`] point into.
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.0.sources
    }

    /// What a check says of a machine in order, for people.
    #[must_use]
    pub fn title_of(&self, check: CheckId) -> &str {
        self.spec().check(check).map_or("", |check| check.title.as_str())
    }

    /// An empty sheet to put readings on.
    #[must_use]
    pub fn sheet(&self) -> SheetBuilder {
        SheetBuilder::new(self.clone())
    }

    /// The plan, for a program that judges many sheets by an [`truing_engine::Evaluator`] of its own.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.0.plan
    }

    /// What comes of a sheet of this spec.
    #[must_use]
    pub fn assess(&self, sheet: &Sheet) -> Findings {
        self.assess_with(sheet, Detail::Reasons)
    }

    /// What comes of a sheet of this spec, with as much of the reasons as asked for.
    #[must_use]
    pub fn assess_with(&self, sheet: &Sheet, detail: Detail) -> Findings {
        self.0.plan.evaluator().findings_with(&self.0.spec, sheet, detail)
    }

    /// A quantity of a sheet of this spec by random trials of the errors of its readings
    /// (JCGM 101:2008), and whether linear propagation agrees.
    ///
    /// # Errors
    /// Where a reading that it is worked out from is no single figure, where nothing is uncertain,
    /// or where the options make no sense.
    pub fn simulate(
        &self,
        sheet: &Sheet,
        what: Simulated,
        options: &SimulationOptions,
    ) -> Result<SimulationFinding, NotSimulated> {
        simulate(&self.0.plan, sheet, what, options)
    }
}

/// A spec embedded in the program: the text is taken in when the program is compiled, and checked at
/// first use. The path goes from the file that the macro stands in, as of `include_str!`; the spec can
/// use the library that is compiled in.
///
/// Gives `Result<&'static Compiled, &'static Error>`.
///
/// ```
/// let spec = truing::include_spec!("../../../specs/demo/lowmoor-420-orchard.truing")?;
/// assert_eq!(spec.spec().name, "lowmoor_420_orchard");
/// # Ok::<(), &truing::Error>(())
/// ```
#[macro_export]
macro_rules! include_spec {
    ($path:literal) => {{
        static SPEC: ::std::sync::LazyLock<::std::result::Result<$crate::Compiled, $crate::Error>> =
            ::std::sync::LazyLock::new(|| {
                $crate::Compiled::from_text($path, ::std::include_str!($path))
            });
        SPEC.as_ref()
    }};
}
