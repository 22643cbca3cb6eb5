//! Seeds of the fuzzers, and inputs that once made a reader fail: each goes through the
//! function that the fuzzer runs, and nothing panics.

use std::fs;
use std::path::{Path, PathBuf};

use crate::fuzz_support::{TARGETS, Verdict, block_columns};
use quarterstop::jobs::year::report::{CellKind, Notes, YearCell, YearTable, write};

/// Bytes of all seeds of a target.
const MAX_BYTES: u64 = 150_000;

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
        assert!(bytes <= MAX_BYTES, "{target}: {bytes} bytes");
    }
}

/// Seeds of the targets that are quick enough, with bytes changed, left out, and pieces of
/// other seeds put in, by a generator of chance that is the same every time.
#[test]
fn damaged_seeds_are_taken_or_refused_without_a_panic() {
    const RUNS: usize = 4_000;
    // each is a whole session
    const SESSIONS: usize = 150;
    let mut seed = 0x9E37_79B9_7F4A_7C15_u64;
    let mut below = |n: usize| {
        // xorshift64 (Marsaglia, Journal of Statistical Software 8(14), 2003)
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed % n.max(1) as u64) as usize
    };
    let quick = ["calendar", "manifest", "skyline", "costs", "rules", "grounds", "message"];
    for (target, run) in TARGETS.into_iter().filter(|(name, _)| quick.contains(name)) {
        let all: Vec<Vec<u8>> = seeds(target).iter().map(|path| fs::read(path).unwrap()).collect();
        for _ in 0..if target == "message" { SESSIONS } else { RUNS } {
            let mut data = all[below(all.len())].clone();
            for _ in 0..=below(4) {
                let at = below(data.len() + 1);
                let end = (at + below(40)).min(data.len());
                let other = &all[below(all.len())];
                let from = below(other.len() + 1);
                let piece = &other[from..(from + below(40)).min(other.len())];
                match below(4) {
                    0 => drop(data.drain(at..end)),
                    1 => data.insert(at, below(256) as u8),
                    2 => drop(data.splice(at..end, piece.iter().copied())),
                    _ => data[at..end].iter_mut().for_each(|byte| *byte ^= 1 << below(8)),
                }
            }
            let verdict = std::panic::catch_unwind(|| run(&data));
            assert!(verdict.is_ok(), "{target}: {:?}", String::from_utf8_lossy(&data));
        }
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
    let cell = |kind: CellKind, row: usize| match kind {
        CellKind::Instant => YearCell::Whole(1_800_000_000_000 + 60_000 * row as i64),
        CellKind::Date => YearCell::Whole(20_900),
        CellKind::Whole => YearCell::Whole(row as i64),
        _ if row % 3 == 2 => YearCell::Empty,
        CellKind::Real => YearCell::Real(0.125 * row as f64),
        CellKind::Word => YearCell::Word("up"),
    };
    let cells = columns.iter().map(|c| (0..rows).map(|row| cell(c.what.kind(), row)).collect());
    let table = YearTable { cells: cells.collect(), columns };
    let mut notes = Notes::new();
    notes.insert("dates".into(), "2027-03-01".into());
    write(&table, &notes).unwrap()
}
