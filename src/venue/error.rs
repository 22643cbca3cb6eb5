//! Why a venue cannot be had, told for the person who wrote the file.
//!
//! Out: text that shows each problem at its line, with what was found, what is
//! allowed, and how to mend it.

use std::ops::Range;
use std::path::PathBuf;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::model::Venue;
use super::problem::{Problem, counted};
use crate::base::limits::MAX_PLANNED_LOOSE;

/// More problems than this are counted, not shown.
const MAX_SHOWN: usize = 30;

/// A kind of file that people write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    Venue,
    /// What was seen on a recce, for a fit.
    Seen,
    /// What a start time costs.
    Costs,
    /// What a season must keep to.
    Rules,
}

impl std::fmt::Display for FileKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Venue => "venue file",
            Self::Seen => "file of observations",
            Self::Costs => "cost profile",
            Self::Rules => "season rules",
        })
    }
}

/// Why a venue file gives no venue, or another file that people write not what it
/// should.
#[derive(Debug, thiserror::Error)]
pub enum VenueError {
    /// The file cannot be read.
    #[error("cannot read the {kind} `{path}`: {cause}; check the name and whether you may read it")]
    Unreadable { kind: FileKind, path: PathBuf, cause: std::io::Error },
    /// A folder, not a file.
    #[error("`{path}` is a folder; give a {kind} (TOML)")]
    Folder { kind: FileKind, path: PathBuf },
    /// Not plausibly such a file.
    #[error("`{path}` has {bytes} bytes; a {kind} may have {limit}: is it the right file?")]
    TooLarge { kind: FileKind, path: PathBuf, bytes: u64, limit: u64 },
    /// Not text in UTF-8.
    #[error(
        "`{name}` is not text in UTF-8: byte {offset} (line {line}) does not belong; \
         save the file as UTF-8"
    )]
    Encoding { name: String, offset: usize, line: usize },
    /// Nothing in it.
    #[error("`{name}` is empty; the guide has an example of a {kind}")]
    Empty { kind: FileKind, name: String },
    /// Models that can be looked at and not be planned.
    #[error(
        "`{name}`: the models have {found} pieces that bound no solid, such as loose triangles; \
         at most {MAX_PLANNED_LOOSE} are planned\n  \
         weld corners that belong together in the modelling program, or leave small parts out"
    )]
    ManyLoosePieces { name: String, found: usize },
    /// A site of several fields, of which one has to be named.
    #[error("{}", which_field(name, asked.as_deref(), known))]
    WhichField { name: String, asked: Option<String>, known: Vec<String> },
    /// A field was named for a file that has one only, without a name.
    #[error(
        "`{name}` is the file of one field, so \"{asked}\" cannot be chosen\n  \
         leave --field out, or give a file with [[field]] tables"
    )]
    NoFields { name: String, asked: String },
    /// Mistakes in what the file says.
    #[error("{}", report(.0, MessageInk::Plain))]
    Mistakes(Mistakes),
}

/// A file with the problems found in it.
#[derive(Debug)]
pub struct Mistakes {
    pub(super) kind: FileKind,
    pub(super) name: String,
    pub(super) text: String,
    /// In order of place.
    pub(super) found: Vec<(Range<usize>, Problem)>,
}

impl Mistakes {
    /// The problems, in order of place in the file.
    pub fn problems(&self) -> impl Iterator<Item = &Problem> {
        self.found.iter().map(|(_, problem)| problem)
    }

    /// The same, each with its line, from 1.
    pub fn by_line(&self) -> impl Iterator<Item = (usize, &Problem)> {
        let line = |start: usize| {
            let before = self.text.as_bytes().iter().take(start);
            1 + before.filter(|byte| **byte == b'\n').count()
        };
        self.found.iter().map(move |(span, problem)| (line(span.start), problem))
    }
}

/// Whether colours may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MessageInk {
    Plain,
    Coloured,
}

impl Venue {
    /// Whether its models are not too many loose pieces to plan; `name` is what messages call
    /// the file.
    ///
    /// # Errors
    /// [`VenueError::ManyLoosePieces`].
    pub fn plannable(&self, name: &str) -> Result<(), VenueError> {
        let found = self.meshes.iter().map(|mesh| mesh.open_pieces).sum();
        match found > MAX_PLANNED_LOOSE {
            true => Err(VenueError::ManyLoosePieces { name: name.to_owned(), found }),
            false => Ok(()),
        }
    }
}

impl VenueError {
    /// The whole report, in colour for a terminal or plain.
    pub fn render(&self, ink: MessageInk) -> String {
        match self {
            Self::Mistakes(mistakes) => report(mistakes, ink),
            other => other.to_string(),
        }
    }

    /// The mistakes without lines and excerpts, for a text that lies in no file, so that
    /// nobody can look at its lines.
    pub fn without_lines(&self) -> String {
        let Self::Mistakes(mistakes) = self else { return self.to_string() };
        let line = |(_, problem): &(Range<usize>, Problem)| {
            let place = problem.place();
            let at = if place.is_empty() { String::new() } else { format!("{place}: ") };
            let help = problem.help.as_deref().filter(|help| !help.is_empty());
            let help = help.map_or_else(String::new, |help| format!("; {help}"));
            let (found, allowed) = (&problem.found, &problem.allowed);
            plain(&format!("{at}found {found}; allowed: {allowed}{help}"))
        };
        let count = mistakes.found.len();
        let mut lines: Vec<String> = mistakes.found.iter().take(MAX_SHOWN).map(line).collect();
        if count > MAX_SHOWN {
            lines.push(format!("and {} more, not shown", count - MAX_SHOWN));
        }
        lines.join("\n")
    }
}

fn which_field(name: &str, asked: Option<&str>, known: &[String]) -> String {
    let all = known.join("\", \"");
    match asked {
        None => format!("`{name}` has several fields\n  choose one with --field: \"{all}\""),
        Some(asked) => {
            let near = super::nearest(asked, known.iter().map(String::as_str));
            let near = near.map_or_else(String::new, |near| format!("; did you mean \"{near}\"?"));
            format!("`{name}` has no field \"{asked}\"\n  choose one of: \"{all}\"{near}")
        }
    }
}

fn report(mistakes: &Mistakes, ink: MessageInk) -> String {
    let count = mistakes.found.len();
    let things = counted(count, "mistake");
    let renderer = match ink {
        MessageInk::Plain => Renderer::plain(),
        MessageInk::Coloured => Renderer::styled(),
    };
    let mut text = format!("{things} in the {} `{}`\n", mistakes.kind, mistakes.name);
    for (span, problem) in mistakes.found.iter().take(MAX_SHOWN) {
        text.push('\n');
        // the renderer shows the controls of ASCII in the file as signs, but lets those of
        // ISO 6429 pass, of which U+009B begins an escape sequence
        let shown = renderer.render(&[group(mistakes, span, problem)]);
        text.extend(shown.chars().map(|c| if is_late_control(c) { '\u{fffd}' } else { c }));
        text.push('\n');
    }
    if count > MAX_SHOWN {
        text.push_str(&format!("\nand {} more, not shown\n", count - MAX_SHOWN));
    }
    text.truncate(text.trim_end().len());
    text
}

fn group<'a>(mistakes: &'a Mistakes, span: &Range<usize>, problem: &'a Problem) -> Group<'a> {
    let title = match problem.place() {
        place if place.is_empty() => plain(&format!("found {}", problem.found)),
        place => plain(&format!("{place}: found {}", problem.found)),
    };
    // an empty place (a missing table) still needs a line to point at
    let end = span.end.min(mistakes.text.len());
    let start = span.start.min(end);
    // a table may go on for pages: its first line is enough
    let line = mistakes.text[start..end].find('\n').map_or(end, |at| start + at);
    let snippet = Snippet::source(mistakes.text.as_str()).path(mistakes.name.as_str()).annotation(
        AnnotationKind::Primary
            .span(start..line)
            .label(plain(&format!("allowed: {}", problem.allowed))),
    );
    let group = Level::ERROR.primary_title(title).element(snippet);
    match problem.help.as_deref().filter(|help| !help.is_empty()) {
        Some(help) => group.element(Level::HELP.message(plain(help))),
        None => group,
    }
}

fn is_late_control(c: char) -> bool {
    ('\u{80}'..='\u{9f}').contains(&c)
}

/// Words that quote a file, without anything that drives a terminal.
fn plain(words: &str) -> String {
    words.chars().map(|c| if c.is_control() && c != '\n' { '\u{fffd}' } else { c }).collect()
}
