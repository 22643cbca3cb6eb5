//! `quarterstop year` as the real binary: files, shards, going on after a stop.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use bytes::Bytes;
use chrono::{DateTime, Utc};
use parquet::file::reader::{FileReader, SerializedFileReader};
use predicates::prelude::*;
use predicates::str::contains;

use quarterstop::jobs::year::report::{ColumnContent, YearTable, columns, read};

const DEMO: &str = "venues/tennis-demo.toml";
const SPAN: [&str; 6] = ["--first-date", "2027-03-26", "--last-date", "2027-04-02", "--step", "20"];

fn year(into: &Path, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.env_remove("NO_COLOR").args(["year", DEMO]).args(SPAN).args(more);
    command.arg("--into").arg(into);
    command
}

/// The folder of a month in the data set.
fn month(folder: &Path, month: &str) -> PathBuf {
    folder.join("instants/venue=tennis-demo").join(format!("month={month}"))
}

fn blocks(folder: &Path) -> Vec<PathBuf> {
    let entries = |path: &PathBuf| fs::read_dir(path).into_iter().flatten();
    let months = ["2027-03", "2027-04"].map(|name| month(folder, name));
    let files = months.iter().flat_map(entries).map(|entry| entry.unwrap().path());
    let mut blocks: Vec<PathBuf> =
        files.filter(|path| path.extension().is_some_and(|e| e == "parquet")).collect();
    blocks.sort();
    blocks
}

/// All rows of a folder's blocks, in order of time.
fn rows(folder: &Path) -> YearTable {
    let venue = quarterstop::venue::read(Path::new(DEMO)).unwrap();
    let mut all = YearTable::new(columns(&venue));
    for path in blocks(folder) {
        all.join(read(Bytes::from(fs::read(path).unwrap()), &all.columns).unwrap());
    }
    all.sort();
    all
}

#[test]
fn shards_put_together_are_the_whole_bit_for_bit() {
    let folder = tempfile::tempdir().unwrap();
    let [whole, parts] = ["whole", "parts"].map(|name| folder.path().join(name));
    year(&whole, &[])
        .assert()
        .success()
        .stdout(contains("8 of 8 days worked out now").and(contains("Never look at the sun")))
        .stderr("");
    for shard in ["3/3", "1/3"] {
        let not_yet = contains("days are not in").and(contains("year.csv").not());
        year(&parts, &["--shard", shard]).assert().success().stdout(not_yet);
    }
    year(&parts, &["--shard", "2/3"]).assert().success().stdout(contains("year.csv"));
    // shards of March and of April; the first has no day of April left
    assert_eq!(blocks(&parts).len(), 5);
    let (one, other) = (rows(&whole), rows(&parts));
    // the European clock change of 28 March 2027 takes an hour
    assert_eq!(one.len(), 8 * 72 - 3);
    assert_eq!(one, other);
    let csv = |folder: &Path| fs::read(folder.join("year.csv")).unwrap();
    assert_eq!(csv(&whole), csv(&parts));
}

#[test]
fn a_run_that_was_stopped_goes_on_without_losing_or_doubling_a_day() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("year");
    year(&into, &["--shard", "1/2"]).assert().success();
    year(&into, &["--shard", "2/2"]).assert().success();
    let csv = fs::read(into.join("year.csv")).unwrap();
    let before = rows(&into);
    // as if it had been stopped: a block is missing, another is half written
    let gone = blocks(&into).remove(0);
    fs::remove_file(&gone).unwrap();
    fs::write(into.join(".unfinished-x"), b"PAR1").unwrap();
    year(&into, &[])
        .assert()
        .success()
        .stdout(contains("3 of 8 days worked out now, 5 were there before"));
    assert_eq!(rows(&into), before);
    assert_eq!(fs::read(into.join("year.csv")).unwrap(), csv);
    // nothing left to do
    year(&into, &[]).assert().success().stdout(contains("0 of 8 days worked out now"));
    assert_eq!(rows(&into), before);
}

#[test]
fn what_was_made_from_something_else_is_not_mixed_in() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("year");
    year(&into, &["--shard", "1/8"]).assert().success();
    for other in [["--sky", "broken"], ["--air", "haze"]] {
        year(&into, &other)
            .assert()
            .code(2)
            .stdout("")
            .stderr(contains("was made from another venue file or model of it, other options"));
    }
    // the manifest is gone, but every block says what it was made from
    fs::remove_file(into.join("year.json")).unwrap();
    let refused = contains(".parquet").and(contains("was made from another venue file"));
    year(&into, &["--sky", "broken"]).assert().code(2).stderr(refused);
    assert!(!into.join("year.json").exists());
    // a day in two files
    let block = blocks(&into).remove(0);
    let copy = block.with_file_name("days-copy.parquet");
    fs::copy(&block, &copy).unwrap();
    year(&into, &[]).assert().code(2).stderr(contains("2027-03-26 is in"));
    // a file that is none of ours
    fs::write(&copy, b"PAR1 nothing PAR1").unwrap();
    year(&into, &[]).assert().code(2).stderr(contains("was not written by quarterstop"));
}

#[test]
fn wrong_words_are_told_with_what_is_allowed() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("year");
    year(&into, &["--show", "split=nobody", "--show", "zone=nowhere"])
        .assert()
        .code(2)
        .stderr(contains("no camera \"nobody\"").and(contains("no zone \"nowhere\"")));
    year(&into, &["--shard", "4/3"]).assert().code(2).stderr(contains("from 1 to N"));
    year(&into, &["--show", "colour"]).assert().code(2).stderr(contains("zone=NAME"));
    let mut backward = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    backward.args(["year", DEMO, "--first-date", "2027-05-02", "--last-date", "2027-05-01"]);
    backward.assert().code(2).stderr(contains("does not fit"));
    // a century, and a day more
    let mut long = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    long.args(["year", DEMO, "--first-date", "2000-01-01", "--last-date", "2100-01-01"]);
    long.assert().code(2).stderr(contains("at most 36525 days"));
    assert!(!into.exists());
}

/// The data set that engines read: months are folders, each file has the days of its month in
/// the order that it states, and all of them are the rows of the CSV.
#[test]
fn months_are_folders_of_a_data_set_with_a_stated_order() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("year");
    year(&into, &[]).assert().success();
    let files = blocks(&into);
    let names = ["2027-03/days-2027-03-26.parquet", "2027-04/days-2027-04-01.parquet"];
    assert_eq!(files, names.map(|name| month(&into, "").with_file_name(format!("month={name}"))));
    let mut times = Vec::new();
    for (path, starts) in files.iter().zip(["2027-03", "2027-04"]) {
        let bytes = Bytes::from(fs::read(path).unwrap());
        let file = SerializedFileReader::new(bytes.clone()).unwrap();
        for group in file.metadata().row_groups() {
            let sorted = group.sorting_columns().unwrap();
            assert_eq!((sorted.len(), sorted[0].column_idx), (1, 0));
            assert!(!sorted[0].descending);
        }
        let venue = quarterstop::venue::read(Path::new(DEMO)).unwrap();
        let table = read(bytes, &columns(&venue)).unwrap();
        assert!(table.dates().iter().all(|date| date.to_string().starts_with(starts)));
        times.extend(
            table.of(ColumnContent::Utc).unwrap().iter().map(|cell| cell.number().unwrap()),
        );
    }
    assert!(times.is_sorted_by(|a, b| a < b));
    let mut csv = csv::Reader::from_path(into.join("year.csv")).unwrap();
    let told = csv.records().map(|row| {
        let at: DateTime<Utc> = row.unwrap()[0].parse().unwrap();
        at.timestamp_millis() as f64
    });
    assert_eq!(told.collect::<Vec<_>>(), times);
}

#[test]
fn the_schema_names_every_column() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    let printed = command.args(["schema", "year"]).assert().success().get_output().stdout.clone();
    let schema: serde_json::Value = serde_json::from_slice(&printed).unwrap();
    let fields = schema["fields"].as_array().unwrap();
    let names: Vec<&str> = fields.iter().map(|f| f["name"].as_str().unwrap()).collect();
    let venue = quarterstop::venue::read(Path::new(DEMO)).unwrap();
    let zone_or_camera = |name: &str| {
        names.iter().any(|known| {
            known
                .split_once("ZONE")
                .or(known.split_once("CAMERA"))
                .is_some_and(|(head, tail)| name.starts_with(head) && name.ends_with(tail))
        })
    };
    for column in columns(&venue) {
        let known = names.contains(&column.name.as_str()) || zone_or_camera(&column.name);
        assert!(known, "{}", column.name);
        // a number says its unit, in the schema and, where there is one, in its name
        if let Some(unit @ ("deg" | "min")) = column.what.unit() {
            assert!(column.name.contains(unit) || column.name.contains("minute"));
        }
    }
}
