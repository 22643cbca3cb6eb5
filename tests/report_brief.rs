//! The brief's files, read back by other programs' eyes: an iCalendar parser, a CSV
//! reader, the JSON Schema, the data inside of the page.

use std::collections::HashSet;
use std::sync::OnceLock;

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use quarterstop::light::{Air, Sky};
use quarterstop::plan::brief::{Brief, BriefSettings, brief};
use quarterstop::plan::{self, MatchPlan, Prepared, Settings};
use quarterstop::report::brief::{Told, board, calendar, data, page, pdf, summary, tables};
use quarterstop::report::summary::{Ink, WIDTH};
use quarterstop::solar;
use quarterstop::units::Stops;
use quarterstop::venue::Venue;
use serde_json::Value;

/// The mission's limit for the interactive page of the football demo.
const BOARD_BYTES: usize = 1_500_000;

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
        let fixture = venue.fixture.unwrap();
        let start = solar::resolve(venue.place.zone, fixture.date, fixture.start, None).unwrap();
        let programme = plan::programme(&venue);
        let (from, until) = programme.window_from(start);
        let settings = Settings {
            from,
            until,
            step: TimeDelta::minutes(1),
            sky: Sky::Clear,
            air: Air::default(),
            hold: Stops::from_stops(2.0),
            milestones: programme.milestones_from(start),
        };
        let prepared = Prepared::new(&venue, fixture.date);
        let plan = prepared.run(&settings, |_, _| {}).unwrap();
        let brief = brief(&prepared, &plan, &BriefSettings::default()).unwrap();
        Demo { venue, plan, brief }
    })
}

fn told() -> Told<'static> {
    let demo = demo();
    Told { venue: &demo.venue, plan: &demo.plan, brief: &demo.brief }
}

fn property<'a>(event: &'a [ical::property::Property], name: &str) -> &'a str {
    let found = event.iter().find(|p| p.name == name);
    found.and_then(|p| p.value.as_deref()).unwrap_or_else(|| panic!("no {name}"))
}

/// RFC 5545, read back by the parser of crate `ical`: one event a cue, at its UTC
/// second, with an alarm at its lead; lines of at most 75 octets that end in CRLF
/// (section 3.1); a UID of its own each (3.8.4.7).
#[test]
fn another_parser_reads_the_calendar_back() {
    let stamp = Utc.with_ymd_and_hms(2027, 10, 1, 9, 0, 0).unwrap();
    let text = calendar::ics(&told(), stamp);
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains('\n'), "a bare line feed: {line:?}");
    }
    let mut calendars = ical::IcalParser::new(text.as_bytes());
    let calendar = calendars.next().unwrap().unwrap();
    assert!(calendars.next().is_none());
    assert_eq!(property(&calendar.properties, "VERSION"), "2.0");
    let cues = &demo().brief.cues;
    assert_eq!(calendar.events.len(), cues.len());
    assert!(cues.len() > 40, "{}", cues.len());
    let mut ids = HashSet::new();
    for (event, cue) in calendar.events.iter().zip(cues) {
        let at = cue.at.with_timezone(&Utc).format("%Y%m%dT%H%M%SZ").to_string();
        assert_eq!(property(&event.properties, "DTSTART"), at);
        assert_eq!(property(&event.properties, "DTSTAMP"), "20271001T090000Z");
        assert_eq!(property(&event.properties, "SUMMARY"), cue.what.replace(',', "\\,"));
        assert!(ids.insert(property(&event.properties, "UID").to_owned()));
        let alarm = &event.alarms[0].properties;
        assert_eq!(property(alarm, "TRIGGER"), format!("-PT{:.0}S", cue.lead_s.ceil()));
        assert_eq!(property(alarm, "ACTION"), "DISPLAY");
    }
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
    assert_eq!(header, tables::CUE_COLUMNS.map(|c| c.0));
    assert_eq!(rows.len(), demo.brief.cues.len());
    for (row, cue) in rows.iter().zip(&demo.brief.cues) {
        let at = DateTime::parse_from_rfc3339(&row[0]).unwrap();
        assert!((at.with_timezone(&Utc) - cue.at.with_timezone(&Utc)).num_seconds().abs() <= 1);
        assert_eq!(row[1], cue.what);
    }
    let (header, rows) = read(&tables::settings(&told()).unwrap());
    assert_eq!(header, tables::SETTING_COLUMNS.map(|c| c.0));
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
        let told = instant.turf.shadow.opaque_area_m2;
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
    let timeline = quarterstop::render::timeline(&demo().venue, &demo().plan).unwrap();
    let bytes = pdf::pdf(&told(), &timeline.png).unwrap();
    assert!(bytes.starts_with(b"%PDF-"));
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.trim_end().ends_with("%%EOF"));
    let boxes = text.matches("/MediaBox").count();
    assert!((2..=5).contains(&boxes), "{boxes} pages");
    assert_eq!(text.matches("595.28 841.89").count(), boxes);
    assert!(text.contains("Larkfield Park"), "the title is in the metadata");
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
        let table = &sheet[..sheet.find("<h2>Desk").unwrap()];
        for (camera, post) in demo().venue.cameras.iter().enumerate() {
            let own = operator.cameras.contains(&camera);
            assert_eq!(table.contains(&post.name), own, "{} {}", operator.name, post.name);
        }
        let mine = demo().brief.cues.iter().filter(|c| c.operators.contains(&index)).count();
        let all = &sheet[sheet.find("All cues").unwrap()..];
        assert_eq!(all.matches("<tr><td class=\"strong\">").count(), mine);
    }
}

#[test]
fn names_from_the_file_are_text_in_every_page() {
    let mut venue = demo().venue.clone();
    venue.title = "</script><img src=x onerror=a()>".into();
    venue.cameras[0].name = "\"><svg onload=a()>".into();
    let told = Told { venue: &venue, ..told() };
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
    for words in ["What to set", "operator A: ", "First for the hands", "cues are in the files"] {
        assert!(text.contains(words), "{words}:\n{text}");
    }
}
