//! The log of the day: nothing that was said to be in is lost, whenever the plug is pulled.

use std::fs;
use std::io::Write;

use chrono::{DateTime, FixedOffset};

use quarterstop::jobs::day::{
    Event, FORMAT, Line, Log, LogEntry, LogError, Opening, Person, Read, Role, SkyNow,
};

fn time(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn opening() -> Opening {
    Opening {
        format: FORMAT.to_owned(),
        venue: "Umbra Park".to_owned(),
        zone: "Europe/London".to_owned(),
        start: time("2027-10-16T15:00:00+01:00"),
    }
}

fn entry(number: u64, what: Event) -> LogEntry {
    LogEntry {
        entry: number,
        at: time("2027-10-16T15:20:00+01:00"),
        entered: time("2027-10-16T15:20:03+01:00"),
        by: Person { role: Role::Operate, name: "A".to_owned() },
        what,
    }
}

fn some() -> Vec<LogEntry> {
    let camera = || "3 corner \"ahead\"\n\u{e9}".to_owned();
    let all = [
        Event::Sky { sky: SkyNow::CloudOverSun },
        Event::Iris { camera: camera(), t_number: 5.6, light: None },
        Event::CameraSwapped {
            camera: camera(),
            stand_in: "spare".to_owned(),
            t_number_at_2000_lx: Some(13.0),
            from_moment: Some(2),
        },
        Event::Undo { entry: 2 },
    ];
    (1..).zip(all).map(|(number, what)| entry(number, what)).collect()
}

#[test]
fn what_is_written_is_read_again_and_other_tools_can_read_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.jsonl");
    let (mut log, read) = Log::open(&path, &opening()).unwrap();
    assert_eq!(read.lines, [Line::Opening(opening())]);
    for entry in some() {
        log.append(&Line::Entry(entry)).unwrap();
    }
    assert!(matches!(Log::open(&path, &opening()), Err(LogError::InUse { .. })));
    drop(log);
    let (_, read) = Log::open(&path, &opening()).unwrap();
    assert_eq!(read.entries().cloned().collect::<Vec<_>>(), some());
    assert!(read.unread.is_empty());
    // one JSON value a line, as any reader of JSON lines takes it
    for line in fs::read_to_string(&path).unwrap().lines() {
        let value: serde_json::Value = serde_json::from_str(line).unwrap();
        assert!(value["line"].is_string(), "{line}");
    }
}

/// The file as it is when the power fails at every single byte of the last line.
#[test]
fn a_last_line_torn_anywhere_costs_that_line_only_and_is_reported() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.jsonl");
    let (mut log, _) = Log::open(&path, &opening()).unwrap();
    for entry in some() {
        log.append(&Line::Entry(entry)).unwrap();
    }
    drop(log);
    let whole = fs::read(&path).unwrap();
    let before = whole[..whole.len() - 1].iter().rposition(|b| *b == b'\n').unwrap() + 1;
    for cut in before..whole.len() {
        fs::write(&path, &whole[..cut]).unwrap();
        let (mut log, read) = Log::open(&path, &opening()).unwrap();
        let entries: Vec<LogEntry> = read.entries().cloned().collect();
        // nothing of the line, part of it, or all but the line's end
        match cut {
            cut if cut == before => assert!(entries == some()[..3] && read.unread.is_empty()),
            cut if cut == whole.len() - 1 => assert!(entries == some() && read.unread.is_empty()),
            _ => {
                assert_eq!(entries, some()[..3]);
                assert_eq!((read.unread.len(), read.unread[0].line), (1, 5));
                assert!(read.unread[0].torn);
            }
        }
        let next = entry(9, Event::PlayStopped);
        log.append(&Line::Entry(next.clone())).unwrap();
        drop(log);
        let (_, again) = Log::open(&path, &opening()).unwrap();
        let kept: Vec<LogEntry> = again.entries().cloned().collect();
        assert_eq!(kept[..entries.len()], entries, "{cut}");
        assert_eq!(kept.last(), Some(&next), "{cut}");
    }
}

#[test]
fn a_first_line_that_was_torn_is_begun_anew() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.jsonl");
    fs::write(&path, b"{\"line\":\"open").unwrap();
    let (mut log, read) = Log::open(&path, &opening()).unwrap();
    assert_eq!((read.lines.len(), read.unread.len()), (1, 1));
    log.append(&Line::Entry(entry(1, Event::PlayStopped))).unwrap();
    drop(log);
    let (_, read) = Log::open(&path, &opening()).unwrap();
    assert_eq!((read.lines.len(), read.unread.len()), (2, 1));
}

#[test]
fn files_of_something_else_and_of_another_day_are_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.jsonl");
    fs::write(&path, b"title = \"a venue\"\n").unwrap();
    assert!(matches!(Log::open(&path, &opening()), Err(LogError::Other { .. })));
    assert_eq!(fs::read(&path).unwrap(), b"title = \"a venue\"\n");
    fs::remove_file(&path).unwrap();
    drop(Log::open(&path, &opening()).unwrap());
    let other = Opening { start: time("2027-10-23T15:00:00+01:00"), ..opening() };
    assert!(matches!(Log::open(&path, &other), Err(LogError::OtherDay { .. })));
}

#[test]
fn a_damaged_line_in_the_middle_is_reported_and_the_rest_is_read() {
    let mut text = Vec::new();
    writeln!(text, "{}", serde_json::to_string(&Line::Opening(opening())).unwrap()).unwrap();
    writeln!(text, "{{\"line\":\"entry\",\"entry\":1,\u{fffd}").unwrap();
    let entry = Line::Entry(entry(2, Event::PlayGoesOn));
    writeln!(text, "{}", serde_json::to_string(&entry).unwrap()).unwrap();
    let read = Read::of(&text);
    assert_eq!((read.lines.len(), read.unread.len()), (2, 1));
    assert_eq!((read.unread[0].line, read.unread[0].torn), (2, false));
}
