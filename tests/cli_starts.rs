//! `quarterstop starts`, the binary itself, and the files it writes read back.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use render_support::marks::assert_picture_file;
use tempfile::TempDir;
use weather_support::{text, year};

use crate::{render_support, weather_support};
use quarterstop::jobs::starts::report::{data, table};
use quarterstop::output::table::ColumnDoc;

const FOOTBALL: &str = "venues/football-demo.toml";

fn starts(into: &Path) -> Command {
    let mut command = Command::cargo_bin("quarterstop").unwrap();
    command.args(["starts", "--step", "15", "--into"]).arg(into);
    command
}

fn names(columns: &[ColumnDoc]) -> Vec<String> {
    columns.iter().map(|column| column.name.clone()).collect()
}

fn header_and_rows(file: &Path) -> (Vec<String>, Vec<csv::StringRecord>) {
    let mut reader = csv::Reader::from_path(file).unwrap();
    let header = reader.headers().unwrap().iter().map(str::to_owned).collect();
    (header, reader.records().map(|r| r.unwrap()).collect())
}

#[test]
fn one_day_is_ranked_with_every_file() {
    let folder = TempDir::new().unwrap();
    let run = starts(folder.path())
        .args([FOOTBALL, "--from-time", "13:00", "--to-time", "18:00", "--every-min", "60"])
        .assert()
        .success()
        .stdout(predicate::str::contains("All for a clear sky: no weather file was given"))
        .stdout(predicate::str::contains("Cautions"))
        .stderr("");
    let told = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    assert!(!told.contains(".."), "{told}");
    let (header, rows) = header_and_rows(&folder.path().join("starts.csv"));
    assert_eq!(header, names(&table::start_columns()));
    // 13:00 to 18:00 by the hour; the start of the venue file, 15:00, is one of them
    let starts: Vec<&str> = rows.iter().map(|row| &row[3][11..16]).collect();
    assert_eq!(starts, ["13:00", "14:00", "15:00", "16:00", "17:00", "18:00"]);
    let planned: Vec<&str> =
        rows.iter().filter(|r| &r[6] == "yes").map(|r| &r[3][11..16]).collect();
    assert_eq!(planned, ["15:00"]);
    let mut ranks: Vec<usize> = rows.iter().map(|r| r[7].parse().unwrap()).collect();
    let cost = |row: &csv::StringRecord| row[8].parse::<f64>().unwrap();
    let best = rows.iter().min_by(|a, b| cost(a).total_cmp(&cost(b))).unwrap();
    assert_eq!(&best[7], "1");
    ranks.sort_unstable();
    assert!(ranks.iter().copied().eq(1..=rows.len()));
    let (header, season) = header_and_rows(&folder.path().join("season.csv"));
    assert_eq!(header, names(&table::fixture_columns()));
    assert_eq!(season.len(), 1);
    // the best is one of the equally good, and costs no more than these may
    let named = rows.iter().find(|row| row[3] == season[0][6]).unwrap();
    assert!(cost(named) <= cost(best) + 0.5, "{named:?}");
    let clock = |row: &csv::StringRecord| row[3][11..16].to_owned();
    let runs: Vec<(&str, &str)> =
        season[0][13].split(';').map(|run| run.split_once('-').unwrap()).collect();
    let good = |time: &str| runs.iter().any(|(from, until)| (*from..=*until).contains(&time));
    for row in &rows {
        assert_eq!(good(&clock(row)), cost(row) <= cost(best) + 0.5, "{row:?}");
    }
    assert_eq!((&season[0][14], &season[0][15]), ("yes", ""));
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(folder.path().join("starts.json")).unwrap()).unwrap();
    let validator = jsonschema::validator_for(&data::schema()).unwrap();
    assert!(validator.is_valid(&json));
    assert_eq!(json["fixtures"][0]["best_start"], season[0][6]);
    assert_picture_file(folder.path(), "starts.svg");
    // nothing unfinished is left
    assert!(
        fs::read_dir(folder.path())
            .unwrap()
            .flatten()
            .all(|e| !e.file_name().to_string_lossy().starts_with('.'))
    );
}

#[test]
fn a_list_over_two_venues_makes_a_season_with_odds() {
    let folder = TempDir::new().unwrap();
    let root = std::env::current_dir().unwrap();
    let rows: String = [
        ("2027-04-10", FOOTBALL, "12:00", "18:00", "", "free", "15:00", "Round <1>"),
        ("2027-04-17", FOOTBALL, "15:00", "", "105", "fixed", "", "Round 2, \"derby\""),
        ("2027-06-20", "venues/tennis-demo.toml", "10:00", "13:00", "", "free", "", "Final"),
    ]
    .iter()
    .map(|(date, venue, from, to, minutes, start, planned, name)| {
        let name = name.replace('"', "\"\"");
        format!(
            "{date},{},{from},{to},{minutes},{start},{planned},\"{name}\"\r\n",
            root.join(venue).display()
        )
    })
    .collect();
    let list = folder.path().join("list.csv");
    fs::write(
        &list,
        format!("date,venue,earliest,latest,duration_min,start,planned,fixture\r\n{rows}"),
    )
    .unwrap();
    let weather = folder.path().join("made.epw");
    fs::write(
        &weather,
        text(&year(|day, _| if day % 3 == 0 { (0.0, 10.0) } else { (900.0, 0.0) })),
    )
    .unwrap();
    let into = folder.path().join("season");
    let run = || {
        let mut command = starts(&into);
        command
            .arg("--fixtures")
            .arg(&list)
            .arg("--odds")
            .arg(&weather)
            .args(["--every-min", "60"]);
        let run = command.assert().success();
        let told = String::from_utf8(run.get_output().stderr.clone()).unwrap();
        let warnings = told.lines().filter_map(|line| line.strip_prefix("warning: "));
        warnings.map(str::to_owned).collect::<Vec<String>>()
    };
    let warnings = run();
    assert!(warnings.iter().any(|w| w.contains("km from the venue")), "{warnings:?}");
    let (_, season) = header_and_rows(&into.join("season.csv"));
    assert_eq!(season.len(), 3);
    assert_eq!(&season[1][0], "Round 2, \"derby\"");
    assert_eq!((&season[1][3], &season[1][4], &season[1][8]), ("fixed", &season[1][6], "0.000"));
    let (_, rows) = header_and_rows(&into.join("starts.csv"));
    assert_eq!(rows.len(), 7 + 1 + 4);
    for row in &rows {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        assert!(number(9) <= number(10) && (0.0..=1.0).contains(&number(12)), "{row:?}");
    }
    let page = fs::read_to_string(into.join("season.html")).unwrap();
    assert!(page.contains("Round &lt;1&gt;") && !page.contains("Round <1>"));
    for outside in ["http:", "https:", "src=", "<script", "@import", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
    assert_eq!(page.matches("<td class=\"date\">").count(), 3);
    // a card each, with the field at three moments as planned and as proposed
    assert_eq!(page.matches("<article").count(), 3);
    let (pictures, proposed) = (page.matches("<svg").count(), page.matches("proposed: ").count());
    assert_eq!(pictures, 3 * (3 + proposed));
    assert_eq!(page.matches("Fixed at ").count(), 1);
    assert_eq!(page.matches("Move to ").count() + page.matches("Stay at ").count(), 2);
    assert!(page.contains(" days of 10"));
    // the distance of the weather, and each warning of the terminal
    assert_eq!(page.matches("km from the venue, hours of 2001</p>").count(), 2);
    let plain = page.replace("&#x2f;", "/").replace("&#x27;", "'");
    for warning in &warnings {
        assert!(plain.contains(warning.as_str()), "{warning}");
    }
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(into.join("starts.json")).unwrap()).unwrap();
    assert_eq!(json["warnings"].as_array().unwrap().len(), warnings.len());
    let km: Vec<f64> = season.iter().map(|row| row[15].parse().unwrap()).collect();
    assert!(km.iter().all(|km| *km > 0.0) && km.iter().any(|km| *km > 50.0), "{km:?}");
    calendar(&into.join("season.ics"));
    // the same again gives the same files, but for the stamp of the calendar
    let before: Vec<Vec<u8>> = ["starts.csv", "season.csv", "starts.json", "season.html"]
        .map(|name| fs::read(into.join(name)).unwrap())
        .into();
    run();
    for (name, before) in
        ["starts.csv", "season.csv", "starts.json", "season.html"].iter().zip(before)
    {
        assert!(fs::read(into.join(name)).unwrap() == before, "{name}");
    }
}

/// Read back by another crate (`ical`), which holds the text to RFC 5545.
fn calendar(file: &Path) {
    let text = fs::read(file).unwrap();
    let calendar = ical::IcalParser::new(text.as_slice()).next().unwrap().unwrap();
    assert_eq!(calendar.events.len(), 3);
    let mut uids = std::collections::HashSet::new();
    for event in &calendar.events {
        let value = |name: &str| {
            let found = event.properties.iter().find(|p| p.name == name);
            found.and_then(|p| p.value.clone()).unwrap_or_else(|| panic!("no {name}"))
        };
        assert!(uids.insert(value("UID")));
        assert!(value("DTSTART").ends_with('Z') && value("DTEND") > value("DTSTART"));
        let notes = value("DESCRIPTION");
        assert!(notes.contains("orst moment") || notes.contains("No split in shot"), "{notes}");
        assert!(notes.contains("Sun to be expected for"), "{notes}");
    }
    assert_eq!(
        calendar.events[0]
            .properties
            .iter()
            .find(|p| p.name == "SUMMARY")
            .unwrap()
            .value
            .as_deref(),
        Some("Round <1>")
    );
}

/// Under rules the calendar keeps every planned start and has each proposed one beside it,
/// tentative and without taking up time (RFC 5545, 3.8.1.11 and 3.8.2.7); a proposal that is
/// gone is cancelled, a planned start is not. Read by the crate `icalendar`.
#[test]
fn the_calendar_has_proposed_starts_beside_the_planned_ones() {
    use icalendar::Component;
    let folder = TempDir::new().unwrap();
    let (list, rules) = (folder.path().join("list.csv"), folder.path().join("rules.toml"));
    let head = "date,venue,earliest,latest,duration_min,start,planned,fixture";
    let demo = fs::canonicalize(FOOTBALL).unwrap().display().to_string();
    let rows = format!(
        "{head}\n2027-04-10,{demo},12:00,18:00,,free,13:00,Round 1\n\
         2027-04-11,{demo},15:00,,,fixed,,Round 2\n"
    );
    fs::write(&list, rows).unwrap();
    let into = folder.path().join("season");
    let made = |first: &str| {
        fs::write(&rules, format!("[[hours]]\nfirst_start = \"{first}\"\n")).unwrap();
        let mut run = starts(&into);
        run.arg("--fixtures").arg(&list).arg("--rules").arg(&rules);
        run.args(["--every-min", "60"]).assert().success();
        let text = fs::read_to_string(into.join("season.ics")).unwrap();
        let calendar: icalendar::Calendar = text.parse().unwrap();
        let one = |event: &icalendar::Event| {
            let value = |name: &str| event.property_value(name).unwrap_or("").to_owned();
            let summary = event.get_summary().unwrap().to_owned();
            (summary, value("DTSTART"), value("STATUS"), value("TRANSP"), value("UID"))
        };
        calendar.components.iter().filter_map(|c| c.as_event()).map(one).collect::<Vec<_>>()
    };
    // nothing before 15:00: the first round moves, by the season's table
    let events = made("15:00");
    let (_, season) = header_and_rows(&into.join("season.csv"));
    let utc = |text: &str| {
        let at = chrono::DateTime::parse_from_rfc3339(text).unwrap();
        at.to_utc().format("%Y%m%dT%H%M%SZ").to_string()
    };
    let told: Vec<[&str; 4]> = events.iter().map(|e| [&*e.0, &*e.1, &*e.2, &*e.3]).collect();
    assert_eq!(
        told,
        [
            ["Round 1", &utc(&season[0][4]), "", "OPAQUE"],
            ["Proposed: Round 1", &utc(&season[0][18]), "TENTATIVE", "TRANSPARENT"],
            ["Round 2", &utc(&season[1][4]), "", "OPAQUE"],
        ]
    );
    assert_ne!(season[0][4], season[0][18]);
    // planned where the season has it: the proposal is gone
    let agreed = fs::read_to_string(&list).unwrap().replace("13:00", &season[0][18][11..16]);
    fs::write(&list, agreed).unwrap();
    let later = made("15:00");
    assert_eq!(later.len(), 3);
    let gone = later.iter().find(|e| e.2 == "CANCELLED").unwrap();
    assert_eq!((&gone.0, &gone.4), (&events[1].0, &events[1].4));
    assert_eq!(later[0].4, events[0].4);
}

/// What is planned is what was asked, also off the range, and the best is one of the
/// range.
#[test]
fn a_planned_start_off_the_range_is_worked_out() {
    let folder = TempDir::new().unwrap();
    starts(folder.path())
        .args([FOOTBALL, "--from-time", "12:00", "--to-time", "13:00", "--planned", "18:00"])
        .args(["--every-min", "30"])
        .assert()
        .success()
        .stdout(predicate::str::contains("18:00*"))
        .stdout(predicate::str::contains("planned, outside of the starts asked for"));
    let (_, season) = header_and_rows(&folder.path().join("season.csv"));
    assert_eq!((&season[0][4][11..16], &season[0][14]), ("18:00", "no"));
    assert!(["12:00", "12:30", "13:00"].contains(&&season[0][6][11..16]));
    let (_, rows) = header_and_rows(&folder.path().join("starts.csv"));
    assert_eq!(rows.len(), 4);
    assert_eq!((&rows[3][6], &rows[3][7]), ("yes", ""));
    let page = fs::read_to_string(folder.path().join("season.html")).unwrap();
    assert!(page.contains("<small>outside</small>") && page.contains("Outside: "));
}

/// A list as some spreadsheets write it, and a fixed start that is planned elsewhere.
#[test]
fn lists_with_other_separators_get_one_error() {
    let folder = TempDir::new().unwrap();
    let list = folder.path().join("list.csv");
    let head = "date,venue,earliest,latest,duration_min,start,planned";
    for (sign, words) in [(";", "semicolons"), ("\t", "tabs")] {
        let text = format!("{head}\n2027-04-10,a.toml,12:00,18:00,,free,\n").replace(',', sign);
        fs::write(&list, text).unwrap();
        starts(&folder.path().join("out"))
            .arg("--fixtures")
            .arg(&list)
            .assert()
            .code(2)
            .stderr(predicate::str::contains("1 mistake in the list of fixtures"))
            .stderr(predicate::str::contains(format!("found {words} between columns")));
    }
    fs::write(&list, format!("{head}\n2027-04-10,a.toml,12:00,,,fixed,15:00\n")).unwrap();
    starts(&folder.path().join("out")).arg("--fixtures").arg(&list).assert().code(2).stderr(
        predicate::str::contains(
            "column planned: found \"15:00\"; allowed: for a fixed start empty, or the same",
        ),
    );
}

#[test]
fn mistakes_are_told_together_and_leave_with_2() {
    let folder = TempDir::new().unwrap();
    let list = folder.path().join("list.csv");
    fs::write(
        &list,
        "date,venue,earliest,latest,duration_min,start\r\n\
         2027-02-30,a.toml,12:00,18:00,,free\r\n2027-04-10,,25:00,18:00,3,maybe\r\n",
    )
    .unwrap();
    let into = folder.path().join("out");
    starts(&into)
        .arg("--fixtures")
        .arg(&list)
        .assert()
        .code(2)
        .stderr(predicate::str::contains("5 mistakes in the list of fixtures"))
        .stderr(predicate::str::contains("line 2, column date: found \"2027-02-30\""))
        .stderr(predicate::str::contains(
            "line 3, column start: found \"maybe\"; allowed: fixed or free",
        ));
    starts(&into)
        .args([FOOTBALL, "--from-time", "18:00", "--to-time", "12:00"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("before the earliest"));
    starts(&into).assert().code(2).stderr(predicate::str::contains("VENUE"));
    assert!(!into.exists());
    fs::write(&list, "date,venue,earliest,latest,duration_min,start\n2027-04-10,a.toml,12:00,18:00,,free\n2027-04-10,b.toml,12:00,18:00,,free\n").unwrap();
    starts(&into)
        .arg("--fixtures")
        .arg(&list)
        .assert()
        .code(2)
        .stderr(predicate::str::contains("a.toml").and(predicate::str::contains("b.toml")))
        .stderr(predicate::str::contains("list.csv`, line 2, column venue: "))
        .stderr(predicate::str::contains("list.csv`, line 3, column venue: "));
    // one file that many rows name is told once
    let row = "2027-04-10,a.toml,12:00,18:00,,free\n";
    fs::write(&list, format!("date,venue,earliest,latest,duration_min,start\n{}", row.repeat(9)))
        .unwrap();
    starts(&into).arg("--fixtures").arg(&list).assert().code(2).stderr(
        predicate::str::contains("lines 2, 3, 4, 5, 6, 7 and 3 more, column venue: ")
            .and(predicate::str::contains("a.toml").count(1)),
    );
}

/// Play that outlasts the sun says so, and what lights it. Sunset at 47.62 degrees north, 16.88
/// degrees east on 19 June is a little before 21:00 CEST by the sunrise equation (Meeus,
/// "Astronomical Algorithms", chapter 15): play of 150 min at 19:00 ends after it, at 16:00 not.
#[test]
fn play_after_sunset_says_that_it_needs_floodlights() {
    let folder = TempDir::new().unwrap();
    let run = |venue: &Path, time: &str| {
        let into = folder.path().join(time.replace(':', ""));
        let run = starts(&into)
            .arg(venue)
            .args(["--from-time", time, "--to-time", time, "--planned", time])
            .args(["--duration-min", "150"])
            .assert()
            .success();
        let text = String::from_utf8(run.get_output().stdout.clone()).unwrap();
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let page = fs::read_to_string(into.join("season.html")).unwrap();
        let feed = fs::read_to_string(into.join("season.ics")).unwrap().replace("\r\n ", "");
        (text, page, feed)
    };
    let court = Path::new("venues/tennis-demo.toml");
    let (text, page, feed) = run(court, "19:00");
    let needs = "after sunset: floodlights are needed, and the venue file states none";
    assert!(text.contains("Play at 19:00 ends ") && text.contains(needs), "{text}");
    assert!(page.contains(needs) && feed.contains("after sunset"), "{feed}");
    assert!(page.contains("dark without floodlights") && !page.contains("planned: good light"));
    let (text, page, feed) = run(court, "16:00");
    assert!([&text, &page, &feed].iter().all(|t| !t.contains("sunset")), "{text}");
    assert!(!page.contains("dark without floodlights"));
    let lit = folder.path().join("lit.toml");
    let lights = "\n[floodlights]\nhorizontal_lx = 1500.0\nvertical_lx = 1200.0\n\
                  colour_temperature_k = 5600.0\non = \"always\"\n";
    fs::write(&lit, fs::read_to_string(court).unwrap() + lights).unwrap();
    let (text, page, _) = run(&lit, "19:00");
    assert!(text.contains("the venue's floodlights are needed"), "{text}");
    assert!(!page.contains("dark without floodlights"));
}

/// Starts on a court without floodlights, 150 minutes of play each. The sun sets at 18:57 there:
/// hour angle 91.9 degrees at 0.6 degrees of declination for 0.83 degrees under the horizon
/// (Meeus, "Astronomical Algorithms", chapter 15; declination and equation of time from memory),
/// give or take two minutes. Minutes after that cost, and no start with any is the best.
#[test]
fn play_in_the_dark_costs_by_the_minute() {
    let folder = TempDir::new().unwrap();
    let court = folder.path().join("court.toml");
    fs::write(&court, crate::lens_ends::COURT).unwrap();
    let into = folder.path().join("out");
    let mut run = Command::cargo_bin("quarterstop").unwrap();
    let run = run.arg("starts").arg(&court).args(["--step", "1", "--every-min", "30", "--into"]);
    let run = run.arg(&into).assert().success();
    let text = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let (header, rows) = header_and_rows(&into.join("starts.csv"));
    let column = |name: &str| header.iter().position(|known| known == name).unwrap();
    let (at, dark, cost) = (column("start"), column("dark_min"), column("cost"));
    let number = |row: &csv::StringRecord, place: usize| row[place].parse::<f64>().unwrap();
    assert!(rows.len() > 12, "{}", rows.len());
    for row in &rows {
        let clock = |place: usize| row[at][place..place + 2].parse::<f64>().unwrap();
        let start_min = 60.0 * clock(11) + clock(14);
        let by_hand = (start_min + 150.0 - (18.0 * 60.0 + 57.0)).clamp(0.0, 150.0);
        assert!((number(row, dark) - by_hand).abs() <= 2.0, "{row:?} {by_hand}");
        assert!(number(row, cost) >= 2.0 * number(row, dark), "{row:?}");
    }
    let best = rows.iter().min_by(|a, b| number(a, cost).total_cmp(&number(b, cost))).unwrap();
    assert_eq!(number(best, dark), 0.0, "{best:?}");
    let latest = rows.iter().map(|row| number(row, dark)).fold(0.0, f64::max);
    assert_eq!(latest, 150.0);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("with the sun down and no floodlights lit"), "{text}");
    let json = fs::read(into.join("starts.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    assert!(json.to_string().contains("\"dark_min\":150.0"), "{json}");
}
