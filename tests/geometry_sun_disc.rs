//! How much of the sun many places see at once, against each of them by itself, and the share
//! of one place against rays all over the disc.

use glam::DVec3;

use quarterstop::engine::Prepared;
use quarterstop::geometry::{MeshEdges, SunDisc};
use quarterstop::solar::SUN_DIAMETER_DEG;
use quarterstop::venue;

/// Suns: azimuth and elevation, degrees.
const SUNS: [(f64, f64); 6] =
    [(95.0, 4.0), (140.0, 27.0), (180.0, 58.0), (225.0, 33.0), (248.0, 11.0), (262.0, 2.0)];

fn toward((azimuth, elevation): (f64, f64)) -> DVec3 {
    let (sin, cos) = f64::to_radians(azimuth).sin_cos();
    let (up, level) = f64::to_radians(elevation).sin_cos();
    DVec3::new(sin * level, cos * level, up)
}

/// Numbers from 0 to 1, the same in every run (64-bit linear congruential generator of Knuth,
/// The Art of Computer Programming, volume 2, 3.3.4, table 1).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}

/// A four-sided piece of a plane: level ground, or the face of a body some way up.
fn piece(numbers: &mut Numbers) -> [DVec3; 4] {
    let middle = DVec3::new(numbers.between(-80.0, 80.0), numbers.between(-70.0, 70.0), 0.0);
    let up = match numbers.next() < 0.6 {
        true => 0.0,
        false => numbers.between(0.5, 25.0),
    };
    let tilt = if up == 0.0 { 0.0 } else { numbers.between(-1.2, 1.2) };
    let (sin, cos) = numbers.between(0.0, std::f64::consts::TAU).sin_cos();
    let along = DVec3::new(cos, sin, 0.0) * 10.0_f64.powf(numbers.between(-1.5, 1.0));
    let across = DVec3::new(-sin * tilt.cos(), cos * tilt.cos(), tilt.sin())
        * 10.0_f64.powf(numbers.between(-1.5, 1.0));
    let middle = middle + DVec3::Z * up;
    [middle, middle + along, middle + along + across, middle + across]
}

/// What shades all of a piece, times what each place of it asks, is what the place finds by
/// itself, to rounding.
#[test]
fn what_holds_for_many_places_holds_for_each() {
    let mut numbers = Numbers(7);
    for demo in ["football-demo", "tennis-demo", "golf-demo"] {
        let venue = venue::read(format!("venues/{demo}.toml").as_ref()).unwrap();
        let date = chrono::NaiveDate::from_ymd_opt(2027, 9, 18).unwrap();
        let prepared = Prepared::new(&venue, date);
        let obstacles = prepared.light_scene().obstacles();
        // in shade, in the sun, behind something translucent; asked place by place; not small
        let (mut found, mut asked, mut wide) = ([0, 0, 0], 0, 0);
        for sun in SUNS {
            let disc = SunDisc::new(obstacles, toward(sun));
            let mut near = Vec::new();
            for _ in 0..1500 {
                let corners = piece(&mut numbers);
                near.clear();
                let Some(all) = disc.shading(&corners, None, &mut near) else {
                    wide += 1;
                    continue;
                };
                match near.is_empty() {
                    true => found[if all > 0.0 && all < 1.0 { 2 } else { all as usize }] += 1,
                    false => asked += 1,
                }
                for _ in 0..12 {
                    let [u, v] = [numbers.next(), numbers.next()];
                    let at =
                        corners[0] + (corners[1] - corners[0]) * u + (corners[3] - corners[0]) * v;
                    let (one, _) = disc.share(at, None, MeshEdges::Hard);
                    let (past, _) = disc.share_past(at, None, MeshEdges::Hard, &near);
                    let both = all * past;
                    assert!((one - both).abs() < 1e-12, "{demo} {sun:?} {at}: {one}, not {both}");
                }
            }
        }
        println!("{demo}: {found:?}, {asked} asked, {wide} wide");
        assert!(found[1] > 1000 && asked > 0, "{demo}: {found:?}, {asked}");
        assert!(demo == "golf-demo" || found[0] > 500, "{demo}: {found:?}");
        assert!(demo != "football-demo" || found[2] > 10, "{demo}: {found:?}");
        assert!(asked + wide < 6000, "{demo}: {asked} {wide}");
    }
}

/// The disc is summed up along 16 chords, exactly along each: an edge that runs along them is
/// off by half of the widest chord at most, which holds 2/16 x 2/pi of the disc.
const HALF_A_CHORD: f64 = 0.5 * (2.0 / 16.0) * 2.0 / std::f64::consts::PI;

/// By 2000 rays evenly over the disc.
#[test]
fn the_share_of_one_place_is_that_of_rays_over_the_disc() {
    let venue = venue::read("venues/football-demo.toml".as_ref()).unwrap();
    let date = chrono::NaiveDate::from_ymd_opt(2027, 9, 18).unwrap();
    let prepared = Prepared::new(&venue, date);
    let obstacles = prepared.light_scene().obstacles();
    let radius = (0.5 * SUN_DIAMETER_DEG.to_radians()).tan();
    let mut numbers = Numbers(11);
    let mut soft = 0;
    for sun in SUNS {
        let toward = toward(sun);
        let disc = SunDisc::new(obstacles, toward);
        let (right, up) = toward.any_orthonormal_pair();
        for _ in 0..4000 {
            let at = DVec3::new(numbers.between(-60.0, 60.0), numbers.between(-50.0, 50.0), 0.02);
            let (share, by_mesh) = disc.share(at, None, MeshEdges::Soft);
            let is_soft = share > 0.02 && share < 0.98 && !by_mesh;
            if !is_soft && numbers.next() > 0.01 {
                continue;
            }
            soft += usize::from(is_soft);
            let ray = |i: usize| {
                let away = radius * ((i as f64 + 0.5) / 2000.0).sqrt();
                let (sin, cos) = (i as f64 * 2.399_963_229_728_653).sin_cos();
                let ray = (toward + right * (away * cos) + up * (away * sin)).normalize();
                obstacles.transmission(at, ray).share()
            };
            let rays = (0..2000).map(ray).sum::<f64>() / 2000.0;
            assert!((share - rays).abs() < HALF_A_CHORD, "{sun:?} {at}: {share}, by rays {rays}");
        }
    }
    assert!(soft > 50, "{soft} places in half shade");
}
