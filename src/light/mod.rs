//! Stage 4, `light`: how much light sun and sky send.
//!
//! In: the sun's place, the place and its air, a sky state, the day of the year.
//! Out: illuminances in lux on stated planes, with nothing in the way.
//!
//! First form: broadband irradiance ([`clear`], Bird and Hulstrom 1981) turned
//! into lux by luminous efficacies ([`efficacy`], Perez and others 1990), and an
//! overcast sky (IES RP-21). A spectral model can take the place of the two
//! behind [`daylight`]; nothing downstream knows watts.

mod air;
pub mod clear;
pub mod efficacy;
mod model;
mod overcast;

pub use air::Air;
pub use model::*;
pub use overcast::overcast_horizontal;

use crate::solar::Sun;
use crate::units::Lux;
use crate::venue::Place;

/// Horizontal illuminance of the clear sky when the sun stands on the horizon,
/// lx, and at the end of civil twilight (-6 degrees): Explanatory Supplement to
/// the Astronomical Almanac (1992), table of natural illuminance, from memory.
/// Between and beyond, the logarithm is taken as linear.
const HORIZON_LX: f64 = 400.0;
const CIVIL_TWILIGHT_LX: f64 = 3.4;

/// Daylight at a place, nothing in the way.
///
/// `day_of_year` counts from 1; it sets the distance of the sun. Under the
/// horizon there is no direct light and the sky fades through twilight.
pub fn daylight(sun: &Sun, place: &Place, air: &Air, sky: Sky, day_of_year: u32) -> Daylight {
    let elevation_deg = sun.apparent_elevation.degrees();
    let twilight = twilight_share(elevation_deg);
    match sky {
        Sky::Overcast => Daylight {
            direct_normal: Lux::ZERO,
            direct_horizontal: Lux::ZERO,
            diffuse_horizontal: Lux::from_lux(overcast_horizontal(elevation_deg).lux() * twilight),
        },
        Sky::Clear if elevation_deg <= 0.0 => Daylight {
            direct_normal: Lux::ZERO,
            direct_horizontal: Lux::ZERO,
            diffuse_horizontal: Lux::from_lux(HORIZON_LX * twilight),
        },
        Sky::Clear => {
            let irradiance = clear::irradiance(elevation_deg, place.pressure_hpa, air, day_of_year);
            let efficacy = efficacy::efficacies(&irradiance, elevation_deg, air);
            let direct = irradiance.direct_normal_w_m2 * efficacy.direct_lm_w;
            let diffuse = irradiance.diffuse_horizontal_w_m2 * efficacy.diffuse_lm_w;
            Daylight {
                direct_normal: Lux::from_lux(direct),
                direct_horizontal: Lux::from_lux(direct * sun.apparent_elevation.radians().sin()),
                diffuse_horizontal: Lux::from_lux(diffuse.max(HORIZON_LX)),
            }
        }
    }
}

/// Share of the horizon's illuminance that is left under it: 1 above.
fn twilight_share(elevation_deg: f64) -> f64 {
    let per_degree = (HORIZON_LX / CIVIL_TWILIGHT_LX).ln() / 6.0;
    (per_degree * elevation_deg.min(0.0)).exp()
}
