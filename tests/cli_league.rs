//! `quarterstop league`: parts by themselves, whole and together, and what is made of them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command as Process, Stdio};
use std::thread::sleep;
use std::time::Duration;

use assert_cmd::Command;
use assert_cmd::cargo::cargo_bin;
use predicates::prelude::*;
use tempfile::TempDir;

use crate::{league_support, weather_support};

/// Two grounds, two months, few starts: what is looked at is the parts.
const SPAN: [&str; 12] = [
    "--first-month",
    "2027-03",
    "--last-month",
    "2027-04",
    "--from-time",
    "13:00",
    "--to-time",
    "19:00",
    "--every-min",
    "180",
    "--step",
    "60",
];
const PARTS: [&str; 4] = [
    "venue=analemma/month=2027-03",
    "venue=analemma/month=2027-04",
    "venue=gnomon/month=2027-03",
    "venue=gnomon/month=2027-04",
];

struct Grounds {
    home: TempDir,
    venues: Vec<PathBuf>,
}

fn grounds() -> Grounds {
    let home = TempDir::new().unwrap();
    let venues = [0, 6].map(|ground| {
        let file = home.path().join(league_support::file(ground));
        fs::write(&file, league_support::venue(ground)).unwrap();
        file
    });
    Grounds { venues: venues.into(), home }
}

impl Grounds {
    fn words(&self, into: &str) -> Vec<String> {
        let mut words = vec!["league".to_owned()];
        words.extend(self.venues.iter().map(|path| path.display().to_string()));
        words.extend(SPAN.map(str::to_owned));
        words.extend(["--into".to_owned(), self.folder(into).display().to_string()]);
        words
    }

    fn folder(&self, folder: &str) -> PathBuf {
        self.home.path().join(folder)
    }

    fn run(&self, into: &str) -> Command {
        let mut command = Command::cargo_bin("quarterstop").unwrap();
        command.args(self.words(into));
        command
    }
}

/// Every file under a folder with its bytes.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(next).unwrap().map(|entry| entry.unwrap().path()) {
            if entry.is_dir() {
                open.push(entry);
            } else {
                let name = entry.strip_prefix(folder).unwrap().to_owned();
                found.insert(name, fs::read(entry).unwrap());
            }
        }
    }
    found
}

/// Workers of their own with other numbers of threads, one of them killed at its work: the
/// same bytes as those of one run.
#[test]
fn parts_of_workers_that_are_killed_equal_those_of_one_run() {
    let grounds = grounds();
    grounds.run("one").env("RAYON_NUM_THREADS", "1").assert().success();
    let list = grounds.run("many").arg("--parts").assert().success();
    let list = String::from_utf8(list.get_output().stdout.clone()).unwrap();
    assert_eq!(list.lines().collect::<Vec<_>>(), PARTS);
    // killed at once, and after a moment
    for wait in [0, 300] {
        let mut worker = Process::new(cargo_bin("quarterstop"))
            .args(grounds.words("many"))
            .args(["--part", PARTS[0], "--part", PARTS[1]])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        sleep(Duration::from_millis(wait));
        worker.kill().unwrap();
        worker.wait().unwrap();
    }
    // what is left is whole or absent
    let one = files(&grounds.folder("one"));
    let parts = |all: BTreeMap<PathBuf, Vec<u8>>| -> BTreeMap<PathBuf, Vec<u8>> {
        all.into_iter().filter(|(name, _)| name.ends_with("part.parquet")).collect()
    };
    if grounds.folder("many").exists() {
        for (name, bytes) in parts(files(&grounds.folder("many"))) {
            assert_eq!(Some(&bytes), one.get(&name), "{}", name.display());
        }
    }
    for part in PARTS.iter().rev() {
        grounds.run("many").args(["--part", part]).assert().success();
    }
    grounds.run("many").arg("--parts").assert().success().stdout("");
    let again = grounds.run("many").args(["--part", PARTS[2]]).assert().success();
    again.stdout("0 parts worked out, 1 there before\n");
    grounds.run("many").assert().success();
    let many = files(&grounds.folder("many"));
    assert_eq!(one.keys().collect::<Vec<_>>(), many.keys().collect::<Vec<_>>());
    for (name, bytes) in &one {
        assert!(many.get(name) == Some(bytes), "{} differs", name.display());
    }
    assert_eq!(one.len(), PARTS.len() + 2);
}

/// The recipe of the guide: GNU parallel with two workers, each killed once at its work and
/// started anew. Without `parallel` it says so and passes, unless the variable `CI` is set.
#[test]
fn gnu_parallel_spreads_parts_over_workers_that_are_killed() {
    let there = Process::new("parallel").arg("--version").stderr(Stdio::null()).output();
    if !there.is_ok_and(|told| told.status.success()) {
        assert!(std::env::var_os("CI").is_none(), "GNU parallel is not installed");
        println!("skipped: no GNU parallel");
        return;
    }
    let grounds = grounds();
    grounds.run("one").assert().success();
    let list = grounds.run("many").arg("--parts").assert().success();
    let parts = grounds.home.path().join("parts.txt");
    fs::write(&parts, &list.get_output().stdout).unwrap();
    let words: Vec<String> = grounds.words("many").iter().map(|w| format!("'{w}'")).collect();
    let tool = cargo_bin("quarterstop");
    let ask = format!("'{}' {}", tool.display(), words.join(" "));
    let tried = grounds.home.path().join("tried").display().to_string();
    let worker = format!(
        "if [ -e '{tried}-{{#}}' ]; then exec {ask} --part {{}}; fi; touch '{tried}-{{#}}'; \
         {ask} --part {{}} & sleep 0.2; kill -9 $!; exit 1"
    );
    let told = Process::new("parallel")
        .args(["--jobs", "2", "--retries", "3", &worker, "::::"])
        .arg(&parts)
        .env("RAYON_NUM_THREADS", "1")
        .env("PARALLEL_SHELL", "/bin/sh")
        .output()
        .unwrap();
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let killed = fs::read_dir(grounds.home.path()).unwrap().flatten();
    let killed = killed.filter(|e| e.file_name().to_string_lossy().starts_with("tried-"));
    assert_eq!(killed.count(), PARTS.len());
    grounds.run("many").assert().success();
    assert!(files(&grounds.folder("one")) == files(&grounds.folder("many")), "files differ");
}

/// A part is the same in a longer span, and rows are those of `starts`.
#[test]
fn rows_are_those_of_starts_and_sums_are_those_of_rows() {
    let grounds = grounds();
    grounds.run("all").assert().success();
    let mut reader = csv::Reader::from_path(grounds.folder("all").join("league.csv")).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    // two grounds, two months, three starts
    assert_eq!(rows.len(), 12);
    for row in &rows {
        let number = |place: usize| row[place].parse::<u32>().unwrap();
        let days = if &row[1] == "3" { 31 } else { 30 };
        assert_eq!(number(3), days, "{row:?}");
        assert_eq!(number(4) + number(5) + number(6) + number(12), days, "{row:?}");
        // the sun is up for all play from 13:00 on; at the start of that from 19:00 on it is
        // down in March, and there are no floodlights
        match (&row[2], &row[1]) {
            ("13:00", _) => assert_eq!(number(12), 0, "{row:?}"),
            ("19:00", "3") => assert_eq!(number(12), days, "{row:?}"),
            _ => {}
        }
    }
    // the same starts by the other command, every day of April
    let into = grounds.folder("starts");
    Command::cargo_bin("quarterstop")
        .unwrap()
        .arg("starts")
        .arg(&grounds.venues[0])
        .args(["--date", "2027-04-01", "--last-date", "2027-04-30", "--every-days", "1"])
        .args(["--from-time", "13:00", "--to-time", "19:00", "--every-min", "180"])
        .args(["--step", "60", "--planned", "13:00", "--into"])
        .arg(&into)
        .assert()
        .success();
    let mut starts = csv::Reader::from_path(into.join("starts.csv")).unwrap();
    let mut costs: BTreeMap<String, (f64, u32)> = BTreeMap::new();
    for row in starts.records().map(Result::unwrap) {
        let sum = costs.entry(row[3][11..16].to_owned()).or_default();
        *sum = (sum.0 + row[8].parse::<f64>().unwrap(), sum.1 + 1);
    }
    assert_eq!(costs.len(), 3);
    for (start, (sum, days)) in costs {
        let row = rows
            .iter()
            .find(|r| r[0] == league_support::title(0) && &r[1] == "4" && r[2] == start)
            .unwrap();
        let mean = sum / f64::from(days);
        // costs of the CSV have three decimals
        assert!((row[7].parse::<f64>().unwrap() - mean).abs() < 0.0011, "{row:?} {mean}");
    }
}

#[test]
fn other_inputs_damage_and_unknown_parts_are_refused() {
    let grounds = grounds();
    grounds.run("kept").args(["--part", PARTS[2]]).assert().success();
    grounds
        .run("kept")
        .args(["--part", "venue=gnomon/month=2027-05", "--part", "all"])
        .assert()
        .code(2)
        .stderr(
            predicate::str::contains("no part \"venue=gnomon/month=2027-05\"")
                .and(predicate::str::contains("no part \"all\"")),
        );
    let file = grounds.folder("kept").join("starts").join(PARTS[2]).join("part.parquet");
    let bytes = fs::read(&file).unwrap();
    fs::write(&file, &bytes[..bytes.len() / 2]).unwrap();
    let told = grounds.run("kept").assert().code(2);
    told.stderr(predicate::str::contains("is damaged"));
    fs::write(&file, &bytes).unwrap();
    let venue = fs::read_to_string(&grounds.venues[1]).unwrap();
    fs::write(&grounds.venues[1], venue.replace("depth_m", "# higher\ndepth_m")).unwrap();
    grounds.run("kept").assert().success();
    fs::write(&grounds.venues[1], venue.replace("setback_m = 7.0", "setback_m = 8.0")).unwrap();
    let told = grounds.run("kept").assert().code(2);
    told.stderr(predicate::str::contains("made from another venue file"));
}

/// A list gives one ground the weather of its place: it is counted as `starts --odds` counts
/// it, beside the clear sky; the other ground's parts stay as they are without weather, byte
/// for byte.
#[test]
fn weather_of_a_place_is_counted_as_starts_counts_it() {
    let grounds = grounds();
    // sun on odd days of the year, overcast on even ones
    let weather = weather_support::year(|day, _| match day % 2 {
        1 => (900.0, 0.0),
        _ => (0.0, 10.0),
    });
    fs::write(grounds.folder("made.epw"), weather_support::text(&weather)).unwrap();
    let list = grounds.folder("grounds.csv");
    let file = |i: usize| grounds.venues[i].file_name().unwrap().to_str().unwrap().to_owned();
    fs::write(&list, format!("venue,weather\n{},made.epw\n{},\n", file(0), file(1))).unwrap();
    let listed = |into: &str| {
        let mut run = Command::cargo_bin("quarterstop").unwrap();
        run.args(["league", "--grounds"]).arg(&list).args(SPAN).arg("--into");
        run.arg(grounds.folder(into));
        run
    };
    listed("weather").assert().success().stdout(predicate::str::contains("days in ten"));
    grounds.run("clear").assert().success();
    let parts = |into: &str, venue: &str| files(&grounds.folder(into).join("starts").join(venue));
    assert_eq!(parts("weather", "venue=gnomon"), parts("clear", "venue=gnomon"));
    assert_ne!(parts("weather", "venue=analemma"), parts("clear", "venue=analemma"));
    let rows = |into: &str| -> Vec<csv::StringRecord> {
        let path = grounds.folder(into).join("league.csv");
        csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
    };
    let (with, without) = (rows("weather"), rows("clear"));
    for (one, other) in with.iter().zip(&without) {
        assert!(one.iter().take(9).eq(other.iter().take(9)), "{one:?} {other:?}");
        assert_eq!(one[9].is_empty(), one[0] == league_support::title(6), "{one:?}");
        assert!(other.iter().skip(9).take(3).all(str::is_empty));
    }
    // the same by the other command
    let into = grounds.folder("starts");
    Command::cargo_bin("quarterstop")
        .unwrap()
        .arg("starts")
        .arg(&grounds.venues[0])
        .args(["--date", "2027-04-01", "--last-date", "2027-04-30", "--every-days", "1"])
        .args(["--from-time", "13:00", "--to-time", "19:00", "--every-min", "180"])
        .args(["--step", "60", "--planned", "13:00", "--odds"])
        .arg(grounds.folder("made.epw"))
        .arg("--into")
        .arg(&into)
        .assert()
        .success();
    let json = fs::read(into.join("starts.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let mut sums: BTreeMap<String, [f64; 4]> = BTreeMap::new();
    for start in json["fixtures"].as_array().unwrap().iter().flat_map(|f| f["starts"].as_array()) {
        for start in start {
            let odds = &start["with_odds"];
            let sum = sums.entry(start["start"].as_str().unwrap()[11..16].to_owned()).or_default();
            let more = [&odds["good_share"], &odds["sun_share"], &odds["cost"]["expected"]];
            sum.iter_mut().zip(more).for_each(|(sum, more)| *sum += more.as_f64().unwrap());
            sum[3] += 1.0;
        }
    }
    assert_eq!(sums.len(), 3);
    for (start, [good, sun, cost, days]) in sums {
        let own = |r: &&csv::StringRecord| r[0] == league_support::title(0) && &r[1] == "4";
        let row = with.iter().filter(own).find(|r| r[2] == start).unwrap();
        let number = |place: usize| row[place].parse::<f64>().unwrap();
        // JSON and CSV are rounded
        assert!((number(9) - 10.0 * good / days).abs() < 0.011, "{row:?} {good}");
        assert!((number(10) - sun / days).abs() < 0.0011, "{row:?} {sun}");
        assert!((number(11) - cost / days).abs() < 0.011, "{row:?} {cost}");
    }
    let page = fs::read_to_string(grounds.folder("weather").join("league.html")).unwrap();
    for said in
        ["Weather of Nowhere (", "km from the venue, hours of 2001.", "No weather was given"]
    {
        assert!(page.contains(said), "{said}");
    }
    // other weather, other rows
    let cloudy = weather_support::year(|_, _| (0.0, 10.0));
    fs::write(grounds.folder("made.epw"), weather_support::text(&cloudy)).unwrap();
    listed("weather").assert().code(2).stderr(predicate::str::contains("made from another"));
}

#[test]
fn mistakes_in_a_list_of_grounds_are_reported_together() {
    let grounds = grounds();
    let list = grounds.folder("grounds.csv");
    let told = |text: &str| {
        fs::write(&list, text).unwrap();
        let mut run = Command::cargo_bin("quarterstop").unwrap();
        run.args(["league", "--grounds"]).arg(&list).args(SPAN).arg("--into");
        let run = run.arg(grounds.folder("out")).assert().code(2);
        String::from_utf8(run.get_output().stderr.clone()).unwrap()
    };
    let error = told("venue,weather\n,a.epw\nb.toml,\nb.toml,\n");
    assert!(error.contains("2 mistakes in the list of grounds"), "{error}");
    assert!(error.contains("line 2, column venue: found \"\""), "{error}");
    assert!(error.contains("line 4, column venue: found \"b.toml\"; allowed: each ground once"));
    assert!(told("ground\na.toml\n").contains("found no column \"venue\""));
    assert!(told("venue\n").contains("no ground in it"));
    let missing = told(&format!("venue,weather\n{},none.epw\n", grounds.venues[0].display()));
    assert!(missing.contains("none.epw"), "{missing}");
    assert!(!grounds.folder("out").exists());
}
