//! Changes of light along a line against rays cast one by one, and a crossing
//! worked by hand.

use chrono::NaiveDate;
use glam::DVec3;
use proptest::prelude::*;

use crate::support;
use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{
    LevelLine, Obstacle, crossings_along, crossings_of, transmission_toward,
};
use quarterstop::venue::{Venue, parse};

const DEMO: &str = include_str!("../venues/football-demo.toml");
/// Rays this near to an edge may fall on either side, metres.
const NEAR_M: f64 = 1e-4;

fn demo() -> Venue {
    parse(DEMO, "demo").unwrap()
}

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 10, 16).unwrap()
}

fn sun(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    direction(Azimuth::from_degrees(azimuth_deg), Elevation::from_degrees(elevation_deg))
}

/// Shares by rays and by crossings are the same at places along a line.
fn agree(venue: &Venue, line: LevelLine, toward_sun: DVec3) -> Result<(), TestCaseError> {
    let obstacles = Obstacle::all_of(venue, day());
    let found = crossings_along(venue, day(), line, toward_sun);
    prop_assert!(found.windows(2).all(|w| w[0].at_m <= w[1].at_m));
    prop_assert!(found.windows(2).all(|w| w[0].after == w[1].before));
    for i in 0..240 {
        let at_m = f64::from(i) * 0.5 - 10.0 + 0.137;
        if found.iter().any(|c| (c.at_m - at_m).abs() < NEAR_M) {
            continue;
        }
        let told = found.iter().rev().find(|c| c.at_m < at_m).map_or(1.0, |c| c.after.share());
        let place = line.from + at_m * line.along;
        let cast = transmission_toward(&obstacles, place, toward_sun).share();
        prop_assert!((told - cast).abs() < 1e-9, "{told} by lines, {cast} by rays at {at_m} m");
    }
    // each edge throws its shadow where the crossing is
    for c in found.iter() {
        if let Some(edge) = c.thrown_by {
            let (at, share) = line.shadow_of(edge.ends(venue).unwrap(), toward_sun).unwrap();
            prop_assert!((at - c.at_m).abs() < 1e-6, "{at} for {}", c.at_m);
            prop_assert!((-1e-6..=1.0 + 1e-6).contains(&share), "{share}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn crossings_are_what_rays_meet(
        from in (-60.0..60.0_f64, -40.0..40.0_f64, prop::sample::select(vec![0.0, 1.7])),
        way in 0.0..360.0_f64,
        azimuth in 0.0..360.0_f64,
        elevation in 3.0..80.0_f64,
    ) {
        let venue = demo();
        let (along_m, across_m, up_m) = from;
        let from = venue.field.frame.to_local(FieldPoint { along_m, across_m, up_m });
        let along = direction(Azimuth::from_degrees(way), Elevation::from_degrees(0.0));
        agree(&venue, LevelLine { from, along: along.with_z(0.0).normalize() }, sun(azimuth, elevation))?;
    }

    #[test]
    fn the_same_under_a_translucent_bowl(azimuth in 0.0..360.0_f64, elevation in 3.0..80.0_f64) {
        let venue = support::bowl(24, 0.4);
        let line = LevelLine { from: DVec3::new(-60.0, 3.1, 0.0), along: DVec3::X };
        agree(&venue, line, sun(azimuth, elevation))?;
    }
}

/// Shadow length = height / tan(elevation) (any surveying handbook): a mast of 38 m
/// and 0.6 m radius under a sun in line with it.
#[test]
fn a_mast_throws_two_edges_across_a_line() {
    let venue = demo();
    let frame = venue.field.frame;
    let mast = venue.occluders.iter().position(|o| o.name == "North-west mast").unwrap();
    let at = |along_m, across_m| frame.to_local(FieldPoint::on_ground(along_m, across_m));
    // the sun behind the mast, seen along the field; the line across, 30 m before it
    let bearing = frame.bearing().degrees();
    let line = LevelLine::toward(at(36.0, 62.0), at(36.0, 42.0)).unwrap();
    let found = crossings_of(&venue, mast, day(), line, sun(bearing, 40.0));
    assert_eq!(found.len(), 2, "{found:?}");
    // a regular polygon with the circle's area is up to half a centimetre wider
    assert!((found[0].at_m - 9.4).abs() < 0.01 && (found[1].at_m - 10.6).abs() < 0.01);
    // at 60 degrees the shadow ends 22 m from the mast
    assert!(crossings_of(&venue, mast, day(), line, sun(bearing, 60.0)).is_empty());
    assert!(crossings_of(&venue, 9_999, day(), line, sun(bearing, 40.0)).is_empty());
}

#[test]
fn a_sun_under_the_horizon_throws_nothing() {
    let venue = demo();
    let line = LevelLine { from: DVec3::ZERO, along: DVec3::X };
    assert!(crossings_along(&venue, day(), line, sun(250.0, -5.0)).is_empty());
}
