//! The crew's brief on the football demo, and a desk of 28 cameras and 8 operators.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::hint::black_box;
use std::path::Path;

use chrono::TimeDelta;
use criterion::{Criterion, criterion_group, criterion_main};

use quarterstop::base::units::Stops;
use quarterstop::engine::{Prepared, Settings};
use quarterstop::jobs::brief::report::{BriefReport, board, data, page, pdf};
use quarterstop::jobs::crew::{BriefSettings, brief};
use quarterstop::light::{Air, Sky};
use quarterstop::venue::{Operator, Venue};
use quarterstop::{engine, jobs, solar, venue};

const VENUE: &str = "venues/football-demo.toml";
const MANY_CAMERAS: usize = 28;
const MANY_OPERATORS: usize = 8;

fn stages(c: &mut Criterion) {
    let ground = venue::read(Path::new(VENUE)).expect("the demo venue reads");
    let mut group = c.benchmark_group("brief");
    group.sample_size(10);
    whole(&mut group, &ground, "5-cameras");
    let many = many(&ground);
    whole(&mut group, &many, "28-cameras");

    let settings = settings(&ground);
    let prepared = Prepared::new(&ground, settings.from.date_naive());
    let plan = prepared.run(&settings, |_, _| {}).expect("the demo runs");
    let told = brief(&prepared, &plan, &BriefSettings::default()).expect("the demo is briefed");
    let told =
        BriefReport { venue: &ground, plan: &plan, brief: &told, forecast: None, hidden: &[] };
    let timeline = jobs::match_plan::picture::timeline(&ground, &plan).expect("the demo is drawn");
    group.bench_function("page", |b| b.iter(|| black_box(page::html(&told, None, ""))));
    group.bench_function("pdf", |b| b.iter(|| black_box(pdf::pdf(&told, &timeline.svg))));
    group.bench_function("board", |b| b.iter(|| black_box(board::html(&told))));
    group.bench_function("json", |b| b.iter(|| black_box(data::write(&told))));
    group.finish();
}

/// Preparing, all instants and the brief itself.
fn whole(
    group: &mut criterion::BenchmarkGroup<'_, criterion::measurement::WallTime>,
    ground: &Venue,
    name: &str,
) {
    let settings = settings(ground);
    let prepared = Prepared::new(ground, settings.from.date_naive());
    let plan = prepared.run(&settings, |_, _| {}).expect("the demo runs");
    group.bench_function(format!("{name}/prepare-and-plan"), |b| {
        b.iter(|| {
            let prepared = Prepared::new(ground, settings.from.date_naive());
            black_box(prepared.run(&settings, |_, _| {}))
        });
    });
    group.bench_function(format!("{name}/settings-desk-cues"), |b| {
        b.iter(|| black_box(brief(&prepared, &plan, &BriefSettings::default())));
    });
}

fn settings(ground: &Venue) -> Settings {
    let fixture = ground.fixture.expect("the demo venue proposes a fixture");
    let start = solar::resolve(ground.place.zone, fixture.date, fixture.start, None)
        .expect("the demo starts at a time that exists");
    let programme = engine::programme(ground);
    let (from, until) = programme.window_from(start);
    Settings {
        from,
        until,
        step: TimeDelta::minutes(1),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(engine::DEFAULT_HOLD_STOPS),
        milestones: programme.milestones_from(start),
    }
}

/// The demo with its cameras again and again, each a little aside of the last.
fn many(ground: &Venue) -> Venue {
    let mut many = ground.clone();
    let cameras = ground.cameras.iter().cycle().take(MANY_CAMERAS).enumerate();
    many.cameras = cameras
        .map(|(number, camera)| {
            let mut camera = camera.clone();
            camera.name = format!("{}", number + 1);
            camera.at.x += 0.7 * (number / ground.cameras.len()) as f64;
            camera
        })
        .collect();
    many.operators = (0..MANY_OPERATORS)
        .map(|number| Operator { name: format!("{number}"), cameras: Vec::new() })
        .collect();
    many
}

criterion_group!(benches, stages);
criterion_main!(benches);
