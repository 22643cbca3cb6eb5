//! Sun and shadow of a bowl as plain numbers, for `tests/reference/pipeline.py`, which
//! works out the same with general libraries and compares.
//!
//! In: the number of segments, three bodies each. Out, a line each: `sun-N` opaque share
//! and mean transmission under a fixed sun; `instant-us` microseconds for an instant on
//! one core, mean of those suns; `year-1` and `year-2` instants with the sun up in a year
//! of 5-minute steps and seconds for them on one and on two cores.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

use std::error::Error;
use std::hint::black_box;
use std::time::Instant;

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use quarterstop::geometry::{Caster, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::solar;
use quarterstop::venue::Place;
use rayon::prelude::*;

const ROUNDS: usize = 500;
const STEP: TimeDelta = TimeDelta::minutes(5);

fn main() -> Result<(), Box<dyn Error>> {
    // `cargo test` runs benchmarks too; there is nothing to learn from that
    if !std::env::args().any(|argument| argument == "--bench") {
        return Ok(());
    }
    let segments = std::env::args().find_map(|word| word.parse().ok()).unwrap_or(171);
    let venue = support::bowl(segments, 0.4);
    let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
    let suns = support::afternoon_suns();
    let mut bench = OverlayScratch::default();
    for (index, sun) in suns.iter().enumerate() {
        let share = caster.cast(*sun, &mut bench).field_share();
        println!("sun-{index} {} {}", share.opaque, share.mean_transmission);
    }
    let began = Instant::now();
    for _ in 0..ROUNDS {
        for sun in &suns {
            black_box(caster.cast(*sun, &mut bench).field_share());
        }
    }
    println!("instant-us {}", began.elapsed().as_secs_f64() * 1e6 / (ROUNDS * suns.len()) as f64);
    for cores in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(cores).build()?;
        let began = Instant::now();
        let instants = pool.install(|| year(&caster, &venue.place));
        println!("year-{cores} {instants} {}", began.elapsed().as_secs_f64());
    }
    Ok(())
}

/// Works out a year and returns how many instants have the sun up.
fn year(caster: &Caster, place: &Place) -> usize {
    let first: DateTime<Utc> = match Utc.with_ymd_and_hms(2027, 1, 1, 0, 0, 0) {
        chrono::LocalResult::Single(at) => at,
        _ => return 0,
    };
    let one = |bench: &mut OverlayScratch, step: i32| {
        let sun = solar::position(place, first + STEP * step);
        let up = sun.apparent_elevation.degrees() > 0.0;
        if up {
            black_box(caster.cast(sun.toward(), bench).field_share());
        }
        usize::from(up)
    };
    (0..365 * 288).into_par_iter().map_init(OverlayScratch::default, one).sum()
}
