//! Seeds of the fuzzers, and inputs that once made a reader fail: each goes through the
//! function that the fuzzer runs, and nothing panics.

use std::fs;
use std::path::{Path, PathBuf};

use quarterstop::report::year::{Cell, Kind, Notes, Table, write};

use crate::fuzz_support::{TARGETS, Verdict, block_columns};

/// Bytes of all seeds of a target.
const MOST_BYTES: u64 = 150_000;

fn seeds(target: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fuzz").join(target);
    let entries = fs::read_dir(folder).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
}

/// Seeds that are all refused would tell nothing of what comes after the first check.
#[test]
fn seeds_of_every_kind_are_taken_and_refused_without_a_panic() {
    for (target, run) in TARGETS {
        let (mut accepted, mut refused, mut bytes) = (0, 0, 0);
        for path in seeds(target) {
            let data = fs::read(&path).unwrap();
            bytes += data.len() as u64;
            let verdict = std::panic::catch_unwind(|| run(&data));
            match verdict.unwrap_or_else(|_| panic!("{}", path.display())) {
                Verdict::Accepted => accepted += 1,
                Verdict::Refused => refused += 1,
            }
        }
        assert!(accepted > 0 && refused > 0, "{target}: {accepted} taken, {refused} refused");
        assert!(bytes <= MOST_BYTES, "{target}: {bytes} bytes");
    }
}

/// Writes the Parquet files that `block` is tried with, once the table of a year has changed.
#[test]
#[ignore = "writes files: run it by name after a change of the columns of a year"]
fn write_parquet_files() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fuzz/block");
    for (name, rows) in [("few.parquet", 3), ("day.parquet", 48), ("none.parquet", 0)] {
        fs::write(folder.join(name), block(rows)).unwrap();
    }
}

/// A block of some rows; every third value is missing where one may be.
pub fn block(rows: usize) -> Vec<u8> {
    let columns = block_columns().to_vec();
    let cell = |kind: Kind, row: usize| match kind {
        Kind::Instant => Cell::Whole(1_800_000_000_000 + 60_000 * row as i64),
        Kind::Date => Cell::Whole(20_900),
        Kind::Whole => Cell::Whole(row as i64),
        _ if row % 3 == 2 => Cell::Empty,
        Kind::Real => Cell::Real(0.125 * row as f64),
        Kind::Word => Cell::Word("up"),
    };
    let cells = columns.iter().map(|c| (0..rows).map(|row| cell(c.what.kind(), row)).collect());
    let table = Table { cells: cells.collect(), columns };
    let mut notes = Notes::new();
    notes.insert("dates".into(), "2027-03-01".into());
    write(&table, &notes).unwrap()
}
