//! How far the air of a day may lie from the one assumed.
//!
//! In: an [`Air`] with what is known of it. Out: an [`AirRange`]: the same air at the
//! 10th and at the 90th percentile of its aerosol and of its water.
//!
//! Optical depths of one place are log-normal (O'Neill and others, Geophys. Res. Lett.
//! 27, 2000, 3333; Sayer and Knobelspiesse, Atmos. Chem. Phys. 19, 2019, 15023), so a
//! spread is a factor.

use super::air::{Air, Knowledge};

/// Of the normal distribution between the median and the 90th percentile.
pub const Z_90: f64 = 1.2816;

/// Geometric standard deviation of the aerosol from day to day at one place: sun
/// photometer stations have 1.6 to 2 (O'Neill and others, 2000, from memory); the
/// depths 0.128 with a standard deviation of 0.090 that Araiza Quijano and
/// Cruz-Gonzalez state (2011, MODIS over San Pedro Martir, abstract) are 1.9 for a
/// log-normal.
const DAY_TO_DAY: f64 = 1.8;
/// Of places within one region (from memory: neighbouring stations of Holben and
/// others, 2001, differ by about a third).
const WITHIN_REGION: f64 = 1.4;
/// Of the days to which a name like "haze" is given (no source: half the spread of all
/// days).
const WITHIN_CLASS: f64 = 1.4;
/// A hand-held sun photometer is good to 0.02 (Morys and others, J. Geophys. Res. 106,
/// 2001, from memory), and the depth of a clear day changes by some 15 % until the
/// match (Smirnov and others, Geophys. Res. Lett. 29, 2002: 10 to 15 % over land, from
/// memory).
const READING: f64 = 0.02;
const READING_DRIFT: f64 = 0.15;
/// Autocorrelation of aerosol, and after how many hours: under 0.8 after 10 hours in several
/// campaigns (Anderson and others, J. Atmos. Sci. 60, 2003, 119, abstract; from memory).
const CORRELATION: f64 = 0.8;
const CORRELATION_H: f64 = 10.0;
/// Geometric standard deviation of water within a season, and of a reading (the former
/// from memory: a standard deviation of 30 to 40 % in middle latitudes).
const WATER_SPREAD: f64 = 1.45;
const WATER_READING: f64 = 1.1;

/// One air and what it may be instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirRange {
    pub assumed: Air,
    /// Aerosol at the 10th and the 90th percentile.
    pub clean: Air,
    pub hazy: Air,
    /// Water at the 10th and the 90th percentile.
    pub dry: Air,
    pub wet: Air,
}

impl AirRange {
    /// What the air may be, by what is known of it.
    pub fn of(assumed: Air) -> Self {
        let (low, high) = aerosol(&assumed);
        let (dry, wet) = match assumed.known.water {
            Knowledge::Between(low, high) => (low, high),
            Knowledge::Reading => around(assumed.water_cm, WATER_READING),
            Knowledge::Class | Knowledge::Climatology => around(assumed.water_cm, WATER_SPREAD),
        };
        let depth = |aerosol_500nm| Air { aerosol_500nm, ..assumed };
        let water = |water_cm| Air { water_cm, ..assumed };
        Self { assumed, clean: depth(low), hazy: depth(high), dry: water(dry), wet: water(wet) }
    }
}

/// Correlation of the logarithm of the depth with itself some hours later, where all that is
/// unknown of it has this standard deviation: what changes from day to day is lost
/// exponentially, what differs from place to place stays.
pub(super) fn correlation(hours: f64, deviation: f64) -> f64 {
    let day_to_day = (DAY_TO_DAY.ln() / deviation).min(1.0).powi(2);
    1.0 - day_to_day * (1.0 - CORRELATION.powf(hours.abs() / CORRELATION_H))
}

/// 10th and 90th percentile of a log-normal number.
fn around(middle: f64, deviation: f64) -> (f64, f64) {
    let factor = deviation.powf(Z_90);
    (middle / factor, middle * factor)
}

fn aerosol(air: &Air) -> (f64, f64) {
    let depth = air.aerosol_500nm;
    let within = |deviation: f64| {
        let factor = (deviation * Z_90).exp();
        (depth / factor, depth * factor)
    };
    match air.known.aerosol {
        Knowledge::Between(low, high) => (low, high),
        Knowledge::Climatology => within(DAY_TO_DAY.ln().hypot(WITHIN_REGION.ln())),
        Knowledge::Class => within(WITHIN_CLASS.ln()),
        Knowledge::Reading => {
            let deviation = READING.hypot(READING_DRIFT * depth);
            let (low, high) = (depth - Z_90 * deviation, depth + Z_90 * deviation);
            // a depth under that of the cleanest air is none
            (low.max(depth.min(0.005)), high)
        }
    }
}
