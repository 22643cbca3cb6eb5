//! The real binary when things go wrong around it: discs that are full, folders that may
//! not be written, runs that are killed or meet each other, grounds at the ends of the
//! earth and dates at the ends of a calendar.
#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::OnceLock;
use std::time::Duration;

use tempfile::{TempDir, tempdir};

/// One stand beside a court, one camera: what the jobs need, and no more.
const COURT: &str = r#"title = "Court"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[field]
sport = "tennis"
bearing_deg = 0.0
[[solid]]
name = "West stand"
footprint = [[-15.0, 14.0], [15.0, 14.0], [15.0, 18.0], [-15.0, 18.0]]
top_m = 8.0
[[camera]]
name = "main"
at = [-32.0, 0.0, 9.5]
looks_at = ["net centre"]
horizontal_fov_deg = 32.0
[fixture]
date = "2027-05-01"
start = "15:00"
"#;

/// The jobs that write folders, in coarse steps.
const JOBS: [&[&str]; 4] = [
    &["match", "court.toml", "--step", "60", "--pictures-at", "15:00"],
    &["brief", "court.toml", "--step", "60"],
    &[
        "year",
        "court.toml",
        "--step",
        "60",
        "--first-date",
        "2027-05-01",
        "--last-date",
        "2027-05-02",
        "--show",
        "field",
    ],
    &[
        "starts",
        "court.toml",
        "--step",
        "60",
        "--every-min",
        "60",
        "--from-time",
        "15:00",
        "--to-time",
        "16:00",
    ],
];
const UNFINISHED: &str = ".unfinished-";

/// Names and contents of a folder's files.
type Files = BTreeMap<String, Vec<u8>>;

fn court() -> TempDir {
    let home = tempdir().unwrap();
    fs::write(home.path().join("court.toml"), COURT).unwrap();
    home
}

fn quarterstop(home: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(home).args(words).stdin(Stdio::null());
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// The same in a shell that sets the stage first.
fn staged(home: &Path, stage: &str, words: &[&str]) -> Output {
    let mut command = Command::new("sh");
    command.current_dir(home).args(["-c", &format!("{stage}\nexec \"$@\""), "sh"]);
    command.arg(env!("CARGO_BIN_EXE_quarterstop")).args(words).output().unwrap()
}

fn into<'a>(job: &[&'a str], folder: &'a str) -> Vec<&'a str> {
    [job, &["--into", folder]].concat()
}

/// Files that are neither unfinished nor those of a run to be taken up again; calendars
/// without when and how often they were made (RFC 5545, 3.8.7.2 and 3.8.7.4).
fn finished(folder: &Path) -> Files {
    let mut files = all(folder);
    files.retain(|name, _| !is_unfinished(name));
    for (_, bytes) in files.iter_mut().filter(|(name, _)| name.ends_with(".ics")) {
        let text = String::from_utf8(std::mem::take(bytes)).unwrap();
        let lines = text.lines();
        let lines = lines.filter(|l| !l.starts_with("DTSTAMP") && !l.starts_with("SEQUENCE"));
        *bytes = lines.collect::<Vec<_>>().join("\n").into_bytes();
    }
    files
}

/// By their paths below the folder.
fn all(folder: &Path) -> Files {
    let mut files = Files::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            let below = all(&entry.path()).into_iter();
            files.extend(below.map(|(rest, bytes)| (format!("{name}/{rest}"), bytes)));
        } else if let Ok(bytes) = fs::read(entry.path()) {
            // a run that is at work may take its own away between two looks
            files.insert(name, bytes);
        }
    }
    files
}

fn is_unfinished(path: &str) -> bool {
    path.split('/').any(|name| name.starts_with(UNFINISHED))
}

/// Files that were being written; what a run is taken up again from lies in folders.
fn unfinished(folder: &Path) -> Vec<String> {
    let own = |path: &str| path.rsplit('/').next().is_some_and(|name| name.starts_with(UNFINISHED));
    all(folder).into_keys().filter(|path| own(path)).collect()
}

/// What each job writes when nothing happens.
fn undisturbed(job: usize) -> &'static Files {
    static FILES: [OnceLock<Files>; JOBS.len()] = [const { OnceLock::new() }; JOBS.len()];
    FILES[job].get_or_init(|| {
        let home = court();
        let output = quarterstop(home.path(), &into(JOBS[job], "out")).output().unwrap();
        assert!(output.status.success(), "{output:?}");
        let folder = home.path().join("out");
        assert_eq!(all(&folder).len(), finished(&folder).len());
        finished(&folder)
    })
}

/// Every file that is there is as it should be; some may be absent.
fn assert_whole(job: usize, folder: &Path, when: &str) {
    let sound = undisturbed(job);
    for (name, bytes) in finished(folder) {
        let right = sound.get(&name).is_some_and(|sound| *sound == bytes);
        assert!(right, "{} {when}: {name} of {} bytes", JOBS[job][0], bytes.len());
    }
}

/// Another run completes the folder.
fn assert_completed(home: &Path, job: usize, when: &str) {
    let output = quarterstop(home, &into(JOBS[job], "out")).output().unwrap();
    assert!(output.status.success(), "{} {when}: {output:?}", JOBS[job][0]);
    let folder = home.join("out");
    assert_whole(job, &folder, when);
    assert_eq!(finished(&folder).len(), undisturbed(job).len(), "{} {when}", JOBS[job][0]);
    let left: Vec<_> = fs::read_dir(&folder).unwrap().flatten().map(|e| e.file_name()).collect();
    let left = left.iter().filter(|name| name.to_string_lossy().starts_with(UNFINISHED));
    assert_eq!(left.count() + unfinished(&folder).len(), 0, "{} {when}", JOBS[job][0]);
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Told in words, with the exit code that is meant; no panic, which would leave with 101.
fn assert_told(output: &Output, code: i32, said: &str) {
    let told = text(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{told}");
    assert!(told.starts_with("error: ") && told.contains(said), "{told}");
    assert!(!told.contains("panicked"), "{told}");
}

// ---------------------------------------------------------------- full, read-only

/// A limit on the size of files, of which the process is told as of a full disc (EFBIG
/// where the signal is ignored: setrlimit(2)).
#[test]
fn a_disc_that_is_full_is_told_and_leaves_no_half_file() {
    for (job, words) in JOBS.iter().enumerate() {
        for blocks in [1, 12] {
            let home = court();
            fs::create_dir(home.path().join("out")).unwrap();
            let stage = format!("trap '' XFSZ; ulimit -f {blocks}");
            let output = staged(home.path(), &stage, &into(words, "out"));
            assert_told(&output, 1, "cannot write");
            let folder = home.path().join("out");
            assert_whole(job, &folder, "on a full disc");
            assert_eq!(unfinished(&folder), [""; 0], "{}", words[0]);
            if blocks == 12 {
                assert_completed(home.path(), job, "after a full disc");
            }
        }
    }
}

/// Every write to /dev/full fails for want of space (full(4)); what was written to the
/// folder before is whole.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disc_behind_stdout_leaves_whole_files() {
    let home = court();
    for (job, words) in JOBS.iter().enumerate() {
        let output = staged(home.path(), "exec >/dev/full", &into(words, "out"));
        assert_told(&output, 1, "standard output");
        assert_whole(job, &home.path().join("out"), "with a full stdout");
        fs::remove_dir_all(home.path().join("out")).unwrap();
    }
    for words in [&["check", "court.toml"][..], &["schema", "venue"], &["completions", "bash"]] {
        let output = staged(home.path(), "exec >/dev/full", words);
        assert_told(&output, 1, "standard output");
    }
}

/// Folders that not even the root user can write to: one under a file, and one in /proc,
/// which holds no files of users (proc(5)).
#[test]
fn a_folder_that_may_not_be_written_is_told() {
    let home = court();
    for job in JOBS {
        let output = quarterstop(home.path(), &into(job, "court.toml/out")).output().unwrap();
        assert_told(&output, 2, "court.toml");
        if cfg!(target_os = "linux") {
            for folder in ["/proc/out", "/proc/self"] {
                let output = quarterstop(home.path(), &into(job, folder)).output().unwrap();
                assert_told(&output, 1, folder);
            }
        }
    }
    assert_eq!(all(home.path()).into_keys().collect::<Vec<_>>(), ["court.toml"]);
}

// ---------------------------------------------------------------- killed

/// When a run is killed.
#[derive(Debug, Clone, Copy)]
enum Moment {
    Soon,
    /// A file is being written.
    Writing,
    /// A file is in place.
    Placed,
}

fn wait_for(child: &mut Child, folder: &Path, moment: Moment) {
    if matches!(moment, Moment::Soon) {
        return std::thread::sleep(Duration::from_millis(30));
    }
    // ends at the latest with the run
    while child.try_wait().unwrap().is_none() {
        let names = fs::read_dir(folder).into_iter().flatten().flatten().map(|e| e.file_name());
        let met = |name: std::ffi::OsString| {
            let writing = name.to_string_lossy().starts_with(UNFINISHED);
            writing == matches!(moment, Moment::Writing)
        };
        if names.into_iter().any(met) {
            return;
        }
        std::thread::sleep(Duration::from_micros(200));
    }
}

#[test]
fn a_run_that_is_killed_leaves_whole_files_and_the_next_completes_them() {
    for (job, words) in JOBS.iter().enumerate() {
        let home = court();
        let folder = home.path().join("out");
        for moment in [Moment::Soon, Moment::Writing, Moment::Placed] {
            let mut child = quarterstop(home.path(), &into(words, "out")).spawn().unwrap();
            wait_for(&mut child, &folder, moment);
            child.kill().unwrap();
            child.wait().unwrap();
            assert_whole(job, &folder, &format!("killed {moment:?}"));
        }
        // in any case there is something to clear
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join(".unfinished-Ab3xYz"), b"half a fi").unwrap();
        assert_completed(home.path(), job, "after it was killed");
    }
}

// ---------------------------------------------------------------- interrupted

/// The exit status of a command that SIGINT ended: 128 and 2 (POSIX.1-2017, shell command
/// language, 2.8.2).
const INTERRUPTED: i32 = 130;

fn interrupt(child: &Child) {
    let sent = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(sent.success());
}

fn unfinished_folders(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let names = entries.map(|e| e.file_name().to_string_lossy().into_owned());
    names.filter(|name| name.starts_with(".unfinished-set-")).collect()
}

/// A year is interrupted once a month of it is kept; the next run does the rest.
#[test]
fn an_interrupted_year_says_where_it_was_and_goes_on() {
    let home = court();
    let words = ["year", "court.toml", "--year", "2027", "--step", "1", "--into", "out"];
    let mut child = quarterstop(home.path(), &words).spawn().unwrap();
    let folder = home.path().join("out");
    while blocks(&folder) == 0 {
        assert!(child.try_wait().unwrap().is_none(), "it ended by itself");
        std::thread::sleep(Duration::from_millis(5));
    }
    interrupt(&child);
    let output = child.wait_with_output().unwrap();
    let told = text(&output.stderr);
    assert_eq!(output.status.code(), Some(INTERRUPTED), "{told}");
    assert!(told.starts_with("interrupted during days of the year, "), "{told}");
    for said in [" of 365 done, at 2027-", "days are kept in out; the same command goes on there"] {
        assert!(told.contains(said), "{told}");
    }
    assert_eq!(told.lines().count(), 1, "{told}");
    assert_eq!(unfinished_folders(&folder), [""; 0]);
    // the next run, stopped in turn, has more
    let before = blocks(&folder);
    let mut child = quarterstop(home.path(), &words).spawn().unwrap();
    while blocks(&folder) == before {
        assert!(child.try_wait().unwrap().is_none(), "it ended by itself");
        std::thread::sleep(Duration::from_millis(5));
    }
    interrupt(&child);
    let told = text(&child.wait_with_output().unwrap().stderr);
    let kept: usize = DAYS_OF_MONTHS[..before].iter().sum();
    let missing = format!(" of {} done", 365 - kept);
    assert!(told.contains(&missing), "{told}");
}

/// Of 2027.
const DAYS_OF_MONTHS: [usize; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Files of a month each.
fn blocks(folder: &Path) -> usize {
    all(folder).into_keys().filter(|name| name.ends_with(".parquet")).count()
}

/// Wherever it is met, files are whole, nothing unfinished stays but what the next run goes
/// on from, and that run completes them.
#[test]
fn a_run_that_is_interrupted_leaves_whole_files_and_one_line() {
    for (job, words) in JOBS.iter().enumerate() {
        let home = court();
        let folder = home.path().join("out");
        for moment in [Moment::Writing, Moment::Placed] {
            // files that are there before would end the wait before the program listens
            let _ = fs::remove_dir_all(&folder);
            let mut child = quarterstop(home.path(), &into(words, "out")).spawn().unwrap();
            wait_for(&mut child, &folder, moment);
            if child.try_wait().unwrap().is_none() {
                interrupt(&child);
            }
            let output = child.wait_with_output().unwrap();
            let told = text(&output.stderr);
            match output.status.code() {
                Some(0) => assert!(!told.contains("interrupted"), "{told}"),
                Some(INTERRUPTED) => {
                    assert!(told.starts_with("interrupted"), "{told}");
                    assert_eq!(told.lines().count(), 1, "{told}");
                }
                other => panic!("{}: {other:?} {told}", words[0]),
            }
            assert_whole(job, &folder, &format!("interrupted {moment:?}"));
            assert_eq!(unfinished_folders(&folder), [""; 0], "{}", words[0]);
        }
        assert_completed(home.path(), job, "after it was interrupted");
    }
}

// ---------------------------------------------------------------- two at once

#[test]
fn two_runs_at_once_on_one_folder_make_what_one_makes() {
    for (job, words) in JOBS.iter().enumerate() {
        let home = court();
        let job_into = into(words, "out");
        let both = [0, 1].map(|_| quarterstop(home.path(), &job_into).spawn().unwrap());
        for child in both {
            let output = child.wait_with_output().unwrap();
            assert!(output.status.success(), "{}: {output:?}", words[0]);
        }
        let folder = home.path().join("out");
        assert_whole(job, &folder, "two at once");
        assert_eq!(finished(&folder).len(), undisturbed(job).len(), "{}", words[0]);
        assert_eq!(unfinished(&folder), [""; 0]);
    }
}

// ---------------------------------------------------------------- ends of the earth

/// A free field of some size at a place; a post of a tenth of it beside.
fn ground(place: (f64, f64), zone: &str, side_m: f64) -> String {
    let half = side_m / 2.0;
    let (near, far) = (half + 0.2 * side_m, half + 0.3 * side_m);
    format!(
        "title = \"Far\"\n[place]\nlatitude_deg = {:?}\nlongitude_deg = {:?}\nheight_m = 0.0\n\
         zone = \"{zone}\"\n[field]\nsport = \"free\"\ncorners = [[-{half:?}, -{half:?}], [{half:?}, -{half:?}], [{half:?}, {half:?}], [-{half:?}, {half:?}]]\n\
         bearing_deg = 0.0\n[[solid]]\nname = \"post\"\n\
         footprint = [[0.0, {near:?}], [{half:?}, {near:?}], [{half:?}, {far:?}]]\ntop_m = {:?}\n\
         [fixture]\ndate = \"2028-02-29\"\nstart = \"15:00\"\n",
        place.0,
        place.1,
        0.1 * side_m
    )
}

/// Done, or refused with a reason: nothing else.
fn assert_sound(output: &Output, what: &str) -> bool {
    let told = text(&output.stderr);
    assert!(!told.contains("panicked"), "{what}: {told}");
    match output.status.code() {
        Some(0) => true,
        Some(2) => {
            assert!(told.starts_with("error: "), "{what}: {told}");
            false
        }
        other => panic!("{what}: {other:?} {told}"),
    }
}

fn run(home: &Path, words: &[&str], what: &str) -> bool {
    assert_sound(&quarterstop(home, words).output().unwrap(), what)
}

#[test]
fn fields_of_any_size_are_planned_or_refused() {
    let home = tempdir().unwrap();
    for (side, taken) in [(0.001, false), (0.1, true), (2000.0, true), (5000.0, false)] {
        let what = format!("a field of {side} m");
        fs::write(home.path().join("far.toml"), ground((45.0, 8.0), "UTC", side)).unwrap();
        assert_eq!(run(home.path(), &["check", "far.toml"], &what), taken, "{what}");
        let words =
            ["match", "far.toml", "--step", "60", "--pictures-at", "15:00", "--into", "out"];
        assert_eq!(run(home.path(), &words, &what), taken, "{what}");
    }
}

/// Shares of the field in `match.csv`.
fn shares(folder: &Path) -> Vec<f64> {
    let mut reader = csv::Reader::from_path(folder.join("match.csv")).unwrap();
    let header = reader.headers().unwrap().clone();
    let places: Vec<usize> = header
        .iter()
        .enumerate()
        .filter(|(_, n)| n.ends_with("shaded_share"))
        .map(|(i, _)| i)
        .collect();
    assert!(!places.is_empty(), "{header:?}");
    let rows = reader.records().map(|row| row.unwrap()).collect::<Vec<_>>();
    let cells = rows.iter().flat_map(|row| places.iter().map(|i| row[*i].to_owned()));
    cells.filter(|cell| !cell.is_empty()).map(|cell| cell.parse().unwrap()).collect()
}

#[test]
fn grounds_at_the_poles_and_on_the_date_line_are_planned_or_refused() {
    let home = tempdir().unwrap();
    let places = [
        ((90.0, 0.0), "UTC", true),
        ((-90.0, 180.0), "Antarctica/McMurdo", false),
        ((89.999, -180.0), "UTC", true),
        ((-16.5, 180.0), "Pacific/Fiji", true),
        ((-16.5, -180.0), "Pacific/Fiji", true),
        ((-13.6, -172.4), "Pacific/Apia", true),
    ];
    for (place, zone, day) in places {
        let what = format!("{place:?}");
        fs::write(home.path().join("far.toml"), ground(place, zone, 40.0)).unwrap();
        assert!(run(home.path(), &["check", "far.toml"], &what), "{what}");
        // the sun is up at noon of June in the north, and in the tropics
        let words = [
            "match",
            "far.toml",
            "--date",
            "2027-06-21",
            "--start",
            "12:00",
            "--from",
            "11:00",
            "--until",
            "13:00",
        ];
        let words =
            [&words[..], &["--step", "60", "--pictures-at", "12:00", "--into", "out"]].concat();
        assert_eq!(run(home.path(), &words, &what), day, "{what}");
        if day {
            let shares = shares(&home.path().join("out"));
            assert!(shares.iter().all(|s| (0.0..=1.0).contains(s)), "{what}: {shares:?}");
        }
        if place.0.abs() > 89.0 {
            run(home.path(), &["look-up", "far.toml", "--into", "up"], &what);
        }
    }
    // one meridian by two names: the same shadow
    let csv = |longitude: f64| {
        fs::write(home.path().join("far.toml"), ground((-16.5, longitude), "Pacific/Fiji", 40.0))
            .unwrap();
        let words = ["match", "far.toml", "--step", "60", "--pictures-at", "15:00", "--into"];
        assert!(run(home.path(), &[&words[..], &["line"]].concat(), "the date line"));
        fs::read(home.path().join("line/match.csv")).unwrap()
    };
    assert_eq!(csv(180.0), csv(-180.0));
}

// ---------------------------------------------------------------- ends of the calendar

/// 2028 and 2000 have a 29 February, 2100 has none (Gregorian calendar: ISO 8601-1:2019,
/// 4.2.1; from memory).
#[test]
fn far_years_and_leap_days_are_planned_and_days_that_are_none_are_refused() {
    let home = court();
    let words = |date: &'static str| {
        [
            "match",
            "court.toml",
            "--date",
            date,
            "--step",
            "60",
            "--pictures-at",
            "15:00",
            "--into",
            "out",
        ]
    };
    for date in ["2028-02-29", "2100-12-31"] {
        assert!(run(home.path(), &words(date), date), "{date}");
        assert!(shares(&home.path().join("out")).iter().all(|s| (0.0..=1.0).contains(s)), "{date}");
    }
    for date in ["2100-02-29", "2027-02-29", "2027-00-10", "99999999-01-01"] {
        assert!(!run(home.path(), &words(date), date), "{date}");
    }
    // the ends of what can be counted, and days beyond those that the sun is known for
    for date in ["+262142-12-31", "-262143-01-01", "1899-12-31", "2201-01-01"] {
        for job in ["match", "brief", "look-up", "starts", "changed"] {
            let date = format!("--date={date}");
            let words = [job, "court.toml", "court.toml", &date, "--into", "out"];
            // one venue but for the job that compares two
            let words =
                if job == "changed" { &words[..4] } else { &[&words[..1], &words[2..]].concat() };
            let output = quarterstop(home.path(), words).output().unwrap();
            assert_told(&output, 2, "from 1900 to 2200");
        }
        fs::write(home.path().join("far.toml"), COURT.replace("2027-05-01", date)).unwrap();
        let output = quarterstop(home.path(), &["check", "far.toml"]).output().unwrap();
        assert_told(&output, 2, "fixture.date");
        let row = format!(
            "date,venue,earliest,latest,duration_min,start\n{date},court.toml,15:00,,,fixed\n"
        );
        fs::write(home.path().join("list.csv"), row).unwrap();
        let output =
            quarterstop(home.path(), &["starts", "--fixtures", "list.csv"]).output().unwrap();
        assert_told(&output, 2, "column date");
    }
    let days = ["year", "court.toml", "--first-date", "2028-02-28", "--last-date", "2028-03-01"];
    let days = [&days[..], &["--step", "60", "--show", "field", "--into", "leap"]].concat();
    assert!(run(home.path(), &days, "a leap day"));
    let table = text(&fs::read(home.path().join("leap/year.csv")).unwrap());
    // the header and three days of 24 hours
    assert_eq!(table.lines().count(), 1 + 3 * 24);
    assert!(table.contains("2028-02-29"));
}

/// Clocks of a ground show no leap second (the time zone database has none in its
/// rules).
#[test]
fn a_leap_second_is_no_time_of_day() {
    let home = court();
    let start = |time: &str| COURT.replace("\"15:00\"", &format!("\"{time}\""));
    for time in ["23:59:60", "24:00", "15:60", "25:00"] {
        fs::write(home.path().join("leap.toml"), start(time)).unwrap();
        let output = quarterstop(home.path(), &["check", "leap.toml"]).output().unwrap();
        assert_told(&output, 2, "fixture.start");
        assert!(text(&output.stderr).contains(time));
        let words = ["match", "court.toml", "--start", time, "--into", "out"];
        let output = quarterstop(home.path(), &words).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{output:?}");
        assert!(text(&output.stderr).contains("HH:MM"), "{output:?}");
    }
    assert!(!home.path().join("out").exists());
}

// ---------------------------------------------------------------- surroundings

/// No locale, no home, no terminal, no path: numbers and names are as ever.
#[test]
fn an_empty_environment_changes_nothing() {
    let home = court();
    for (job, words) in JOBS.iter().enumerate().filter(|(job, _)| *job != 0) {
        let mut command = quarterstop(home.path(), &into(words, "out"));
        command.env_clear();
        if job == 1 {
            command.env("LC_ALL", "C").env("TERM", "dumb").env("TZ", "Nowhere/None");
        }
        let output = command.output().unwrap();
        assert!(output.status.success(), "{output:?}");
        assert_whole(job, &home.path().join("out"), "without an environment");
        fs::remove_dir_all(home.path().join("out")).unwrap();
    }
    // a name beyond ASCII in a C locale
    fs::copy(home.path().join("court.toml"), home.path().join("Plätze ⚽.toml")).unwrap();
    let mut command = quarterstop(home.path(), &["check", "Plätze ⚽.toml"]);
    let output = command.env_clear().env("LC_ALL", "C").output().unwrap();
    assert!(output.status.success(), "{output:?}");
}

/// A reader that has seen enough, before the first byte or after it.
#[test]
fn pipes_that_are_closed_early_are_no_error() {
    let home = court();
    let words: [&[&str]; 9] = [
        &["check", "court.toml"],
        &["check", "court.toml", "--json"],
        &["schema", "venue"],
        &["completions", "zsh"],
        &["--help"],
        &["match", "--help"],
        JOBS[1],
        JOBS[2],
        JOBS[3],
    ];
    for words in words {
        let job = words.contains(&"court.toml") && words[0] != "check";
        for read in if job { 1..2 } else { 0..2 } {
            let mut child = quarterstop(home.path(), words).spawn().unwrap();
            let mut pipe = child.stdout.take().unwrap();
            pipe.read_exact(&mut vec![0; read]).unwrap();
            drop(pipe);
            let output = child.wait_with_output().unwrap();
            assert_eq!(output.status.code(), Some(0), "{words:?}: {output:?}");
            assert_eq!(text(&output.stderr), "", "{words:?}");
        }
    }
    // nobody listens to what is wrong
    let mut child = quarterstop(home.path(), &["check", "nowhere.toml"]).spawn().unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(2));
    for closed in ["exec >&-", "exec 2>&-", "exec <&- >&- 2>&-"] {
        let output = staged(home.path(), closed, &["check", "court.toml"]);
        assert_eq!(output.status.code(), Some(0), "{closed}: {output:?}");
    }
}
