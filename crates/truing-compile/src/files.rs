//! The file that is checked and the libraries that it uses, each once, libraries before users.

use std::collections::BTreeSet;
use std::sync::Arc;

use truing_syntax::tree::{File, ItemKind, Name, UseDecl};
use truing_syntax::{Diagnostic, FileId, Severity, Span};

use crate::library::{Library, LoadError};
use crate::lint;
use crate::session::Session;

/// So many libraries may come together; more are a mistake or an attack.
const MAX_LIBRARIES: usize = 256;

/// A parsed file. Its spans carry `id`, whichever run it is part of.
#[derive(Debug)]
pub(crate) struct ParsedFile {
    pub id: FileId,
    pub name: Arc<str>,
    pub text: Arc<str>,
    pub tree: File,
    pub findings: Vec<Diagnostic>,
    /// Names of items that could not be read.
    pub unread: Vec<Name>,
    /// Items of which a part could not be read.
    pub torn: Vec<Span>,
}

impl ParsedFile {
    pub(crate) fn new(id: FileId, name: Arc<str>, text: Arc<str>) -> Self {
        let parsed = truing_syntax::parse(id, &text);
        let torn = parsed.tree.items.iter().map(|item| item.span).filter(|item| {
            parsed.findings.iter().any(|finding| {
                let at = finding.primary().span;
                finding.severity() == Severity::Error
                    && at.start >= item.start
                    && at.start <= item.end
            })
        });
        let torn = torn.collect();
        let (tree, findings, unread) = (parsed.tree, parsed.findings, parsed.unread);
        Self { id, name, text, tree, findings, unread, torn }
    }

    /// A file in which nothing is wrong, from its tree.
    pub(crate) fn sound(id: FileId, name: Arc<str>, text: Arc<str>, tree: File) -> Self {
        let (findings, unread, torn) = (Vec::new(), Vec::new(), Vec::new());
        Self { id, name, text, tree, findings, unread, torn }
    }

    /// Whether a `use` stands in the text that could not be read.
    fn lost_a_use(&self) -> bool {
        if self.findings.is_empty() {
            return false;
        }
        let written =
            self.text.lines().filter(|line| line.trim_start().starts_with("use ")).count();
        let read =
            self.tree.items.iter().filter(|item| matches!(item.kind, ItemKind::Use(_))).count();
        written > read
    }

    /// The words of the text that stand in no item that was read whole.
    pub(crate) fn stray_words(&self) -> Vec<&str> {
        let mut words = Vec::new();
        let mut from = 0;
        let whole =
            self.tree.items.iter().map(|item| item.span).filter(|span| !self.torn.contains(span));
        for span in
            whole.chain([Span::new(self.id, self.text.len() as u32, self.text.len() as u32)])
        {
            let gap = self.text.get(from as usize..span.start as usize).unwrap_or("");
            let code = gap.lines().map(|line| line.split_once('#').map_or(line, |(code, _)| code));
            let split = code
                .flat_map(|line| line.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_')));
            words.extend(split.filter(|word| !word.is_empty()));
            from = span.end.max(from);
        }
        words
    }

    pub(crate) fn slice(&self, span: Span) -> &str {
        self.text.get(span.start as usize..span.end as usize).unwrap_or("")
    }
}

/// One file with what it uses.
#[derive(Debug)]
pub(crate) struct Member {
    pub parsed: Arc<ParsedFile>,
    /// Every file that it uses, directly or not, by place.
    pub uses: BTreeSet<usize>,
    /// The `use` that brought it in, in the main file; of a library's library, the one on the way.
    pub brought_by: Option<Span>,
}

/// All files of one check; the main one is the last.
#[derive(Debug, Default)]
pub(crate) struct Files {
    pub members: Vec<Member>,
    /// A library could not be had, so names may be missing.
    pub incomplete: bool,
}

impl Files {
    /// The file with this id.
    pub(crate) fn of(&self, id: FileId) -> Option<&Member> {
        self.members.iter().find(|member| member.parsed.id == id)
    }

    /// The text of a span.
    pub(crate) fn slice(&self, span: Span) -> &str {
        self.of(span.file).map_or("", |member| member.parsed.slice(span))
    }

    /// The text of a span on one line, runs of blanks made one.
    pub(crate) fn printed(&self, span: Span) -> String {
        let mut out = String::new();
        for word in self.slice(span).split_whitespace() {
            if !out.is_empty() {
                out.push(' ');
            }
            out.push_str(word);
        }
        out
    }

    /// The place of the main file.
    pub(crate) fn main_index(&self) -> usize {
        self.members.len().saturating_sub(1)
    }

    pub(crate) fn main(&self) -> Option<&Member> {
        self.members.last()
    }
}

/// Follows every `use`, depth first.
pub(crate) struct Gather<'s> {
    session: &'s Session,
    library: &'s dyn Library,
    files: Files,
    stack: Vec<Arc<str>>,
    pub(crate) findings: Vec<Diagnostic>,
}

impl<'s> Gather<'s> {
    pub(crate) fn new(session: &'s Session, library: &'s dyn Library) -> Self {
        let (files, stack, findings) = (Files::default(), Vec::new(), Vec::new());
        Self { session, library, files, stack, findings }
    }

    /// Gathers `main` and all that it uses.
    pub(crate) fn run(mut self, main: Arc<ParsedFile>) -> (Files, Vec<Diagnostic>) {
        self.visit(main, None);
        (self.files, self.findings)
    }

    fn visit(&mut self, file: Arc<ParsedFile>, brought_by: Option<Span>) -> usize {
        self.files.incomplete |= file.lost_a_use();
        self.stack.push(file.name.clone());
        let mut uses = BTreeSet::new();
        for item in &file.tree.items {
            if let ItemKind::Use(decl) = &item.kind {
                let by = brought_by.unwrap_or(decl.path.span);
                if let Some(index) = self.follow(&file, decl, by) {
                    uses.insert(index);
                    if let Some(member) = self.files.members.get(index) {
                        uses.extend(member.uses.iter().copied());
                    }
                }
            }
        }
        self.stack.pop();
        self.files.members.push(Member { parsed: file, uses, brought_by });
        self.files.members.len() - 1
    }

    fn follow(&mut self, from: &ParsedFile, decl: &UseDecl, by: Span) -> Option<usize> {
        let loaded = self.library.load(&from.name, &decl.path.node);
        self.files.incomplete |= loaded.is_err();
        let loaded = match loaded {
            Ok(loaded) => loaded,
            Err(LoadError::NotFound { nearest }) => {
                self.findings
                    .push(lint::library_not_found::finding(&decl.path, nearest.as_deref()));
                return None;
            }
            Err(LoadError::Unreadable { why }) => {
                self.findings.push(lint::library_not_found::unreadable(&decl.path, &why));
                return None;
            }
        };
        if let Some(start) = self.stack.iter().position(|name| *name == loaded.name) {
            let mut way: Vec<&str> = self.stack.iter().skip(start).map(|name| &**name).collect();
            way.push(&loaded.name);
            self.findings.push(lint::import_cycle::finding(by, decl.path.span, &way));
            return None;
        }
        let known = self.files.members.iter().position(|member| member.parsed.name == loaded.name);
        if known.is_some() {
            return known;
        }
        if self.files.members.len() + self.stack.len() >= MAX_LIBRARIES {
            let why = format!("more than {MAX_LIBRARIES} libraries come together");
            self.findings.push(lint::library_not_found::unreadable(&decl.path, &why));
            return None;
        }
        let parsed = self.session.parsed(loaded, self.library);
        Some(self.visit(parsed, Some(by)))
    }
}
