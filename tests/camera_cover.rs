//! What a camera covers, against plain trigonometry of a pinhole.

use crate::support;

use geo::{Area, BoundingRect, Contains, Coord, Point};
use glam::DVec3;
use quarterstop::camera::cover;
use quarterstop::venue::{CameraPost, Venue, Zone};

fn square(half_m: f64) -> Venue {
    support::open_field(
        &[[-half_m, -half_m], [half_m, -half_m], [half_m, half_m], [-half_m, half_m]],
        90.0,
    )
}

fn camera(at: DVec3, aims: &[[f64; 2]], horizontal_fov_deg: f64) -> CameraPost {
    CameraPost {
        name: "camera".into(),
        at,
        aims: aims.iter().map(|a| DVec3::new(a[0], a[1], 0.0)).collect(),
        horizontal_fov_deg,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }
}

/// Straight down from height h: a rectangle of 2 h tan(fov / 2) by 9/16 of it.
#[test]
fn a_camera_overhead_covers_a_rectangle() {
    let venue = square(100.0);
    let (height, fov) = (40.0, 50.0);
    let post = camera(DVec3::new(0.0, 0.0, height), &[[0.0, 0.0]], fov);
    let seen = cover(&post, &venue.field.outline, &[]);
    let width = 2.0 * height * f64::to_radians(fov / 2.0).tan();
    let by_hand = width * width * 9.0 / 16.0;
    // the union of frames rounds corners to a grid of about a micrometre
    assert!((seen.area_m2 - by_hand).abs() < 1e-4, "{} against {by_hand}", seen.area_m2);
}

/// From 20 m up, 60 m back, aimed at the middle: the near and far edge of the
/// frame lie at h / tan(depression +- half the vertical field of view).
#[test]
fn a_gantry_camera_covers_a_trapezium() {
    let venue = square(200.0);
    let fov = 20.0;
    let post = camera(DVec3::new(0.0, -60.0, 20.0), &[[0.0, 0.0]], fov);
    let seen = cover(&post, &venue.field.outline, &[]);
    let bounds = seen.region.bounding_rect().unwrap();
    let depression = (20.0_f64 / 60.0).atan();
    let half_height = (f64::to_radians(fov / 2.0).tan() * 9.0 / 16.0).atan();
    let near = -60.0 + 20.0 / (depression + half_height).tan();
    let far = -60.0 + 20.0 / (depression - half_height).tan();
    assert!((bounds.min().y - near).abs() < 1e-6, "{} {near}", bounds.min().y);
    assert!((bounds.max().y - far).abs() < 1e-6, "{} {far}", bounds.max().y);
    // half width at the far edge: distance along the edge ray times the ratio
    let slant = 20.0 / (depression - half_height).sin() * half_height.cos();
    let half_width = slant * f64::to_radians(fov / 2.0).tan();
    assert!((bounds.max().x - half_width).abs() < 1e-6);
}

/// Every point covered projects into the frame, every point beside does not:
/// the pinhole equations on a grid of points.
#[test]
fn cover_is_where_points_fall_into_the_frame() {
    let venue = support::football();
    let post = camera(DVec3::new(-80.0, 35.0, 18.0), &[[20.0, -10.0]], 24.0);
    let seen = cover(&post, &venue.field.outline, &[]);
    let axis = (post.aims[0] - post.at).normalize();
    let right = axis.cross(DVec3::Z).normalize();
    let up = right.cross(axis);
    let limit_x = f64::to_radians(12.0).tan();
    let limit_y = limit_x * 9.0 / 16.0;
    let (mut inside, mut differ) = (0, 0);
    for i in -60..=60 {
        for j in -60..=60 {
            let at = Coord { x: f64::from(i) + 0.3, y: f64::from(j) + 0.7 };
            if !venue.field.outline.contains(&Point(at)) {
                continue;
            }
            let ray = DVec3::new(at.x, at.y, 0.0) - post.at;
            let depth = ray.dot(axis);
            let (x, y) = (ray.dot(right) / depth, ray.dot(up) / depth);
            let in_frame = depth > 0.0 && x.abs() <= limit_x && y.abs() <= limit_y;
            inside += usize::from(in_frame);
            differ += usize::from(in_frame != seen.region.contains(&Point(at)));
        }
    }
    assert!(inside > 300, "{inside}");
    assert_eq!(differ, 0);
}

#[test]
fn a_pan_covers_all_between_its_aims() {
    let venue = support::football();
    let sweep = camera(DVec3::new(70.0, 0.0, 20.0), &[[-30.0, -30.0], [-30.0, 30.0]], 10.0);
    let seen = cover(&sweep, &venue.field.outline, &[]);
    for aim in [[-30.0, -30.0], [-30.0, -10.0], [-30.0, 3.0], [-30.0, 30.0]] {
        let still = CameraPost { aims: vec![DVec3::new(aim[0], aim[1], 0.0)], ..sweep.clone() };
        let part = cover(&still, &venue.field.outline, &[]);
        use geo::BooleanOps;
        let outside = part.region.difference(&seen.region).unsigned_area();
        // between two frames of the sweep the corners of the picture bulge
        assert!(outside < 0.01 * part.area_m2, "{outside} of {}", part.area_m2);
    }
}

#[test]
fn a_camera_that_looks_away_covers_nothing() {
    let venue = support::football();
    let post = camera(DVec3::new(200.0, 0.0, 10.0), &[[400.0, 0.0]], 30.0);
    let seen = cover(&post, &venue.field.outline, &[]);
    assert_eq!(seen.area_m2, 0.0);
}

#[test]
fn zone_shares_count_what_is_covered_of_each() {
    let venue = square(50.0);
    let zone = |name: &str, ring: &[[f64; 2]]| Zone {
        name: name.into(),
        outline: support::polygon(venue.field.frame, ring),
    };
    let zones = [
        zone("small", &[[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]),
        zone("half seen", &[[0.0, -4.0], [0.0, 4.0], [-80.0, 4.0], [-80.0, -4.0]]),
        zone("far", &[[40.0, 40.0], [45.0, 40.0], [45.0, 45.0], [40.0, 45.0]]),
    ];
    let post = camera(DVec3::new(0.0, 0.0, 40.0), &[[0.0, 0.0]], 53.130_102_354);
    let seen = cover(&post, &venue.field.outline, &zones);
    // the frame is 40 m wide: 20 m of the 80 m long zone
    assert!((seen.zone_shares[0] - 1.0).abs() < 1e-9);
    assert!((seen.zone_shares[1] - 0.25).abs() < 1e-6, "{}", seen.zone_shares[1]);
    assert_eq!(seen.zone_shares[2], 0.0);
}
