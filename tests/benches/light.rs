//! Light on the field of play: preparing a bowl, one instant, a map.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

use std::hint::black_box;

use chrono::{Datelike, TimeZone, Utc};
use chrono_tz::Tz;
use criterion::{Criterion, criterion_group, criterion_main};
use geo::{Area, MultiPolygon};
use glam::DVec3;

use quarterstop::engine::Prepared;
use quarterstop::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, SampleGrid, TURF_HEIGHT_M,
};
use quarterstop::light::{Air, FloodlightLight, LightSum, Overhead, Scene, Sky, SkyLight, Sources};
use quarterstop::solar;

/// Metres between places, and upright faces at each of them.
const SPACING_M: f64 = 5.0;
const FACES: usize = 6;

fn light(c: &mut Criterion) {
    let venue = support::bowl(64, 0.4);
    let obstacles = || Obstacle::all_of(&venue, support::date());
    let at = Tz::Europe__London
        .with_ymd_and_hms(support::date().year(), 4, 17, 15, 20, 0)
        .single()
        .expect("an afternoon has one such time");
    let sun = solar::position(&venue.place, at.with_timezone(&Utc));
    let air = Air::default();

    let mut group = c.benchmark_group("light");
    group.sample_size(10);
    group.bench_function("1-prepare", |b| {
        b.iter(|| black_box(Scene::new(&venue, obstacles())));
    });

    let scene = Scene::new(&venue, obstacles());
    let faces = faces(&venue.field.outline);
    group.bench_function("2-prepare-six-faces-5m", |b| {
        b.iter(|| black_box(scene.receivers(&faces)));
    });

    // turf and faces of one instant, and what comes before it
    let receivers = scene.receivers(&faces);
    let turf = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
    let shadow = turf.cast(sun.toward(), &mut OverlayScratch::default());
    let sky = || SkyLight::new(scene.dome(), &sun, &venue.place, &air, Sky::Clear, at.ordinal());
    let overhead = sky();
    group.bench_function("3-sky-of-an-instant", |b| b.iter(|| black_box(sky())));
    let in_this_air = Overhead::new(scene.dome(), &venue.place, &air, Sky::Clear);
    group.bench_function("3b-sky-of-an-instant-in-a-known-air", |b| {
        b.iter(|| black_box(in_this_air.at(scene.dome(), &sun, at.ordinal())));
    });
    group.bench_function("4-turf-of-an-instant", |b| {
        b.iter(|| black_box(scene.at(&overhead, &shadow)));
    });
    let now = scene.at(&overhead, &shadow);
    group.bench_function("5-six-faces-5m-of-an-instant", |b| {
        b.iter(|| black_box(now.on(&receivers)));
    });

    // the same faces as one sum, and the mean of the turf
    let even = |count: usize| (0..count).map(|i| (i, 1.0 / count as f64)).collect();
    let sums = [
        LightSum::Turf(even(scene.places().at().len())),
        LightSum::Faces(&receivers, even(receivers.len())),
    ];
    group
        .bench_function("5b-prepare-two-sums", |b| b.iter(|| black_box(scene.coefficients(&sums))));
    let sums = scene.coefficients(&sums);
    group.bench_function("5c-what-the-sun-reaches", |b| {
        b.iter(|| black_box(scene.reach(&shadow, sun.toward())));
    });
    let reach = scene.reach(&shadow, sun.toward());
    group.bench_function("5d-two-sums-of-an-instant", |b| {
        b.iter(|| {
            let sources = Sources::new(&overhead, FloodlightLight::DARK);
            black_box(sources.light_once(&sums, &reach))
        });
    });

    let prepared = Prepared::new(&venue, support::date());
    let reference = prepared.reference(None).expect("every field has a centre");
    group.bench_function("6-map-1m", |b| {
        b.iter(|| {
            let reference = reference.clone();
            black_box(prepared.light_map(at, Sky::Clear, &air, reference, Some(1.0)))
        });
    });
    group.finish();
}

/// Upright faces on a lattice over the field.
fn faces(outline: &geo::Polygon<f64>) -> Vec<(DVec3, DVec3)> {
    let region = MultiPolygon(vec![outline.clone()]);
    let area_m2 = region.unsigned_area();
    let places = SampleGrid::over(&region, area_m2, area_m2 / SPACING_M.powi(2));
    let facing = |turn: usize| {
        let (sin, cos) = (std::f64::consts::TAU * turn as f64 / FACES as f64).sin_cos();
        DVec3::new(sin, cos, 0.0)
    };
    let at = places.places().iter();
    at.flat_map(|at| {
        (0..FACES).map(move |turn| (DVec3::new(at.x, at.y, FACE_HEIGHT_M), facing(turn)))
    })
    .collect()
}

criterion_group!(benches, light);
criterion_main!(benches);
