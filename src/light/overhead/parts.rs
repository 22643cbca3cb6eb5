//! How much light sun, blue sky and clouds send in one sky state.
//!
//! In: the sun's place, a column of air, [`Sky`], day of the year. Out: [`SkyParts`], lx on the
//! horizontal; the sun's facing it.

use crate::light::clear::{AirColumn, distance_factor};
use crate::light::model::{Daylight, Sky};
use crate::light::pattern::SkyType;
use crate::light::tristimulus::Tristimulus;
use crate::light::twilight;
use crate::solar::Sun;

/// Colours nearer the horizon than this are those of here: the spectral model
/// ends, degrees.
const MIN_COLOUR_DEG: f64 = 0.5;
/// Asymmetry of scattering in ice cloud (Fu, J. Climate 9, 1996: 0.75 to 0.85;
/// from memory).
const ICE_ASYMMETRY: f64 = 0.77;

/// Illuminance of an overcast sky on the horizontal plane, the sun (unseen) at
/// an elevation in degrees: `300 + 21000 sin(elevation)` lx (IES RP-21; Gillette,
/// Pierpoint and Treado, Journal of the IES 13(4), 1984; from memory). At and
/// under the horizon the first term is left, which twilight fades.
pub fn overcast_horizontal_lx(elevation_deg: f64) -> f64 {
    300.0 + 21_000.0 * elevation_deg.max(0.0).to_radians().sin()
}

/// The same for a partly cloudy sky without the sun: `300 + 45000 sin(elevation)`
/// lx (the same source).
pub fn partly_cloudy_horizontal_lx(elevation_deg: f64) -> f64 {
    300.0 + 45_000.0 * elevation_deg.max(0.0).to_radians().sin()
}

/// Pieces that a sky is made of. Diffuse amounts are on the horizontal.
pub(super) struct SkyParts {
    pub elevation_deg: f64,
    pub direct_normal: Tristimulus,
    /// Blue sky.
    pub cloudless: Tristimulus,
    /// Light from clouds, and how it is spread.
    pub clouds: Option<(Tristimulus, SkyType)>,
    /// Luminance of a thick cloud over the sun.
    pub cloud: Tristimulus,
}

impl SkyParts {
    pub fn of(sun: &Sun, column: &AirColumn, sky: Sky, day_of_year: u32) -> Self {
        let elevation_deg = sun.apparent_elevation.degrees();
        let twilight = twilight::share_left(sun.true_elevation.degrees());
        let overcast = Tristimulus::of_daylight(overcast_horizontal_lx(elevation_deg) * twilight);
        let (sun, blue) = cloudless(sun, column, day_of_year);
        let sine = elevation_deg.max(0.0).to_radians().sin();
        let global = sun * sine + blue;
        let white = |lux: f64| global.scaled_to(lux.max(0.0));
        let parts = Self {
            elevation_deg,
            direct_normal: sun,
            cloudless: blue,
            clouds: None,
            // an overcast zenith is 9 / 7 as bright as an even sky of the same light
            // (integral of the Moon and Spencer sky)
            cloud: white(overcast.lux() * 9.0 / (7.0 * std::f64::consts::PI)),
        };
        match sky {
            Sky::Clear => parts,
            Sky::Cumulus => Self { direct_normal: Tristimulus::ZERO, ..parts },
            Sky::Thin(share) => {
                let through = share.share();
                let scattered = scattered_down(through) - through;
                let clouds = Some((sun * (sine * scattered), SkyType::WHITE_BLUE));
                Self { direct_normal: sun * through, clouds, ..parts }
            }
            Sky::Broken => {
                let whole = partly_cloudy_horizontal_lx(elevation_deg) * twilight;
                let clouds = Some((white(whole - blue.lux()), SkyType::PARTLY_CLOUDY));
                Self { clouds, ..parts }
            }
            Sky::Overcast => Self {
                direct_normal: Tristimulus::ZERO,
                cloudless: Tristimulus::ZERO,
                clouds: Some((overcast, SkyType::OVERCAST)),
                ..parts
            },
        }
    }

    pub fn daylight(&self, sun: &Sun) -> Daylight {
        let sine = sun.apparent_elevation.radians().sin().max(0.0);
        Daylight {
            direct_normal: self.direct_normal,
            direct_horizontal: self.direct_normal * sine,
            diffuse_horizontal: self.cloudless
                + self.clouds.map_or(Tristimulus::ZERO, |(light, _)| light),
        }
    }
}

/// Sun (facing it) and sky (on the horizontal) without a cloud. Twilight has the colour
/// that the spectral model gives the sky of its lowest sun.
fn cloudless(sun: &Sun, column: &AirColumn, day_of_year: u32) -> (Tristimulus, Tristimulus) {
    let elevation_deg = sun.apparent_elevation.degrees();
    let [direct, sky] = column.light(elevation_deg, day_of_year);
    let direct = direct * twilight::disc_share(elevation_deg);
    let sine = elevation_deg.max(0.0).to_radians().sin();
    // the fits are for the sun's mean distance, so that all light is linear in the factor
    let distance = distance_factor(day_of_year);
    let global_lx = (direct.lux() * sine + sky.lux()) / distance;
    let lacking_lx = distance * twilight::lacking_lx(sun.true_elevation.degrees(), global_lx);
    if lacking_lx <= 0.0 {
        return (direct, sky);
    }
    let colour = match elevation_deg {
        e if e >= MIN_COLOUR_DEG => sky,
        _ => column.light(MIN_COLOUR_DEG, day_of_year)[1],
    };
    (direct, colour.scaled_to(sky.lux() + lacking_lx))
}

/// Share of the sun's light that comes down through a thin cloud, straight and
/// scattered, when `through` of it comes straight: the two-stream result for a
/// cloud that absorbs nothing (Bohren, American Journal of Physics 55(6), 1987).
fn scattered_down(through: f64) -> f64 {
    let depth = -through.max(1e-6).ln();
    2.0 / (2.0 + depth * (1.0 - ICE_ASYMMETRY))
}
