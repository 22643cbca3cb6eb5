//! Lattices over folded ground against ray-casts, and the light of the sky through them against
//! a sum over its directions.

use geo::Coord;
use glam::DVec3;

use crate::geometry_relief::{cast, field_on, toward};
use crate::geometry_relief_rays::{hills, share_by_rays, things};
use crate::support;
use quarterstop::geometry::{Obstacle, SkyDome};
use quarterstop::venue::{BarSection, BarWays, Lattice, Part, Passes, Shape};

/// The width, depth and pitch of modelled bars, metres: a fifth is closed by bars of one way.
const WIDTH_M: f64 = 0.25;
const DEPTH_M: f64 = 0.4;
const PITCH_M: f64 = 1.25;

/// A level grid of bars along both axes.
fn grid(openness: f64, depth_over_width: f64) -> Lattice {
    Lattice {
        openness,
        section: BarSection::Rectangle { depth_over_width },
        normal: DVec3::Z,
        ways: BarWays::Across([Some(DVec3::X), Some(DVec3::Y), None, None]),
    }
}

/// A lattice and a net over ground that lies over itself along the sun: all over and beside the
/// sides of facets a place has what a ray-cast says, and on a side between two facets that both
/// lie in one layer it has that layer's share: no light comes between them, and none is taken
/// twice.
#[test]
fn a_lattice_over_folds_agrees_with_a_ray_cast() {
    let mut dice = support::Dice(31);
    let (mut through, mut both, mut dark, mut on_sides) = (0, 0, 0, 0);
    for (step, high) in [(12.0, 6.0), (9.0, 9.0), (20.0, 16.0)] {
        for _ in 0..4 {
            let mut venue = field_on(&hills(&mut dice, step, high), &[]);
            let sheet = |corners: [[f64; 3]; 4], passes: f64| {
                let corners = corners.map(DVec3::from).to_vec();
                support::body(Part::Panel, Shape::Sheet { corners }, passes)
            };
            let up = high + 4.0;
            let a = [-45.0, -30.0, up];
            let mut lattice =
                sheet([a, [45.0, -30.0, up], [45.0, 12.0, up], [-45.0, 12.0, up]], 0.5);
            let bars = grid(0.7, 0.4);
            lattice.passes = Passes::Lattice(bars);
            let [b, c] = [up + 3.0, up + 5.0];
            let net = sheet(
                [[-20.0, -20.0, b], [30.0, -20.0, b], [30.0, 25.0, c], [-20.0, 25.0, c]],
                0.6,
            );
            venue.occluders.push(support::occluder("grid", vec![lattice]));
            venue.occluders.push(support::occluder("net", vec![net]));
            let sun = toward(dice.between(0.0, 360.0), dice.between(22.0, 45.0));
            let mut all = things(&venue);
            all[1].1 = bars.toward(sun).share();
            let shadow = cast(&venue, 0.0, sun);
            let at = |c: Coord<f64>| DVec3::new(c.x, c.y, venue.ground_m(c.x, c.y) + 1e-6);
            let by_rays = |c: Coord<f64>| share_by_rays(&all, at(c), sun);
            // the same a millimetre and more around
            let even = |c: Coord<f64>| {
                let ways = [[1e-3, 0.0], [-1e-3, 0.0], [0.0, 1e-3], [0.0, -1e-3]];
                let around = ways.map(|[x, y]| by_rays(Coord { x: c.x + x, y: c.y + y }));
                around.iter().all(|share| (share - around[0]).abs() < 1e-9).then_some(around[0])
            };
            let mut ask = |c: Coord<f64>| {
                let Some(wanted) = even(c).filter(|_| c.x.abs() < 49.9 && c.y.abs() < 34.9) else {
                    return false;
                };
                let got = shadow.transmission_at(c).share();
                assert!((got - wanted).abs() < 1e-6, "{step} {high} {c:?}: {got} {wanted}");
                through += usize::from(wanted == all[1].1);
                both += usize::from((wanted - 0.6 * all[1].1).abs() < 1e-9);
                dark += usize::from(wanted == 0.0);
                wanted > 0.0 && wanted < 1.0
            };
            for _ in 0..300 {
                ask(Coord { x: dice.between(-49.9, 49.9), y: dice.between(-34.9, 34.9) });
            }
            let (points, faces) = venue.relief.as_ref().unwrap().triangles();
            for [a, b, _] in faces.iter().map(|face| face.map(|corner| points[corner as usize])) {
                let p = a.lerp(b, dice.between(0.2, 0.8));
                on_sides += usize::from(ask(Coord { x: p.x, y: p.y }));
            }
        }
    }
    println!(
        "{through} through the lattice, {both} through both, {dark} dark, {on_sides} on sides"
    );
    assert!(through > 500 && both > 300 && dark > 100 && on_sides > 200, "{through} {both} {dark}");
}

/// What a line of sight at random passes of bars side by side, by places where it may come in:
/// `shift_m` is how far it goes across them on its way through.
fn between_boxes(shift_m: f64) -> f64 {
    let places = 500;
    let is_free = |i: &i32| {
        let from = PITCH_M * (f64::from(*i) + 0.5) / f64::from(places);
        let (low, high) = (from.min(from + shift_m), from.max(from + shift_m));
        // bars reach from whole pitches on for their width
        let bar = (low / PITCH_M).floor() * PITCH_M;
        low > bar + WIDTH_M && high < bar + PITCH_M
    };
    (0..places).filter(is_free).count() as f64 / f64::from(places)
}

/// The light of an evenly bright sky through a grating, against a sum over 180 000 directions:
/// along each what a model of boxes leaves (above), where it meets the grating. The dome has
/// 1152 rays; what each stands for is the most that it may be off along the grating's border.
#[test]
fn the_sky_through_a_grating_is_the_sum_over_its_directions() {
    let dome = SkyDome::new();
    let up = 6.0;
    for half in [[3.0, 3.0], [9.0, 5.0], [80.0, 60.0]] {
        let [x, y] = half;
        let corners = [[-x, -y, up], [x, -y, up], [x, y, up], [-x, y, up]].map(DVec3::from);
        let mut grating = support::football();
        let mut body = support::body(Part::Panel, Shape::Sheet { corners: corners.to_vec() }, 0.5);
        body.passes = Passes::Lattice(grid(0.64, DEPTH_M / WIDTH_M));
        grating.occluders = vec![support::occluder("grating", vec![body])];
        let obstacles = Obstacle::all_of(&grating, support::date());
        let got = dome.horizontal(&dome.from_point(&obstacles, DVec3::ZERO));
        let (mut arrives, mut all) = (0.0, 0.0);
        for i in 0..300 {
            let sine = (f64::from(i) + 0.5) / 300.0;
            for j in 0..600 {
                let way = toward((f64::from(j) + 0.5) * 0.6, sine.asin().to_degrees());
                let aside = [way.x / way.z, way.y / way.z];
                let meets = (aside[0] * up).abs() < x && (aside[1] * up).abs() < y;
                let share: f64 = match meets {
                    true => aside.iter().map(|t| between_boxes(t * DEPTH_M)).product(),
                    false => 1.0,
                };
                arrives += sine * share;
                all += sine;
            }
        }
        let wanted = arrives / all;
        assert!((got - wanted).abs() < 0.006, "{half:?}: {got} {wanted}");
        assert!(wanted < 0.95, "{wanted}");
    }
}
