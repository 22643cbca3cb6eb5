//! Five hundred places for cameras over one match, and the search for the best set.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::hint::black_box;

use chrono::TimeDelta;
use criterion::{Criterion, criterion_group, criterion_main};

use quarterstop::base::units::Stops;
use quarterstop::engine::programme;
use quarterstop::jobs::positions::{PlayTime, PositionSettings, PositionWeights, positions};
use quarterstop::light::{Air, Sky};
use quarterstop::{solar, venue};

const VENUE: &str = "venues/football-demo.toml";
const PLACES: usize = 500;

fn places(c: &mut Criterion) {
    let text = std::fs::read_to_string(VENUE).expect("the demo venue is there");
    // half the distance between neighbours: four times as many on the deck
    let finer = text.replacen("every_m = 2.0 ", "every_m = 1.24 ", 1);
    let mut ground = venue::parse(&finer, VENUE).expect("the demo venue reads");
    ground.candidates.truncate(1);
    assert!(ground.candidates[0].posts.len() >= PLACES - 40);
    let more = ground.candidates[0].posts.clone();
    ground.candidates[0].posts.extend(more.into_iter().take(PLACES));
    ground.candidates[0].posts.truncate(PLACES);
    let fixture = ground.fixture.expect("the demo has a fixture");
    let start = solar::resolve(ground.place.zone, fixture.date, fixture.start, None);
    let programme = programme(&ground);
    let start = start.expect("the demo starts");
    let mut settings = PositionSettings {
        matches: vec![PlayTime {
            milestones: programme.milestones_from(start),
            within: programme.window_from(start),
        }],
        step: TimeDelta::minutes(2),
        sky: Sky::Clear,
        air: Air::default().into(),
        over: vec![Stops::from_stops(2.0)],
        weights: PositionWeights::default(),
        set: None,
        apart_m: 3.0,
    };
    let mut group = c.benchmark_group("positions");
    group.sample_size(10);
    let compare = |settings: &PositionSettings| {
        black_box(positions(&ground, settings, |_, _| {}).expect("places compare"));
    };
    group.bench_function("500-places-one-match", |b| b.iter(|| compare(&settings)));
    settings.set = Some(1);
    group.bench_function("with-all-pairs", |b| b.iter(|| compare(&settings)));
    group.finish();
}

criterion_group!(benches, places);
criterion_main!(benches);
