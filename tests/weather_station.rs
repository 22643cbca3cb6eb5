//! Minutes of radiation stations, as they are published.

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;
use tempfile::tempdir;

use quarterstop::jobs::odds::report::station::columns;
use quarterstop::weather::station::{StationOdds, parse};

const BSRN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/bsrn-pay0616-cut.dat");
const SURFRAD: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/surfrad-slv16001.dat");

fn text(path: &str) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// The same hours counted outside of this program: `dni > 120` of pvlib 0.16.1's reader
/// (`pvlib.iotools.read_bsrn`), changes between neighbouring minutes of each hour (pandas).
/// The hour from 14:00 lacks nine minutes and does not count.
#[test]
fn a_month_of_bsrn_gives_the_changes_that_another_reader_counts() {
    const CHANGES: [(u32, f64); 10] = [
        (6, 6.0),
        (7, 6.0),
        (8, 1.0),
        (9, 12.0),
        (10, 7.0),
        (11, 12.0),
        (12, 6.0),
        (13, 5.0),
        (15, 3.0),
        (16, 4.0),
    ];
    let read = parse(&text(BSRN), "pay0616").unwrap();
    assert!((read.place.latitude_deg - 46.815).abs() < 1e-9);
    assert!((read.place.longitude_deg - 6.944).abs() < 1e-9);
    assert_eq!((read.place.height_m, read.minutes.len()), (491.0, 660));
    let odds = StationOdds::of(&[read]).unwrap();
    assert_eq!((odds.zone_h, odds.years), (0, (2016, 2016)));
    assert!(!odds.cells.contains_key(&(6, 15)));
    for (hour, changes) in CHANGES {
        let cell = &odds.cells[&(6, hour + 1)];
        assert_eq!((cell.hours, cell.changes.expected()), (1, Some(changes)), "hour {hour}");
    }
}

/// A cloudless day: `tests/data/README.md`.
#[test]
fn a_day_of_surfrad_is_read_west_of_greenwich() {
    let read = parse(&text(SURFRAD), "slv").unwrap();
    assert_eq!((read.place.latitude_deg, read.place.longitude_deg), (37.70, -105.92));
    assert_eq!(read.minutes.len(), 1440);
    let odds = StationOdds::of(&[read.clone(), read]).unwrap();
    // the same day twice counts once
    assert_eq!(odds.zone_h, -7);
    let noon = &odds.cells[&(1, 13)];
    assert_eq!((noon.hours, noon.sun, noon.changing), (1, 1.0, 0.0));
}

/// Years of one station add up by month and hour, from files or a folder.
#[test]
fn years_of_a_station_are_one_table() {
    let year = |year: &str| text(BSRN).replacen(" 2016 ", &format!(" {year} "), 1);
    let files = ["2014", "2015", "2016"].map(|y| parse(&year(y), y).unwrap());
    let [_, _, one] = files.each_ref().map(|file| StationOdds::of(std::slice::from_ref(file)));
    let (one, all) = (one.unwrap(), StationOdds::of(&files).unwrap());
    assert_eq!(all.years, (2014, 2016));
    assert_eq!(all.files, ["2014", "2015", "2016"]);
    for (key, cell) in &one.cells {
        let same = &all.cells[key];
        assert_eq!((same.hours, same.changes.expected()), (3, cell.changes.expected()), "{key:?}");
        assert!((same.sun - cell.sun).abs() < 1e-12);
    }
    let home = tempdir().unwrap();
    for name in ["2015", "2016"] {
        std::fs::write(home.path().join(format!("pay{name}.dat")), year(name)).unwrap();
    }
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(home.path()).args(["odds", "--minutes", "."]);
    let told = contains("2015 to 2016").and(contains(", 2\nbehind each number"));
    command.assert().success().stdout(told.and(contains(" 1.0 12.0")));
}

#[test]
fn what_is_no_station_file_is_refused_with_its_line() {
    let wrong = |text: &str| parse(text, "x.dat").unwrap_err().to_string();
    assert!(wrong("").contains("a SURFRAD file"));
    assert!(wrong("*U0001\n 21 13 2016 1\n").contains("station, month"));
    let damaged = text(BSRN).replacen(" 18  361", " 18  nine", 1);
    assert!(wrong(&damaged).contains("day, minute of the day"));
    let apart = [parse(&text(BSRN), "a").unwrap(), parse(&text(SURFRAD), "b").unwrap()];
    assert!(StationOdds::of(&apart).unwrap_err().to_string().contains("for a place"));
}

#[test]
fn odds_of_minutes_are_printed_and_written() {
    let home = tempdir().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(home.path()).args(["odds", "--minutes", BSRN, "--csv", "out.csv"]);
    command.assert().success().stdout(contains("Jun"));
    let csv = std::fs::read_to_string(home.path().join("out.csv")).unwrap();
    assert_eq!(
        csv.lines().next().unwrap().split(',').collect::<Vec<_>>(),
        crate::support::names_of(columns())
    );
    let mut both = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    both.args(["odds", "w.epw", "--minutes", BSRN]).assert().code(2);
}
