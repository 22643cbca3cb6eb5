//! The brief: times of cues against root finding by other means, how sure they are, ND,
//! matching, and every sport.

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use glam::DVec3;

use crate::support;
use quarterstop::base::units::Stops;
use quarterstop::camera::Verdict;
use quarterstop::engine::{MatchPlan, Prepared, Settings};
use quarterstop::geometry::{Obstacle, transmission_toward};
use quarterstop::jobs::crew::cues::Sure;
use quarterstop::jobs::crew::{Brief, BriefError, BriefSettings, Cue, CueKind, brief};
use quarterstop::light::{Air, Sky};
use quarterstop::solar::SunState;
use quarterstop::venue::{CameraPost, Mark, Part, Play, Shape, Venue};
use quarterstop::{engine, solar};

/// Cues of edges are found to the second, which is what they are printed to, s.
const CUE_S: f64 = 1.0;

fn demo(name: &str) -> Venue {
    quarterstop::venue::read(std::path::Path::new(&format!("venues/{name}-demo.toml"))).unwrap()
}

fn settings(venue: &Venue, start: DateTime<Tz>) -> Settings {
    let programme = engine::programme(venue);
    let (from, until) = programme.window_from(start);
    Settings {
        from,
        until,
        step: TimeDelta::minutes(1),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: programme.milestones_from(start),
    }
}

/// The fixture of a venue, minute by minute.
pub(crate) fn of_demo(venue: &Venue) -> (MatchPlan, Brief) {
    in_steps(venue, TimeDelta::minutes(1))
}

pub(crate) fn in_steps(venue: &Venue, step: TimeDelta) -> (MatchPlan, Brief) {
    let fixture = venue.fixture.unwrap();
    let start = solar::resolve(venue.place.zone, fixture.date, fixture.start, None).unwrap();
    briefed(venue, &Settings { step, ..settings(venue, start) })
}

fn briefed(venue: &Venue, settings: &Settings) -> (MatchPlan, Brief) {
    let prepared = Prepared::new(venue, settings.from.date_naive());
    let plan = prepared.run(settings, |_, _| {}).unwrap();
    let brief = brief(&prepared, &plan, &BriefSettings::default()).unwrap();
    (plan, brief)
}

fn sun(venue: &Venue, at: DateTime<Tz>) -> Option<DVec3> {
    let sun = solar::position(&venue.place, at.with_timezone(&Utc));
    (solar::state(&sun, &venue.horizon) == SunState::Up).then(|| sun.toward())
}

/// The shadow polygons find when an edge reaches a mark; rays from the mark to the sun,
/// which share no code with them, must agree on that second, give or take
/// [`CUE_S`]. Both demos, every mark.
#[test]
fn rays_see_the_sun_leave_and_reach_each_mark_when_the_cues_say() {
    for name in ["football", "tennis"] {
        let venue = demo(name);
        let (plan, brief) = of_demo(&venue);
        let obstacles = Obstacle::all_of(&venue, plan.instants[0].at.date_naive());
        let mut held = 0;
        for cue in brief.cues.iter().filter(|c| c.kind == CueKind::Mark) {
            let mark =
                venue.field.marks.iter().find(|m| cue.what.contains(&format!(" {}:", m.name)));
            let Some(mark) = mark else { continue };
            let mark = mark.at;
            // marks on the boundary are looked at 0.2 m inside of it
            let distance = mark.x.hypot(mark.y);
            let mark = if distance > 0.2 { mark * (1.0 - 0.2 / distance) } else { mark };
            let from = DVec3::new(mark.x, mark.y, 1e-4);
            let lit = |seconds: f64| {
                let at = cue.at + TimeDelta::milliseconds((seconds * 1000.0) as i64);
                sun(&venue, at)
                    .is_some_and(|s| transmission_toward(&obstacles, from, s).share() >= 1.0)
            };
            let into_sun = cue.what.ends_with("into sun");
            assert_eq!(lit(CUE_S), into_sun, "{name}: {} {}", cue.at, cue.what);
            assert_eq!(lit(-CUE_S), !into_sun, "{name}: {} {}", cue.at, cue.what);
            held += 1;
        }
        assert!(held >= 6, "{name}: {held} marks crossed");
    }
}

/// Lines of the field: rays from places along a line must see the sun go from the last
/// of it when the cue says that all of it is in shade.
#[test]
fn rays_along_the_lines_of_the_field_agree() {
    for (name, lines) in
        [("football", ["touchline", "goal line"]), ("tennis", ["sideline", "baseline"])]
    {
        let venue = demo(name);
        let (plan, brief) = of_demo(&venue);
        let obstacles = Obstacle::all_of(&venue, plan.instants[0].at.date_naive());
        let whole: Vec<&Cue> = brief
            .cues
            .iter()
            .filter(|c| {
                c.what.ends_with("fully shaded")
                    && c.kind == CueKind::Mark
                    && lines.iter().any(|l| c.what.starts_with(l))
            })
            .collect();
        assert!(!whole.is_empty(), "{name}");
        for cue in whole {
            let (words, _) = cue.what.split_once(" fully").unwrap();
            let side = words.rsplit(' ').next().unwrap();
            let ring = &venue.field.outline.exterior().0;
            let line = ring.windows(2).find(|w| {
                let middle = (w[0] + w[1]) * 0.5;
                let p = venue.field.frame.to_field(DVec3::new(middle.x, middle.y, 0.0));
                match side {
                    "left" => p.across_m > p.along_m.abs(),
                    "right" => -p.across_m > p.along_m.abs(),
                    "ahead" => p.along_m > p.across_m.abs(),
                    _ => -p.along_m > p.across_m.abs(),
                }
            });
            let line = line.unwrap();
            let lit = |seconds: i64| {
                let toward = sun(&venue, cue.at + TimeDelta::seconds(seconds));
                let lit = |i: usize| {
                    let at = line[0] + (line[1] - line[0]) * (i as f64 / 42.0);
                    let at = at * (1.0 - 0.2 / at.x.hypot(at.y));
                    let from = DVec3::new(at.x, at.y, 1e-4);
                    toward.is_some_and(|s| transmission_toward(&obstacles, from, s).share() >= 1.0)
                };
                (0..=42).any(lit)
            };
            assert!(lit(-5) && !lit(5), "{name}: {} {}", cue.at, cue.what);
        }
    }
}

const WALL_M: f64 = 15.0;
const WALL_FROM_M: f64 = 40.0;

/// An open square field under one endless wall along its west, in the afternoon.
fn walled(height_m: f64) -> Venue {
    let mut venue = support::open_field(&[[-30., -30.], [30., -30.], [30., 30.], [-30., 30.]], 0.0);
    let far = 5000.0;
    let corners = [(-far, 0.0), (far, 0.0), (far, height_m), (-far, height_m)]
        .map(|(y, z)| DVec3::new(-WALL_FROM_M, y, z))
        .to_vec();
    let wall = support::body(Part::Panel, Shape::Sheet { corners }, 0.0);
    venue.occluders.push(support::occluder("wall", vec![wall]));
    venue.field.marks = vec![Mark { name: "middle".into(), at: geo::Coord { x: 0.0, y: 0.0 } }];
    venue.cameras = vec![CameraPost {
        name: "1".into(),
        at: DVec3::new(0.0, -60.0, 20.0),
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 70.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }];
    venue
}

fn winter_afternoon() -> Settings {
    let from = Tz::Europe__London.with_ymd_and_hms(2027, 2, 20, 12, 30, 0).unwrap();
    Settings {
        from,
        until: from + TimeDelta::hours(4),
        step: TimeDelta::minutes(1),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: Vec::new(),
    }
}

/// How far east of an endless north-south wall its shadow reaches: `height * sin(A) /
/// tan(elevation)` with `A` the sun's angle from south (surveying handbooks: shadow is
/// height over the tangent of the elevation; then its part across the wall).
fn reach_m(venue: &Venue, at: DateTime<Tz>, height_m: f64, turned_deg: f64) -> f64 {
    let sun = solar::position(&venue.place, at.with_timezone(&Utc));
    let from_south = (sun.azimuth.degrees() - 180.0 - turned_deg).to_radians();
    height_m * from_south.sin() / sun.apparent_elevation.radians().tan()
}

/// The second at which the reach passes `metres`, by bisection on the closed form.
fn passes(venue: &Venue, metres: f64, height_m: f64, turned_deg: f64) -> DateTime<Tz> {
    let settings = winter_afternoon();
    let (mut low, mut high) = (settings.from, settings.until - TimeDelta::minutes(20));
    let short = |at| reach_m(venue, at, height_m, turned_deg) < metres;
    assert!(short(low) && !short(high), "the shadow passes the place in the window");
    while high - low > TimeDelta::milliseconds(200) {
        let middle = low + (high - low) / 2;
        if short(middle) { low = middle } else { high = middle }
    }
    high
}

fn seconds(a: DateTime<Tz>, b: DateTime<Tz>) -> f64 {
    (a - b).num_milliseconds() as f64 / 1000.0
}

fn cue<'a>(brief: &'a Brief, words: &str) -> &'a Cue {
    let found: Vec<&Cue> = brief.cues.iter().filter(|c| c.what.starts_with(words)).collect();
    assert_eq!(found.len(), 1, "{words}: {:?}", brief.cues);
    found[0]
}

/// Times, how sure they are, and the speed of the edge, all against the closed form of
/// one endless wall.
#[test]
fn a_wall_gives_the_times_the_doubt_and_the_speed_of_its_closed_form() {
    let venue = walled(WALL_M);
    let (_, brief) = briefed(&venue, &winter_afternoon());
    let middle = cue(&brief, "edge reaches middle");
    let exact = passes(&venue, WALL_FROM_M, WALL_M, 0.0);
    assert!(seconds(middle.at, exact).abs() <= CUE_S, "{} {exact}", middle.at);

    // half a percent of the 60 m is left at the far side, and lies in sun at the near
    let last = cue(&brief, "the field fully shaded");
    let far = passes(&venue, WALL_FROM_M + 30.0 - 0.3, WALL_M, 0.0);
    assert!(seconds(last.at, far).abs() <= CUE_S, "{} {far}", last.at);
    let first = cue(&brief, "first shade on the field");
    let near = passes(&venue, WALL_FROM_M - 30.0 + 0.3, WALL_M, 0.0);
    assert!(seconds(first.at, near).abs() <= CUE_S, "{} {near}", first.at);

    // roofs 1 m up and down, the ground turned 1 degree either way
    let at = |height, turned| seconds(passes(&venue, WALL_FROM_M, height, turned), exact).abs();
    let roof = 0.5 * (at(WALL_M + 1.0, 0.0) + at(WALL_M - 1.0, 0.0));
    let bearing = 0.5 * (at(WALL_M, 1.0) + at(WALL_M, -1.0));
    let Sure::Within(told) = middle.sure else { panic!("{:?}", middle.sure) };
    assert!((told - roof.hypot(bearing)).abs() <= CUE_S, "{told} {roof} {bearing}");
    assert!(roof > 60.0 && bearing > 10.0, "{roof} {bearing}");

    let moving = middle.moving.as_ref().unwrap();
    let later = middle.at + TimeDelta::minutes(1);
    let speed = reach_m(&venue, later, WALL_M, 0.0) - WALL_FROM_M;
    assert!((moving.m_per_min - speed).abs() < 0.02, "{} {speed}", moving.m_per_min);
    assert_eq!(moving.toward, "the right side", "east, with the field's bearing to the north");
}

/// What the sun does to a lens is found on the geometry too: it comes into frame when
/// its direction crosses the frame's edge.
#[test]
fn the_sun_comes_into_a_lens_when_its_direction_says() {
    let mut venue = walled(0.5);
    // in the north, looking west of south-west
    venue.cameras[0].at = DVec3::new(40.0, 60.0, 3.0);
    venue.cameras[0].aims = vec![DVec3::new(-130.0, -30.0, 0.0)];
    venue.cameras[0].horizontal_fov_deg = 30.0;
    let (_, brief) = briefed(&venue, &winter_afternoon());
    let axis = (venue.cameras[0].aims[0] - venue.cameras[0].at).normalize();
    let falls = cue(&brief, "sun on the front element of 1");
    let off = |at| axis.angle_between(sun(&venue, at).unwrap()).to_degrees();
    let step = TimeDelta::seconds(CUE_S as i64);
    assert!(off(falls.at - step) > 45.0 && off(falls.at + step) < 45.0, "{}", falls.at);
    assert!(matches!(falls.sure, Sure::Within(s) if s > 0.0), "{:?}", falls.sure);
}

/// ND and gain are the best of the wheel for each run of play by brute force, and stay
/// through it.
#[test]
fn nd_is_the_best_of_the_wheel_and_changes_only_in_breaks() {
    let venue = demo("football");
    let (plan, brief) = of_demo(&venue);
    assert_eq!(brief.spans.len(), 2);
    let mut changes = 0;
    for camera in &brief.cameras {
        let mut before: Option<f64> = None;
        for (span, setting) in brief.spans.iter().zip(&camera.settings) {
            let whites: Vec<_> = (span.instants.0..span.instants.1)
                .filter_map(|i| camera.exposures[i].as_ref())
                .flat_map(|e| e.in_cover())
                .collect();
            // stops outside of T4 to T8, on average, each side by how much it counts
            let cost = |nd: f64| {
                let outside = |t: f64| {
                    (2.0 * (4.0 / t).log2()).max(2.0 * (t / 8.0).log2()).max(0.0)
                        + 1000.0 * (2.0 * (1.9 / t).log2()).max(2.0 * (t / 16.0).log2()).max(0.0)
                };
                let all = whites.iter().map(|(white, counts)| {
                    counts * outside(camera.rig.t_for_white(*white, nd, 0.0).unwrap())
                });
                all.sum::<f64>() / whites.iter().map(|(_, counts)| counts).sum::<f64>()
            };
            let best = [0.0, 2.0, 4.0, 6.0].map(cost).into_iter().fold(f64::INFINITY, f64::min);
            // the filter before stays while others are no tenth of a stop better
            let stays = before == Some(setting.nd_stops) && cost(setting.nd_stops) < best + 0.1;
            assert!(stays || cost(setting.nd_stops) <= best + 1e-9, "{setting:?}");
            let kept = before.is_some_and(|before| cost(before) < best + 0.1);
            assert!(!kept || before == Some(setting.nd_stops), "{setting:?} {before:?}");
            before = Some(setting.nd_stops);
        }
        changes += usize::from(camera.settings[0].nd_stops != camera.settings[1].nd_stops);
        for index in 0..plan.instants.len() {
            let at = plan.instants[index].at;
            let first = plan.milestones.iter().find(|m| m.play == Play::Stops).unwrap().at;
            let wanted = &camera.settings[usize::from(at > first)];
            assert_eq!(camera.setting_at(&brief.spans, index).unwrap(), wanted, "{at}");
        }
    }
    let cues: Vec<&Cue> = brief.cues.iter().filter(|c| c.kind == CueKind::Setting).collect();
    assert_eq!(cues.len(), changes);
    assert!(changes > 0, "the demo has something to change at half-time");
    assert!(cues.iter().all(|c| c.at == brief.breaks[0].from && c.sure == Sure::Exact));
}

/// Cameras that stand alike on either side of the sun's meridian see the same; a camera
/// turned about sees the other side of the face.
#[test]
fn cameras_match_where_symmetry_says_so() {
    let mut venue = walled(0.5);
    let camera = |name: &str, x: f64, y: f64| CameraPost {
        name: name.into(),
        at: DVec3::new(x, y, 12.0),
        ..venue.cameras[0].clone()
    };
    venue.cameras =
        vec![camera("east", 60.0, -60.0), camera("west", -60.0, -60.0), camera("north", 0.0, 80.0)];
    let settings = winter_afternoon();
    let prepared = Prepared::new(&venue, settings.from.date_naive());
    let mut noonward = settings.clone();
    noonward.from = settings.from - TimeDelta::minutes(60);
    let plan = prepared.run(&noonward, |_, _| {}).unwrap();
    let brief = brief(&prepared, &plan, &BriefSettings::default()).unwrap();
    // the sun due south: the instant nearest to 180 degrees
    let noon = plan.instants.iter().enumerate().min_by(|a, b| {
        let off = |i: &engine::Instant| (i.sun.azimuth.degrees() - 180.0).abs();
        off(a.1).total_cmp(&off(b.1))
    });
    let (index, _) = noon.unwrap();
    let gap = |a, b| {
        let pair = brief.matching.pairs.iter().find(|p| p.cameras == (a, b)).unwrap();
        pair.stops[index].unwrap().stops()
    };
    assert!(gap(0, 1).abs() < 0.02, "{}", gap(0, 1));
    assert!(gap(0, 2) > 1.5, "south light on the face toward the south-east: {}", gap(0, 2));
    let spread = brief.matching.spread[index];
    assert!((spread.stops.stops() - gap(0, 2).max(gap(1, 2))).abs() < 1e-9);
    assert!(spread.mired > 20.0, "the far side of the face is blue: {}", spread.mired);
    // in the order of the worst
    let worst: Vec<f64> = brief.matching.pairs.iter().map(|p| p.worst.0.stops().abs()).collect();
    assert!(worst.windows(2).all(|w| w[0] >= w[1]), "{worst:?}");
}

const SPORTS: [(&str, &str); 6] = [
    ("football", ""),
    ("rugby_union", ""),
    ("tennis", ""),
    ("cricket", ""),
    ("hockey", ""),
    (
        "free",
        "corners = [[-40.0, -25.0], [40.0, -25.0], [45.0, 20.0], [0.0, 40.0], [-40.0, 20.0]]\n",
    ),
];

/// Every sport gets a brief: cues in order, each in the window, each camera with one
/// operator, something said of the marks where there are any.
#[test]
fn every_sport_gets_a_brief() {
    for (sport, more) in SPORTS {
        let text = format!(
            "title = \"Ground\"\n[place]\nlatitude_deg = 50.0\nlongitude_deg = 0.0\nheight_m = 0.0\n\
             zone = \"Europe/London\"\n[field]\nsport = \"{sport}\"\nbearing_deg = 0.0\n{more}\
             [[solid]]\nname = \"Hall\"\nfootprint = [[-90.0, 90.0], [90.0, 90.0], [90.0, 110.0], [-90.0, 110.0]]\ntop_m = 40.0\n\
             [[camera]]\nname = \"1\"\nat = [0.0, 120.0, 30.0]\nhorizontal_fov_deg = 60.0\n\
             [[camera]]\nname = \"2\"\nat = [120.0, 0.0, 12.0]\nhorizontal_fov_deg = 40.0\n\
             [[camera]]\nname = \"3\"\nat = [0.0, -120.0, 20.0]\nhorizontal_fov_deg = 50.0\n"
        );
        let venue =
            quarterstop::venue::parse(&text, "ground.toml").unwrap_or_else(|e| panic!("{e}"));
        let start = Tz::Europe__London.with_ymd_and_hms(2027, 9, 30, 15, 30, 0).unwrap();
        let (plan, brief) = briefed(&venue, &settings(&venue, start));
        assert!(brief.cues.windows(2).all(|w| w[0].at <= w[1].at), "{sport}");
        let (first, last) = (plan.instants[0].at, plan.instants.last().unwrap().at);
        assert!(brief.cues.iter().all(|c| first <= c.at && c.at <= last), "{sport}");
        assert!(brief.cues.iter().any(|c| c.kind == CueKind::Zone), "{sport}");
        let marked = !venue.field.marks.is_empty();
        assert!(!marked || brief.cues.iter().any(|c| c.kind == CueKind::Mark), "{sport}");
        for camera in 0..3 {
            assert!(brief.desk.operator_of(camera).is_some(), "{sport}");
        }
        assert!(!brief.spans.is_empty() && brief.spans[0].instants.0 == 0, "{sport}");
        assert_eq!(brief.spans.last().unwrap().instants.1, plan.instants.len(), "{sport}");
    }
}

#[test]
fn verdicts_are_steady_and_their_changes_are_cued() {
    let venue = demo("football");
    let (plan, brief) = of_demo(&venue);
    for camera in &brief.cameras {
        let told: Vec<Verdict> = camera.exposures.iter().flatten().map(|e| e.verdict).collect();
        let mut runs: Vec<usize> = vec![1];
        for pair in told.windows(2) {
            match pair[0] == pair[1] {
                true => *runs.last_mut().unwrap() += 1,
                false => runs.push(1),
            }
        }
        let inner = &runs[..runs.len() - 1];
        assert!(inner.iter().all(|run| *run >= 3), "{:?}", runs);
        let name = &venue.cameras[camera.camera].name;
        let cues = brief.cues.iter().filter(|c| c.kind == CueKind::Verdict);
        assert_eq!(cues.filter(|c| c.what.starts_with(name)).count(), runs.len() - 1, "{name}");
    }
    assert_eq!(plan.instants.len(), brief.desk.operators[0].rides.len());
}

#[test]
fn a_hidden_sun_leaves_no_edge_and_no_lens_to_cue() {
    let venue = demo("football");
    let start = Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, 15, 0, 0).unwrap();
    let overcast = Settings { sky: Sky::Overcast, ..settings(&venue, start) };
    let (_, brief) = briefed(&venue, &overcast);
    let geometric =
        [CueKind::Mark, CueKind::Zone, CueKind::Coverage, CueKind::Lens, CueKind::Verdict];
    assert!(brief.cues.iter().all(|c| !geometric.contains(&c.kind)), "{:?}", brief.cues);
    assert!(brief.cameras.iter().flat_map(|c| &c.exposures).flatten().all(|e| e.sun.is_none()));
}

#[test]
fn without_cameras_there_is_nothing_to_brief() {
    let mut venue = walled(15.0);
    venue.cameras.clear();
    let settings = winter_afternoon();
    let prepared = Prepared::new(&venue, settings.from.date_naive());
    let plan = prepared.run(&settings, |_, _| {}).unwrap();
    let refused = brief(&prepared, &plan, &BriefSettings::default()).unwrap_err();
    assert_eq!(refused, BriefError::NoCameras);
    let mut venue = walled(15.0);
    venue.cameras.truncate(1);
    let prepared = Prepared::new(&venue, settings.from.date_naive());
    let plan = prepared.run(&settings, |_, _| {}).unwrap();
    let many = BriefSettings { operators: Some(0), ..Default::default() };
    assert!(matches!(brief(&prepared, &plan, &many), Err(BriefError::Desk(_))));
}
