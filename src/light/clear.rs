//! Broadband irradiance under a clear sky.
//!
//! In: apparent elevation (degrees), pressure (hPa), [`Air`], day of the year.
//! Out: direct normal and diffuse horizontal irradiance, W/m2.
//!
//! Model: R. E. Bird and R. L. Hulstrom, "A Simplified Clear Sky Model for Direct
//! and Diffuse Insolation on Horizontal Surfaces", SERI/TR-642-761 (1981). The
//! report finds it within a few percent of rigorous codes up to a zenith angle of
//! 70 degrees; nearer the horizon it is an extrapolation.

use super::air::Air;

/// Solar irradiance at one astronomical unit, W/m2 (Kopp and Lean, Geophysical
/// Research Letters 38, L01706, 2011).
pub const SOLAR_CONSTANT_W_M2: f64 = 1361.0;
/// Forward share of scattering by aerosol, as the report has it for rural air.
const FORWARD_SHARE: f64 = 0.85;
/// Absorbed share of what aerosol takes out, as the report has it.
const ABSORPTION: f64 = 0.1;

/// Irradiance of sun and sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Irradiance {
    /// Outside the air, facing the sun.
    pub extraterrestrial_w_m2: f64,
    pub direct_normal_w_m2: f64,
    pub diffuse_horizontal_w_m2: f64,
    /// Relative optical path, not corrected for pressure.
    pub air_mass: f64,
}

/// Extraterrestrial irradiance on a day of the year (1 to 366), W/m2: Spencer's
/// Fourier series for the inverse square of the sun's distance (Search 2(5),
/// 1971).
pub fn extraterrestrial_w_m2(day_of_year: u32) -> f64 {
    let angle = std::f64::consts::TAU * (f64::from(day_of_year) - 1.0) / 365.0;
    let inverse_square = 1.000_11
        + 0.034_221 * angle.cos()
        + 0.001_28 * angle.sin()
        + 0.000_719 * (2.0 * angle).cos()
        + 0.000_077 * (2.0 * angle).sin();
    SOLAR_CONSTANT_W_M2 * inverse_square
}

/// Relative air mass (Kasten, 1966): 1 overhead, about 37 on the horizon.
pub fn air_mass(elevation_deg: f64) -> f64 {
    let e = elevation_deg.max(0.0);
    1.0 / (e.to_radians().sin() + 0.15 * (e + 3.885).powf(-1.253))
}

/// Irradiance under a clear sky, the sun at `elevation_deg` above the horizon
/// (zero at and under it).
pub fn irradiance(
    elevation_deg: f64,
    pressure_hpa: f64,
    air: &Air,
    day_of_year: u32,
) -> Irradiance {
    let outside = extraterrestrial_w_m2(day_of_year);
    let mass = air_mass(elevation_deg);
    let (direct, diffuse) = if elevation_deg > 0.0 {
        bird(outside, elevation_deg.to_radians().sin(), mass, pressure_hpa / 1013.25, air)
    } else {
        (0.0, 0.0)
    };
    Irradiance {
        extraterrestrial_w_m2: outside,
        direct_normal_w_m2: direct,
        diffuse_horizontal_w_m2: diffuse,
        air_mass: mass,
    }
}

/// The report's equations in its order: transmittances of Rayleigh scattering,
/// ozone, mixed gases, water and aerosol; direct beam; sky; and what ground and
/// sky throw to and fro. Returns direct normal and diffuse horizontal, W/m2.
fn bird(outside: f64, sine: f64, mass: f64, pressure_share: f64, air: &Air) -> (f64, f64) {
    let thick = mass * pressure_share;
    let rayleigh = (-0.0903 * thick.powf(0.84) * (1.0 + thick - thick.powf(1.01))).exp();
    let ozone_path = air.ozone_atm_cm * mass;
    let ozone = 1.0
        - 0.1611 * ozone_path * (1.0 + 139.48 * ozone_path).powf(-0.3035)
        - 0.002715 * ozone_path / (1.0 + 0.044 * ozone_path + 0.0003 * ozone_path.powi(2));
    let gases = (-0.0127 * thick.powf(0.26)).exp();
    let water_path = air.water_cm * mass;
    let water =
        1.0 - 2.4959 * water_path / ((1.0 + 79.034 * water_path).powf(0.6828) + 6.385 * water_path);
    let depth = 0.2758 * air.aerosol_380nm + 0.35 * air.aerosol_500nm;
    let aerosol =
        (-depth.powf(0.873) * (1.0 + depth - depth.powf(0.7088)) * mass.powf(0.9108)).exp();
    let absorbed = 1.0 - ABSORPTION * (1.0 - mass + mass.powf(1.06)) * (1.0 - aerosol);

    let direct = outside * 0.9662 * aerosol * water * gases * ozone * rayleigh;
    let scattered = 0.5 * (1.0 - rayleigh) + FORWARD_SHARE * (1.0 - aerosol / absorbed);
    let sky = outside * sine * 0.79 * ozone * water * gases * absorbed * scattered
        / (1.0 - mass + mass.powf(1.02));
    let back_from_sky = 0.0685 + (1.0 - FORWARD_SHARE) * (1.0 - aerosol / absorbed);
    let global = (direct * sine + sky) / (1.0 - air.ground_albedo * back_from_sky);
    (direct.max(0.0), (global - direct * sine).max(0.0))
}
