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
const MIN_CURVED_DEG: f64 = 3.0;

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
    let elevation_deg = elevation_deg.max(MIN_CURVED_DEG);
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
    let column = AirColumn::of_rows(air, pressure_hpa, 0..COUNT);
    column.each(elevation_deg, day_of_year, more, |i, direct, diffuse| {
        (sky.direct_normal[i], sky.diffuse_horizontal[i]) = (direct, diffuse);
    });
    sky
}

/// A column of air with all that no sun changes, at the wavelengths that the eye sees: ready
/// for any number of suns.
#[derive(Debug, Clone)]
pub struct AirColumn {
    /// Index of the first wavelength.
    first: usize,
    rows: Vec<Wavelength>,
}

/// The column at one wavelength; depths are those of a relative air mass of 1.
#[derive(Debug, Clone, Copy)]
struct Wavelength {
    /// Outside the air, the sun at its mean distance, W/m2 per nm.
    outside: f64,
    rayleigh: f64,
    /// Of the aerosol, by scattering and by absorption.
    scattering: f64,
    absorbing: f64,
    /// Absorption coefficients times what there is; `gases` times the pressure.
    water: f64,
    ozone: f64,
    gases: f64,
    /// Share of light that comes back from ground and air together, thrown up once or more
    /// (equations 3-7 and 3-8).
    bounced: f64,
    correction: f64,
}

/// What each part of the air lets through.
struct Passes {
    rayleigh: f64,
    /// The aerosol, by scattering and by absorption alone.
    scattered: f64,
    absorbed: f64,
    water: f64,
    gases: f64,
}

impl Wavelength {
    fn new(row: &[f64; 5], air: &Air, pressure_share: f64, forward_up: f64) -> Self {
        let [nanometres, outside, water, ozone, gases] = *row;
        let um = nanometres / 1000.0;
        let depth = air.aerosol_500nm * (0.5 / um).powf(air.aerosol_exponent);
        let albedo = ALBEDO_400NM * (-ALBEDO_VARIATION * (um / 0.4).ln().powi(2)).exp();
        let mut row = Self {
            outside,
            rayleigh: pressure_share / (um.powi(4) * (115.6406 - 1.3366 / (um * um))),
            scattering: albedo * depth,
            absorbing: (1.0 - albedo) * depth,
            water: water * air.water_cm,
            ozone: ozone * air.ozone_atm_cm,
            gases: gases * pressure_share,
            bounced: 0.0,
            correction: if um <= 0.45 { (um + 0.55).powf(1.8) } else { 1.0 }, // 3-17
        };
        let up = row.passes(UPWARD_AIR_MASS);
        let sky_reflects = up.gases
            * up.water
            * up.absorbed
            * (0.5 * (1.0 - up.rayleigh) + (1.0 - forward_up) * up.rayleigh * (1.0 - up.scattered)); // 3-8
        let bounce = sky_reflects * air.ground_albedo;
        row.bounced = bounce / (1.0 - bounce);
        row
    }

    /// Transmittances over a relative air mass (equations 2-4 to 2-11, 3-9, 3-10), without
    /// that of ozone.
    fn passes(&self, mass: f64) -> Passes {
        // most wavelengths meet no water and no gas that absorbs them
        let banded = |amount: f64, [a, b]: [f64; 2]| match amount > 0.0 {
            true => (-a * amount / (1.0 + b * amount).powf(0.45)).exp(),
            false => 1.0,
        };
        Passes {
            rayleigh: (-self.rayleigh * mass).exp(),
            scattered: (-self.scattering * mass).exp(),
            absorbed: (-self.absorbing * mass).exp(),
            water: banded(self.water * mass, [0.2385, 20.07]),
            gases: banded(self.gases * mass, [1.41, 118.3]),
        }
    }
}

impl AirColumn {
    /// Of an air under a pressure, hPa.
    pub fn new(air: &Air, pressure_hpa: f64) -> Self {
        Self::of_rows(air, pressure_hpa, VISIBLE.clone())
    }

    fn of_rows(air: &Air, pressure_hpa: f64, rows: std::ops::Range<usize>) -> Self {
        let up = forward_share(1.0 / UPWARD_AIR_MASS);
        let row = |row| Wavelength::new(row, air, pressure_hpa / REPORT_PRESSURE_HPA, up);
        Self { first: rows.start, rows: ROWS[rows].iter().map(row).collect() }
    }

    /// Light of [`spectra_over_sphere`]: facing the sun and of the sky on the horizontal, lx.
    pub fn light(&self, elevation_deg: f64, day_of_year: u32) -> [Tristimulus; 2] {
        let mut light = [Tristimulus::ZERO; 2];
        let weights = &*WEIGHTS;
        self.each(elevation_deg, day_of_year, curvature(elevation_deg), |i, direct, diffuse| {
            light[0] += weights[i] * direct;
            light[1] += weights[i] * diffuse;
        });
        light
    }

    /// Gives the index of each wavelength, and of sun (facing it) and sky (on the horizontal)
    /// W/m2 per nm; nothing for a sun at and under the horizon.
    fn each(
        &self,
        elevation_deg: f64,
        day_of_year: u32,
        more: f64,
        mut take: impl FnMut(usize, f64, f64),
    ) {
        if elevation_deg <= 0.0 {
            return;
        }
        let sine = elevation_deg.to_radians().sin();
        let down_share = forward_share(sine);
        let (mass, distance) = (air_mass(elevation_deg), distance_factor(day_of_year));
        // the layer of ozone lies 22 km high, so slant paths in it are shorter
        let layer = 22.0 / 6370.0;
        let ozone_mass = (1.0 + layer) / (sine * sine + 2.0 * layer).sqrt();
        for (i, row) in self.rows.iter().enumerate() {
            let outside = row.outside * distance;
            let down = row.passes(mass);
            let ozone = (-row.ozone * ozone_mass).exp();
            let unscattered = down.water * ozone * down.gases * down.absorbed;
            let direct = outside * down.rayleigh * down.scattered * unscattered; // 2-1
            let common = more * outside * sine * unscattered;
            let rayleigh = common * (1.0 - (-0.95 * row.rayleigh * mass).exp()) * 0.5; // 3-5
            let past_rayleigh = down.rayleigh * down.rayleigh.sqrt();
            let aerosol = common * past_rayleigh * (1.0 - down.scattered) * down_share; // 3-6
            let thrown = (direct * sine + rayleigh + aerosol) * row.bounced; // 3-7
            take(self.first + i, direct, (rayleigh + aerosol + thrown) * row.correction); // 3-1
        }
    }
}

/// Share of the aerosol's scattering that goes forward, by the cosine of the angle to the
/// zenith (equations 3-11 to 3-15).
fn forward_share(cosine: f64) -> f64 {
    let log = (1.0 - ASYMMETRY).ln();
    let a = log * (1.459 + log * (0.1595 + log * 0.4129));
    let b = log * (0.0783 + log * (-0.3824 - log * 0.5874));
    1.0 - 0.5 * ((a + b * cosine) * cosine).exp()
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

/// Wavelengths that the eye sees something of.
static VISIBLE: std::sync::LazyLock<std::ops::Range<usize>> = std::sync::LazyLock::new(|| {
    let seen = |weight: &Tristimulus| *weight != Tristimulus::ZERO;
    let first = WEIGHTS.iter().position(seen).unwrap_or(0);
    first..WEIGHTS.iter().rposition(seen).map_or(first, |last| last + 1)
});
