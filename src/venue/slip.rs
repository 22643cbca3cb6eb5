//! What breaks the syntax of a file that people write, in words that name the slip.
//!
//! In: a text and what the parser of TOML found wrong in it. Out: problems with the bytes
//! they belong to. Phones and text processors put in characters that look like those of
//! TOML, and much of the world writes 12,5; the parser only says that it expected
//! something else.

use std::ops::Range;

use serde_json::Value;
use toml::de::Error as Fault;

use super::problem::Problem;
use super::shape::repeated_tables;

/// Characters that stand for one of TOML, what they are called, and what is meant.
const LOOKALIKES: [(&str, &str, &str); 5] = [
    ("\u{201c}\u{201d}\u{201e}\u{201f}\u{ab}\u{bb}", "a curly quote", "straight quotes, \"...\""),
    ("\u{2018}\u{2019}\u{201a}\u{201b}\u{b4}`", "a curly quote", "straight quotes, \"...\""),
    ("\u{2212}\u{2013}\u{2014}\u{2012}", "a dash", "the hyphen as the minus sign, -"),
    ("\u{a0}\u{2007}\u{2009}\u{202f}\u{3000}", "a space of another kind", "a plain space"),
    ("\u{b0}\u{2032}\u{2033}\u{ba}", "a sign of a unit", "a number alone, in decimals"),
];

/// What the parser found, each line once.
pub(super) fn problems(
    text: &str,
    faults: &[Fault],
    schema: &Value,
) -> Vec<(Range<usize>, Problem)> {
    let tables = repeated_tables(schema);
    let mut found: Vec<(Range<usize>, Problem)> = Vec::new();
    let mut named: Vec<Range<usize>> = Vec::new();
    for fault in faults {
        let span = fault.span().unwrap_or(0..0);
        let line = line_around(text, span.start);
        if named.contains(&line) {
            continue;
        }
        let slip = lookalike(text, &line)
            .or_else(|| number(text, &line))
            .or_else(|| one_bracket(text, &line, &tables));
        if let Some(slip) = slip {
            found.retain(|(span, _)| line_around(text, span.start) != line);
            named.push(line);
            found.push(slip);
            continue;
        }
        let problem = Problem {
            key: "TOML".into(),
            name: None,
            found: fault.message().to_owned(),
            allowed: "TOML as toml.io describes it".into(),
            help: None,
        };
        found.push((span, problem));
    }
    found
}

/// The line that a byte lies in; a fault at its very end belongs to it.
fn line_around(text: &str, at: usize) -> Range<usize> {
    let at = at.min(text.len());
    let before = text.get(..at).unwrap_or_default();
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let end = text.get(start..).and_then(|rest| rest.find('\n')).map_or(text.len(), |i| start + i);
    start..end
}

/// A character outside of straight quotes that only looks like one of TOML.
fn lookalike(text: &str, line: &Range<usize>) -> Option<(Range<usize>, Problem)> {
    let content = text.get(line.clone())?;
    let mut open = None;
    let mut inside = None;
    for (at, c) in content.char_indices() {
        let sign = LOOKALIKES.iter().find(|(signs, ..)| signs.contains(c));
        match (open, c, sign) {
            (None, '#', _) => break,
            (None, '"' | '\'', _) => (open, inside) = (Some(c), None),
            (Some(quote), c, _) if c == quote => open = None,
            (None, _, Some((_, called, meant))) => {
                return Some(character(content, line.start, (at, c), (called, meant)));
            }
            // one that was to close what straight quotes opened
            (Some(_), _, Some((_, called, meant))) => inside = Some(((at, c), (called, meant))),
            _ => {}
        }
    }
    let ((at, c), (called, meant)) = inside.filter(|_| open.is_some())?;
    Some(character(content, line.start, (at, c), (called, meant)))
}

fn character(
    content: &str,
    start: usize,
    (at, c): (usize, char),
    (called, meant): (&str, &str),
) -> (Range<usize>, Problem) {
    let problem = Problem {
        key: key_of(content),
        name: None,
        found: format!("the character {c} (U+{:04X}), {called}", u32::from(c)),
        allowed: meant.to_owned(),
        help: Some("phones and text processors put it in: type it anew in a plain editor".into()),
    };
    (start + at..start + at + c.len_utf8(), problem)
}

/// `12,5` for `12.5`, or a number with its unit.
fn number(text: &str, line: &Range<usize>) -> Option<(Range<usize>, Problem)> {
    let content = text.get(line.clone())?;
    let (key, rest) = content.split_once('=')?;
    let value = rest.split('#').next()?.trim();
    let at = line.start + key.len() + 1 + rest.find(value)?;
    let span = at..at + value.len();
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let unsigned = value.trim_start_matches(['-', '+']);
    if let Some((whole, part)) = unsigned.split_once(',')
        && digits(whole)
        && digits(part)
    {
        let problem = Problem {
            key: key_of(content),
            name: None,
            found: format!("{value}, with a decimal comma"),
            allowed: format!("a decimal point, {}", value.replace(',', ".")),
            help: None,
        };
        return Some((span, problem));
    }
    let end = unsigned.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ','))?;
    let (figures, unit) = unsigned.split_at(end);
    let unit = unit.trim();
    let is_unit = unit.chars().all(|c| c.is_alphabetic()) && !matches!(unit, "e" | "E" | "");
    if !is_unit || !figures.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let problem = Problem {
        key: key_of(content),
        name: None,
        found: format!("{value}, a number with a unit"),
        allowed: "a number alone".to_owned(),
        help: Some("the end of the key says the unit: _m for metres, _deg for degrees".into()),
    };
    Some((span, problem))
}

/// `[stand]` a second time, where `[[stand]]` was meant each time.
fn one_bracket(
    text: &str,
    line: &Range<usize>,
    tables: &[&str],
) -> Option<(Range<usize>, Problem)> {
    let content = text.get(line.clone())?.split('#').next()?.trim();
    let inner = content.strip_prefix('[')?.strip_suffix(']')?;
    let name = inner.trim_start_matches('[').trim_end_matches(']').trim();
    let table = tables.iter().find(|table| **table == name)?;
    let problem = Problem {
        key: (*table).to_owned(),
        name: None,
        found: format!("`{content}` beside another `[{table}]`"),
        allowed: format!("`[[{table}]]`, two pairs of brackets, every time"),
        help: Some(format!("there can be several: each begins with [[{table}]]")),
    };
    Some((line.clone(), problem))
}

/// What stands in front of the equals sign, else that it is the syntax.
fn key_of(content: &str) -> String {
    let key = content.split_once('=').map_or("", |(key, _)| key).trim();
    let plain = !key.is_empty()
        && key.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.'));
    if plain { key.to_owned() } else { "TOML".to_owned() }
}
