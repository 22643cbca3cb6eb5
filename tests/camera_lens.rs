//! The sun and a lens, against plane trigonometry.

use glam::DVec3;

use quarterstop::base::frame::direction;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::camera::{LensState, SubjectLit, lens_view};
use quarterstop::venue::CameraPost;

/// 10 m up at the north, looking south at points on the ground.
fn post(aims: &[[f64; 2]], horizontal_fov_deg: f64) -> CameraPost {
    CameraPost {
        name: "1".into(),
        at: DVec3::new(0.0, 50.0, 10.0),
        aims: aims.iter().map(|a| DVec3::new(a[0], a[1], 0.0)).collect(),
        horizontal_fov_deg,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }
}

fn sun(azimuth: f64, elevation: f64) -> DVec3 {
    direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(elevation))
}

const CLEAR: Transmittance = Transmittance::CLEAR;

/// Trigonometry: looking south at a point 50 m off from 10 m up the axis dips by
/// atan(10 / 50) = 11.310 degrees, so a sun due south at elevation e is e + 11.310
/// degrees off it. The picture's half height is atan(tan(fov / 2) / aspect): 12.68
/// degrees for 43.6, so the sun is in frame up to 1.37 degrees.
#[test]
fn the_angle_to_the_sun_and_the_frame_are_those_of_trigonometry() {
    let post = post(&[[0.0, 0.0]], 43.6);
    for elevation in [0.5, 1.3, 5.0, 30.0] {
        let view = lens_view(&post, sun(180.0, elevation), CLEAR);
        let off = view.off_axis_deg.unwrap();
        assert!((off - elevation - 11.3099).abs() < 1e-3, "{elevation}: {off}");
        let wanted = if elevation < 1.37 { LensState::InFrame } else { LensState::OnElement };
        assert_eq!(view.state, wanted, "{elevation}");
    }
    // 45 degrees off the axis is where the element goes dark
    assert_eq!(lens_view(&post, sun(180.0, 33.6), CLEAR).state, LensState::OnElement);
    assert_eq!(lens_view(&post, sun(180.0, 33.8), CLEAR).state, LensState::Clear);
    assert_eq!(lens_view(&post, sun(0.0, 20.0), CLEAR).state, LensState::Clear);
}

/// The least angle over the pan counts: a camera that pans from east to west has the
/// sun in frame on its way, though at neither end.
#[test]
fn a_pan_meets_the_sun_between_its_aims() {
    let ends = [[-200.0, 45.0], [0.0, -1000.0], [200.0, 45.0]];
    let low = sun(200.0, 1.0);
    assert_eq!(lens_view(&post(&ends, 12.0), low, CLEAR).state, LensState::InFrame);
    let one_end = lens_view(&post(&ends[2..], 12.0), low, CLEAR);
    assert_ne!(one_end.state, LensState::InFrame);
}

#[test]
fn a_roof_that_shades_the_lens_keeps_the_sun_off_it() {
    let post = post(&[[0.0, 0.0]], 43.6);
    let view = lens_view(&post, sun(180.0, 20.0), Transmittance::OPAQUE);
    assert_eq!(view.state, LensState::Shaded);
    assert_eq!(view.at_camera, Some(Transmittance::OPAQUE));
    let dimmed = lens_view(&post, sun(180.0, 20.0), Transmittance::from_share(0.4));
    assert_eq!(dimmed.state, LensState::OnElement);
}

/// In plan, seen from the subject: the sun on the camera's side is frontal, opposite it
/// is behind the subject. The camera stands north, so a southern sun is back light.
#[test]
fn the_subject_is_lit_from_the_side_that_the_plan_shows() {
    let lit = |azimuth| lens_view(&post(&[[0.0, 0.0]], 30.0), sun(azimuth, 30.0), CLEAR).subject;
    for (azimuth, wanted) in [
        (0.0, SubjectLit::Front),
        (59.0, SubjectLit::Front),
        (61.0, SubjectLit::Side),
        (270.0, SubjectLit::Side),
        (119.0, SubjectLit::Side),
        (121.0, SubjectLit::Back),
        (180.0, SubjectLit::Back),
    ] {
        assert_eq!(lit(azimuth), Some(wanted), "{azimuth}");
    }
}
