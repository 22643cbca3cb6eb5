//! Shadow polygons and shaded fraction of one instant.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

use criterion::{Criterion, criterion_group, criterion_main};
use quarterstop::geometry::{Caster, FACE_HEIGHT_M, OverlayScratch, TURF_HEIGHT_M};
use std::hint::black_box;

fn shadow(c: &mut Criterion) {
    for (segments, roof) in [(64, 0.0), (64, 0.4), (512, 0.4)] {
        let venue = support::bowl(segments, roof);
        let turf = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        let face = Caster::new(&venue, support::date(), FACE_HEIGHT_M);
        let suns = support::afternoon_suns();
        let mut bench = OverlayScratch::default();
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
