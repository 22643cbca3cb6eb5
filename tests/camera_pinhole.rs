//! Where points appear in a camera's picture, against plane trigonometry. Source
//! of every check, unless it names another: pinhole projection (x / z over the
//! tangent of half the field of view), plane trigonometry.

use glam::DVec3;

use crate::support;
use quarterstop::base::frame::FieldPoint;
use quarterstop::camera::Pinhole;
use quarterstop::venue::CameraPost;

const NEAR: f64 = 1e-12;

fn post(at: DVec3, fov_deg: f64) -> CameraPost {
    CameraPost {
        name: "camera".into(),
        at,
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: fov_deg,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }
}

/// 15 m up and 40 m back from the centre of play, looking at it.
fn gantry() -> Pinhole {
    Pinhole::new(&post(DVec3::new(3.0, -40.0, 15.0), 38.0), DVec3::ZERO)
}

fn close(a: [f64; 2], b: [f64; 2]) {
    assert!((a[0] - b[0]).abs() < NEAR && (a[1] - b[1]).abs() < NEAR, "{a:?} {b:?}");
}

#[test]
fn the_axes_are_at_right_angles_and_the_horizon_is_level() {
    for at in [DVec3::new(3.0, -40.0, 15.0), DVec3::new(-9.0, 2.0, 0.4), DVec3::new(0.0, 0.0, 30.0)]
    {
        let eye = Pinhole::new(&post(at, 50.0), DVec3::ZERO);
        for (a, b) in [(eye.forward, eye.right), (eye.right, eye.up), (eye.up, eye.forward)] {
            assert!(a.dot(b).abs() < NEAR && (a.length() - 1.0).abs() < NEAR);
        }
        assert!(eye.right.z.abs() < NEAR, "roll");
        assert!(eye.up.z >= 0.0);
        // right-handed: right, up, back
        assert!((eye.right.cross(eye.up) + eye.forward).length() < NEAR);
    }
}

#[test]
fn what_it_looks_at_is_in_the_middle() {
    close(gantry().project(DVec3::ZERO).unwrap(), [0.0, 0.0]);
}

#[test]
fn width_falls_with_distance() {
    // a target of width w square to the axis at d spans w / d over twice the
    // tangent of half the field of view, as a share of the frame
    let eye = Pinhole::new(&post(DVec3::new(0.0, -50.0, 2.0), 30.0), DVec3::new(0.0, 0.0, 2.0));
    for (width, distance) in [(1.0, 50.0), (7.32, 120.0), (0.22, 11.0)] {
        let edge = |side: f64| DVec3::new(side * width, distance - 50.0, 2.0);
        let (left, right) = (eye.project(edge(-0.5)).unwrap(), eye.project(edge(0.5)).unwrap());
        let share = 0.5 * (right[0] - left[0]);
        let expected = width / distance / (2.0 * 15.0_f64.to_radians().tan());
        assert!((share - expected).abs() < NEAR, "{share} {expected}");
    }
    // upright: a 1.8 m figure at 50 m, over the frame's height
    let top = eye.project(DVec3::new(0.0, 0.0, 2.9)).unwrap()[1];
    let foot = eye.project(DVec3::new(0.0, 0.0, 1.1)).unwrap()[1];
    let tangent = 15.0_f64.to_radians().tan() * 9.0 / 16.0;
    assert!((0.5 * (top - foot) - 1.8 / 50.0 / (2.0 * tangent)).abs() < NEAR);
}

#[test]
fn the_horizon_stands_where_the_pitch_puts_it() {
    // a camera pitched down by p sees the horizon tan(p) over the axis, wherever
    // it turns
    let eye = gantry();
    let pitch = 15.0_f64.atan2(3.0_f64.hypot(40.0));
    let expected = pitch.tan() / (19.0_f64.to_radians().tan() * 9.0 / 16.0);
    let ahead = DVec3::new(eye.forward.x, eye.forward.y, 0.0).normalize();
    for turn in [-0.3_f64, 0.0, 0.25] {
        let direction = ahead * turn.cos() + eye.right * turn.sin();
        let image = eye.direction_to_image(direction).unwrap();
        assert!((image[1] - expected).abs() < 1e-9, "{image:?} {expected}");
        // turned by t on the horizon: tan(t) / cos(p) to the side
        let side = turn.tan() / pitch.cos() / 19.0_f64.to_radians().tan();
        assert!((image[0] - side).abs() < 1e-9);
    }
}

#[test]
fn touchlines_vanish_in_their_own_direction() {
    let frame = support::football().field.frame;
    let local = |along_m, across_m| frame.to_local(FieldPoint::on_ground(along_m, across_m));
    let at = local(-70.0, 8.0) + DVec3::Z * 9.0;
    let eye = Pinhole::new(&post(at, 45.0), local(0.0, 0.0));
    let vanishing = eye.direction_to_image(local(1.0, 0.0)).unwrap();
    for across in [-34.0, 34.0] {
        // two points of a touchline give its line in the picture
        let [a, b] = [local(-20.0, across), local(50.0, across)].map(|p| eye.project(p).unwrap());
        let cross = (b[0] - a[0]) * (vanishing[1] - a[1]) - (b[1] - a[1]) * (vanishing[0] - a[0]);
        assert!(cross.abs() < 1e-9, "{cross}");
        // and far along it comes near its end
        let far = eye.project(local(1e7, across)).unwrap();
        assert!((far[0] - vanishing[0]).hypot(far[1] - vanishing[1]) < 1e-4);
    }
}

#[test]
fn the_edge_of_the_frame_is_half_the_field_of_view_away() {
    let eye = gantry();
    let (sin, cos) = 19.0_f64.to_radians().sin_cos();
    for side in [-1.0, 1.0] {
        let edge = eye.forward * cos + eye.right * (side * sin);
        close(eye.direction_to_image(edge).unwrap(), [side, 0.0]);
        assert!((eye.angle_from_axis_deg(edge) - 19.0).abs() < 1e-9);
    }
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        eye.forward * cos + eye.right * sin
    };
    assert!(eye.is_in_frame(at(18.99)) && !eye.is_in_frame(at(19.01)));
    assert!(!eye.is_in_frame(-eye.forward));
    assert!((eye.angle_from_axis_deg(-eye.forward) - 180.0).abs() < 1e-9);
    assert!(eye.angle_from_axis_deg(eye.forward * 7.0) < 1e-9);
}

#[test]
fn nothing_behind_the_lens_is_in_the_picture() {
    let eye = gantry();
    assert_eq!(eye.project(eye.at - eye.forward * 5.0), None);
    assert_eq!(eye.project(eye.at), None);
    assert_eq!(eye.direction_to_image(eye.right), None);
    assert_eq!(eye.direction_to_image(DVec3::ZERO), None);
    let behind: Vec<DVec3> = [[-1.0, -1.0], [1.0, -1.0], [0.0, 1.0]]
        .map(|[x, y]| eye.at - eye.forward * 3.0 + eye.right * x + eye.up * y)
        .to_vec();
    assert!(eye.clip(&behind).is_empty());
}

#[test]
fn straight_down_east_is_right_and_north_is_up() {
    let eye = Pinhole::new(&post(DVec3::new(5.0, 5.0, 30.0), 90.0), DVec3::new(5.0, 5.0, 0.0));
    // at 30 m and 90 degrees the frame is 60 m wide
    close(eye.project(DVec3::new(35.0, 5.0, 0.0)).unwrap(), [1.0, 0.0]);
    close(eye.project(DVec3::new(5.0, 5.0 + 30.0 * 9.0 / 16.0, 0.0)).unwrap(), [0.0, 1.0]);
}

#[test]
fn clipping_keeps_what_is_inside_and_cuts_at_the_edges() {
    let eye = gantry();
    let square = |half: f64| -> Vec<DVec3> {
        let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        corners.map(|[x, y]| DVec3::new(x * half, y * half, 0.0)).to_vec()
    };
    assert_eq!(eye.clip(&square(1.0)), square(1.0));
    // ground that reaches behind the camera and past the horizon's edge: every
    // corner of what is left is on the ground and in the frame
    let cut = eye.clip(&square(4000.0));
    assert!(cut.len() >= 4);
    for p in &cut {
        assert!(p.z.abs() < 1e-9);
        let image = eye.project(*p).unwrap();
        assert!(image.iter().all(|c| c.abs() <= 1.0 + 1e-9), "{image:?}");
    }
    // the two lower corners of the frame are among them
    for x in [-1.0, 1.0] {
        let corner = |p: &DVec3| {
            let image = eye.project(*p).unwrap();
            (image[0] - x).abs() < 1e-9 && (image[1] + 1.0).abs() < 1e-9
        };
        assert!(cut.iter().any(corner));
    }
    // a plane through the lens, all around it: nothing but what is in front
    let around: Vec<DVec3> = square(9.0).iter().map(|p| eye.at + *p).collect();
    assert!(eye.clip(&around).iter().all(|p| eye.project(*p).is_some()));
}

#[test]
fn a_line_is_cut_at_the_near_plane() {
    let eye = gantry();
    let (front, back) = (eye.at + eye.forward * 9.9, eye.at - eye.forward * 9.9);
    let [a, b] = eye.ahead([front, back]).unwrap();
    assert_eq!(a, front);
    assert!(((b - eye.at).dot(eye.forward) - 0.1).abs() < NEAR);
    assert!(eye.project(b).is_some());
    assert_eq!(eye.ahead([back, back - eye.forward]), None);
    let [b, a] = eye.ahead([back, front]).unwrap();
    assert!(a == front && eye.project(b).is_some());
}
