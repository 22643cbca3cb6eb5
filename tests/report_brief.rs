//! The brief's files, read back by other programs' eyes: an iCalendar parser, a CSV
//! reader, the JSON Schema, the data inside of the page.

use std::collections::{HashMap, HashSet};
use std::sync::OnceLock;

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use geo::{Area, BooleanOps, Polygon};
use serde_json::Value;

use quarterstop::engine::MatchPlan;
use quarterstop::jobs::brief::report::{
    BriefReport, board, calendar, data, page, pdf, summary, tables,
};
use quarterstop::jobs::crew::{Brief, Cue, During, Urgency};
use quarterstop::output::ics::Earlier;
use quarterstop::output::text::{Ink, WIDTH};
use quarterstop::venue::Venue;

use crate::plan_brief::of_demo;

/// Twice what the interactive page of the football demo takes (0.24 MB): data that goes in
/// twice, or with all its decimals, is more.
const BOARD_BYTES: usize = 480_000;

struct Demo {
    venue: Venue,
    plan: MatchPlan,
    brief: Brief,
}

fn demo() -> &'static Demo {
    static DEMO: OnceLock<Demo> = OnceLock::new();
    DEMO.get_or_init(|| {
        let path = std::path::Path::new("venues/football-demo.toml");
        let venue = quarterstop::venue::read(path).unwrap();
        let (plan, brief) = of_demo(&venue);
        Demo { venue, plan, brief }
    })
}

fn told() -> BriefReport<'static> {
    let demo = demo();
    BriefReport {
        venue: &demo.venue,
        plan: &demo.plan,
        brief: &demo.brief,
        forecast: None,
        hidden: &[],
    }
}

fn property<'a>(event: &'a [ical::property::Property], name: &str) -> &'a str {
    let found = event.iter().find(|p| p.name == name);
    found.and_then(|p| p.value.as_deref()).unwrap_or_else(|| panic!("no {name}"))
}

fn calendar_text(told: &BriefReport<'_>, operator: Option<usize>, earlier: &str) -> String {
    let stamp = Utc.with_ymd_and_hms(2027, 10, 1, 9, 0, 0).unwrap();
    calendar::ics(told, operator, stamp, &Earlier::read(earlier))
}

fn utc(at: DateTime<chrono_tz::Tz>) -> String {
    at.with_timezone(&Utc).format("%Y%m%dT%H%M%SZ").to_string()
}

/// RFC 5545, read back by the parser of crate `ical`: the match and one event a cue, at
/// its UTC second and with an end after it (3.6.1), with an alarm where a hand acts; lines
/// of at most 75 octets that end in CRLF (3.1); a UID of its own each (3.8.4.7).
#[test]
fn another_parser_reads_the_calendar_back() {
    let text = calendar_text(&told(), None, "");
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains('\n'), "a bare line feed: {line:?}");
    }
    let mut calendars = ical::IcalParser::new(text.as_bytes());
    let calendar = calendars.next().unwrap().unwrap();
    assert!(calendars.next().is_none());
    assert_eq!(property(&calendar.properties, "VERSION"), "2.0");
    assert!(property(&calendar.properties, "PRODID").starts_with("-//quarterstop//"));
    // without an organiser there is nothing to publish (RFC 5546, 3.2.1)
    assert!(calendar.properties.iter().all(|p| p.name != "METHOD"));
    let cues = &demo().brief.cues;
    assert_eq!(calendar.events.len(), 1 + cues.len());
    assert!(cues.len() > 40, "{}", cues.len());
    let mut ids = HashSet::new();
    for event in &calendar.events {
        assert!(ids.insert(property(&event.properties, "UID").to_owned()));
        let times = ["DTSTART", "DTEND"].map(|name| property(&event.properties, name));
        assert!(times[0] < times[1], "{times:?}");
        assert_eq!(property(&event.properties, "DTSTAMP"), "20271001T090000Z");
        assert_eq!(property(&event.properties, "SEQUENCE"), "0");
        assert!(property(&event.properties, "DESCRIPTION").contains("Never look at the sun"));
    }
    for (event, cue) in calendar.events.iter().skip(1).zip(cues) {
        assert_eq!(property(&event.properties, "DTSTART"), utc(cue.at));
        assert_eq!(property(&event.properties, "SUMMARY"), cue.what.replace(',', "\\,"));
        let Some(alarm) = event.alarms.first() else {
            assert_eq!(cue.urgency, Urgency::Know, "{}", cue.what);
            continue;
        };
        assert_ne!(cue.urgency, Urgency::Know, "{}", cue.what);
        let ahead = format!("-PT{:.0}S", cue.lead_s.ceil());
        assert_eq!(property(&alarm.properties, "TRIGGER"), ahead);
        assert_eq!(property(&alarm.properties, "ACTION"), "DISPLAY");
        assert!(ids.insert(property(&alarm.properties, "UID").to_owned()), "RFC 9074, section 4");
    }
}

/// The same by the parser of crate `icalendar`, which shares nothing with the first.
#[test]
fn a_third_parser_reads_the_same_calendar() {
    use icalendar::Component;
    let text = calendar_text(&told(), None, "");
    let calendar: icalendar::Calendar = text.parse().unwrap();
    let events: Vec<_> = calendar.components.iter().filter_map(|c| c.as_event()).collect();
    assert_eq!(events.len(), 1 + demo().brief.cues.len());
    for (event, cue) in events.iter().skip(1).zip(&demo().brief.cues) {
        assert_eq!(event.get_summary(), Some(cue.what.as_str()));
        assert_eq!(event.property_value("DTSTART"), Some(utc(cue.at).as_str()));
        assert!(event.get_end().is_some() && event.get_uid().is_some());
    }
}

/// UIDs by what an event is, whatever its place in the list and its time.
fn ids_by_summary(text: &str) -> HashMap<String, String> {
    let calendar = ical::IcalParser::new(text.as_bytes()).next().unwrap().unwrap();
    let mut counts: HashMap<String, usize> = HashMap::new();
    let mut named = |event: &ical::parser::ical::component::IcalEvent| {
        let summary = property(&event.properties, "SUMMARY").to_owned();
        let count = counts.entry(summary.clone()).or_default();
        *count += 1;
        (format!("{summary} {count}"), property(&event.properties, "UID").to_owned())
    };
    calendar.events.iter().map(&mut named).collect()
}

/// When a plan is made again with other times and another order, what is still there keeps
/// its UID (RFC 5545, 3.8.4.7) with a higher SEQUENCE (3.8.7.4), and what is gone is
/// cancelled.
#[test]
fn a_calendar_made_again_updates_the_one_before() {
    let before = calendar_text(&told(), None, "");
    let mut brief = demo().brief.clone();
    brief.cues.iter_mut().for_each(|cue| cue.at += TimeDelta::seconds(137));
    brief.cues.reverse();
    let gone = brief.cues.pop().unwrap();
    let after = calendar_text(&BriefReport { brief: &brief, ..told() }, None, &before);
    let (old, new) = (ids_by_summary(&before), ids_by_summary(&after));
    assert_eq!(old.values().collect::<HashSet<_>>(), new.values().collect::<HashSet<_>>());
    let calendar = ical::IcalParser::new(after.as_bytes()).next().unwrap().unwrap();
    for event in &calendar.events {
        assert_eq!(property(&event.properties, "SEQUENCE"), "1");
        let is_gone = event.properties.iter().any(|p| p.name == "STATUS");
        assert_eq!(
            is_gone,
            property(&event.properties, "DTSTART") == utc(gone.at - TimeDelta::seconds(137))
        );
    }
}

/// One calendar an operator, with own cues and own UIDs; without cues it holds the match.
#[test]
fn each_operator_has_a_calendar_and_none_is_empty() {
    let mut ids = HashSet::new();
    for (index, operator) in demo().brief.desk.operators.iter().enumerate() {
        let text = calendar_text(&told(), Some(index), "");
        let calendar = ical::IcalParser::new(text.as_bytes()).next().unwrap().unwrap();
        let mine = demo().brief.cues.iter().filter(|c| c.operators.contains(&index)).count();
        assert_eq!(calendar.events.len(), 1 + mine, "{}", operator.name);
        for event in &calendar.events {
            assert!(ids.insert(property(&event.properties, "UID").to_owned()));
        }
    }
    let brief = Brief { cues: Vec::new(), ..demo().brief.clone() };
    let text = calendar_text(&BriefReport { brief: &brief, ..told() }, None, "");
    let calendar = ical::IcalParser::new(text.as_bytes()).next().unwrap().unwrap();
    assert_eq!(calendar.events.len(), 1);
    assert!(property(&calendar.events[0].properties, "DESCRIPTION").contains("No cue"));
}

fn read(bytes: &[u8]) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(bytes);
    let words = |r: &csv::StringRecord| r.iter().map(str::to_owned).collect::<Vec<_>>();
    let header = words(reader.headers().unwrap());
    (header, reader.records().map(|r| words(&r.unwrap())).collect())
}

#[test]
fn tables_hold_a_row_for_each_cue_and_for_each_camera_and_minute() {
    let demo = demo();
    let (header, rows) = read(&tables::cues(&told()).unwrap());
    assert_eq!(header, crate::support::names_of(tables::cue_columns()));
    assert_eq!(rows.len(), demo.brief.cues.len());
    for (row, cue) in rows.iter().zip(&demo.brief.cues) {
        let at = DateTime::parse_from_rfc3339(&row[0]).unwrap();
        assert!((at.with_timezone(&Utc) - cue.at.with_timezone(&Utc)).num_seconds().abs() <= 1);
        assert_eq!(row[1], cue.what);
    }
    let (header, rows) = read(&tables::settings(&told()).unwrap());
    // those of outputs are there only with a production, see plan_outputs
    let mut columns = tables::setting_columns();
    columns.retain(|column| !column.name.starts_with("<output>"));
    assert_eq!(header, crate::support::names_of(columns));
    assert_eq!(rows.len(), demo.venue.cameras.len() * demo.plan.instants.len());
    for row in &rows {
        let number = |i: usize| row[i].parse::<f64>().ok();
        let (sun, shade, one) = (number(6), number(7).unwrap(), number(8).unwrap());
        let (low, high) = sun.map_or((shade, shade), |s| (s.min(shade), s.max(shade)));
        assert!(low - 0.02 <= one && one <= high + 0.02, "{row:?}");
    }
}

#[test]
fn the_json_keeps_to_its_schema() {
    let value: Value = serde_json::from_slice(&data::write(&told()).unwrap()).unwrap();
    let schema = data::schema();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&value).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(value["format"], data::FORMAT);
    assert_eq!(value["cameras"].as_array().unwrap().len(), 5);
}

/// The object inside of the page.
fn board_data() -> Value {
    let html = board::html(&told()).unwrap();
    let opening = "<script type=\"application/json\" id=\"plan-data\">";
    let from = html.find(opening).unwrap() + opening.len();
    let until = from + html[from..].find("</script>").unwrap();
    serde_json::from_str(&html[from..until]).unwrap()
}

#[test]
fn the_page_holds_the_plan_in_lists_of_one_length() {
    let data = board_data();
    let count = demo().plan.instants.len();
    let length =
        |value: &Value, key: &str| value[key].as_array().unwrap_or_else(|| panic!("{key}")).len();
    for key in ["epoch_s", "clock", "sun", "shadow", "shaded_share", "penumbra_m"] {
        assert_eq!(length(&data, key), count, "{key}");
    }
    for camera in data["cameras"].as_array().unwrap() {
        for key in [
            "split_turf",
            "split_subject",
            "in_shot",
            "t_sun",
            "t_shade",
            "t_set",
            "nd",
            "verdict",
            "lens",
            "level",
        ] {
            assert_eq!(length(camera, key), count, "{key}");
        }
    }
    assert_eq!(length(&data, "cues"), demo().brief.cues.len());
}

/// Area by the shoelace formula of the page's rings, even-odd: they must cover what the
/// plan says is in opaque shade, within what rounding to decimetres allows.
#[test]
fn the_shadows_of_the_page_are_those_of_the_plan() {
    let data = board_data();
    let ground = Polygon::new(demo().venue.field.surrounds.exterior().clone(), Vec::new());
    for (index, instant) in demo().plan.instants.iter().enumerate().step_by(25) {
        let rings = data["shadow"][index]["opaque"].as_array().unwrap();
        let (mut area, mut around) = (0.0, 0.0);
        for ring in rings {
            let flat: Vec<f64> =
                ring.as_array().unwrap().iter().map(|v| v.as_f64().unwrap() / 10.0).collect();
            let points: Vec<[f64; 2]> = flat.chunks(2).map(|c| [c[0], c[1]]).collect();
            let mut own = 0.0;
            for (i, a) in points.iter().enumerate() {
                let b = points[(i + 1) % points.len()];
                own += 0.5 * (a[0] * b[1] - a[1] * b[0]);
                around += (b[0] - a[0]).hypot(b[1] - a[1]);
            }
            area += own;
        }
        let told = instant.turf.ground.opaque.intersection(&ground).unsigned_area();
        // rounding and smoothing move a line by 0.1 m at most
        assert!((area.abs() - told).abs() < 0.1 * around, "{}: {area} {told}", instant.at);
    }
}

#[test]
fn pages_are_whole_small_and_call_for_nothing() {
    let told = told();
    let board = board::html(&told).unwrap();
    assert!(board.len() < BOARD_BYTES, "{} bytes", board.len());
    let paper = page::html(&told, None, "<svg></svg>").unwrap();
    for html in [&board, &paper] {
        assert!(html.starts_with("<!DOCTYPE html>") && html.trim_end().ends_with("</html>"));
        assert!(html.contains("default-src 'none'"));
        for reach in ["http://", "https://", "//cdn", "@import", "url("] {
            assert!(!html.contains(reach), "{reach}");
        }
        assert!(!html.contains("{{") && !html.contains("{%"), "a template left over");
    }
    for camera in &demo().venue.cameras {
        assert!(paper.contains(&camera.name));
    }
    assert!(paper.contains("Never look at the sun through a viewfinder"));
}

/// ISO 32000-1: the header, the end, and pages of A4 (595 by 842 points); the first page
/// is the brief, the timeline and all cues follow.
#[test]
fn the_pdf_is_of_a4_pages() {
    let timeline =
        quarterstop::jobs::match_plan::picture::timeline(&demo().venue, &demo().plan).unwrap();
    let bytes = pdf::pdf(&told(), &timeline.svg).unwrap();
    assert!(bytes.starts_with(b"%PDF-"));
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.trim_end().ends_with("%%EOF"));
    let boxes = text.matches("/MediaBox").count();
    assert!((2..=5).contains(&boxes), "{boxes} pages");
    assert_eq!(text.matches("595.28 841.89").count(), boxes);
    assert!(text.contains("Umbra Park"), "the title is in the metadata");
    // fonts travel inside
    assert!(text.matches("/FontFile").count() >= 2);
}

/// A sheet has its operator's cameras and cues, and nobody else's cameras.
#[test]
fn a_sheet_is_for_one_operator() {
    let told = told();
    for (index, operator) in demo().brief.desk.operators.iter().enumerate() {
        let sheet = page::html(&told, Some(index), "").unwrap();
        assert!(sheet.contains(&format!("operator {}", operator.name)));
        let table = &sheet[..sheet.find("<h2>Key actions").unwrap()];
        for (camera, post) in demo().venue.cameras.iter().enumerate() {
            let own = operator.cameras.contains(&camera);
            assert_eq!(table.contains(&post.name), own, "{} {}", operator.name, post.name);
        }
        let mine = demo().brief.cues.iter().filter(|c| c.operators.contains(&index)).count();
        let all = &sheet[sheet.find("All cues").unwrap()..];
        assert_eq!(all.matches("<tr><td class=\"strong\">").count(), mine);
        let actions = sheet.find("<h2>Key actions").unwrap();
        let first = &sheet[actions..sheet.find("<h2>Desk").unwrap()];
        let mine = demo().brief.cues.iter().filter(|c| c.operators.contains(&index));
        let mine = mine.filter(|c| c.is_key_action()).count().min(14);
        assert_eq!(first.matches("<tr><td class=\"strong\">").count(), mine);
    }
}

/// What a racks engineer reads first is what a hand does in play; what needs no hand, and
/// what happens outside play, is apart.
#[test]
fn key_actions_are_for_hands_and_outside_play_is_apart() {
    let html = page::html(&told(), None, "").unwrap();
    let between = |from: &str, until: &str| {
        let from = html.find(from).unwrap();
        &html[from..from + html[from..].find(until).unwrap()]
    };
    let actions = between("<h2>Key actions", "<h2>Desk");
    let in_play = between("<h2>All cues in play", "<h2>Before, between and after");
    let outside = between("<h2>Before, between and after", "</section>");
    let clock = |cue: &Cue| {
        format!(
            "<td class=\"strong\">{}</td><td>{}",
            cue.at.format("%T"),
            cue.what.replace('/', "&#x2f;")
        )
    };
    let (kickoff, end) = ("15:00:00", "16:45:00");
    for cue in &demo().brief.cues {
        let told = clock(cue);
        assert_eq!(in_play.contains(&told), cue.during == During::Play, "{told}");
        assert_eq!(outside.contains(&told), cue.during == During::Outside, "{told}");
        if cue.urgency == Urgency::Know {
            assert!(!actions.contains(&told), "{told}");
        }
        let at = cue.at.format("%T").to_string();
        if at.as_str() < kickoff || at.as_str() >= end {
            assert_eq!(cue.during, During::Outside, "{told}");
        }
    }
    // the usual time to warn ahead is said once
    assert_eq!(html.matches("Warn 11 s ahead").count(), 1);
    assert!(!html.contains("warn 11 s ahead"));
}

/// Where there is no direct sun, no T-number stands for it, and no range of dashes.
#[test]
fn sides_without_light_are_said_in_words() {
    let mut brief = demo().brief.clone();
    let count = demo().plan.instants.len();
    for exposure in brief.cameras[0].exposures.iter_mut().flatten() {
        exposure.sun = None;
    }
    // of the second camera the sun is there from the sixth instant to the tenth before the end
    for index in (0..5).chain(count - 9..count) {
        if let Some(exposure) = &mut brief.cameras[1].exposures[index] {
            exposure.sun = None;
        }
    }
    let told = BriefReport { brief: &brief, ..told() };
    let (text, html) = (summary::text(&told, Ink::Plain), page::html(&told, None, "").unwrap());
    let from = demo().plan.instants[5].at.format("from %H:%M").to_string();
    let until = demo().plan.instants[count - 10].at.format("until %H:%M").to_string();
    for said in [&text, &html] {
        assert!(!said.contains("- to") && !said.contains("to -") && !said.contains(">-<"));
        for words in ["no direct sun", &from, &until] {
            assert!(said.contains(words), "{words}\n{text}");
        }
    }
}

#[test]
fn names_from_the_file_are_text_in_every_page() {
    let mut venue = demo().venue.clone();
    venue.title = "</script><img src=x onerror=a()>".into();
    venue.cameras[0].name = "\"><svg onload=a()>".into();
    let told = BriefReport { venue: &venue, ..told() };
    let board = board::html(&told).unwrap();
    assert_eq!(board.matches("</script>").count(), 2, "the page's own two");
    assert!(!board.contains("<img") && !board.contains("<svg onload"));
    let paper = page::html(&told, None, "").unwrap();
    assert!(!paper.contains("<img") && !paper.contains("<svg onload"));
    assert!(paper.contains("&lt;svg onload=a()&gt;") || paper.contains("&lt;svg onload"));
}

#[test]
fn the_summary_fits_and_tells_the_desk() {
    let text = summary::text(&told(), Ink::Plain);
    for line in text.lines() {
        assert!(line.chars().count() <= WIDTH, "{line}");
        assert_eq!(line, line.trim_end(), "{line:?}");
    }
    for words in ["What to set", "operator A: ", "Key actions", "cues are in the files"] {
        assert!(text.contains(words), "{words}:\n{text}");
    }
}
