//! Meshes of about 50 000 triangles: shadow of one instant, and what is prepared once.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../mesh_support/mod.rs"]
mod mesh_support;
#[path = "../support/mod.rs"]
mod support;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use mesh_support::{Bowl, bowl_mesh, with_mesh};

use quarterstop::engine::Prepared;
use quarterstop::geometry::{Caster, Obstacle, OverlayScratch, TURF_HEIGHT_M};

fn mesh(c: &mut Criterion) {
    for (name, bowl, rows, segments) in
        [("smooth", Bowl::Smooth, 19, 1000), ("steps", Bowl::Steps, 26, 160)]
    {
        let ground = support::football();
        let mesh = bowl_mesh(ground.field.frame, bowl, rows, segments);
        let triangles = mesh.triangles().len();
        let venue = with_mesh(ground, mesh);
        let mut group = c.benchmark_group(format!("mesh/{name}-{triangles}"));
        group.sample_size(10);
        let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        let suns = support::afternoon_suns();
        let mut bench = OverlayScratch::default();
        group.bench_function("1-shadow-of-eight-instants", |b| {
            b.iter(|| {
                let share = |sun| black_box(caster.cast(sun, &mut bench)).field_share().opaque;
                suns.map(share)
            })
        });
        group.bench_function("2-prepare-shadow", |b| {
            b.iter(|| black_box(Caster::new(&venue, support::date(), TURF_HEIGHT_M)))
        });
        group.bench_function("3-prepare-rays", |b| {
            b.iter(|| black_box(Obstacle::all_of(&venue, support::date())))
        });
        group.bench_function("4-prepare-all", |b| {
            b.iter(|| {
                black_box(Prepared::new(&venue, support::date()));
            })
        });
    }
}

criterion_group!(benches, mesh);
criterion_main!(benches);
