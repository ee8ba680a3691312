//! What is wrong, where, and what mends it: data, not text on a screen.

use std::borrow::Cow;

use serde::Serialize;

use crate::span::Span;

/// The stable name of a finding, `unit-mismatch`: what `truing explain` takes.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct Slug(pub &'static str);

/// How much a finding matters.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The text can be used, but is probably not what was meant.
    Warning,
    /// The text says nothing that can be used.
    Error,
}

/// A place with what is to be said of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What stands there, in plain words; may be empty.
    pub text: Cow<'static, str>,
}

/// A change of the text that mends the finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Mend {
    /// What it does, "write the unit behind the number".
    pub text: Cow<'static, str>,
    /// The stretches to replace and by what; in order, without overlap. Empty where only words help.
    pub edits: Vec<(Span, String)>,
}

/// One finding in a text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    slug: Slug,
    severity: Severity,
    message: String,
    primary: Label,
    labels: Vec<Label>,
    notes: Vec<String>,
    mend: Option<Mend>,
}

impl Diagnostic {
    /// An error at `span`.
    #[must_use]
    pub fn error(slug: Slug, span: Span, message: impl Into<String>) -> Self {
        Self::new(slug, Severity::Error, span, message.into())
    }

    /// A warning at `span`.
    #[must_use]
    pub fn warning(slug: Slug, span: Span, message: impl Into<String>) -> Self {
        Self::new(slug, Severity::Warning, span, message.into())
    }

    fn new(slug: Slug, severity: Severity, span: Span, message: String) -> Self {
        let primary = Label { span, text: Cow::Borrowed("") };
        Self { slug, severity, message, primary, labels: Vec::new(), notes: Vec::new(), mend: None }
    }

    /// Says what stands at the primary place.
    #[must_use]
    pub fn here(mut self, text: impl Into<Cow<'static, str>>) -> Self {
        self.primary.text = text.into();
        self
    }

    /// Adds a second place with what stands there.
    #[must_use]
    pub fn label(mut self, span: Span, text: impl Into<Cow<'static, str>>) -> Self {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// Adds a sentence below.
    #[must_use]
    pub fn note(mut self, text: impl Into<String>) -> Self {
        self.notes.push(text.into());
        self
    }

    /// Says what mends it, in words alone.
    #[must_use]
    pub fn mend(mut self, text: impl Into<Cow<'static, str>>) -> Self {
        self.mend = Some(Mend { text: text.into(), edits: Vec::new() });
        self
    }

    /// Says what mends it, with the change of the text.
    #[must_use]
    pub fn mend_by(
        mut self,
        text: impl Into<Cow<'static, str>>,
        edits: Vec<(Span, String)>,
    ) -> Self {
        self.mend = Some(Mend { text: text.into(), edits });
        self
    }

    /// Its stable name.
    #[must_use]
    pub fn slug(&self) -> Slug {
        self.slug
    }

    /// How much it matters.
    #[must_use]
    pub fn severity(&self) -> Severity {
        self.severity
    }

    /// What is wrong, in one line.
    #[must_use]
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The place that the finding is about.
    #[must_use]
    pub fn primary(&self) -> &Label {
        &self.primary
    }

    /// Other places that belong to it.
    #[must_use]
    pub fn labels(&self) -> &[Label] {
        &self.labels
    }

    /// Sentences below.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// What mends it.
    #[must_use]
    pub fn mending(&self) -> Option<&Mend> {
        self.mend.as_ref()
    }
}

/// What `explain` says of a sort of finding. Its examples are run by a test.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SlugDoc {
    /// The stable name.
    pub slug: Slug,
    /// How much it matters.
    pub severity: Severity,
    /// One line.
    pub title: &'static str,
    /// Why it is a mistake and what to do, in Markdown.
    pub explain: &'static str,
    /// A text in which it is found; empty where none can be printed.
    pub wrong: &'static str,
    /// The same put right: nothing is found in it.
    pub right: &'static str,
}
