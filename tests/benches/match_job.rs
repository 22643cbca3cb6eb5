//! The main job on the football demo, stage by stage, so that each one's share
//! can be read off a single run.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::hint::black_box;
use std::path::Path;

use chrono::TimeDelta;
use criterion::{Criterion, criterion_group, criterion_main};

use quarterstop::base::units::Stops;
use quarterstop::engine::{Prepared, Settings};
use quarterstop::geometry::OverlayScratch;
use quarterstop::jobs::match_plan::report::{csv, json};
use quarterstop::light::{Air, Sky};
use quarterstop::{engine, jobs, solar, venue};

const VENUE: &str = "venues/football-demo.toml";

fn stages(c: &mut Criterion) {
    let ground = venue::read(Path::new(VENUE)).expect("the demo venue reads");
    let fixture = ground.fixture.expect("the demo venue proposes a fixture");
    let start = solar::resolve(ground.place.zone, fixture.date, fixture.start, None)
        .expect("the demo starts at a time that exists");
    let programme = engine::programme(&ground);
    let (from, until) = programme.window_from(start);
    let settings = Settings {
        from,
        until,
        step: TimeDelta::minutes(1),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(engine::DEFAULT_HOLD_STOPS),
        milestones: programme.milestones_from(start),
    };
    let whole = engine::run(&ground, &settings, |_, _| {}).expect("the demo runs");
    let prepared = Prepared::new(&ground, fixture.date);
    let mut bench = OverlayScratch::default();

    let mut group = c.benchmark_group("match");
    group.sample_size(10);
    group.bench_function("1-read", |b| b.iter(|| black_box(venue::read(Path::new(VENUE)))));
    group.bench_function("2-prepare", |b| {
        b.iter(|| black_box(Prepared::new(&ground, fixture.date)));
    });
    let mut moved = ground.clone();
    moved.cameras[0].at.z += 0.5;
    group.bench_function("2b-prepare-after-a-camera-moved", |b| {
        b.iter(|| black_box(Prepared::after(&moved, fixture.date, &prepared)));
    });
    group.bench_function("3-one-instant", |b| {
        let mut minute = 0;
        b.iter(|| {
            minute = (minute + 1) % 150;
            let at = from + TimeDelta::minutes(minute);
            black_box(prepared.instant(at, Sky::Clear, &settings.air, &mut bench))
        });
    });
    group.bench_function("4-plan", |b| {
        b.iter(|| black_box(engine::run(&ground, &settings, |_, _| {})));
    });
    group.bench_function("4b-plan-of-a-prepared-ground", |b| {
        b.iter(|| black_box(prepared.run(&settings, |_, _| {})));
    });
    group.bench_function("5-timeline-picture", |b| {
        b.iter(|| black_box(jobs::match_plan::picture::timeline(&ground, &whole)));
    });
    group.bench_function("6-field-picture", |b| {
        b.iter(|| black_box(jobs::match_plan::picture::field(&ground, &whole, 80)));
    });
    group.bench_function("7-light-timeline-picture", |b| {
        b.iter(|| black_box(jobs::match_plan::picture::timeline::light_timeline(&ground, &whole)));
    });
    let reference = prepared.reference(None).expect("every field has a centre");
    let at = from + TimeDelta::minutes(80);
    let map = prepared.light_map(at, Sky::Clear, &settings.air, reference.clone(), None);
    group.bench_function("8-light-map", |b| {
        b.iter(|| {
            let reference = reference.clone();
            black_box(prepared.light_map(at, Sky::Clear, &settings.air, reference, None))
        });
    });
    group.bench_function("9-light-map-picture", |b| {
        b.iter(|| black_box(jobs::match_plan::picture::field::light_map(&ground, &map)));
    });
    group.bench_function("10-csv", |b| b.iter(|| black_box(csv::write(&ground, &whole))));
    let maps = std::slice::from_ref(&map);
    group.bench_function("11-json", |b| {
        b.iter(|| black_box(json::write(&ground, &whole, maps, &[])))
    });
    group.finish();
}

criterion_group!(benches, stages);
criterion_main!(benches);
