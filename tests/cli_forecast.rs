//! `quarterstop forecast` and `brief --forecast` from end to end.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;
use serde_json::Value;
use tempfile::tempdir;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
const HOURS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-forecast.csv");

fn run(folder: &Path, words: &[&str]) -> assert_cmd::assert::Assert {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder).args(words).assert()
}

#[test]
fn the_demos_forecast_reads_as_a_crew_wants_it() {
    let home = tempdir().unwrap();
    let out = run(home.path(), &["forecast", DEMO, HOURS, "--into", "out"]).success();
    out.stdout(
        contains("6 members side by side")
            .and(contains("changes an hour"))
            .and(contains("Ready for either"))
            .and(contains("Never look at the sun")),
    );
    let json = fs::read(home.path().join("out/forecast.json")).unwrap();
    let json: Value = serde_json::from_slice(&json).unwrap();
    assert!(jsonschema::is_valid(&quarterstop::jobs::forecast::report::data::schema(), &json));
    assert_eq!(json["gaps"], serde_json::json!([]));
    assert_eq!(json["ready"].as_array().unwrap().len(), 10);
    for stretch in json["stretches"].as_array().unwrap() {
        let number = |key: &str| stretch[key].as_f64().unwrap();
        assert!(number("sun_10") <= number("sun") && number("sun") <= number("sun_90"));
    }
    let csv = fs::read(home.path().join("out/forecast.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_slice());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let venue = quarterstop::venue::read(Path::new(DEMO)).unwrap();
    assert_eq!(header, quarterstop::jobs::forecast::report::table::header(&venue));
    let column = |name: &str| header.iter().position(|n| n == name).unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let share = |name: &str| row[column(name)].parse::<f64>().unwrap();
        let all = ["clear", "thin", "gap", "cumulus", "overcast"].map(share);
        assert!((all.iter().sum::<f64>() - 1.0).abs() < 0.003);
        assert!((share("sun") - all[..3].iter().sum::<f64>()).abs() < 0.003);
    }
}

#[test]
fn the_brief_carries_what_the_forecast_says() {
    let home = tempdir().unwrap();
    let words = ["brief", DEMO, "--forecast", HOURS, "--step", "5", "--into", "out"];
    run(home.path(), &words).success();
    let file = |name: &str| fs::read_to_string(home.path().join("out").join(name)).unwrap();
    let cues = file("cues.csv");
    let said: Vec<&str> = cues.lines().filter(|l| l.contains("forecast: sun ")).collect();
    assert!(!said.is_empty());
    assert!(said.iter().all(|line| line.contains(",forecast,")), "{said:?}");
    let json: Value = serde_json::from_str(&file("brief.json")).unwrap();
    assert!(jsonschema::is_valid(&quarterstop::jobs::brief::report::data::schema(), &json));
    let day = &json["forecast"];
    // as many instants as the brief has
    let instants = json["spread"].as_array().unwrap().len();
    assert_eq!(day["minutes"].as_array().unwrap().len(), instants);
    let ready = day["ready"].as_array().unwrap();
    for camera in ready {
        // no sun in its cover at all: no T-number for it
        let t = |key: &str| camera[key].as_f64().unwrap_or(0.0);
        // evening comes on: the iris opens. Not from the start: under an overcast sky light
        // falls under the 8000 lx of the file in the first half, and floodlights come on
        assert!(0.0 < t("cloud_end_t") && t("cloud_end_t") <= t("cloud_t"), "{camera}");
        assert!(t("cloud_t") < t("sun_t").max(t("shade_t")), "{camera}");
    }
    let page = file("brief.html");
    assert!(page.contains("<h2>Forecast</h2>") && page.contains("8 members of 10"));
    assert_eq!(page.matches("under cloud T").count(), ready.len());
    assert!(file("board.html").contains("changes an hour"));
    // a sky to plan for and a forecast are two answers to one question
    let both = ["brief", DEMO, "--forecast", HOURS, "--sky", "overcast"];
    run(home.path(), &both).code(2).stderr(contains("--sky"));
}

#[test]
fn starts_are_ranked_with_the_forecast_of_their_day() {
    let home = tempdir().unwrap();
    let starts = |words: &[&str]| {
        let hours = ["--from-time", "13:30", "--every-min", "30", "--step", "10", "--into", "out"];
        run(home.path(), &[&["starts", DEMO, "--forecast", HOURS], &hours[..], words].concat())
    };
    let told = || {
        let json = fs::read(home.path().join("out/starts.json")).unwrap();
        let json: Value = serde_json::from_slice(&json).unwrap();
        assert!(jsonschema::is_valid(&quarterstop::jobs::starts::report::data::schema(), &json));
        json["fixtures"][0]["starts"].as_array().unwrap().clone()
    };
    starts(&["--to-time", "15:00"])
        .success()
        .stdout(contains("each member as likely as the others"));
    for start in told() {
        let odds = &start["with_odds"];
        assert_eq!(odds["from"], "forecast");
        let cost = |key: &str| odds["cost"][key].as_f64().unwrap();
        assert!(cost("p10") <= cost("expected") && cost("expected") <= cost("p90"));
        assert!((0.05..0.95).contains(&odds["sun_share"].as_f64().unwrap()), "{start}");
        assert!(odds["expected"]["mixed_min"].as_f64() < start["clear"]["mixed_min"].as_f64());
    }
    // one member: a cost, and no range that would say how sure it is
    let text = fs::read_to_string(HOURS).unwrap();
    let one: String = text
        .lines()
        .filter(|l| !l.contains(",member ") || l.contains(",member 1,"))
        .fold(String::new(), |all, line| all + line + "\n");
    fs::write(home.path().join("one.csv"), one).unwrap();
    let words = ["starts", DEMO, "--forecast", "one.csv", "--from-time", "15:00", "--to-time"];
    run(home.path(), &[&words[..], &["15:30", "--every-min", "30", "--into", "alone"]].concat())
        .success()
        .stdout(contains("has one member").and(contains("8 of 10").not()));
    // hours end at 19:00: a range of starts that is not told whole is not told at all
    starts(&["--to-time", "18:30"])
        .success()
        .stderr(contains("no member of the forecast has hours"))
        .stdout(contains("All for a clear sky"));
    assert!(told().iter().all(|start| start["with_odds"].is_null()));
    starts(&["--to-time", "15:00", "--date", "2027-10-23"])
        .code(2)
        .stderr(contains("says nothing about 2027-10-23"));
}

#[test]
fn forecasts_of_elsewhere_or_another_day_plan_nothing() {
    let home = tempdir().unwrap();
    let text = fs::read_to_string(HOURS).unwrap();
    let with = |name: &str, text: String| fs::write(home.path().join(name), text).unwrap();
    with("place.csv", text.replace("52.31,-0.42", "41.0,2.0"));
    with("day.csv", text.replace("2027-10-16", "2027-10-18"));
    with("percent.csv", text.replacen(",33,", ",133,", 1).replacen(",0,", ",-4,", 1));
    with("units.csv", text.replacen("cover_middle_percent", "cover_low_oktas", 1));
    let rows = text.lines().map(|line| match line.split_once(",member 2,") {
        // one of the members in shares of the sky
        Some((time, _)) => format!("{time},member 2,52.31,-0.42,0.4,0.1,0.3,5,14,8"),
        None => line.to_owned(),
    });
    with("member.csv", rows.collect::<Vec<_>>().join("\n"));
    with("night.csv", "time,global_w_m2,cover_low_percent\n2027-10-16T02:00+01:00,420,0\n".into());
    // clocks go back on 31 October: 01:30 comes twice; they go forward on 28 March
    let local = "time_local,cover_total_percent\n";
    with("autumn.csv", format!("{local}2027-10-31 01:30,50\n2027-10-31 02:30,50\n"));
    with("spring.csv", format!("{local}2027-03-28 00:30,50\n2027-03-28 01:30,50\n"));
    for (name, said) in [
        ("place.csv", "km from the venue"),
        ("day.csv", "says nothing about 2027-10-16"),
        ("percent.csv", "allowed: 0 to 100 percent"),
        ("units.csv", "each quantity once, in one unit"),
        ("member.csv", "cover_low_percent of member 2, 0.4 at most"),
        ("night.csv", "420 W/m2 with the sun"),
        ("autumn.csv", "which comes twice in Europe/London"),
        ("spring.csv", "which Europe/London skips"),
        ("none.csv", "cannot read"),
    ] {
        let out = run(home.path(), &["forecast", DEMO, name, "--into", "out"]);
        out.code(2).stderr(contains(said));
        assert!(!home.path().join("out").exists(), "{name}");
    }
}

/// Days of 25 and of 23 hours are planned where their times are plain.
#[test]
fn days_on_which_clocks_change_are_planned() {
    let home = tempdir().unwrap();
    let hours = |from: &str, count: i64| {
        let first = chrono::DateTime::parse_from_rfc3339(from).unwrap().to_utc();
        let row = |h| format!("{},50\n", (first + chrono::TimeDelta::hours(h)).to_rfc3339());
        let rows: String = (0..count).map(row).collect();
        format!("time,cover_total_percent\n{rows}")
    };
    for (date, text) in [
        ("2027-10-31", hours("2027-10-30T23:00:00Z", 25)),
        ("2027-03-28", hours("2027-03-28T00:00:00Z", 23)),
    ] {
        fs::write(home.path().join("day.csv"), text).unwrap();
        let words = ["forecast", DEMO, "day.csv", "--date", date, "--into", "out"];
        run(home.path(), &words).success().stdout(contains("one member"));
        let json = fs::read(home.path().join("out/forecast.json")).unwrap();
        let json: Value = serde_json::from_slice(&json).unwrap();
        assert_eq!(json["gaps"], serde_json::json!([]), "{date}");
    }
}
