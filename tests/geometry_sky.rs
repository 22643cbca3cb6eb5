//! Sky view factors against closed forms for an evenly bright sky: half the sky
//! at the foot of an endless wall; cos2 of the rim's elevation in the middle of
//! a round court (radiation handbooks: view factor of a disc from its axis).

use glam::DVec3;

use crate::support;
use quarterstop::base::units::{Azimuth, Transmittance};
use quarterstop::geometry::{Obstacle, Obstacles, SkyDome};
use quarterstop::venue::{Part, Shape};

/// One band of the dome in 24, cut at 48 places: the rim is met to a 24th of a
/// band's weight on average; 0.005 of the sky.
const TOLERANCE: f64 = 0.005;

fn sheet(corners: &[(f64, f64, f64)], transmittance: f64) -> Obstacle {
    let corners = corners.iter().map(|&(x, y, z)| DVec3::new(x, y, z)).collect();
    let body = support::body(Part::Panel, Shape::Sheet { corners }, transmittance);
    Obstacle::new(&body, Transmittance::from_share(transmittance)).unwrap()
}

#[test]
fn the_open_sky_weighs_one_and_one_half() {
    let dome = SkyDome::new();
    let view = dome.from_point(&Obstacles::from(vec![]), DVec3::ZERO);
    assert!((dome.horizontal(&view) - 1.0).abs() < 1e-12);
    for azimuth in [0.0, 37.0, 90.0, 200.0] {
        let upright = dome.upright(&view, Azimuth::from_degrees(azimuth));
        assert!((upright - 0.5).abs() < TOLERANCE, "{upright}");
    }
}

#[test]
fn an_endless_wall_hides_half_the_sky_at_its_foot() {
    let far = 1e6;
    let wall = sheet(&[(-far, 0.0, 0.0), (far, 0.0, 0.0), (far, 0.0, far), (-far, 0.0, far)], 0.0);
    let dome = SkyDome::new();
    let view = dome.from_point(&Obstacles::from(vec![wall]), DVec3::new(0.0, -0.01, 0.0));
    assert!((dome.horizontal(&view) - 0.5).abs() < TOLERANCE);
    // a face toward the wall sees nothing, away from it all of its half
    assert!(dome.upright(&view, Azimuth::from_degrees(0.0)) < TOLERANCE);
    assert!((dome.upright(&view, Azimuth::from_degrees(180.0)) - 0.5).abs() < TOLERANCE);
}

/// A wall of height h at distance d, endless: sky view factor
/// (1 + cos(atan(h / d))) / 2 (Oke, Boundary Layer Climates, 1987; from memory).
#[test]
fn an_endless_wall_at_a_distance_hides_its_share() {
    let far = 1e6;
    let dome = SkyDome::new();
    for (height, distance) in [(10.0, 10.0), (10.0, 5.0), (20.0, 60.0)] {
        let wall = sheet(
            &[
                (-far, distance, 0.0),
                (far, distance, 0.0),
                (far, distance, height),
                (-far, distance, height),
            ],
            0.0,
        );
        let seen = dome.horizontal(&dome.from_point(&Obstacles::from(vec![wall]), DVec3::ZERO));
        let exact = 0.5 * (1.0 + f64::atan(height / distance).cos());
        assert!((seen - exact).abs() < TOLERANCE, "{seen} against {exact}");
    }
}

#[test]
fn a_round_court_leaves_cos_squared_of_its_rim() {
    let dome = SkyDome::new();
    for rim_deg in [8.0, 15.0, 30.0, 45.0, 62.0] {
        let (radius, n) = (50.0, 180);
        let height = radius * f64::to_radians(rim_deg).tan();
        let at = |i: usize| {
            let angle = std::f64::consts::TAU * i as f64 / n as f64;
            (radius * angle.cos(), radius * angle.sin())
        };
        let walls: Obstacles = (0..n)
            .map(|i| {
                let ((x0, y0), (x1, y1)) = (at(i), at(i + 1));
                sheet(&[(x0, y0, 0.0), (x1, y1, 0.0), (x1, y1, height), (x0, y0, height)], 0.0)
            })
            .collect();
        let seen = dome.horizontal(&dome.from_point(&walls, DVec3::ZERO));
        let exact = f64::to_radians(rim_deg).cos().powi(2);
        assert!((seen - exact).abs() < TOLERANCE, "rim {rim_deg}: {seen} against {exact}");
    }
}

#[test]
fn a_translucent_sky_passes_its_share() {
    let far = 1e6;
    let roof =
        sheet(&[(-far, -far, 10.0), (far, -far, 10.0), (far, far, 10.0), (-far, far, 10.0)], 0.4);
    let dome = SkyDome::new();
    let seen = dome.horizontal(&dome.from_point(&Obstacles::from(vec![roof]), DVec3::ZERO));
    assert!((seen - 0.4).abs() < 1e-3, "{seen}");
}
