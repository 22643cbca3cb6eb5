//! Grounds for the season's tests and benchmarks. Invented throughout.
#![allow(dead_code)]

pub(crate) use crate::support;

use chrono::{DateTime, NaiveDate, TimeDelta};
use chrono_tz::Tz;
use glam::DVec3;

use quarterstop::engine::season::{Weather, instants_of};
use quarterstop::light::{Air, Sky};
use quarterstop::venue::{CameraPost, Venue, Zone};

/// A bowl with five cameras in it and two zones.
pub fn bowl(segments: usize, roof_transmittance: f64) -> Venue {
    let mut venue = support::bowl(segments, roof_transmittance);
    let half = |name: &str, a: f64, b: f64| Zone {
        name: name.into(),
        outline: support::polygon(
            venue.field.frame,
            &[[a, -34.0], [b, -34.0], [b, 34.0], [a, 34.0]],
        ),
    };
    venue.zones = vec![half("behind", -52.5, 0.0), half("ahead", 0.0, 52.5)];
    let along = |along_m: f64, across_m: f64, up_m: f64| {
        venue.field.frame.to_local(quarterstop::base::frame::FieldPoint { along_m, across_m, up_m })
    };
    let camera = |name: &str, at: DVec3, aims: &[[f64; 2]], fov: f64| CameraPost {
        name: name.into(),
        at,
        aims: aims.iter().map(|a| along(a[0], a[1], 0.0)).collect(),
        horizontal_fov_deg: fov,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    };
    venue.cameras = vec![
        camera("wide", along(0.0, -62.0, 15.0), &[[-40.0, 0.0], [40.0, 0.0]], 40.0),
        camera("close", along(0.0, -62.0, 15.0), &[[-45.0, 0.0], [45.0, 0.0]], 12.0),
        camera("left end", along(-70.0, 5.0, 12.0), &[[0.0, 0.0]], 35.0),
        camera("right box", along(36.0, -60.0, 14.0), &[[40.0, 0.0]], 25.0),
        camera("reverse", along(5.0, 58.0, 12.0), &[[-30.0, 0.0], [30.0, 0.0]], 30.0),
    ];
    venue
}

/// A clear sky and the usual air.
pub fn clear() -> Weather {
    Weather { sky: Sky::Clear, air: Air::default().into() }
}

pub fn date(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

/// Every instant of some days, minutes apart.
pub fn instants(venue: &Venue, dates: &[NaiveDate], minutes: i64) -> Vec<DateTime<Tz>> {
    let day = |date: &NaiveDate| instants_of(venue.place.zone, *date, TimeDelta::minutes(minutes));
    dates.iter().flat_map(day).collect()
}
