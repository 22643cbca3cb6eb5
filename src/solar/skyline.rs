//! The land around: whether the sun has cleared it.
//!
//! In: a [`Horizon`] profile (azimuth and elevation in degrees) and the sun. Out:
//! the skyline's elevation at an azimuth, and a [`SunState`].

use crate::base::units::{Azimuth, Elevation};
use crate::solar::position::{Sun, SunState};
use crate::venue::Horizon;

/// Elevation of the skyline at an azimuth, linear between the points of the
/// profile and around north.
pub fn skyline_elevation(horizon: &Horizon, azimuth: Azimuth) -> Elevation {
    let profile = &horizon.profile;
    let (Some(first), Some(last)) = (profile.first(), profile.last()) else {
        return Elevation::from_degrees(0.0);
    };
    let at = azimuth.degrees();
    let next = profile.partition_point(|(a, _)| a.degrees() <= at);
    let (before, after) = match (next.checked_sub(1), profile.get(next)) {
        (Some(i), Some(after)) => (profile[i], *after),
        _ => (*last, *first),
    };
    let turn = |from: Azimuth, to: f64| (to - from.degrees()).rem_euclid(360.0);
    let span = turn(before.0, after.0.degrees());
    let share = if span > 0.0 { turn(before.0, at) / span } else { 0.0 };
    let (low, high) = (before.1.degrees(), after.1.degrees());
    Elevation::from_degrees(low + share * (high - low))
}

/// Whether the sun's centre is up, behind the skyline, or down.
pub fn state(sun: &Sun, horizon: &Horizon) -> SunState {
    let elevation = sun.apparent_elevation.degrees();
    if elevation <= 0.0 {
        SunState::Down
    } else if elevation <= skyline_elevation(horizon, sun.azimuth).degrees() {
        SunState::BehindSkyline
    } else {
        SunState::Up
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_profile_is_linear_and_wraps_around_north() {
        let point = |a, e| (Azimuth::from_degrees(a), Elevation::from_degrees(e));
        let horizon =
            Horizon { profile: vec![point(10.0, 2.0), point(100.0, 5.0), point(350.0, 4.0)] };
        let at = |a| skyline_elevation(&horizon, Azimuth::from_degrees(a)).degrees();
        assert_eq!(at(10.0), 2.0);
        assert_eq!(at(55.0), 3.5);
        assert_eq!(at(0.0), 3.0);
        assert_eq!(at(355.0), 3.5);
        assert_eq!(at(350.0), 4.0);
        assert_eq!(
            skyline_elevation(&Horizon::default(), Azimuth::from_degrees(7.0)).degrees(),
            0.0
        );
    }

    #[test]
    fn a_hill_hides_a_risen_sun() {
        let horizon =
            Horizon { profile: vec![(Azimuth::from_degrees(90.0), Elevation::from_degrees(3.0))] };
        let sun = |e: f64| Sun {
            azimuth: Azimuth::from_degrees(120.0),
            apparent_elevation: Elevation::from_degrees(e),
            true_elevation: Elevation::from_degrees(e),
        };
        assert_eq!(state(&sun(3.1), &horizon), SunState::Up);
        assert_eq!(state(&sun(2.9), &horizon), SunState::BehindSkyline);
        assert_eq!(state(&sun(-0.1), &horizon), SunState::Down);
    }
}
