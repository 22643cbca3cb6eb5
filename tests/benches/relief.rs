//! One instant of shadow and shares on ground of 20 000 triangles beside the same on flat
//! ground.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

use criterion::{Criterion, criterion_group, criterion_main};
use glam::DVec3;
use quarterstop::geometry::{Caster, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::venue::{Relief, Venue};
use std::hint::black_box;
use std::sync::Arc;

/// Spots a side; two triangles for each square between four.
const SPOTS: usize = 101;

/// A pitch with a crown of 0.3 m and some centimetres of bumps, out to under the stands; with
/// a bank of 4 m where it is asked for.
fn relief(bank_m: f64) -> Arc<Relief> {
    let mut dice = support::Dice(11);
    let spot = |i: usize| {
        let place = |n: usize, half: f64| (n as f64 / (SPOTS - 1) as f64 - 0.5) * 2.0 * half;
        let (x, y) = (place(i % SPOTS, 110.0), place(i / SPOTS, 90.0));
        let bank = bank_m * ((y.abs() - 36.0) / 8.0).clamp(0.0, 1.0);
        DVec3::new(x, y, bank - 0.3 * (y.abs() / 34.0).min(1.0) + dice.between(0.0, 0.02))
    };
    Arc::new(Relief::through(&(0..SPOTS * SPOTS).map(spot).collect::<Vec<_>>()).unwrap())
}

fn instants(c: &mut Criterion) {
    for roof in [0.0, 0.4] {
        let flat = support::bowl(512, roof);
        let on = |bank_m: f64| Venue { relief: Some(relief(bank_m)), ..flat.clone() };
        let grounds =
            [("flat", flat.clone()), ("20000-triangles", on(0.0)), ("with-banks", on(4.0))];
        for (name, venue) in grounds {
            let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
            let suns = support::afternoon_suns();
            let (mut bench, mut next) = (OverlayScratch::default(), 0);
            c.bench_function(&format!("relief/bowl512-roof{roof}/{name}"), |b| {
                b.iter(|| {
                    next += 1;
                    black_box(caster.cast(suns[next % 8], &mut bench)).field_share()
                })
            });
        }
    }
}

criterion_group!(benches, instants);
criterion_main!(benches);
