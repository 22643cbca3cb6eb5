//! Spectra of sun and sky under a clear sky.
//!
//! In: apparent elevation (degrees), pressure (hPa), [`Air`], day of the year.
//! Out: spectral irradiance of the direct beam (facing it) and of the sky (on the
//! horizontal), W/m2 per nm at the 122 wavelengths of the model, 300 to 4000 nm.
//!
//! Model: R. E. Bird and C. Riordan, SERI/TR-215-2436 (1984), known as SPCTRL2.
//! Equation numbers are the report's. Where the report and the program that its
//! authors gave out differ (the second coefficient of Rayleigh's formula, which
//! gas stands in the reflectance of the sky) the program is followed, since the
//! published example spectra are its: [`spectra`]. The light of the program is
//! [`spectra_over_sphere`], which gives low suns the sky of a curved Earth.

use super::air::Air;
use super::tables::atmosphere::{COUNT, ROWS};
use super::tables::observer;
use super::tristimulus::Tristimulus;

/// Pressure that the report's formulas are written for, hPa.
const REPORT_PRESSURE_HPA: f64 = 1013.0;
/// Rural aerosol of the report: single scattering albedo at 0.4 um, how it
/// varies with wavelength, and asymmetry of the scattering (section 3.1).
const ALBEDO_400NM: f64 = 0.945;
const ALBEDO_VARIATION: f64 = 0.095;
const ASYMMETRY: f64 = 0.65;
/// Air mass at which the sky reflects light that the ground threw up.
const UPWARD_AIR_MASS: f64 = 1.8;

/// Under this elevation of the sun its light goes over into twilight, whose illuminance on
/// the horizon is known from tables, so the sky is brightened no further, degrees (no
/// source).
const LOWEST_CURVED_DEG: f64 = 3.0;

/// One value for each wavelength of [`wavelengths_nm`], W/m2 per nm.
pub type Spectrum = [f64; COUNT];

/// Spectra of sun and sky.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearSky {
    /// Facing the sun.
    pub direct_normal: Spectrum,
    /// From the whole sky, on the horizontal.
    pub diffuse_horizontal: Spectrum,
}

/// Wavelengths of the spectra, nm.
pub fn wavelengths_nm() -> impl ExactSizeIterator<Item = f64> {
    ROWS.iter().map(|row| row[0])
}

/// Inverse square of the sun's distance against its mean on a day of the year (1
/// to 366): Spencer's Fourier series (Search 2(5), 1971), equation 2-2.
pub fn distance_factor(day_of_year: u32) -> f64 {
    let angle = std::f64::consts::TAU * (f64::from(day_of_year) - 1.0) / 365.0;
    1.000_11
        + 0.034_221 * angle.cos()
        + 0.001_28 * angle.sin()
        + 0.000_719 * (2.0 * angle).cos()
        + 0.000_077 * (2.0 * angle).sin()
}

/// Relative air mass (Kasten, 1966), equation 2-5: 1 overhead, about 37 on the
/// horizon.
pub fn air_mass(elevation_deg: f64) -> f64 {
    let e = elevation_deg.max(0.0);
    1.0 / (e.to_radians().sin() + 0.15 * (e + 3.885).powf(-1.253))
}

/// How much more light the air above a place scatters than that of a plane Earth.
///
/// A column of air takes `F dT` from a beam of irradiance `F` for each bit of its own
/// depth. Summed over the column that is `F (1 - T) / m` with the relative air mass `m`,
/// whatever the shape of the Earth. The report puts the sine of the elevation in the
/// place of `1 / m`, which is the same for plane layers only: with the air mass of a
/// curved Earth, which equation 2-5 is, the beam loses more light than the sky is given:
/// 11 % at 5 degrees, 3 % at 10, 0.3 % at 30. Beams are done so in the pseudo-spherical
/// treatment (Dahlback and Stamnes, Planet. Space Sci. 39(5), 1991, 671). Under
/// 3 degrees the factor stays.
pub fn curvature(elevation_deg: f64) -> f64 {
    let elevation_deg = elevation_deg.max(LOWEST_CURVED_DEG);
    (1.0 / (air_mass(elevation_deg) * elevation_deg.to_radians().sin())).max(1.0)
}

/// [`spectra`] with the light that the air scatters multiplied by [`curvature`].
pub fn spectra_over_sphere(
    elevation_deg: f64,
    pressure_hpa: f64,
    air: &Air,
    day_of_year: u32,
) -> ClearSky {
    let more = curvature(elevation_deg);
    spectra_scattering(elevation_deg, pressure_hpa, air, day_of_year, more)
}

/// Spectra under a clear sky as published, the sun at `elevation_deg` above the horizon
/// (darkness at and under it).
pub fn spectra(elevation_deg: f64, pressure_hpa: f64, air: &Air, day_of_year: u32) -> ClearSky {
    spectra_scattering(elevation_deg, pressure_hpa, air, day_of_year, 1.0)
}

fn spectra_scattering(
    elevation_deg: f64,
    pressure_hpa: f64,
    air: &Air,
    day_of_year: u32,
    more: f64,
) -> ClearSky {
    let mut sky = ClearSky { direct_normal: [0.0; COUNT], diffuse_horizontal: [0.0; COUNT] };
    if elevation_deg <= 0.0 {
        return sky;
    }
    let sine = elevation_deg.to_radians().sin();
    let column = Column { air, sine, pressure_share: pressure_hpa / REPORT_PRESSURE_HPA };
    let forward = Forward::of(sine);
    let (mass, distance) = (air_mass(elevation_deg), distance_factor(day_of_year));
    for (i, row) in ROWS.iter().enumerate() {
        let outside = row[1] * distance;
        let down = column.passes(row, mass);
        let direct = outside * down.direct(); // 2-1
        let common = more * outside * sine * down.ozone * down.gases * down.water * down.absorbed;
        let rayleigh = common * (1.0 - down.rayleigh.powf(0.95)) * 0.5; // 3-5
        let aerosol = common * down.rayleigh.powf(1.5) * (1.0 - down.scattered) * forward.down; // 3-6
        let up = column.passes(row, UPWARD_AIR_MASS);
        let sky_reflects = up.gases
            * up.water
            * up.absorbed
            * (0.5 * (1.0 - up.rayleigh) + (1.0 - forward.up) * up.rayleigh * (1.0 - up.scattered)); // 3-8
        let bounce = sky_reflects * air.ground_albedo;
        let thrown = (direct * sine + rayleigh + aerosol) * bounce / (1.0 - bounce); // 3-7
        let micrometres = row[0] / 1000.0;
        let correction = if micrometres <= 0.45 { (micrometres + 0.55).powf(1.8) } else { 1.0 }; // 3-17
        sky.direct_normal[i] = direct;
        sky.diffuse_horizontal[i] = (rayleigh + aerosol + thrown) * correction; // 3-1
    }
    sky
}

/// The air on the way of one wavelength.
struct Column<'a> {
    air: &'a Air,
    /// Of the sun's elevation.
    sine: f64,
    pressure_share: f64,
}

/// What each part of the air lets through.
struct Passes {
    rayleigh: f64,
    aerosol: f64,
    /// The aerosol, by scattering and by absorption alone.
    scattered: f64,
    absorbed: f64,
    water: f64,
    ozone: f64,
    gases: f64,
}

impl Passes {
    fn direct(&self) -> f64 {
        self.rayleigh * self.aerosol * self.water * self.ozone * self.gases
    }
}

impl Column<'_> {
    /// Transmittances over a relative air mass (equations 2-4 to 2-11, 3-9, 3-10).
    fn passes(&self, row: &[f64; 5], mass: f64) -> Passes {
        let [nanometres, _, water, ozone, gases] = *row;
        let um = nanometres / 1000.0;
        let thick = mass * self.pressure_share;
        let depth = self.air.aerosol_500nm * (0.5 / um).powf(self.air.aerosol_exponent);
        let albedo = ALBEDO_400NM * (-ALBEDO_VARIATION * (um / 0.4).ln().powi(2)).exp();
        let water = water * self.air.water_cm * mass;
        // the layer of ozone lies 22 km high, so slant paths in it are shorter
        let layer = 22.0 / 6370.0;
        let ozone_mass = (1.0 + layer) / (self.sine * self.sine + 2.0 * layer).sqrt();
        let gases = gases * thick;
        Passes {
            rayleigh: (-thick / (um.powi(4) * (115.6406 - 1.3366 / (um * um)))).exp(),
            aerosol: (-depth * mass).exp(),
            scattered: (-albedo * depth * mass).exp(),
            absorbed: (-(1.0 - albedo) * depth * mass).exp(),
            water: (-0.2385 * water / (1.0 + 20.07 * water).powf(0.45)).exp(),
            ozone: (-ozone * self.air.ozone_atm_cm * ozone_mass).exp(),
            gases: (-1.41 * gases / (1.0 + 118.3 * gases).powf(0.45)).exp(),
        }
    }
}

/// Share of the aerosol's scattering that goes forward (equations 3-11 to 3-15).
struct Forward {
    down: f64,
    up: f64,
}

impl Forward {
    fn of(sine: f64) -> Self {
        let log = (1.0 - ASYMMETRY).ln();
        let a = log * (1.459 + log * (0.1595 + log * 0.4129));
        let b = log * (0.0783 + log * (-0.3824 - log * 0.5874));
        let share = |cosine: f64| 1.0 - 0.5 * ((a + b * cosine) * cosine).exp();
        Self { down: share(sine), up: share(1.0 / UPWARD_AIR_MASS) }
    }
}

/// Irradiance of a spectrum, W/m2, by trapezoids from 300 to 4000 nm.
pub fn irradiance_w_m2(spectrum: &Spectrum) -> f64 {
    let points = ROWS.iter().zip(spectrum);
    let next = ROWS.iter().zip(spectrum).skip(1);
    points.zip(next).map(|((a, p), (b, q))| 0.5 * (p + q) * (b[0] - a[0])).sum()
}

/// Tristimulus values of a spectrum, lx: `683 lm/W` times its integral with the
/// CIE 1931 functions, the spectrum taken as linear between wavelengths.
pub fn tristimulus(spectrum: &Spectrum) -> Tristimulus {
    spectrum.iter().zip(WEIGHTS.iter()).map(|(power, weight)| *weight * *power).sum()
}

/// Lumens of each wavelength's share of a spectrum.
static WEIGHTS: std::sync::LazyLock<Vec<Tristimulus>> = std::sync::LazyLock::new(|| {
    const LUMENS_PER_WATT: f64 = 683.0;
    let mut weights = vec![Tristimulus::ZERO; COUNT];
    // trapezoids at 1 nm, the observer's functions linear between their rows
    let (first, step) = (observer::FIRST_NM, observer::STEP_NM);
    let steps_nm = ((observer::ROWS.len() - 1) as f64 * step) as usize;
    for i in 0..=steps_nm {
        let place = i as f64 / step;
        let (row, share) = (place as usize, place.fract());
        let next = observer::ROWS[(row + 1).min(observer::ROWS.len() - 1)];
        let eye = Tristimulus::from(observer::ROWS[row]) * (1.0 - share)
            + Tristimulus::from(next) * share;
        let nanometres = first + i as f64;
        let upper = ROWS.partition_point(|r| r[0] <= nanometres).clamp(1, COUNT - 1);
        let (low, high) = (ROWS[upper - 1][0], ROWS[upper][0]);
        let share = (nanometres - low) / (high - low);
        weights[upper - 1] += eye * (LUMENS_PER_WATT * (1.0 - share));
        weights[upper] += eye * (LUMENS_PER_WATT * share);
    }
    weights
});
