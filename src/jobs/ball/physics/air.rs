//! The air that a ball flies through.
//!
//! In: pressure in hPa, temperature in degrees Celsius. Out: density in kg/m3.

use glam::DVec3;

use crate::venue::Place;

/// Specific gas constant of dry air, J/(kg K) (ICAO Doc 7488, Manual of the ICAO
/// Standard Atmosphere, table of primary constants).
const DRY_AIR_J_PER_KG_K: f64 = 287.052_87;
const ZERO_C_IN_K: f64 = 273.15;

/// Density and wind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlightAir {
    pub density_kg_per_m3: f64,
    /// The way the air moves, m/s, local frame; the same at all heights.
    pub wind: DVec3,
}

impl FlightAir {
    /// Still air at a place.
    pub fn at(place: &Place) -> Self {
        let density_kg_per_m3 = density_kg_per_m3(place.pressure_hpa, place.temperature_c);
        Self { density_kg_per_m3, wind: DVec3::ZERO }
    }

    /// The same with a wind.
    pub fn with_wind(self, wind: DVec3) -> Self {
        Self { wind, ..self }
    }
}

/// Density of dry air, kg/m3: `p / (R T)` (ICAO Doc 7488, equation of state). Damp air
/// is lighter by up to 1 % at 25 degrees Celsius.
///
/// ```
/// // the standard atmosphere at sea level: 1.225 kg/m3 (ICAO Doc 7488, table)
/// let density = quarterstop::jobs::ball::physics::density_kg_per_m3(1013.25, 15.0);
/// assert!((density - 1.225).abs() < 5e-4);
/// ```
pub fn density_kg_per_m3(pressure_hpa: f64, temperature_c: f64) -> f64 {
    100.0 * pressure_hpa / (DRY_AIR_J_PER_KG_K * (temperature_c + ZERO_C_IN_K))
}
