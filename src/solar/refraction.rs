//! How much the air lifts the sun.
//!
//! In: true elevation (degrees), pressure (hPa), temperature (degrees Celsius).
//! Out: degrees to add. Formula of Reda and Andreas, NREL/TP-560-34302 (2008),
//! equation 42, after Bennett and Saemundsson.

/// Under this true elevation the formula is not meant to be used: the sun's
/// upper limb is under a level horizon (0.26667 + 0.5667, as the SPA has it).
const MIN_DEG: f64 = -0.8333;
/// At this elevation nothing of the correction is left; in between it fades
/// linearly, so that the apparent elevation has no step for root finding.
const FADED_DEG: f64 = -3.0;
/// Rounds that an apparent elevation takes to the true one.
const ROUNDS: usize = 12;

/// Refraction at a true elevation, degrees, never negative.
///
/// ```
/// // 34 minutes of arc on the horizon (The Astronomical Almanac), true -34':
/// let lift = quarterstop::solar::refraction_deg(-34.0 / 60.0, 1010.0, 10.0);
/// assert!((lift * 60.0 - 34.0).abs() < 1.0);
/// ```
pub fn refraction_deg(true_elevation_deg: f64, pressure_hpa: f64, temperature_c: f64) -> f64 {
    let air = pressure_hpa / 1010.0 * 283.0 / (273.0 + temperature_c.max(-200.0));
    let lift = |e: f64| air * 1.02 / (60.0 * (e + 10.3 / (e + 5.11)).to_radians().tan());
    if true_elevation_deg >= MIN_DEG {
        // at the zenith the formula passes through zero
        return lift(true_elevation_deg).max(0.0);
    }
    let fade = (true_elevation_deg - FADED_DEG) / (MIN_DEG - FADED_DEG);
    lift(MIN_DEG) * fade.max(0.0)
}

/// True elevation of a sun that is seen at an apparent one, degrees: what
/// [`refraction_deg`] lifts there.
///
/// ```
/// use quarterstop::solar::{refraction_deg, true_elevation_deg};
/// let low = true_elevation_deg(0.0, 1010.0, 10.0);
/// assert!((low + refraction_deg(low, 1010.0, 10.0)).abs() < 1e-6);
/// ```
pub fn true_elevation_deg(apparent_deg: f64, pressure_hpa: f64, temperature_c: f64) -> f64 {
    // refraction changes by a fifth of a degree a degree at most: each round leaves a fifth
    let round = |t: f64, _| apparent_deg - refraction_deg(t, pressure_hpa, temperature_c);
    (0..ROUNDS).fold(apparent_deg, round)
}
