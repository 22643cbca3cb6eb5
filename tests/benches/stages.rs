//! Stages that no other benchmark takes by itself: the sun, what is seen from a place, a
//! camera, a ball. Ground: a bowl of 64 segments and the football demo.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../season_support/mod.rs"]
mod season_support;
#[path = "../support/mod.rs"]
mod support;

use std::hint::black_box;

use chrono::{DateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;
use criterion::{Criterion, criterion_group, criterion_main};
use glam::DVec3;

use quarterstop::base::frame::direction;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::camera::{cover, lens_view};
use quarterstop::engine::Prepared;
use quarterstop::geometry::{Obstacle, OverlayScratch, Panorama, transmission_toward};
use quarterstop::jobs::ball::physics::{BallKind, Screen, Stroke, fly};
use quarterstop::jobs::ball::{BallPlan, BallSettings};
use quarterstop::light::{Air, Sky};
use quarterstop::solar;

fn afternoon() -> DateTime<Tz> {
    let at = Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, 16, 0, 0).single();
    at.expect("no clock change in April")
}

fn sun(c: &mut Criterion) {
    let (place, at) = (support::place(), afternoon());
    let mut minute = 0;
    c.bench_function("solar/position", |b| {
        b.iter(|| {
            minute = (minute + 1) % 600;
            black_box(solar::position(&place, at + TimeDelta::minutes(minute)))
        });
    });
    c.bench_function("solar/day", |b| {
        b.iter(|| black_box(solar::day(&place, support::date())));
    });
}

fn visibility(c: &mut Criterion) {
    let venue = support::bowl(64, 0.4);
    let obstacles = Obstacle::all_of(&venue, support::date());
    let eye = DVec3::new(5.0, -10.0, 1.7);
    let mut turn = 0.0;
    c.bench_function("visibility/one-ray", |b| {
        b.iter(|| {
            turn = (turn + 7.0) % 360.0;
            let toward = direction(Azimuth::from_degrees(turn), Elevation::from_degrees(20.0));
            black_box(transmission_toward(&obstacles, eye, toward))
        });
    });
    let mut group = c.benchmark_group("visibility");
    group.sample_size(10);
    group.bench_function("all-around-one-place", |b| {
        b.iter(|| black_box(Panorama::from_point(&obstacles, eye)));
    });
    group.finish();
}

fn camera(c: &mut Criterion) {
    let venue = season_support::bowl(64, 0.4);
    let post = &venue.cameras[0];
    c.bench_function("camera/cover", |b| {
        b.iter(|| black_box(cover(post, &venue.field.outline, &venue.zones)));
    });
    let toward = direction(Azimuth::from_degrees(250.0), Elevation::from_degrees(20.0));
    c.bench_function("camera/sun-in-lens", |b| {
        b.iter(|| black_box(lens_view(post, toward, Transmittance::CLEAR)));
    });
    let bare = support::bowl(64, 0.4);
    for (name, venue) in [("instant-without-cameras", &bare), ("instant-with-five", &venue)] {
        let prepared = Prepared::new(venue, support::date());
        let (mut bench, mut minute) = (OverlayScratch::default(), 0);
        c.bench_function(&format!("camera/{name}"), |b| {
            b.iter(|| {
                minute = (minute + 1) % 120;
                let at = afternoon() + TimeDelta::minutes(minute);
                black_box(prepared.instant(at, Sky::Clear, &Air::default(), &mut bench))
            });
        });
    }
}

fn ball(c: &mut Criterion) {
    let venue = season_support::bowl(64, 0.4);
    let kick =
        Stroke { speed_m_per_s: 26.0, angle_deg: 45.0, back_spin_rpm: 300.0, side_spin_rpm: 0.0 };
    let ball = BallKind::Football.ball();
    let from = DVec3::new(0.0, -25.0, ball.radius_m);
    let air =
        quarterstop::jobs::ball::physics::FlightAir { density_kg_per_m3: 1.2, wind: DVec3::ZERO };
    let flight = || fly(&ball, &kick.launch(from, DVec3::Y), &air, ball.radius_m);
    c.bench_function("ball/flight", |b| b.iter(|| black_box(flight())));
    let settings = BallSettings {
        at: afternoon(),
        sky: Sky::Clear,
        air: Air::default(),
        camera: 0,
        fov_deg: None,
        ball: BallKind::Football.ball(),
        flight: flight(),
        rate: 4.0,
        delay_s: None,
        sky_under_stops: 0.7,
        visibility: 8.0,
        screen: Screen::default(),
    };
    let prepared = Prepared::new(&venue, support::date());
    let mut group = c.benchmark_group("ball");
    group.sample_size(10);
    group.bench_function("plan", |b| {
        b.iter(|| black_box(BallPlan::new(&prepared, support::date(), &settings)));
    });
    group.finish();
}

criterion_group!(benches, sun, visibility, camera, ball);
criterion_main!(benches);
