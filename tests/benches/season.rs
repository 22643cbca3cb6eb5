//! A year of a bowl at 5-minute steps: shaded share of the field and five splits; and
//! start times over 20 such grounds. Each row is one run: seconds on the clock, and of work of all cores (Linux tells), so that
//! a busy machine can be told from slow code.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../season_support/mod.rs"]
mod season_support;
#[path = "../support/mod.rs"]
mod support;

use std::convert::Infallible;
use std::time::Instant;

use chrono::{Days, NaiveDate, NaiveTime, TimeDelta};
use season_support::{bowl, clear, date};

use quarterstop::engine::season::{Season, Splits, Wanted, dates};
use quarterstop::jobs::starts::{Fixture, Freedom, Kept, Profile, StartsRun};
use quarterstop::venue::Venue;

fn main() {
    // `cargo test` runs benchmarks too; there is nothing to learn from that
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let venue = bowl(64, 0.0);
    let field = Wanted { field: true, ..Wanted::NOTHING };
    let turf = Wanted { splits: Splits::Turf, ..field };
    let both = Wanted { splits: Splits::TurfAndSubject, ..field };
    println!(
        "{:44} {:>9} {:>9} {:>8} {:>8} {:>8}",
        "", "instants", "daylight", "seconds", "of work", "us each"
    );
    for days in [46, 91, 183, 365] {
        run(&format!("bowl 64, field and 5 splits, {days} days"), &venue, both, days);
    }
    run("bowl 64, field alone, 365 days", &venue, field, 365);
    run("bowl 64, field and 5 splits of turf, 365 days", &venue, turf, 365);
    run("bowl 64, everything, 365 days", &venue, Wanted::EVERYTHING, 365);
    run("bowl 64, roof of 40 %, field and 5 splits", &bowl(64, 0.4), both, 365);
    starts();
    if let Some(peak) = peak_memory() {
        println!("most memory at any time: {peak}");
    }
}

fn run(name: &str, venue: &Venue, wanted: Wanted, days: u64) {
    let (start, before) = (Instant::now(), work_seconds());
    let season = Season::new(venue, clear(), wanted);
    // days spread over the year, so that all have the same share of daylight
    let first = date(2027, 1, 1);
    let step = 365 / days;
    let spread: Vec<NaiveDate> =
        dates(first, first + Days::new(364)).step_by(step as usize).take(days as usize).collect();
    let (mut all, mut daylight) = (0, 0_u32);
    let done = season.days(spread, TimeDelta::minutes(5), |day| {
        all += day.rows.len();
        let up = |row: &&quarterstop::engine::season::SeasonRow| {
            row.sun.apparent_elevation.degrees() > 0.0
        };
        daylight += day.rows.iter().filter(up).count() as u32;
        Ok::<(), Infallible>(())
    });
    let Ok(()) = done;
    let taken = start.elapsed();
    let work = work_seconds() - before;
    let micros = work * 1e6 / f64::from(daylight.max(1));
    let seconds = taken.as_secs_f64();
    println!("{name:44} {all:>9} {daylight:>9} {seconds:>8.2} {work:>8.2} {micros:>8.1}");
}

/// Keeps nothing: every block is worked out.
struct Nothing;

impl Kept for Nothing {
    type Error = Infallible;

    fn load(&self, _: &str) -> Option<Vec<u8>> {
        None
    }

    fn save(&self, _: &str, _: &[u8]) -> Result<(), Infallible> {
        Ok(())
    }
}

/// 20 bowls with 40 fixtures each, 13 starts a fixture.
fn starts() {
    let venues: Vec<Venue> = std::iter::repeat_with(|| bowl(64, 0.0)).take(20).collect();
    let clock = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
    let fixture = |venue: usize, week: u64| Fixture {
        name: String::new(),
        venue,
        date: date(2027, 8, 14) + Days::new(7 * week),
        earliest: clock(12),
        latest: clock(18),
        start: Freedom::Free,
        planned: clock(15),
        duration_min: None,
    };
    let fixtures: Vec<Fixture> =
        (0..20).flat_map(|venue| (0..40).map(move |week| fixture(venue, week))).collect();
    let run = StartsRun {
        venues: &venues,
        fixtures: &fixtures,
        every_min: 30,
        step_min: 5,
        profile: &Profile::default(),
        odds: vec![None; venues.len()],
        forecasts: vec![None; venues.len()],
    };
    let (start, before) = (Instant::now(), work_seconds());
    let Ok(ranked) = run.ranked(&Nothing, |_, _| ());
    let (seconds, work) = (start.elapsed().as_secs_f64(), work_seconds() - before);
    let count: usize = ranked.iter().map(|ranked| ranked.starts.len()).sum();
    let micros = work * 1e6 / count as f64;
    let name = "20 bowls, 40 fixtures, 13 starts (starts)";
    println!("{name:44} {count:>9} {:>9} {seconds:>8.2} {work:>8.2} {micros:>8.1}", "");
}

/// Work of all threads so far, seconds: user time, in hundredths (proc(5), stat). 0 where
/// the system does not tell.
fn work_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks = after_name.split_whitespace().nth(11).and_then(|field| field.parse::<f64>().ok());
    ticks.unwrap_or(0.0) / 100.0
}

/// Where the system tells it.
fn peak_memory() -> Option<String> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    Some(line.trim_start_matches("VmHWM:").trim().to_owned())
}
