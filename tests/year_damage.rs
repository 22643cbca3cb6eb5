//! Blocks of a year that were cut off or changed: refused or read, never a panic, and
//! never more memory than stated.

use std::path::Path;

use bytes::Bytes;
use parquet::file::reader::{FileReader, SerializedFileReader};

use crate::fuzz_seeds::block;
use crate::fuzz_support::block_columns;
use quarterstop::jobs::year::report::{ColumnarError, notes, read};

/// Rows of the block: enough for dictionaries and pages that are not all alike.
const ROWS: usize = 48;
/// Address space of the whole test program, most of which is itself and the stacks of its
/// threads. A length of 64 bits, or of 32, that is believed asks for more.
#[cfg(target_os = "linux")]
const MAX_MB: u64 = 1_536;
/// Seconds of computing for all changes together, which take a few. Not a measure of
/// speed: a reader that does not come back is stopped here.
#[cfg(target_os = "linux")]
const MAX_S: u64 = 300;

#[test]
fn an_untouched_block_is_read() {
    let bytes = Bytes::from(block(ROWS));
    assert_eq!(read(bytes.clone(), block_columns()).unwrap().len(), ROWS);
    assert_eq!(notes(bytes).unwrap()["dates"], "2027-03-01");
}

/// Offsets of columns that are none: the library panics on them by itself.
#[test]
fn a_block_that_lies_of_its_columns_says_so() {
    let sound = block(ROWS);
    let known = SerializedFileReader::new(Bytes::from(sound.clone())).unwrap();
    let columns = known.metadata().row_group(0).columns();
    assert_eq!(columns.len(), block_columns().len());
    for column in columns {
        let stated = varint(zigzag(column.data_page_offset()));
        // field 9 of a column's metadata, two after the one before, of 64 bits (Apache
        // Parquet, parquet.thrift, ColumnMetaData; Thrift compact protocol, field header)
        let field = [&[0x26][..], &stated].concat();
        let found = sound.windows(field.len()).enumerate().filter(|(_, w)| *w == field);
        let [(at, _)] = found.collect::<Vec<_>>()[..] else { panic!("{column:?}") };
        // the farthest behind and before the file that as many bytes can state
        for last in [0xfe, 0xff] {
            let mut bytes = sound.clone();
            let offset = &mut bytes[at + 1..at + field.len()];
            offset.fill(0xff);
            offset[0] = last;
            *offset.last_mut().unwrap() &= 0x7f;
            let found = read(Bytes::from(bytes), block_columns());
            assert!(matches!(found, Err(ColumnarError::Changed)), "{column:?}: {found:?}");
        }
    }
}

/// The way in which Thrift's compact protocol writes whole numbers: the sign last, seven
/// bits to a byte, the lowest first.
fn zigzag(number: i64) -> u64 {
    ((number << 1) ^ (number >> 63)) as u64
}

fn varint(mut number: u64) -> Vec<u8> {
    let mut bytes = Vec::new();
    while number >= 0x80 {
        bytes.push(number as u8 | 0x80);
        number >>= 7;
    }
    bytes.push(number as u8);
    bytes
}

/// A block as versions before this one wrote it: without the hash of its pages, here by
/// another name of that note.
fn without_hash(rows: usize) -> Vec<u8> {
    let mut bytes = block(rows);
    let name = b"pages_xxh64";
    let at = bytes.windows(name.len()).rposition(|found| found == name).unwrap();
    bytes[at] = b'q';
    bytes
}

/// The first page header begins with a list of 2^31 - 1 flags in a field of no meaning:
/// a reader that steps over them one by one takes half a minute.
fn endless(mut bytes: Vec<u8>) -> Vec<u8> {
    let list = [0xf9, 0xf1, 0xff, 0xff, 0xff, 0xff, 0x07];
    // behind the four letters that every file begins with
    bytes[4..4 + list.len()].copy_from_slice(&list);
    bytes
}

/// Seconds that a damaged page header may take to be found out: the time of reading the
/// bytes, with room for a machine that is busy.
const SOON_S: u64 = 5;

#[test]
fn a_page_header_without_end_is_found_out_soon() {
    for bytes in [endless(block(ROWS)), endless(without_hash(ROWS))] {
        let begun = std::time::Instant::now();
        let found = read(Bytes::from(bytes), block_columns());
        assert!(matches!(found, Err(ColumnarError::Changed)), "{found:?}");
        assert!(begun.elapsed().as_secs() < SOON_S, "{:?}", begun.elapsed());
    }
}

/// The same in the footer, which says where the columns are.
#[test]
fn a_footer_without_end_is_found_out_soon() {
    let mut bytes = block(ROWS);
    let end = bytes.len() - 8;
    let length = u32::from_le_bytes(bytes[end..end + 4].try_into().unwrap()) as usize;
    let list = [0xf9, 0xf1, 0xff, 0xff, 0xff, 0xff, 0x07];
    bytes[end - length..end - length + list.len()].copy_from_slice(&list);
    let begun = std::time::Instant::now();
    assert!(notes(Bytes::from(bytes.clone())).is_err());
    assert!(read(Bytes::from(bytes), block_columns()).is_err());
    assert!(begun.elapsed().as_secs() < SOON_S, "{:?}", begun.elapsed());
}

#[test]
fn a_block_of_before_the_hash_is_read() {
    let old = read(Bytes::from(without_hash(ROWS)), block_columns()).unwrap();
    let new = read(Bytes::from(block(ROWS)), block_columns()).unwrap();
    assert_eq!(old.cells, new.cells);
    // as it was written by the version before
    let before = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fuzz/block");
    let bytes = std::fs::read(before.join("before-hash.parquet")).unwrap();
    assert!(!notes(Bytes::from(bytes.clone())).unwrap().contains_key("pages_xxh64"));
    assert_eq!(read(Bytes::from(bytes), block_columns()).unwrap().len(), ROWS);
}

/// With the hash no change of a page is read as another number.
#[test]
fn a_change_of_any_page_is_found() {
    let sound = block(ROWS);
    let stated = &notes(Bytes::from(sound.clone())).unwrap()["pages_xxh64"];
    let pages: usize = stated.split_once(' ').unwrap().0.parse().unwrap();
    assert!(pages > ROWS && pages < sound.len());
    for at in 4..pages {
        let mut bytes = sound.clone();
        bytes[at] ^= 0x01;
        assert!(read(Bytes::from(bytes), block_columns()).is_err(), "byte {at}");
    }
}

/// The same program again, for [`every_change`] alone, under the limits of the system.
#[test]
#[cfg(target_os = "linux")]
fn every_change_of_a_byte_is_refused_or_read() {
    let limits = format!("ulimit -v {} && ulimit -t {MAX_S} && exec \"$@\"", MAX_MB * 1024);
    let program = std::env::current_exe().unwrap();
    let output = std::process::Command::new("sh")
        .args(["-c", &limits, "sh"])
        .arg(program)
        .args(["year_damage::every_change", "--exact", "--ignored", "--test-threads=1"])
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{told}{}", String::from_utf8_lossy(&output.stderr));
    assert!(told.contains("1 passed"), "{told}");
    // nothing that was caught is told
    assert!(!String::from_utf8_lossy(&output.stderr).contains("panicked"), "{output:?}");
}

#[test]
#[ignore = "run by another test, under limits"]
fn every_change() {
    let sound = block(ROWS);
    let (mut taken, mut refused) = (0, 0);
    let mut ask = |bytes: Vec<u8>, what: &str| {
        let bytes = Bytes::from(bytes);
        let asked = std::panic::catch_unwind(|| {
            let known = notes(bytes.clone()).is_ok();
            (known, read(bytes.clone(), block_columns()))
        });
        match asked.unwrap_or_else(|_| panic!("{what}")) {
            (known, Ok(table)) => {
                assert!(known, "{what}");
                assert!(table.cells.iter().all(|cells| cells.len() == table.len()), "{what}");
                taken += 1;
            }
            (_, Err(error)) => {
                assert!(!error.to_string().is_empty());
                refused += 1;
            }
        }
    };
    for length in 0..sound.len() {
        ask(sound[..length].to_vec(), &format!("cut off after {length} bytes"));
    }
    for mask in [0xff, 0x01, 0x80] {
        for at in 0..sound.len() {
            let mut bytes = sound.clone();
            bytes[at] ^= mask;
            ask(bytes, &format!("byte {at} xor {mask:#x}"));
        }
    }
    // what fuzzers found: among it a dictionary that states millions of values
    let found = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fuzz/block");
    for seed in std::fs::read_dir(found).unwrap() {
        let path = seed.unwrap().path();
        ask(std::fs::read(&path).unwrap(), &path.display().to_string());
    }
    // every cut and every change of a page is refused; what may change unnoticed are words
    // that nothing reads, such as the name of the program that wrote it
    let stated = &notes(Bytes::from(sound.clone())).unwrap()["pages_xxh64"];
    let pages: usize = stated.split_once(' ').unwrap().0.parse().unwrap();
    assert!(refused >= sound.len() + 3 * pages, "{refused} refused");
    let program = concat!("quarterstop ", env!("CARGO_PKG_VERSION"));
    assert!(taken >= program.len(), "{taken} taken");
}

/// A run that goes on says which file it is, and what to do.
#[test]
fn a_damaged_block_stops_a_run_that_goes_on_and_says_what_to_do() {
    use assert_cmd::Command;
    use predicates::prelude::PredicateBooleanExt;
    use predicates::str::contains;
    let folder = tempfile::tempdir().unwrap();
    let run = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["year", "venues/tennis-demo.toml", "--first-date", "2027-05-01"]);
        command.args(["--last-date", "2027-05-01", "--step", "60", "--into"]).arg(folder.path());
        command.assert()
    };
    run().success();
    let csv = std::fs::read(folder.path().join("year.csv")).unwrap();
    let month = folder.path().join("instants/venue=tennis-demo/month=2027-05");
    let path = month.join("days-2027-05-01.parquet");
    let sound = std::fs::read(&path).unwrap();
    // the footer, and a byte of the first column's pages
    for damaged in [sound[..sound.len() - 9].to_vec(), changed_so_that_it_is_refused(&sound)] {
        std::fs::write(&path, damaged).unwrap();
        let told = contains("days-2027-05-01.parquet").and(contains("move it away"));
        run().code(2).stdout("").stderr(told.and(contains("panicked").not()));
    }
    std::fs::remove_file(&path).unwrap();
    run().success();
    assert_eq!(std::fs::read(folder.path().join("year.csv")).unwrap(), csv);
}

/// A block whose notes are read as before and whose rows are not.
fn changed_so_that_it_is_refused(sound: &[u8]) -> Vec<u8> {
    let venue = quarterstop::venue::read(Path::new("venues/tennis-demo.toml")).unwrap();
    let columns = quarterstop::jobs::year::report::columns(&venue);
    let before = notes(Bytes::copy_from_slice(sound)).unwrap();
    let candidates = (0..sound.len()).rev().map(|at| {
        let mut bytes = sound.to_vec();
        bytes[at] ^= 0xff;
        Bytes::from(bytes)
    });
    let found = candidates.take(20_000).find(|bytes| {
        notes(bytes.clone()).is_ok_and(|after| after == before)
            && matches!(read(bytes.clone(), &columns), Err(ColumnarError::Changed))
    });
    found.unwrap().to_vec()
}
