//! The sun's place in the sky at one instant.
//!
//! In: a place and an instant. Out: azimuth and elevation in degrees. The
//! position comes from the crate `spa`, a short algorithm that stays within 0.01
//! degree of the full SPA of Reda and Andreas (NREL/TP-560-34302, 2008); the
//! tests hold it to that.

use chrono::{DateTime, TimeZone, Utc};
use glam::DVec3;
use spa::{StdFloatOps, solar_position};

use crate::base::frame::direction;
use crate::base::units::{Azimuth, Elevation};
use crate::solar::refraction::refraction_deg;
use crate::venue::Place;

/// Mean angular diameter of the sun's disc, degrees (The Astronomical Almanac).
pub const SUN_DIAMETER_DEG: f64 = 0.533;

/// The sun's centre as seen from a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    pub azimuth: Azimuth,
    /// With refraction: where the light comes from.
    pub apparent_elevation: Elevation,
    /// Without refraction.
    pub true_elevation: Elevation,
}

impl Sun {
    /// Unit vector from the ground toward the (apparent) sun, local frame.
    pub fn toward(&self) -> DVec3 {
        direction(self.azimuth, self.apparent_elevation)
    }
}

/// Whether direct sunlight can reach the venue at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SunState {
    /// Above the horizon and the local skyline.
    Up,
    /// Risen, but behind the skyline of the land around.
    BehindSkyline,
    /// Under the level horizon.
    Down,
}

/// Where the sun stands at a place and an instant.
///
/// ```
/// use chrono::{TimeZone, Utc};
/// use quarterstop::{solar, venue::Place};
/// let place = Place {
///     latitude_deg: 52.0, longitude_deg: 0.0, height_m: 0.0,
///     zone: chrono_tz::UTC, pressure_hpa: 1013.25, temperature_c: 15.0,
/// };
/// // noon at an equinox: close to the complement of the latitude, in the south
/// let sun = solar::position(&place, Utc.with_ymd_and_hms(2027, 3, 20, 12, 7, 0).unwrap());
/// assert!((sun.true_elevation.degrees() - 38.0).abs() < 0.5);
/// assert!((sun.azimuth.degrees() - 180.0).abs() < 1.0);
/// ```
pub fn position<Z: TimeZone>(place: &Place, at: DateTime<Z>) -> Sun {
    let latitude = place.latitude_deg.clamp(-90.0, 90.0);
    let longitude = (place.longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
    // `spa` refuses only coordinates out of range, which the two lines above
    // rule out; a nadir sun stands in for the impossible
    let (azimuth_deg, true_deg) =
        match solar_position::<StdFloatOps>(at.with_timezone(&Utc), latitude, longitude) {
            Ok(found) => (found.azimuth, 90.0 - found.zenith_angle),
            Err(_) => (0.0, -90.0),
        };
    let bent_deg = refraction_deg(true_deg, place.pressure_hpa, place.temperature_c);
    Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(true_deg + bent_deg),
        true_elevation: Elevation::from_degrees(true_deg),
    }
}
