//! A hole of golf: ground with heights, sway, hours and places compared.

use std::path::Path;

use chrono::{NaiveTime, TimeDelta, TimeZone, Timelike};
use chrono_tz::Tz;
use glam::DVec3;

use crate::support;
use quarterstop::engine::Prepared;
use quarterstop::jobs::ball::physics::{BallKind, Flight, FlightAir, Screen, Stroke, fly_over};
use quarterstop::jobs::ball::*;
use quarterstop::light::{Sky, air_of};
use quarterstop::solar;
use quarterstop::venue::{CameraPost, Relief, StatedAir, Sway, Venue, parse, read};

const G: f64 = 9.806_65;

fn stroke(speed_m_per_s: f64, angle_deg: f64) -> Stroke {
    Stroke { speed_m_per_s, angle_deg, back_spin_rpm: 0.0, side_spin_rpm: 0.0 }
}

/// Projectile up a plane that rises by alpha, without air: it lands `2 v^2 cos(theta)
/// sin(theta - alpha) / (g cos(alpha))` ahead over the ground (textbooks of mechanics, range
/// on an inclined plane), and that times tan(alpha) higher.
#[test]
fn a_ball_lands_on_a_slope_where_the_closed_form_says() {
    for alpha in [-8.0_f64, 5.0, 15.0] {
        let rise = alpha.to_radians().tan();
        let spots = [
            DVec3::new(0.0, -50.0, 0.0),
            DVec3::new(0.0, 50.0, 0.0),
            DVec3::new(300.0, -50.0, 300.0 * rise),
            DVec3::new(300.0, 50.0, 300.0 * rise),
        ];
        let ground = Relief::through(&spots).unwrap();
        let vacuum = FlightAir { density_kg_per_m3: 0.0, wind: DVec3::ZERO };
        let launch = stroke(40.0, 35.0).launch(DVec3::new(10.0, 0.0, 10.0 * rise), DVec3::X);
        let ball = BallKind::Golf.ball();
        let flight = fly_over(&ball, &launch, &vacuum, |x, y| ground.height_m(x, y));
        let (t, a) = (35.0_f64.to_radians(), alpha.to_radians());
        let ahead = 2.0 * 1600.0 * t.cos() * (t - a).sin() / (G * a.cos());
        assert!((flight.carry_m() - ahead).abs() < 1e-6, "{alpha}: {} {ahead}", flight.carry_m());
        assert!((flight.end().at.z - (10.0 + ahead) * rise).abs() < 1e-6, "{alpha}");
    }
}

fn post(name: &str, at: DVec3, fov_deg: f64) -> CameraPost {
    CameraPost {
        name: name.into(),
        at,
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: fov_deg,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Sway::default(),
    }
}

/// A wide field that runs north with a camera 60 m to its west, 8 m up.
fn open(relief: Option<&[[f64; 3]]>) -> Venue {
    let corners = [[-150.0, -100.0], [150.0, -100.0], [150.0, 100.0], [-150.0, 100.0]];
    let mut venue = support::open_field(&corners, 0.0);
    venue.cameras.push(post("side", DVec3::new(-60.0, 0.0, 8.0), 20.0));
    venue.relief = relief.map(|spots| {
        let spots: Vec<DVec3> = spots.iter().copied().map(DVec3::from).collect();
        std::sync::Arc::new(Relief::through(&spots).unwrap())
    });
    venue
}

fn shot(venue: &Venue, from: [f64; 2], toward: DVec3, angle_deg: f64) -> Flight {
    let ball = BallKind::Golf.ball();
    let up = venue.ground_m(from[0], from[1]) + ball.radius_m;
    let launch = stroke(25.0, angle_deg).launch(DVec3::new(from[0], from[1], up), toward);
    let air = FlightAir { density_kg_per_m3: 1.2, wind: DVec3::ZERO };
    fly_over(&ball, &launch, &air, |x, y| venue.ground_m(x, y) + ball.radius_m)
}

fn settings(hour: u32, flight: Flight) -> BallSettings {
    BallSettings {
        at: Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, hour, 0, 0).unwrap(),
        sky: Sky::Clear,
        air: air_of(&StatedAir::default()),
        camera: 0,
        fov_deg: None,
        ball: BallKind::Golf.ball(),
        flight,
        rate: 4.0,
        delay_s: Some(0.5),
        sky_under_stops: 0.7,
        visibility: 8.0,
        screen: Screen::default(),
    }
}

fn plan(venue: &Venue, settings: &BallSettings) -> BallPlan {
    let date = support::date();
    BallPlan::new(&Prepared::new(venue, date), date, settings).unwrap()
}

/// A ridge 12 m high between camera and flight, its crest 20 m before the ball: from the lens
/// at 8 m the crest is 4 m higher over 40 m, so it hides what is lower than 8 + 4 / 40 x 60 =
/// 14 m at the ball (similar triangles).
#[test]
fn a_rise_of_the_ground_hides_the_ball() {
    let ridge = [
        [-200.0, -200.0, 0.0],
        [-40.0, -200.0, 0.0],
        [-20.0, -200.0, 12.0],
        [-5.0, -200.0, 0.0],
        [200.0, -200.0, 0.0],
        [-200.0, 200.0, 0.0],
        [-40.0, 200.0, 0.0],
        [-20.0, 200.0, 12.0],
        [-5.0, 200.0, 0.0],
        [200.0, 200.0, 0.0],
    ];
    let venue = open(Some(&ridge));
    let plan = plan(&venue, &settings(13, shot(&venue, [0.0, 0.0], DVec3::Y, 65.0)));
    let mut seen = [0, 0];
    for look in plan.looks.iter().filter(|l| (l.at.z - 14.0).abs() > 1.0) {
        let hidden = look.hidden_by == Some(Hider::Ground);
        // the camera looks along the ridge at an angle as the ball goes north: the same
        // heights at the same share of the way
        assert_eq!(hidden, look.at.z < 14.0, "{look:?}");
        seen[usize::from(hidden)] += 1;
    }
    assert!(seen[0] > 5 && seen[1] > 5, "{seen:?}");
}

/// A matt slope is lit by the cosine of the angle to the sun (Lambert): its direct light is
/// that of level ground times n.s / s.z. What it gets of the sky it faces is that of the plans.
#[test]
fn a_slope_is_lit_by_the_way_it_faces() {
    let level = open(None);
    // rises to the east by one in five
    let tilted = open(Some(&[
        [-300.0, -300.0, -60.0],
        [-300.0, 300.0, -60.0],
        [300.0, -300.0, 60.0],
        [300.0, 300.0, 60.0],
    ]));
    let seen = |venue: &Venue, hour: u32| {
        let mut venue = venue.clone();
        let up = venue.ground_m(-60.0, 0.0) + 20.0;
        venue.cameras[0].at.z = up;
        let plan = plan(&venue, &settings(hour, shot(&venue, [0.0, 0.0], DVec3::Y, 20.0)));
        let look = plan.looks[1];
        assert_eq!(look.behind, Backdrop::Turf(SunOrShade::Sun));
        (look.background.cd_per_m2(), plan.sun.toward())
    };
    let light = |hour: u32| {
        let ((flat, sun), (slope, _)) = (seen(&level, hour), seen(&tilted, hour));
        let normal = DVec3::new(-0.2, 0.0, 1.0).normalize();
        (flat, slope, normal.dot(sun) / sun.z)
    };
    // direct light D and skies S and S': flat = D + S, slope = q D + S', so D / flat follows of
    // S' / S; the model of daylight says the same of an open ground
    for hour in [10, 16] {
        let (flat, slope, q) = light(hour);
        let asked = settings(hour, shot(&level, [0.0, 0.0], DVec3::Y, 20.0));
        let of_sky = |venue: &Venue| {
            let prepared = Prepared::new(venue, asked.at.date_naive());
            let mut bench = Default::default();
            prepared.instant(asked.at, Sky::Clear, &asked.air, &mut bench).field_light.in_shade
        };
        let skies = of_sky(&tilted).lux() / of_sky(&level).lux();
        // 11 degrees of tilt move the sky of a clear day by less than a quarter
        assert!((skies - 1.0).abs() < 0.25, "{skies}");
        let share = (slope / flat - skies) / (q - skies);
        let sun = solar::position(&level.place, asked.at);
        let day = quarterstop::light::daylight(&sun, &level.place, &asked.air, Sky::Clear, 107);
        let direct = day.direct_horizontal.lux();
        let model = direct / (direct + day.diffuse_horizontal.lux());
        assert!((share - model).abs() < 0.02, "{hour}: {share} {model}");
    }
}

#[test]
fn what_does_not_sway_has_no_effect_and_sway_widens_the_ride() {
    let mut venue = open(None);
    let still = plan(&venue, &settings(17, shot(&venue, [0.0, -25.0], DVec3::Y, 50.0)));
    assert_eq!(still.sway, None);
    venue.cameras[0].sway = Sway { metres: 0.4, degrees: 0.5 };
    let swaying = plan(&venue, &settings(17, shot(&venue, [0.0, -25.0], DVec3::Y, 50.0)));
    assert_eq!(still.looks, swaying.looks);
    let effect = swaying.sway.unwrap();
    let most = still.rides.background.as_ref().unwrap().most.stops;
    assert!(effect.most_stops.0 <= most && most <= effect.most_stops.1);
    assert!(effect.most_stops.1 - effect.most_stops.0 < 0.3);
    // the background changes where the ball passes 8 m: the lens does not move up, so it
    // changes at the same time, but for the far side of the field
    assert!(effect.changes_by_s.unwrap() < 0.1);
    // half a degree of a half width of ten
    let by_hand = 0.5_f64.to_radians().tan() / 10.0_f64.to_radians().tan();
    assert!((effect.off_middle_share - by_hand).abs() < 1e-9);
}

/// A camera whose picture ends just short of the sun has it in frame when it sways.
#[test]
fn sway_brings_the_sun_into_frame() {
    let mut venue = open(None);
    let at = settings(17, shot(&venue, [0.0, -25.0], DVec3::Y, 50.0));
    let sun = solar::position(&venue.place, at.at).toward();
    // the ball stands before the sun's azimuth; the sun is over the picture's upper edge
    let flight = shot(&venue, [0.0, 0.0], DVec3::Y, 85.0);
    let apex = flight.apex();
    let flat = DVec3::new(sun.x, sun.y, 0.0).normalize();
    let lens = apex.at - flat * 60.0;
    venue.cameras[0].at = lens.with_z(2.0);
    let up = (apex.at.z - 2.0).atan2(60.0).to_degrees();
    let over = sun.z.asin().to_degrees() - up;
    // half the height of the picture is just less than the sun is over the axis at the apex
    let half = (over.abs() - 0.2).to_radians().tan() * 16.0 / 9.0;
    venue.cameras[0].horizontal_fov_deg = 2.0 * half.atan().to_degrees();
    let asked = BallSettings { flight: flight.clone(), ..at };
    let at_apex = |plan: &BallPlan| {
        let near = |l: &&BallLook| (l.t_s - apex.t_s).abs();
        let nearest = plan.looks.iter().min_by(|a, b| near(a).total_cmp(&near(b))).unwrap();
        nearest.sun_in_frame
    };
    assert!(!at_apex(&plan(&venue, &asked)));
    venue.cameras[0].sway = Sway { metres: 0.0, degrees: 1.0 };
    assert!(at_apex(&plan(&venue, &asked)));
}

fn compared(
    venue: &Venue,
    sites: Vec<BallCamera>,
    flights: &[Flight],
    hours: &[u32],
) -> Comparison {
    let ride = settings(hours[0], flights[0].clone());
    let asked = CompareSettings {
        sites,
        shots: flights
            .iter()
            .enumerate()
            .map(|(i, flight)| ShotFlown { name: format!("shot {i}"), flight: flight.clone() })
            .collect(),
        times: hours
            .iter()
            .map(|h| Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, *h, 0, 0).unwrap())
            .collect(),
        ride,
        weights: BallWeights::default(),
    };
    let date = support::date();
    Comparison::new(&Prepared::new(venue, date), date, &asked, |_, _| ()).unwrap()
}

/// What the comparison says of an hour is what the plan of that hour says.
#[test]
fn an_hour_of_the_comparison_is_the_plan_of_that_hour() {
    let venue = open(None);
    let flight = shot(&venue, [0.0, -25.0], DVec3::Y, 50.0);
    let site = BallCamera { post: venue.cameras[0].clone(), candidate: None };
    let found = compared(&venue, vec![site], std::slice::from_ref(&flight), &[8, 13, 17, 23]);
    let hours = &found.sites[0].hours;
    // there is no light at 23
    assert_eq!(hours.len(), 3);
    for hour in hours {
        let plan = plan(&venue, &settings(hour.at.hour(), flight.clone()));
        let ride = plan.rides.background.as_ref().unwrap();
        let shot = &hour.shots[0];
        assert!((shot.close_stops - ride.most.stops).abs() < 0.1);
        assert_eq!(shot.hand_starts_s.is_some(), ride.hand_starts_s.is_some());
        let frame = plan.looks.iter().any(|l| l.sun_in_frame);
        assert_eq!(shot.parts.get(BallPenaltyPart::SunInFrame) > 0.0, frame);
        assert!((found.weights.penalty(&hour.parts) - hour.penalty).abs() < 1e-12);
    }
    let ranked = found.sites[0].ranked();
    assert!(ranked.windows(2).all(|w| hours[w[0]].penalty <= hours[w[1]].penalty));
    let mean = hours.iter().map(|h| h.penalty).sum::<f64>() / 3.0;
    assert!((found.sites[0].mean() - mean).abs() < 1e-12);
}

/// Mirror images about the plane of the flight, with the sun in that plane, have the same
/// penalty (symmetry of an open ground); a camera that looks away from the sun has less than
/// one that looks at it.
#[test]
fn places_that_mirror_each_other_are_alike_and_the_sun_at_the_back_is_best() {
    let venue = open(None);
    let at = Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, 18, 0, 0).unwrap();
    let sun = solar::position(&venue.place, at).toward();
    let ahead = DVec3::new(sun.x, sun.y, 0.0).normalize();
    let left = DVec3::new(-ahead.y, ahead.x, 0.0);
    let flight = shot(&venue, [0.0, 0.0], ahead, 50.0);
    let middle = flight.end().at * 0.5;
    let place = |name: &str, off: DVec3| BallCamera {
        post: post(name, (middle + off).with_z(9.0), 14.0),
        candidate: None,
    };
    let sites = vec![
        place("left", left * 70.0),
        place("right", left * -70.0),
        place("into the sun", ahead * -90.0),
        place("from the sun", ahead * 90.0),
    ];
    let found = compared(&venue, sites, &[flight], &[18]);
    let penalty = |i: usize| found.sites[i].hours[0].penalty;
    // contrast is counted look by look, 37 of them, each doubly in the sum: rounding may
    // put one on either side of the threshold
    let one_look = 2.0 / 36.0;
    assert!((penalty(0) - penalty(1)).abs() < one_look, "{} {}", penalty(0), penalty(1));
    assert!(penalty(2) > penalty(0) && penalty(2) > penalty(3));
    let parts = &found.sites[2].hours[0].parts;
    assert!(parts.get(BallPenaltyPart::SunInFrame) + parts.get(BallPenaltyPart::SunNear) > 0.9);
    assert_eq!(*found.ranked().last().unwrap(), 2);
}

/// Against the sun's own rise and set (`solar::day`, held to the published algorithm
/// elsewhere), on a day whose clocks go forward as well.
#[test]
fn hours_are_those_with_the_sun_up() {
    let place = support::place();
    for date in [support::date(), chrono::NaiveDate::from_ymd_opt(2027, 3, 28).unwrap()] {
        let times = times_with_sun(&place, date, 15, (None, None));
        let solar::SunDay::RisesAndSets { rise, set, .. } = solar::day(&place, date) else {
            panic!("the sun rises and sets here");
        };
        let near = TimeDelta::minutes(20);
        assert!(times[0] >= rise - TimeDelta::minutes(5) && times[0] - rise < near);
        let last = *times.last().unwrap();
        assert!(last <= set + TimeDelta::minutes(5) && set - last < near);
        assert!(times.iter().all(|t| t.minute() % 15 == 0));
        assert!(times.windows(2).all(|w| w[1] - w[0] == TimeDelta::minutes(15)));
        let noon = NaiveTime::from_hms_opt(12, 0, 0);
        let late = times_with_sun(&place, date, 15, (noon, None));
        assert_eq!(late[0].time(), noon.unwrap());
    }
    // midnight sun and polar night
    let north = quarterstop::venue::Place { latitude_deg: 78.0, ..place };
    let june = chrono::NaiveDate::from_ymd_opt(2027, 6, 21).unwrap();
    assert_eq!(times_with_sun(&north, june, 60, (None, None)).len(), 24);
    let december = chrono::NaiveDate::from_ymd_opt(2027, 12, 21).unwrap();
    assert!(times_with_sun(&north, december, 60, (None, None)).is_empty());
}

fn demo() -> String {
    std::fs::read_to_string("venues/golf-demo.toml").unwrap()
}

#[test]
fn the_demo_hole_is_read_with_its_zones_heights_and_trees() {
    let venue = read(Path::new("venues/golf-demo.toml")).unwrap();
    let hole = venue.hole.as_ref().unwrap();
    let name = |i: &usize| venue.zones[*i].name.as_str();
    assert_eq!(hole.tees.iter().map(name).collect::<Vec<_>>(), ["back tee", "forward tee"]);
    assert_eq!(hole.green.as_ref().map(name), Some("green"));
    assert_eq!(hole.fairways.iter().map(name).collect::<Vec<_>>(), ["fairway"]);
    assert_eq!(hole.shots.len(), 2);
    // the middle of the back tee is a spot of its own
    assert!((hole.shots[0].from.z - 9.0).abs() < 1e-6);
    let tee = venue.field.frame.to_field(hole.shots[0].from);
    assert!((tee.along_m + 198.0).abs() < 1e-6 && tee.across_m.abs() < 1e-6);
    // trees stand on the ground
    for tree in venue.occluders.iter().filter(|o| o.name.starts_with("Pine")) {
        let trunk = tree.bodies.iter().find(|b| b.part == quarterstop::venue::Part::Trunk);
        let points = trunk.unwrap().shape.points();
        let foot = points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        // down to the lowest ground around the trunk, so that no light passes below
        let lowest = points.iter().map(|p| venue.ground_m(p.x, p.y));
        let lowest = lowest.fold(f64::INFINITY, f64::min);
        assert!((foot - lowest).abs() < 1e-6, "{} {foot} {lowest}", tree.name);
    }
    assert!(!venue.cameras[0].sway.is_none() && venue.cameras[1].sway.is_none());
}

#[test]
fn mistakes_of_a_hole_are_told_together() {
    let text = demo()
        .replace("green = \"green\"", "green = \"gren\"")
        .replace("to = \"landing area\"", "to = \"back tee\"")
        .replace("name = \"approach\"", "name = \"tee shot\"")
        .replace("at = [62.0, 50.0, 6.0]", "at = [62.0, 50.0, 1.0]");
    let told = parse(&text, "hole").unwrap_err().to_string();
    for words in [
        "did you mean \"green\"?",
        "where it starts",
        "\"tee shot\" a second time",
        "under the ground there",
    ] {
        assert!(told.contains(words), "{words}\n{told}");
    }
    let line = "heights = [[0.0, 0.0, 1.0], [1.0, 0.0, 2.0], [2.0, 0.0, 3.0]]\n\n[[hole.shot]]";
    let (start, rest) = (demo(), demo());
    let from = start.find("heights = [").unwrap();
    let until = rest.find("[[hole.shot]]").unwrap() + "[[hole.shot]]".len();
    let text = format!("{}{line}{}", &start[..from], &rest[until..]);
    assert!(parse(&text, "hole").unwrap_err().to_string().contains("enclose no area"));
    let text = demo().replace("sport = \"golf\"", "sport = \"free\"");
    assert!(parse(&text, "hole").unwrap_err().to_string().contains("field.sport = \"golf\""));
}
