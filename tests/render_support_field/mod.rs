//! Invented grounds with real shadows, and plans filled by hand around them.
#![allow(dead_code)]

use chrono::{TimeDelta, TimeZone};
use chrono_tz::Tz;
use geo::{Coord, LineString};
use glam::DVec3;

use crate::support;
use quarterstop::base::frame::{FieldFrame, FieldPoint};
use quarterstop::base::units::{Azimuth, Elevation, Stops, Transmittance};
use quarterstop::camera::{Coverage, cover};
use quarterstop::engine::{MatchPlan, Milestone, Prepared, SkyGrid};
use quarterstop::geometry::OverlayScratch;
use quarterstop::light::{Air, Sky};
use quarterstop::solar::{Sun, SunDay, SunState};
use quarterstop::venue::*;

/// A point in field axes, in the local frame.
fn local(frame: FieldFrame, along_m: f64, across_m: f64, up_m: f64) -> DVec3 {
    frame.to_local(FieldPoint { along_m, across_m, up_m })
}

/// A closed or open line in field axes.
fn line(frame: FieldFrame, points: &[[f64; 2]]) -> LineString<f64> {
    let to = |p: &[f64; 2]| {
        let q = local(frame, p[0], p[1], 0.0);
        Coord { x: q.x, y: q.y }
    };
    LineString(points.iter().map(to).collect())
}

/// A slab between two heights; corners in field axes, anticlockwise.
fn slab(frame: FieldFrame, ring: &[[f64; 2]], bottom_m: f64, top_m: f64) -> Shape {
    let at = |up: f64| -> Vec<DVec3> {
        let up_at = |p: &[f64; 2]| local(frame, p[0], p[1], up);
        ring.iter().map(up_at).collect()
    };
    support::between_rings(&at(bottom_m), &at(top_m))
}

fn rectangle(a: [f64; 2], b: [f64; 2]) -> [[f64; 2]; 4] {
    [[a[0], a[1]], [b[0], a[1]], [b[0], b[1]], [a[0], b[1]]]
}

fn arc(middle: [f64; 2], radius_m: f64, from_deg: f64, to_deg: f64) -> Vec<[f64; 2]> {
    let at = |i: usize| {
        let angle = (from_deg + (to_deg - from_deg) * i as f64 / 48.0).to_radians();
        [middle[0] + radius_m * angle.cos(), middle[1] + radius_m * angle.sin()]
    };
    (0..=48).map(at).collect()
}

fn named(name: &str, kind: OccluderKind, bodies: Vec<Body>) -> Occluder {
    Occluder { name: name.into(), kind, bodies }
}

pub fn camera(
    name: &str,
    frame: FieldFrame,
    at: [f64; 3],
    aims: &[[f64; 2]],
    fov: f64,
) -> CameraPost {
    CameraPost {
        name: name.into(),
        at: local(frame, at[0], at[1], at[2]),
        aims: aims.iter().map(|a| local(frame, a[0], a[1], 0.0)).collect(),
        horizontal_fov_deg: fov,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }
}

/// 105 x 68 m with bearing 20 degrees: four stands, one under a translucent
/// roof, three trees, a mast, a far tower and five cameras.
pub fn football_ground() -> Venue {
    let mut venue = support::football();
    venue.title = "Invented Lane Ground".into();
    let frame = venue.field.frame;
    let lines = [
        vec![[0.0, -34.0], [0.0, 34.0]],
        arc([0.0, 0.0], 9.15, 0.0, 360.0),
        vec![[-52.5, -20.16], [-36.0, -20.16], [-36.0, 20.16], [-52.5, 20.16]],
        vec![[52.5, -20.16], [36.0, -20.16], [36.0, 20.16], [52.5, 20.16]],
        vec![[-52.5, -9.16], [-47.0, -9.16], [-47.0, 9.16], [-52.5, 9.16]],
        vec![[52.5, -9.16], [47.0, -9.16], [47.0, 9.16], [52.5, 9.16]],
        arc([41.5, 0.0], 9.15, 126.9, 233.1),
        arc([-41.5, 0.0], 9.15, -53.1, 53.1),
    ];
    venue.field.markings = lines.iter().map(|l| line(frame, l)).collect();

    let stand = |a: [f64; 2], b: [f64; 2], top: f64| {
        support::body(Part::Deck, slab(frame, &rectangle(a, b), 0.0, top), 0.0)
    };
    let roof = |a: [f64; 2], b: [f64; 2], up: f64, t: f64| {
        support::body(Part::Roof, slab(frame, &rectangle(a, b), up, up + 0.5), t)
    };
    venue.occluders = vec![
        // right of the bearing: east-south-east
        named(
            "River stand",
            OccluderKind::Stand,
            vec![
                stand([-55.0, -62.0], [55.0, -40.0], 14.0),
                roof([-55.0, -62.0], [55.0, -36.0], 19.0, 0.35),
            ],
        ),
        named(
            "Chapel stand",
            OccluderKind::Stand,
            vec![
                stand([-50.0, 40.0], [50.0, 64.0], 16.0),
                roof([-50.0, 31.0], [50.0, 64.0], 24.0, 0.0),
            ],
        ),
        named("Terrace", OccluderKind::Stand, vec![stand([-72.0, -30.0], [-58.0, 30.0], 6.0)]),
        named("North end", OccluderKind::Stand, vec![stand([58.0, -30.0], [76.0, 20.0], 11.0)]),
        named("Plane trees", OccluderKind::Tree, tree(frame, [62.0, 38.0])),
        named("Plane trees", OccluderKind::Tree, tree(frame, [67.0, 29.0])),
        named("Plane trees", OccluderKind::Tree, tree(frame, [-64.0, 44.0])),
        named(
            "Mast",
            OccluderKind::Solid,
            vec![support::body(
                Part::Solid,
                slab(frame, &rectangle([-57.0, 36.0], [-56.2, 36.8]), 0.0, 38.0),
                0.0,
            )],
        ),
        named(
            "Tower",
            OccluderKind::Solid,
            vec![support::body(
                Part::Solid,
                slab(frame, &rectangle([10.0, 160.0], [40.0, 190.0]), 0.0, 95.0),
                0.0,
            )],
        ),
    ];
    venue.cameras = vec![
        camera("Main wide, gantry", frame, [0.0, -55.0, 16.0], &[[-30.0, 0.0], [30.0, 0.0]], 28.0),
        camera("Main tight, gantry", frame, [2.0, -55.0, 16.0], &[[0.0, 5.0]], 12.0),
        camera("High behind, terrace end", frame, [-78.0, 0.0, 14.0], &[[-35.0, 0.0]], 24.0),
        camera("Touchline left, handheld", frame, [20.0, 37.0, 1.8], &[[30.0, -10.0]], 50.0),
        camera("Reverse angle", frame, [0.0, 58.0, 17.0], &[[-10.0, 0.0]], 20.0),
    ];
    venue
}

fn tree(frame: FieldFrame, at: [f64; 2]) -> Vec<Body> {
    let crown: Vec<[f64; 2]> = arc(at, 4.0, 0.0, 330.0).into_iter().step_by(4).collect();
    vec![
        support::body(
            Part::Trunk,
            slab(
                frame,
                &rectangle([at[0] - 0.3, at[1] - 0.3], [at[0] + 0.3, at[1] + 0.3]),
                0.0,
                4.0,
            ),
            0.0,
        ),
        support::body(Part::Crown, slab(frame, &crown, 4.0, 14.0), 0.15),
    ]
}

/// Many cameras around the football ground, some close together, some far off.
pub fn many_cameras(count: usize) -> Venue {
    let mut venue = football_ground();
    let frame = venue.field.frame;
    venue.cameras = (0..count)
        .map(|i| {
            let name = format!("Position {} with its long description", i + 1);
            let turn = std::f64::consts::TAU * i as f64 / 20.0;
            let at = match i {
                0..=5 => [-3.0 + 1.2 * i as f64, -55.0, 16.0],
                6..=22 => [62.0 * turn.cos(), 42.0 * turn.sin(), 3.0],
                _ => [150.0 * turn.cos(), 150.0 * turn.sin(), 40.0],
            };
            camera(&name, frame, at, &[[0.3 * at[0], 0.3 * at[1]]], 18.0)
        })
        .collect();
    venue
}

/// 23.77 x 10.97 m in a small bowl of eight segments, open to one side.
pub fn tennis_court() -> Venue {
    let mut venue = support::open_field(&rectangle([-11.885, -5.485], [11.885, 5.485]), 350.0);
    venue.title = "Court Two".into();
    venue.field.sport = Sport::Tennis;
    let frame = venue.field.frame;
    let lines = [
        vec![[0.0, -6.4], [0.0, 6.4]],
        vec![[-11.885, -4.115], [11.885, -4.115]],
        vec![[-11.885, 4.115], [11.885, 4.115]],
        vec![[-6.4, -4.115], [-6.4, 4.115]],
        vec![[6.4, -4.115], [6.4, 4.115]],
        vec![[-6.4, 0.0], [6.4, 0.0]],
    ];
    venue.field.markings = lines.iter().map(|l| line(frame, l)).collect();
    for i in 0..7 {
        let at = |k: usize, out: f64| {
            let angle = std::f64::consts::TAU * k as f64 / 8.0 - 0.39;
            [(19.0 + out) * angle.cos(), (13.0 + out) * angle.sin()]
        };
        let ring = [at(i, 0.0), at(i, 12.0), at(i + 1, 12.0), at(i + 1, 0.0)];
        let bodies = vec![support::body(Part::Deck, slab(frame, &ring, 0.0, 9.0), 0.0)];
        venue.occluders.push(named("Bowl", OccluderKind::Bowl, bodies));
    }
    venue.cameras = vec![
        camera("High behind", frame, [-24.0, 0.0, 9.0], &[[0.0, 0.0]], 30.0),
        camera("Low, net post", frame, [0.0, -8.0, 1.5], &[[0.0, 0.0]], 55.0),
    ];
    venue
}

/// An oval of about 150 x 130 m with a pavilion and sight screens.
pub fn cricket_oval() -> Venue {
    let outline: Vec<[f64; 2]> = (0..96)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / 96.0;
            [75.0 * angle.cos(), 65.0 * angle.sin()]
        })
        .collect();
    let mut venue = support::open_field(&outline, 75.0);
    venue.title = "Saltmarsh Meadow".into();
    venue.field.sport = Sport::Cricket;
    let frame = venue.field.frame;
    let mut square = rectangle([-10.06, -1.52], [10.06, 1.52]).to_vec();
    square.push(square[0]);
    venue.field.markings = vec![line(frame, &square)];
    let pavilion = slab(frame, &rectangle([-25.0, 70.0], [25.0, 84.0]), 0.0, 18.0);
    let screen = |along: f64| Shape::Sheet {
        corners: vec![
            local(frame, along, -8.0, 0.0),
            local(frame, along, 8.0, 0.0),
            local(frame, along, 8.0, 9.0),
            local(frame, along, -8.0, 9.0),
        ],
    };
    venue.occluders = vec![
        named("Pavilion", OccluderKind::Solid, vec![support::body(Part::Solid, pavilion, 0.0)]),
        named(
            "Sight screen",
            OccluderKind::Panel,
            vec![support::body(Part::Panel, screen(78.0), 0.0)],
        ),
        named(
            "Sight screen",
            OccluderKind::Panel,
            vec![support::body(Part::Panel, screen(-78.0), 0.0)],
        ),
        named("Elms", OccluderKind::Tree, tree(frame, [50.0, 62.0])),
    ];
    venue.cameras = vec![
        camera("Bowler's arm, north", frame, [95.0, 0.0, 14.0], &[[0.0, 0.0]], 12.0),
        camera("Bowler's arm, south", frame, [-95.0, 0.0, 14.0], &[[0.0, 0.0]], 12.0),
        camera("Square leg", frame, [0.0, -76.0, 6.0], &[[0.0, 0.0]], 16.0),
    ];
    venue
}

/// A football field in a closed ring of roof with a gap in the middle: the
/// shadow has a hole, and a part of the roof is translucent.
pub fn roof_ring() -> Venue {
    let mut venue = football_ground();
    venue.title = "Ring of roof".into();
    let frame = venue.field.frame;
    let plate = |a, b, t| support::body(Part::Roof, slab(frame, &rectangle(a, b), 20.0, 20.4), t);
    venue.occluders = vec![named(
        "Ring",
        OccluderKind::Bowl,
        vec![
            plate([-80.0, -60.0], [80.0, -18.0], 0.0),
            plate([-80.0, 18.0], [80.0, 60.0], 0.0),
            plate([-80.0, -18.0], [-30.0, 18.0], 0.0),
            plate([30.0, -18.0], [80.0, 18.0], 0.0),
            plate([-6.0, -5.0], [6.0, 5.0], 0.5),
        ],
    )];
    venue.cameras.truncate(1);
    venue
}

pub fn with_names(mut venue: Venue, name: impl Fn(usize) -> String) -> Venue {
    for (i, post) in venue.cameras.iter_mut().enumerate() {
        post.name = name(i);
    }
    venue
}

/// A plan of one instant under a sun in the given place; down under 0 degrees.
pub fn plan(venue: &Venue, azimuth_deg: f64, elevation_deg: f64) -> MatchPlan {
    plan_under(venue, azimuth_deg, elevation_deg, Sky::Clear)
}

pub fn plan_under(venue: &Venue, azimuth_deg: f64, elevation_deg: f64, sky: Sky) -> MatchPlan {
    let state = if elevation_deg > 0.0 { SunState::Up } else { SunState::Down };
    let sun = Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    };
    let start = Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, 15, 0, 0).unwrap();
    let at = start + TimeDelta::minutes(95);
    let prepared = Prepared::new(venue, support::date());
    let bench = &mut OverlayScratch::default();
    let instant = prepared.under(at, (sun, state), sky, &Air::default(), bench);
    let covers: Vec<Coverage> =
        venue.cameras.iter().map(|post| cover(post, &venue.field.outline, &venue.zones)).collect();
    let milestone = |name: &str, minutes: i64| Milestone {
        name: name.into(),
        at: start + TimeDelta::minutes(minutes),
        play: Play::GoesOn,
    };
    MatchPlan {
        sky,
        milestones: vec![
            milestone("kickoff", 0),
            milestone("half-time", 45),
            milestone("second half", 60),
        ],
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        instants: vec![instant],
        covers,
        day: SunDay::RisesAndSets {
            rise: start - TimeDelta::hours(9),
            noon: start - TimeDelta::hours(2),
            set: start + TimeDelta::hours(5),
        },
        sky_view: SkyGrid { spacing_m: 1.0, places: Vec::new() },
    }
}

/// Share of light as a roof states it.
pub fn share(share: f64) -> Transmittance {
    Transmittance::from_share(share)
}
