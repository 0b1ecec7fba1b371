//! Notices on the terminal, with the line drawn.

use std::fmt;
use std::io::{self, ErrorKind, Write, stdout};
use std::sync::OnceLock;

use latchwork::design::Design;
use latchwork::notice::{Level, Notice};
use latchwork::plan::PiecePlan;
use latchwork::text::{isolated, seen, typed};
use latchwork::wording::{Language, piece};
use miette::{Diagnostic, LabeledSpan, NamedSource, Severity, SourceCode};

#[derive(Debug)]
struct Told {
    message: String,
    help: Option<String>,
    severity: Severity,
    label: Option<LabeledSpan>,
    source: NamedSource<String>,
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Told {}

impl Diagnostic for Told {
    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|h| Box::new(h) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.label.as_ref().map(|_| &self.source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        self.label.clone().map(|l| Box::new(std::iter::once(l)) as Box<dyn Iterator<Item = LabeledSpan>>)
    }
}

/// Why standard output was not written in full, in the system's words.
static UNWRITTEN: OnceLock<String> = OnceLock::new();

/// A reader that has gone away is no fault; a full disk is.
fn heeded(done: io::Result<()>) {
    if let Err(e) = done
        && e.kind() != ErrorKind::BrokenPipe
    {
        let _ = UNWRITTEN.set(e.to_string());
    }
}

/// A line to standard output.
pub(crate) fn say(line: &str) {
    print(&format!("{}\n", isolated(&seen(line))));
}

/// Text to standard output.
pub(crate) fn print(text: &str) {
    heeded(stdout().write_all(text.as_bytes()));
}

/// What the argument reader prints by itself: help, the version, or what is wrong with the arguments.
pub(crate) fn help(text: &clap::Error) {
    let printed = text.print();
    if !text.use_stderr() {
        heeded(printed);
    }
}

/// Why standard output is not complete, if it is not.
pub(crate) fn unwritten() -> Option<&'static str> {
    heeded(stdout().flush());
    UNWRITTEN.get().map(String::as_str)
}

/// A line to standard error; where that cannot be written, nothing can be reported.
pub(crate) fn tell_line(line: &str) {
    let _ = writeln!(io::stderr(), "{}", isolated(&seen(line)));
}

/// A name as one word of a command line, between quotation marks only where it needs them.
pub(crate) fn word(name: &str) -> String {
    let bare = |c: char| c.is_alphanumeric() || "-_./=+:,@%".contains(c);
    if !name.is_empty() && name.chars().all(bare) { name.to_string() } else { typed(name) }
}

/// Most notices drawn in one run.
const MOST: usize = 40;

/// Reports notices about a document.
pub(crate) fn tell(name: &str, text: &str, notices: &[Notice]) {
    let all: Vec<(&Notice, Option<String>)> = notices.iter().map(|n| (n, None)).collect();
    tell_with(name, text, &all);
}

/// As [`tell`], with what is added to the message.
pub(crate) fn tell_with(name: &str, text: &str, notices: &[(&Notice, Option<String>)]) {
    for (n, more) in notices.iter().take(MOST) {
        let said = n.told(language());
        let help = said.hints.join("\n");
        let span = n.span.filter(|s| s.start + s.len <= text.len() && s.len > 0);
        let label = span.map(|s| {
            let label = (!said.why.is_empty()).then(|| seen(&said.why).into_owned());
            LabeledSpan::new(label, s.start, s.len)
        });
        let help = match (&label, help.is_empty()) {
            (None, true) => said.why.clone(),
            (None, false) => format!("{} {help}", said.why),
            (Some(_), _) => help,
        };
        let told = Told {
            message: match more {
                Some(more) => format!("{} [{}]", seen(&said.message), seen(more)),
                None => seen(&said.message).into_owned(),
            },
            help: (!help.trim().is_empty()).then(|| seen(help.trim()).into_owned()),
            severity: match n.level {
                Level::Error => Severity::Error,
                Level::Warning => Severity::Warning,
                Level::Note => Severity::Advice,
            },
            label,
            source: NamedSource::new(seen(name), seen(text).into_owned()),
        };
        // What miette writes has colours of its own.
        let _ = writeln!(io::stderr(), "{}", isolated(&format!("{:?}", miette::Report::new(told))));
    }
    if notices.len() > MOST {
        tell_line(&format!("and {} more; fix those above first.", notices.len() - MOST));
    }
}

/// Notices of several sizes, each reported once, with the sizes that it was found in where it does not name them.
pub(crate) fn gather<'a>(design: &Design, all: &'a [(Option<usize>, Notice)]) -> Vec<(&'a Notice, Option<String>)> {
    let mut told: Vec<(&Notice, Vec<&str>)> = Vec::new();
    for (size, notice) in all {
        let name = size.and_then(|s| design.sizes.get(s)).map_or("", |s| s.name.as_str());
        match told.iter_mut().find(|(n, _)| *n == notice) {
            Some((_, sizes)) => sizes.push(name),
            None => told.push((notice, vec![name])),
        }
    }
    told.into_iter()
        .map(|(n, sizes)| {
            let message = n.told(language()).message;
            let named = sizes.iter().any(|s| message.contains(&format!("size {s}")));
            let more = (design.sizes.len() > 1 && !named).then(|| {
                if sizes.len() == design.sizes.len() {
                    "all sizes".to_string()
                } else {
                    format!("size {}", sizes.join(", "))
                }
            });
            (n, more)
        })
        .collect()
}

static LANGUAGE: OnceLock<Language> = OnceLock::new();

/// Chooses the language of handout, cues, findings and pages.
pub(crate) fn speak(language: Language) {
    // The first choice stands.
    let _ = LANGUAGE.set(language);
}

/// The language of handout, cues, findings and pages.
pub(crate) fn language() -> Language {
    *LANGUAGE.get_or_init(Language::default)
}

/// What a piece is called.
pub(crate) fn called(plan: &PiecePlan) -> String {
    piece(&plan.name, language())
}
