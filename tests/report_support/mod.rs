//! A small invented ground and a plan of seven instants, built by hand: the
//! shadow edge enters at the third instant and has crossed at the last.
#![allow(dead_code)]

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, TimeZone};
use chrono_tz::Europe::Lisbon;
use chrono_tz::Tz;
use geo::{Area, Coord, LineString, MultiPolygon, Polygon, Rect};
use glam::DVec3;

use quarterstop::base::frame::FieldFrame;
use quarterstop::base::units::{Azimuth, Elevation, Luminance, Stops, Transmittance};
use quarterstop::camera::{
    CameraView, ClassShares, Coverage, LightClass, OneSide, Side, Split, SplitState, Swing,
};
use quarterstop::engine::{FieldLight, Instant, MatchPlan, Milestone, PlaneShade, SkyGrid};
use quarterstop::geometry::{Dimmed, EdgeLine, FACE_HEIGHT_M, ShadeShare, Shadow, TURF_HEIGHT_M};
use quarterstop::jobs::match_plan::{EdgeProfile, LightMap, MapGrid, ProfilePoint, ReferencePoint};
use quarterstop::light::{Air, Chromaticity, Daylight, FloodlightState, Sky, Tristimulus};
use quarterstop::solar::{Sun, SunDay, SunState};
use quarterstop::venue::{
    CameraPost, Changes, Field, Horizon, Occluder, OccluderKind, Place, Play, PlayingSurface,
    ProposedFixture, Sport, Venue, Zone,
};

pub fn rectangle(west: f64, south: f64, east: f64, north: f64) -> Polygon<f64> {
    Rect::new(Coord { x: west, y: south }, Coord { x: east, y: north }).to_polygon()
}

/// A field of 100 m by 60 m whose long axis points east.
pub fn venue() -> Venue {
    Venue {
        title: "Invented Meadow, \"East\" ground".to_owned(),
        place: Place {
            latitude_deg: 38.5,
            longitude_deg: -8.25,
            height_m: 40.0,
            zone: Lisbon,
            pressure_hpa: 1008.5,
            temperature_c: 16.0,
        },
        field: Field {
            sport: Sport::Football,
            frame: FieldFrame::new(Azimuth::from_degrees(90.0)),
            outline: rectangle(-50.0, -30.0, 50.0, 30.0),
            playing_area: rectangle(-50.0, -30.0, 50.0, 30.0),
            surrounds: rectangle(-50.0, -30.0, 50.0, 30.0),
            markings: vec![],
            marks: vec![],
            surface: PlayingSurface::Grass,
            surface_reflectance: 0.08,
            surrounds_surface: PlayingSurface::Grass,
            surrounds_reflectance: 0.08,
            declination: None,
        },
        zones: vec![
            Zone { name: "West half".to_owned(), outline: rectangle(-50.0, -30.0, 0.0, 30.0) },
            Zone { name: "East half".to_owned(), outline: rectangle(0.0, -30.0, 50.0, 30.0) },
        ],
        occluders: vec![Occluder {
            name: "West stand".to_owned(),
            kind: OccluderKind::Stand,
            bodies: vec![],
        }],
        cameras: vec![
            camera("Main gantry"),
            camera("main gantry!"),
            camera("Reverse"),
            camera("Lift lobby"),
        ],
        horizon: Horizon::default(),
        air: None,
        floodlights: None,
        fixture: Some(ProposedFixture {
            date: NaiveDate::from_ymd_opt(2026, 4, 11).unwrap(),
            start: NaiveTime::from_hms_opt(17, 30, 0).unwrap(),
        }),
        moments: Vec::new(),
        production: None,
        subject: Default::default(),
        operators: Vec::new(),
        candidates: Vec::new(),
        surveyed: Vec::new(),
        meshes: Vec::new(),
        unusual: Vec::new(),
        beside: Vec::new(),
        changes: Changes::default(),
        hole: None,
        relief: None,
    }
}

fn camera(name: &str) -> CameraPost {
    CameraPost {
        name: name.to_owned(),
        at: DVec3::new(0.0, -60.0, 15.0),
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 40.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }
}

/// 11 April 2026, Lisbon summer time.
pub fn at(hour: u32, minute: u32) -> DateTime<Tz> {
    Lisbon.with_ymd_and_hms(2026, 4, 11, hour, minute, 0).unwrap()
}

/// Shares of the field in shade, instant by instant, from the west.
pub const SHADED: [f64; 7] = [0.0, 0.0, 0.1, 0.25, 0.5, 0.75, 1.0];

/// 17:28 to 17:34 in steps of a minute.
pub fn plan() -> MatchPlan {
    MatchPlan {
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: vec![
            Milestone { name: "kickoff".to_owned(), at: at(17, 30), play: Play::GoesOn },
            Milestone { name: "half-time".to_owned(), at: at(18, 15), play: Play::GoesOn },
        ],
        instants: SHADED
            .iter()
            .enumerate()
            .map(|(minute, shaded)| instant(minute as i64, *shaded))
            .collect(),
        covers: vec![
            cover(rectangle(-30.0, -30.0, 30.0, 30.0), [0.6, 0.6]),
            cover(rectangle(-50.0, -30.0, 50.0, 30.0), [1.0, 1.0]),
            cover(rectangle(45.0, -30.0, 50.0, 30.0), [0.0, 0.1]),
            Coverage {
                region: MultiPolygon::new(vec![]),
                area_m2: 0.0,
                field_m2: 0.0,
                playing_area_m2: 0.0,
                zone_shares: vec![0.0, 0.0],
            },
        ],
        sky_view: SkyGrid { spacing_m: 50.0, places: vec![(Coord { x: 0.0, y: 0.0 }, 0.75)] },
        day: SunDay::RisesAndSets { rise: at(7, 4), noon: at(13, 34), set: at(20, 5) },
    }
}

fn cover(region: Polygon<f64>, zone_shares: [f64; 2]) -> Coverage {
    Coverage {
        area_m2: region.unsigned_area(),
        field_m2: region.unsigned_area(),
        playing_area_m2: region.unsigned_area(),
        region: MultiPolygon::new(vec![region]),
        zone_shares: zone_shares.to_vec(),
    }
}

fn instant(minute: i64, shaded: f64) -> Instant {
    let latent = |stops, side| SplitState::Latent(Stops::from_stops(stops), side);
    let in_shot = |stops| SplitState::InShot(Stops::from_stops(stops));
    let wider = 2.0 + 0.25 * minute as f64;
    let main = match shaded {
        0.0 => latent(wider, OneSide::AllSunlit),
        1.0 => latent(wider, OneSide::AllShaded),
        _ => in_shot(wider),
    };
    Instant {
        at: at(17, 28) + TimeDelta::minutes(minute),
        sun: Sun {
            azimuth: Azimuth::from_degrees(259.0 + minute as f64 / 3.0),
            apparent_elevation: Elevation::from_degrees(30.0 - minute as f64 / 7.0),
            true_elevation: Elevation::from_degrees(29.97 - minute as f64 / 7.0),
        },
        sun_state: SunState::Up,
        daylight: Daylight {
            direct_normal: Tristimulus::of_daylight(80_000.4),
            direct_horizontal: Tristimulus::of_daylight(40_000.2),
            diffuse_horizontal: Tristimulus::of_daylight(11_000.6),
        },
        floodlight: FloodlightState::Off,
        field_light: FieldLight {
            in_sun: Some(Tristimulus::of_daylight(49_000.4)),
            in_shade: Tristimulus::of(9_000.3, Chromaticity::of_daylight(10_000.0)),
            under_cloud: Some(Tristimulus::of_daylight(8_500.0)),
        },
        turf: plane(TURF_HEIGHT_M, shaded),
        face: plane(FACE_HEIGHT_M, (shaded - 0.05).max(0.0)),
        faces: Vec::new(),
        cameras: vec![
            view(shaded, main, in_shot(1.0)),
            view(shaded, main, latent(1.5, OneSide::AllShaded)),
            view(0.0, latent(2.5, OneSide::AllSunlit), SplitState::NoEdge),
            view(f64::NAN, SplitState::NoEdge, SplitState::NoEdge),
        ],
    }
}

fn view(shaded_share: f64, turf: SplitState, subject: SplitState) -> CameraView {
    let side = |lux, kelvin, cd_per_m2| Side {
        light: Tristimulus::of(lux, Chromaticity::of_daylight(kelvin)),
        luminance: Luminance::from_cd_per_m2(cd_per_m2),
    };
    // as if all of the ground took as much of the picture
    let shade = if shaded_share.is_finite() { shaded_share } else { 1.0 };
    let split = |state| {
        let edge = state != SplitState::NoEdge;
        Split {
            sunlit: edge.then(|| side(51_000.4, 5500.0, 1_298.76)),
            shaded: Some(side(2_618.2, 9000.0, 200.0 / 3.0)),
            state,
            between: edge.then_some((LightClass::Sun, LightClass::Shade)),
            shares: ClassShares { sun: 1.0 - shade, shade, ..ClassShares::NOTHING },
            swing: edge.then(|| Swing { stops: Stops::from_stops(2.75), mired: Some(-61.25) }),
            ..Split::NOTHING
        }
    };
    CameraView { shaded_share, mixed_frames: 0.0, turf: split(turf), subject: split(subject) }
}

/// The west of the field up to a share of its length; the last 5 m of it under
/// a roof that passes a quarter.
fn plane(height_m: f64, shaded: f64) -> PlaneShade {
    let edge_east = -50.0 + 100.0 * shaded;
    let dimmed_from = (edge_east - 5.0).max(-50.0);
    let none = shaded <= 0.0;
    let region = |polygon| match none {
        true => MultiPolygon::new(vec![]),
        false => MultiPolygon::new(vec![polygon]),
    };
    let opaque = (dimmed_from + 50.0) / 100.0;
    let share = |shaded: f64| ShadeShare {
        opaque,
        shaded,
        mean_transmission: 1.0 - shaded + 0.25 * (shaded - opaque).max(0.0),
    };
    let shadow = Shadow {
        height_m,
        field_area_m2: 6000.0,
        opaque_area_m2: 6000.0 * opaque,
        shaded: region(rectangle(-50.0, -30.0, edge_east, 30.0)),
        opaque: region(rectangle(-50.0, -30.0, dimmed_from, 30.0)),
        dimmed: vec![Dimmed {
            transmittance: Transmittance::from_share(0.25),
            region: region(rectangle(dimmed_from, -30.0, edge_east, 30.0)),
            area_m2: 6000.0 * (shaded - opaque).max(0.0),
        }],
    };
    PlaneShade {
        ground: shadow.clone(),
        shadow,
        edge: match none || shaded >= 1.0 {
            true => vec![],
            false => vec![EdgeLine {
                line: LineString::from(vec![(edge_east, -30.0), (edge_east, 30.0)]),
                penumbra_m: vec![Some(0.25)],
            }],
        },
        field: share(shaded),
        playing_area: share(shaded),
        surrounds: share(shaded),
        zones: vec![share((2.0 * shaded).min(1.0)), share((2.0 * shaded - 1.0).max(0.0))],
    }
}

/// A light map of two by two places, one of them outside of the field.
pub fn maps() -> Vec<LightMap> {
    let lit = |lux, kelvin| Tristimulus::of(lux, Chromaticity::of_daylight(kelvin));
    let point = |metres: f64, transmission: f64| ProfilePoint {
        metres,
        transmission,
        light: lit(10_000.0 + 40_000.0 * transmission, 6_000.0),
        stops: Stops::from_stops((0.2 + 0.8 * transmission).log2()),
    };
    vec![LightMap {
        at: at(17, 30),
        sun: instant(2, 0.1).sun,
        sun_state: SunState::Up,
        sky: Sky::Clear,
        air: Air::default(),
        floodlight: FloodlightState::Off,
        reference: ReferencePoint { name: "centre spot".into(), at: Coord { x: 0.0, y: 0.0 } },
        reference_light: lit(50_000.0, 5_500.0),
        grid: MapGrid {
            along_from_m: -25.0,
            across_from_m: -15.0,
            spacing_m: 50.0,
            along: 2,
            across: 2,
        },
        light: vec![
            Some(lit(50_000.0, 5_500.0)),
            Some(lit(12_500.0, 9_000.0)),
            None,
            Some(lit(100_000.0, 5_500.0)),
        ],
        profile: Some(EdgeProfile {
            at: Coord { x: 3.0, y: 4.0 },
            penumbra_m: 0.75,
            points: vec![point(-1.0, 0.0), point(0.0, 0.5), point(1.0, 1.0)],
        }),
    }]
}
