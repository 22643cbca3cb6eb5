//! Plans made by formula, for tests of pictures. Invented throughout; believable
//! in course and size, without any stage having run.
#![allow(dead_code)]

pub mod marks;

use chrono::{DateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;
use geo::MultiPolygon;
use glam::DVec3;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation, Luminance, Stops};
use quarterstop::camera::{
    CameraView, ClassShares, Coverage, LightClass, OneSide, Side, Split, SplitState, Swing,
};
use quarterstop::engine::{FieldLight, Instant, MatchPlan, Milestone, PlaneShade, SkyGrid};
use quarterstop::geometry::{ShadeShare, Shadow};
use quarterstop::light::{Air, Chromaticity, Daylight, FloodlightState, Sky, Tristimulus};
use quarterstop::solar::{Sun, SunDay, SunState};
use quarterstop::venue::{CameraPost, Play, Venue};

/// How a made-up afternoon runs.
pub struct Story {
    pub start: DateTime<Tz>,
    pub minutes: i64,
    pub cameras: Vec<String>,
    /// Elevation of the sun at the start, degrees, and its fall per minute.
    pub elevation_deg: (f64, f64),
    /// Skyline in the sun's direction, degrees.
    pub skyline_deg: f64,
    /// Minutes after the start.
    pub milestones: Vec<(&'static str, i64)>,
    pub sky: Sky,
}

pub const FIVE_CAMERAS: [&str; 5] = [
    "Main gantry, wide",
    "Main gantry, tight",
    "Corner, south-west",
    "Corner, north-east",
    "Reverse, far side",
];

/// A football afternoon in April: 151 instants, five cameras, sun up throughout.
pub fn afternoon() -> Story {
    Story {
        start: Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, 14, 35, 0).unwrap(),
        minutes: 150,
        cameras: FIVE_CAMERAS.map(String::from).to_vec(),
        elevation_deg: (44.0, 0.155),
        skyline_deg: 2.0,
        milestones: vec![
            ("kickoff", 25),
            ("half-time", 70),
            ("second half", 85),
            ("full-time", 130),
        ],
        sky: Sky::Clear,
    }
}

/// The same match in late October: the sun goes behind a hill, then sets.
pub fn evening() -> Story {
    Story {
        start: Tz::Europe__London.with_ymd_and_hms(2027, 10, 23, 16, 5, 0).unwrap(),
        elevation_deg: (13.0, 0.125),
        skyline_deg: 2.5,
        ..afternoon()
    }
}

/// A sun that never rises.
pub fn polar_night() -> Story {
    Story {
        start: Tz::Europe__Oslo.with_ymd_and_hms(2027, 12, 18, 11, 35, 0).unwrap(),
        elevation_deg: (-3.0, 0.02),
        ..afternoon()
    }
}

/// As many cameras as a large production has, with names of 60 characters.
pub fn many_cameras() -> Story {
    let name = |i: usize| format!("{i:02} {:w<57}", "platform & <gantry> \"north\" ");
    Story { cameras: (1..=28).map(name).collect(), ..afternoon() }
}

/// Seven hours, with moments two minutes apart.
pub fn long_day() -> Story {
    Story {
        start: Tz::Europe__London.with_ymd_and_hms(2027, 7, 3, 10, 20, 0).unwrap(),
        minutes: 420,
        elevation_deg: (50.0, 0.07),
        milestones: vec![
            ("push-back", 40),
            ("quarter-time", 55),
            ("second quarter", 57),
            ("half-time", 72),
            ("third quarter", 82),
            ("quarter-time", 97),
            ("fourth quarter", 99),
            ("full-time", 114),
            ("evening session", 405),
            ("last call", 412),
        ],
        ..afternoon()
    }
}

pub fn venue(story: &Story) -> Venue {
    let mut venue = support::football();
    venue.title = "Nowhere Lane, demonstration ground".into();
    venue.place.zone = story.start.timezone();
    let post = |name: &String| CameraPost {
        name: name.clone(),
        at: DVec3::new(0.0, -60.0, 18.0),
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 40.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    };
    venue.cameras = story.cameras.iter().map(post).collect();
    venue
}

pub fn plan(story: &Story) -> MatchPlan {
    let at = |minute: i64| story.start + TimeDelta::minutes(minute);
    let milestone = |&(name, minute): &(&str, i64)| Milestone {
        name: name.into(),
        at: at(minute),
        play: Play::GoesOn,
    };
    let day = if story.elevation_deg.0 > 0.0 {
        SunDay::RisesAndSets {
            rise: at(-510),
            noon: at(-95),
            set: at((story.elevation_deg.0 / story.elevation_deg.1) as i64),
        }
    } else {
        SunDay::PolarNight { noon: at(10) }
    };
    MatchPlan {
        sky: story.sky,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: story.milestones.iter().map(milestone).collect(),
        instants: (0..=story.minutes).map(|minute| instant(story, minute, at(minute))).collect(),
        covers: story
            .cameras
            .iter()
            .map(|_| Coverage {
                region: MultiPolygon(Vec::new()),
                area_m2: 2000.0,
                field_m2: 2000.0,
                playing_area_m2: 2000.0,
                zone_shares: Vec::new(),
            })
            .collect(),
        day,
        sky_view: SkyGrid { spacing_m: 0.0, places: Vec::new() },
    }
}

fn instant(story: &Story, minute: i64, at: DateTime<Tz>) -> Instant {
    let elevation = story.elevation_deg.0 - story.elevation_deg.1 * minute as f64;
    let sun_state = match elevation {
        e if e <= 0.0 => SunState::Down,
        e if e <= story.skyline_deg => SunState::BehindSkyline,
        _ => SunState::Up,
    };
    let up = sun_state == SunState::Up;
    // the shade crosses the field while the sun falls
    let progress = minute as f64 / story.minutes as f64;
    let shaded = (0.06 + 1.02 * progress.powf(1.6)).min(1.0);
    let dimmed = (0.16 * (1.3 * progress * std::f64::consts::PI).sin()).max(0.0);
    let turf = share(up, (shaded - dimmed).max(0.0), shaded);
    let face = share(up, (shaded - dimmed - 0.07).max(0.0), (shaded - 0.05).max(0.0));
    Instant {
        at,
        sun: Sun {
            azimuth: Azimuth::from_degrees(213.0 + 0.27 * minute as f64),
            apparent_elevation: Elevation::from_degrees(elevation),
            true_elevation: Elevation::from_degrees(elevation - 0.05),
        },
        sun_state,
        daylight: Daylight {
            direct_normal: Tristimulus::of_daylight(70_000.0),
            direct_horizontal: Tristimulus::of_daylight(45_000.0),
            diffuse_horizontal: Tristimulus::of_daylight(14_000.0),
        },
        floodlight: if elevation < 8.0 { FloodlightState::Lit } else { FloodlightState::Off },
        field_light: field_light(elevation, up && !story.sky.hides_sun()),
        turf: plane(0.0, turf),
        face: plane(1.7, face),
        faces: Vec::new(),
        cameras: (0..story.cameras.len()).map(|camera| view(camera, progress, up)).collect(),
    }
}

/// A sun that reddens as it sinks, a sky that keeps its blue.
fn field_light(elevation_deg: f64, sun_out: bool) -> FieldLight {
    let sine = elevation_deg.max(0.0).to_radians().sin();
    let of = |lux: f64, kelvin: f64| Tristimulus::of(lux, Chromaticity::of_daylight(kelvin));
    let in_shade = of(400.0 + 9_000.0 * sine.sqrt(), 10_500.0);
    let sun = of(110_000.0 * sine * (-0.2 / sine.max(0.01)).exp(), 4_200.0 + 1_400.0 * sine);
    FieldLight {
        in_sun: sun_out.then_some(in_shade + sun),
        in_shade,
        under_cloud: sun_out.then_some(in_shade * 1.1),
    }
}

fn share(up: bool, opaque: f64, shaded: f64) -> ShadeShare {
    if !up {
        return ShadeShare::ALL_SHADE;
    }
    ShadeShare { opaque, shaded, mean_transmission: 1.0 - opaque - 0.5 * (shaded - opaque) }
}

fn plane(height_m: f64, field: ShadeShare) -> PlaneShade {
    PlaneShade {
        shadow: Shadow::everywhere(height_m, MultiPolygon(Vec::new()), 7140.0),
        ground: Shadow::everywhere(height_m, MultiPolygon(Vec::new()), 7140.0),
        edge: Vec::new(),
        field,
        playing_area: field,
        surrounds: field,
        zones: Vec::new(),
    }
}

/// Each camera meets the edge in its own part of the afternoon; the third never.
fn view(camera: usize, progress: f64, up: bool) -> CameraView {
    let c = camera as f64;
    let turf = 2.4 + 0.9 * (1.7 * progress + 0.6 * c).sin() + 0.12 * (25.0 * progress + c).sin();
    let subject = 1.5 + 1.3 * (2.1 * progress + 0.9 * c).cos();
    let (enter, leave) = match camera % 5 {
        0 => (0.0, 0.8),
        1 => (0.25, 0.62),
        2 => (2.0, 3.0),
        3 => (0.45, 1.1),
        _ => (0.1, 0.3),
    };
    let again = camera % 5 == 4 && (0.55..0.7).contains(&progress);
    let side = if progress < enter { OneSide::AllSunlit } else { OneSide::AllShaded };
    let split = |stops: f64| {
        let state = if !up {
            SplitState::NoEdge
        } else if (enter..leave).contains(&progress) || again {
            SplitState::InShot(Stops::from_stops(stops))
        } else {
            SplitState::Latent(Stops::from_stops(stops), side)
        };
        let side = |lux: f64, kelvin: f64| Side {
            light: Tristimulus::of(lux, Chromaticity::of_daylight(kelvin)),
            luminance: Luminance::from_cd_per_m2(lux * 0.06 / std::f64::consts::PI),
        };
        Split {
            sunlit: up.then(|| side(47_000.0 * 2.0_f64.powf(stops - 3.0), 5400.0)),
            shaded: Some(side(5_900.0, 9500.0)),
            state,
            between: up.then_some((LightClass::Sun, LightClass::Shade)),
            shares: ClassShares { sun: 1.0 - progress, shade: progress, ..ClassShares::NOTHING },
            swing: up
                .then(|| Swing { stops: Stops::from_stops(0.9 * stops + 0.2), mired: Some(-70.0) }),
            ..Split::NOTHING
        }
    };
    CameraView {
        shaded_share: progress,
        mixed_frames: 0.0,
        turf: split(turf),
        subject: split(subject),
    }
}
