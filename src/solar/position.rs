//! The sun's place in the sky at one instant.

use glam::DVec3;

use crate::frame::direction;
use crate::units::{Azimuth, Elevation};

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
