//! Shadow polygons and shaded fraction of one instant.

#[path = "../support/mod.rs"]
mod support;

use criterion::{Criterion, criterion_group, criterion_main};
use quarterstop::frame::direction;
use quarterstop::geometry::{Caster, FACE_HEIGHT_M, TURF_HEIGHT_M, Workbench};
use quarterstop::units::{Azimuth, Elevation};
use std::hint::black_box;

/// Suns of a spring afternoon: each sample of the benchmark takes all of them
/// in turn, so that no single lucky instant is measured.
const SUNS: [(f64, f64); 8] = [
    (180.0, 46.0),
    (200.0, 44.0),
    (220.0, 38.0),
    (235.0, 31.0),
    (248.0, 23.0),
    (259.0, 15.0),
    (269.0, 8.0),
    (276.0, 3.0),
];

fn shadow(c: &mut Criterion) {
    for (segments, roof) in [(64, 0.0), (64, 0.4), (512, 0.4)] {
        let venue = support::bowl(segments, roof);
        let turf = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        let face = Caster::new(&venue, support::date(), FACE_HEIGHT_M);
        let suns =
            SUNS.map(|(az, el)| direction(Azimuth::from_degrees(az), Elevation::from_degrees(el)));
        let mut bench = Workbench::default();
        let mut next = 0;
        c.bench_function(&format!("shadow/bowl{segments}-roof{roof}/turf"), |b| {
            b.iter(|| {
                next += 1;
                black_box(turf.cast(suns[next % 8], &mut bench)).field_share()
            })
        });
        c.bench_function(&format!("shadow/bowl{segments}-roof{roof}/both-heights"), |b| {
            b.iter(|| {
                next += 1;
                let sun = suns[next % 8];
                (
                    black_box(turf.cast(sun, &mut bench)).field_share(),
                    black_box(face.cast(sun, &mut bench)).field_share(),
                )
            })
        });
    }
}

criterion_group!(benches, shadow);
criterion_main!(benches);
