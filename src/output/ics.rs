//! Calendars by RFC 5545 (iCalendar), and what an earlier calendar at the same place held.
//!
//! In: entries with UIDs that stay the same when a plan is made again, the time of making,
//! the [`Earlier`] file. Out: text with CRLF ends and lines of at most 75 octets. Each
//! making raises the SEQUENCE of all entries over the earlier file's highest, so that a
//! device takes the newer; entries that are gone are written as cancelled.
//!
//! There is no METHOD: PUBLISH asks for an ORGANIZER (RFC 5546, 3.2.1), and nobody sends
//! invitations here.

use std::fmt::Write;
use std::fs;
use std::hash::Hasher;
use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use twox_hash::XxHash64;

use crate::base::bounded;
use crate::base::bounded::Bounded;

/// Longest content line without its CRLF, octets (RFC 5545, 3.1).
const MAX_OCTETS: usize = 75;
/// Larger calendars at the place of writing are not ours.
const MAX_EARLIER_BYTES: u64 = 16 << 20;
/// Who made it (RFC 5545, 3.7.3: a formal public identifier).
const PRODUCT: &str = concat!("-//quarterstop//quarterstop ", env!("CARGO_PKG_VERSION"), "//EN");
/// How the identifiers of all versions begin.
const PRODUCT_FAMILY: &str = "-//quarterstop//";
/// Highest SEQUENCE (RFC 5545, 3.3.8: integers of 32 bits with a sign).
const MAX_SEQUENCE: u32 = i32::MAX as u32;

/// One event.
#[derive(Debug, Clone, PartialEq)]
pub struct CalendarEntry {
    pub uid: String,
    pub starts: DateTime<Utc>,
    /// Later than `starts`.
    pub ends: DateTime<Utc>,
    pub summary: String,
    pub description: String,
    pub location: String,
    /// RFC 5545, 3.8.1.2.
    pub category: &'static str,
    /// Whether it takes up its time in a calendar.
    pub busy: Busy,
    pub status: Status,
    /// An alarm so long before.
    pub alarm: Option<TimeDelta>,
}

/// Whether an entry takes up its time (RFC 5545, 3.8.2.7).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Busy {
    Opaque,
    Transparent,
}

/// How sure an entry is (RFC 5545, 3.8.1.11).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Nothing is said.
    Open,
    Tentative,
}

/// What stands at the place of a calendar already, if this program wrote it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Earlier {
    /// SEQUENCE that the next calendar has.
    next: u32,
    events: Vec<Old>,
}

/// Values of an earlier event as the file has them.
#[derive(Debug, Clone, Default, PartialEq)]
struct Old {
    uid: String,
    starts: String,
    ends: String,
    summary: String,
}

/// A UID that depends on nothing but these words: their XXH64 twice, and an authority that
/// no network has (RFC 2606). `scope` are the words that a calendar's entries share.
pub fn uid(scope: &[&str], of: &[&str]) -> String {
    format!("{}-{:016x}@quarterstop.invalid", scope_of(scope), hash(of))
}

fn scope_of(scope: &[&str]) -> String {
    format!("{:016x}", hash(scope))
}

fn hash(words: &[&str]) -> u64 {
    let mut hash = XxHash64::with_seed(0);
    for word in words {
        hash.write(word.as_bytes());
        // no word holds it, so that no two lists of words are alike
        hash.write(&[0]);
    }
    hash.finish()
}

/// The calendar's text. `stamp` is when it is made (DTSTAMP). With `scope`, the entries of
/// an earlier file in that scope that are no longer there are cancelled.
pub fn calendar(
    name: &str,
    entries: &[CalendarEntry],
    stamp: DateTime<Utc>,
    earlier: &Earlier,
    scope: Option<&[&str]>,
) -> String {
    let mut lines = Lines::default();
    lines.raw("BEGIN:VCALENDAR");
    lines.raw("VERSION:2.0");
    lines.raw(&format!("PRODID:{PRODUCT}"));
    lines.raw("CALSCALE:GREGORIAN");
    lines.text("NAME", name);
    lines.text("X-WR-CALNAME", name);
    let made = [format!("DTSTAMP:{}", utc(stamp)), format!("SEQUENCE:{}", earlier.next)];
    for entry in entries {
        event(&mut lines, entry, &made);
    }
    if let Some(scope) = scope.map(scope_of) {
        let gone = |old: &&Old| {
            old.uid.starts_with(&scope) && entries.iter().all(|entry| entry.uid != old.uid)
        };
        earlier.events.iter().filter(gone).for_each(|old| cancelled(&mut lines, old, &made));
    }
    lines.raw("END:VCALENDAR");
    lines.0
}

fn event(lines: &mut Lines, entry: &CalendarEntry, made: &[String; 2]) {
    lines.raw("BEGIN:VEVENT");
    lines.raw(&format!("UID:{}", entry.uid));
    made.iter().for_each(|line| lines.raw(line));
    lines.raw(&format!("DTSTART:{}", utc(entry.starts)));
    lines.raw(&format!("DTEND:{}", utc(entry.ends)));
    lines.text("SUMMARY", &entry.summary);
    lines.text("DESCRIPTION", &entry.description);
    lines.text("LOCATION", &entry.location);
    lines.text("CATEGORIES", entry.category);
    lines.raw(match entry.busy {
        Busy::Opaque => "TRANSP:OPAQUE",
        Busy::Transparent => "TRANSP:TRANSPARENT",
    });
    if entry.status == Status::Tentative {
        lines.raw("STATUS:TENTATIVE");
    }
    if let Some(ahead) = entry.alarm {
        lines.raw("BEGIN:VALARM");
        // RFC 9074, section 4
        lines.raw(&format!("UID:alarm-{}", entry.uid));
        lines.raw("ACTION:DISPLAY");
        lines.text("DESCRIPTION", &entry.summary);
        lines.raw(&format!("TRIGGER:-PT{}S", ahead.num_seconds().max(0)));
        lines.raw("END:VALARM");
    }
    lines.raw("END:VEVENT");
}

fn cancelled(lines: &mut Lines, old: &Old, made: &[String; 2]) {
    lines.raw("BEGIN:VEVENT");
    lines.raw(&format!("UID:{}", old.uid));
    made.iter().for_each(|line| lines.raw(line));
    lines.raw(&format!("DTSTART:{}", old.starts));
    lines.raw(&format!("DTEND:{}", old.ends));
    // escaped already
    lines.raw(&format!("SUMMARY:{}", old.summary));
    lines.raw("STATUS:CANCELLED");
    lines.raw("TRANSP:TRANSPARENT");
    lines.raw("END:VEVENT");
}

fn utc(at: DateTime<Utc>) -> String {
    at.format("%Y%m%dT%H%M%SZ").to_string()
}

/// Content lines, folded.
#[derive(Default)]
struct Lines(String);

impl Lines {
    /// A property of the value type TEXT (RFC 5545, 3.3.11).
    fn text(&mut self, name: &str, value: &str) {
        let mut line = format!("{name}:");
        for letter in value.chars() {
            match letter {
                '\\' | ';' | ',' => line.extend(['\\', letter]),
                '\n' => line += "\\n",
                // no line may hold one
                c if c.is_control() => line.push(' '),
                c => line.push(c),
            }
        }
        self.raw(&line);
    }

    /// A line as it is, broken between letters where it is too long; not beside a space,
    /// which some readers take for part of the break.
    fn raw(&mut self, line: &str) {
        let (mut rest, mut room) = (line, MAX_OCTETS);
        while rest.len() > room {
            let cuts = || (1..=room).rev().filter(|at| rest.is_char_boundary(*at));
            let beside_space = |at: usize| {
                let (before, after) = rest.split_at(at);
                before.ends_with(' ') || after.starts_with(' ')
            };
            let cut = cuts().find(|at| !beside_space(*at)).or_else(|| cuts().next());
            // a letter has four octets at most, so there is one
            let (head, tail) = rest.split_at(cut.unwrap_or(rest.len()));
            self.0 += head;
            self.0 += "\r\n ";
            // the space counts
            (rest, room) = (tail, MAX_OCTETS - 1);
        }
        self.0 += rest;
        self.0 += "\r\n";
    }
}

impl Earlier {
    /// The calendar at a place; empty where there is none, or one of others.
    pub fn at(path: &Path) -> Self {
        // a pipe could keep us waiting
        if !fs::metadata(path).is_ok_and(|about| about.is_file()) {
            return Self::default();
        }
        match bounded::read(path, MAX_EARLIER_BYTES) {
            Ok(Bounded::Whole(bytes)) => Self::read(&String::from_utf8_lossy(&bytes)),
            _ => Self::default(),
        }
    }

    /// What a calendar's text says; empty for a text that this program did not write.
    pub fn read(text: &str) -> Self {
        let text = text.replace("\r\n", "\n").replace("\n ", "").replace("\n\t", "");
        // a damaged file may hold what no content line may (RFC 5545, 3.1: CONTROL)
        let text = text.replace(|c: char| c.is_control() && c != '\n', " ");
        let mut earlier = Self::default();
        let (mut ours, mut inside, mut old) = (false, Vec::new(), Old::default());
        let mut highest = None;
        for line in text.lines() {
            let Some((name, value)) = line.split_once(':') else { continue };
            match (name, value) {
                ("BEGIN", what) => inside.push(what.to_owned()),
                ("END", what) => {
                    inside.pop();
                    // an alarm ends within its event
                    if what == "VEVENT" {
                        let done = std::mem::take(&mut old);
                        earlier.events.extend(done.is_whole().then_some(done));
                    }
                }
                ("PRODID", product) => ours = product.starts_with(PRODUCT_FAMILY),
                (name, value) if inside.last().is_some_and(|i| i == "VEVENT") => match name {
                    "UID" => old.uid = value.to_owned(),
                    "DTSTART" => old.starts = value.to_owned(),
                    "DTEND" => old.ends = value.to_owned(),
                    "SUMMARY" => old.summary = value.to_owned(),
                    "SEQUENCE" => highest = highest.max(value.parse::<u32>().ok()),
                    _ => {}
                },
                _ => {}
            }
        }
        if !ours {
            return Self::default();
        }
        earlier.next = highest.map_or(0, |h| h.saturating_add(1)).min(MAX_SEQUENCE);
        earlier
    }
}

impl Old {
    /// Whether it can be cancelled by what is known of it.
    fn is_whole(&self) -> bool {
        let is_time = |text: &str| {
            text.len() == 16 && text.bytes().all(|b| b.is_ascii_digit() || b"TZ".contains(&b))
        };
        !self.uid.is_empty() && is_time(&self.starts) && is_time(&self.ends)
    }
}

/// A description with paragraphs, the cautions last.
pub(crate) fn description(paragraphs: impl IntoIterator<Item = String>) -> String {
    let mut text = String::new();
    for paragraph in paragraphs.into_iter().filter(|p| !p.is_empty()) {
        let _ = writeln!(text, "{paragraph}");
    }
    text + &crate::output::cautions::short()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;
    use proptest::prelude::*;

    fn entry(uid: &str, summary: &str) -> CalendarEntry {
        let starts = Utc.with_ymd_and_hms(2027, 10, 16, 14, 0, 0).unwrap();
        CalendarEntry {
            uid: uid.into(),
            starts,
            ends: starts + TimeDelta::minutes(1),
            summary: summary.into(),
            description: String::new(),
            location: String::new(),
            category: "Cue",
            busy: Busy::Transparent,
            status: Status::Open,
            alarm: Some(TimeDelta::seconds(11)),
        }
    }

    fn made(entries: &[CalendarEntry], earlier: &Earlier) -> String {
        let stamp = Utc.with_ymd_and_hms(2027, 10, 1, 9, 0, 0).unwrap();
        calendar("Cues", entries, stamp, earlier, Some(&["ground"]))
    }

    #[test]
    fn what_is_gone_is_cancelled_and_what_comes_back_is_newer() {
        let id = |of: &str| uid(&["ground"], &[of]);
        let (a, b) = (entry(&id("a"), "one; two"), entry(&id("b"), "three"));
        let first = made(&[a.clone(), b.clone()], &Earlier::default());
        assert_eq!(first.matches("SEQUENCE:0\r\n").count(), 2);
        let second = made(std::slice::from_ref(&a), &Earlier::read(&first));
        assert_eq!(second.matches("SEQUENCE:1\r\n").count(), 2);
        assert_eq!(second.matches("STATUS:CANCELLED").count(), 1);
        let third = made(&[a, b], &Earlier::read(&second));
        assert_eq!(third.matches("SEQUENCE:2\r\n").count(), 2);
        assert!(!third.contains("CANCELLED"));
        // another ground's entries are none of ours to cancel
        let other = made(&[entry(&uid(&["elsewhere"], &["a"]), "x")], &Earlier::read(&third));
        assert_eq!(made(&[], &Earlier::read(&other)).matches("CANCELLED").count(), 2);
    }

    #[test]
    fn calendars_of_others_are_not_read() {
        let ours = made(&[entry("x", "y")], &Earlier::default());
        let theirs = ours.replace("-//quarterstop//", "-//someone//");
        assert_eq!(Earlier::read(&theirs), Earlier::default());
        assert_ne!(Earlier::read(&ours), Earlier::default());
    }

    proptest! {
        /// RFC 5545, 3.1: lines of at most 75 octets, broken between letters.
        #[test]
        fn lines_are_short_and_texts_come_back(text in "\\PC{0,300}") {
            let all = made(&[entry("x", &text)], &Earlier::default());
            for line in all.split("\r\n") {
                prop_assert!(line.len() <= MAX_OCTETS, "{}", line);
                prop_assert!(!line.contains(['\n', '\r']));
            }
            let unfolded = all.replace("\r\n ", "");
            let summary = unfolded.lines().find_map(|l| l.strip_prefix("SUMMARY:")).unwrap();
            let read = summary.replace("\\,", ",").replace("\\;", ";").replace("\\\\", "\\");
            prop_assert_eq!(read, text);
        }

        #[test]
        fn whatever_an_earlier_file_holds_it_is_read(text in "(?s).{0,200}") {
            let head = "BEGIN:VCALENDAR\nPRODID:-//quarterstop//x\nBEGIN:VEVENT\nUID:";
            let earlier = Earlier::read(&format!("{head}{text}"));
            prop_assert!(made(&[], &earlier).ends_with("END:VCALENDAR\r\n"));
        }

        /// A line's end alone in an earlier text, or another control, is none in the new one.
        #[test]
        fn what_is_cancelled_keeps_to_its_line(text in "[a-z\r\u{1b}\u{7}]{0,40}") {
            let id = uid(&["ground"], &["a"]);
            let first = made(&[entry(&id, "marked")], &Earlier::default());
            let damaged = first.replace("SUMMARY:marked", &format!("SUMMARY:marked{text}"));
            let second = made(&[], &Earlier::read(&damaged));
            prop_assert_eq!(second.matches("STATUS:CANCELLED").count(), 1);
            for line in second.split_terminator("\r\n") {
                prop_assert!(!line.contains(char::is_control), "{:?}", line);
            }
        }
    }
}
