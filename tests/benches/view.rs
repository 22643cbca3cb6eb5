//! Pictures through cameras: one of 960 x 540 by itself and with the light of its minute, on
//! the football demo and on the same with a mesh of about 50 000 triangles; a strip of 28.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "../mesh_support/mod.rs"]
mod mesh_support;
#[path = "../support/mod.rs"]
mod support;

use std::hint::black_box;
use std::path::Path;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;
use criterion::{Criterion, criterion_group, criterion_main};
use mesh_support::{Bowl, bowl_mesh, with_mesh};
use quarterstop::engine::Prepared;
use quarterstop::jobs::on_air::{Framing, scene, view};
use quarterstop::light::{Air, Sky};
use quarterstop::venue::Venue;
use quarterstop::{solar, venue};

const PICTURE_PX: usize = 960;
const STRIP_PX: usize = 320;
const STRIP: usize = 28;

fn demo() -> Venue {
    venue::read(Path::new("venues/football-demo.toml")).expect("the demo venue reads")
}

/// Three quarters of an hour into the match.
fn minute(ground: &Venue) -> DateTime<Tz> {
    let fixture = ground.fixture.expect("the demo has a fixture");
    let start = solar::resolve(ground.place.zone, fixture.date, fixture.start, None);
    start.expect("the start is a time") + TimeDelta::minutes(45)
}

fn pictures(c: &mut Criterion) {
    let bowl = |ground: Venue| {
        let mesh = bowl_mesh(ground.field.frame, Bowl::Smooth, 19, 1000);
        with_mesh(ground, mesh)
    };
    for (name, ground) in [("demo", demo()), ("mesh", bowl(demo()))] {
        let at = minute(&ground);
        let air = Air::default();
        let prepared = Prepared::new(&ground, at.date_naive());
        let scene = scene(&prepared, at, Sky::Clear, &air);
        let light = |at: DateTime<Tz>| prepared.view_light(at, Sky::Clear, &air);
        let mut group = c.benchmark_group(format!("view/{name}"));
        group.sample_size(10);
        let now = light(at);
        for (index, post) in ground.cameras.iter().enumerate() {
            let view = view(&scene, post, Framing::default(), PICTURE_PX).0;
            group.bench_function(format!("camera-{}", index + 1), |b| {
                b.iter(|| black_box(scene.picture(&now, &view)));
            });
            let mut minutes = 0;
            group.bench_function(format!("camera-{}-another-minute", index + 1), |b| {
                b.iter(|| {
                    minutes = (minutes + 1) % 45;
                    black_box(scene.picture(&light(at + TimeDelta::minutes(minutes)), &view))
                });
            });
        }
        let posts = ground.cameras.iter().cycle().take(STRIP);
        let views: Vec<_> =
            posts.map(|post| view(&scene, post, Framing::default(), STRIP_PX).0).collect();
        group.bench_function("strip-of-28", |b| {
            b.iter(|| views.iter().for_each(|view| drop(black_box(scene.picture(&now, view)))));
        });
        group.finish();
    }
}

criterion_group!(benches, pictures);
criterion_main!(benches);
