//! Plain text for a terminal: lines of 80 columns, headings, lists of files.

use std::path::Path;

use crate::base::files::FileName;
use crate::output::cautions::CAUTIONS;

/// Longest line.
pub const WIDTH: usize = 80;

/// Whether headings stand out by escape codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// For files, pipes and `NO_COLOR`.
    Plain,
    /// For a terminal: headings in bold.
    Bold,
}

impl Ink {
    pub(crate) fn heading(self, text: &str) -> String {
        match self {
            Ink::Plain => text.to_owned(),
            Ink::Bold => format!("\u{1b}[1m{text}\u{1b}[0m"),
        }
    }
}

/// What ranges are, once a report.
pub(crate) const RANGE_WORDS: &str = "In round brackets: 8 clear days of 10 lie between, for \
     what is unknown of the air (aerosol, water) and of the sky's light.";

/// Where the files of a run are.
pub fn files(folder: &Path, names: &[FileName], ink: Ink) -> String {
    let list: Vec<&str> = names.iter().map(FileName::as_str).collect();
    let into = ink.heading("Written to");
    format!("{into} {}\n{}", folder.display(), wrapped("  ", &list.join("  ")))
}

/// A heading and a line under it.
pub fn titled(title: &str, under: &str, ink: Ink) -> String {
    format!("{}\n{}", ink.heading(&fit(title, WIDTH)), wrapped("", under))
}

/// The cautions of every report under their heading.
pub fn cautions(ink: Ink) -> String {
    listed(&CAUTIONS, ink)
}

/// Cautions under their heading.
pub(crate) fn listed(cautions: &[&str], ink: Ink) -> String {
    let mut text = ink.heading("Cautions");
    text.push('\n');
    for caution in cautions {
        text += &wrapped("  ", caution);
    }
    text
}

/// A text cut to a number of characters, on one line.
pub(crate) fn fit(text: &str, width: usize) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    if clean.chars().count() <= width {
        return clean;
    }
    let mut cut: String = clean.chars().take(width.saturating_sub(1)).collect();
    cut.push('…');
    cut
}

/// What a line may end after, in order: text parted at spaces, but a number keeps its "%" or "K".
pub(crate) fn words(text: &str) -> impl Iterator<Item = &str> {
    let mut left = Some(text);
    std::iter::from_fn(move || {
        let whole = left?;
        let spaces = whole.match_indices(' ').map(|(at, _)| whole.split_at(at));
        let is_unit = |after: &str| {
            let rest = after.strip_prefix(" %").or_else(|| after.strip_prefix(" K"));
            rest.is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
        };
        let mut ends = spaces.filter(|(_, after)| !is_unit(after));
        let (word, after) = ends.next().map_or((whole, None), |(word, after)| (word, Some(after)));
        left = after.and_then(|after| after.strip_prefix(' '));
        Some(word)
    })
}

/// Text broken at spaces into lines of at most [`WIDTH`] characters.
pub(crate) fn wrapped(indent: &str, text: &str) -> String {
    let mut lines = String::new();
    let mut line = String::new();
    for word in words(text) {
        let length = indent.len() + line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && length > WIDTH {
            lines += &format!("{indent}{}\n", line.trim_end());
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line += word;
    }
    lines += &format!("{indent}{}\n", line.trim_end());
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit() {
        let all: Vec<&str> = words("white at 5600 K, 12 % of it; a Kit").collect();
        assert_eq!(all, ["white", "at", "5600 K,", "12 %", "of", "it;", "a", "Kit"]);
    }
}
