//! What is in the air over the venue.
//!
//! In: the name of an air, or numbers. Out: an [`Air`], contents of a vertical
//! column.

use crate::venue::{NamedAir, StatedAir};

/// Contents of a vertical column of air, and the land under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Aerosol optical depth at 500 nm.
    pub aerosol_500nm: f64,
    /// Angstrom's exponent: how much faster blue is lost than red; small for
    /// coarse grains.
    pub aerosol_exponent: f64,
    /// Precipitable water, cm.
    pub water_cm: f64,
    /// Ozone, atm-cm (1 atm-cm is 1000 Dobson units).
    pub ozone_atm_cm: f64,
    /// Broadband reflectance of the land around, 0 to 1.
    pub ground_albedo: f64,
}

/// What a name stands for.
///
/// Water and ozone are columns of the model atmospheres of Anderson and others
/// (AFGL-TR-86-0110, 1986, as tabulated for those of MODTRAN 6): US standard 1.42
/// cm and 0.344 atm-cm, mid-latitude summer 2.92 and 0.332, mid-latitude winter
/// 0.85 and 0.377, tropical 4.12 and 0.277, subarctic winter 0.42 and 0.376. The
/// land is grass and crops, 0.2 (the usual albedo of solar engineering), or snow.
/// Aerosols, depth at 500 nm and exponent:
///
/// | name | aerosol | source |
/// | --- | --- | --- |
/// | standard | 0.1, 1.14 | example run of SERI/TR-215-2436, rural |
/// | washed | 0.05, 1.3 | half of it: background over land |
/// | summer | 0.2, 1.3 | Iqbal, An Introduction to Solar Radiation (1983), table 6.6.1, clear to turbid |
/// | city | 0.4, 1.6 | Dubovik and others, J. Atmos. Sci. 59 (2002), urban sites |
/// | haze | 0.6, 1.3 | Iqbal, the same table, over turbid |
/// | sea | 0.08, 0.6 | Dubovik and others, oceanic sites |
/// | dust | 0.4, 0.3 | Dubovik and others, desert sites |
/// | tropics | 0.2, 1.0 | Dubovik and others, away from fires |
/// | snow | 0.05, 1.3 | as washed |
///
/// The sources of the aerosols are from memory and the numbers typical ones
/// within their spread; who has a reading states it.
fn named(name: NamedAir) -> Air {
    let of = |aerosol_500nm, aerosol_exponent, (water_cm, ozone_atm_cm)| Air {
        aerosol_500nm,
        aerosol_exponent,
        water_cm,
        ozone_atm_cm,
        ground_albedo: 0.2,
    };
    const US_STANDARD: (f64, f64) = (1.42, 0.344);
    const SUMMER: (f64, f64) = (2.92, 0.332);
    const WINTER: (f64, f64) = (0.85, 0.377);
    const TROPICAL: (f64, f64) = (4.12, 0.277);
    const SUBARCTIC_WINTER: (f64, f64) = (0.42, 0.376);
    match name {
        NamedAir::Standard => of(0.1, 1.14, US_STANDARD),
        NamedAir::Washed => of(0.05, 1.3, WINTER),
        NamedAir::Summer => of(0.2, 1.3, SUMMER),
        NamedAir::City => of(0.4, 1.6, SUMMER),
        NamedAir::Haze => of(0.6, 1.3, SUMMER),
        NamedAir::Sea => of(0.08, 0.6, US_STANDARD),
        NamedAir::Dust => of(0.4, 0.3, TROPICAL),
        NamedAir::Tropics => of(0.2, 1.0, TROPICAL),
        NamedAir::Snow => Air { ground_albedo: 0.7, ..of(0.05, 1.3, SUBARCTIC_WINTER) },
    }
}

/// The air that is stated; its numbers stand in place of its name's own.
///
/// ```
/// use quarterstop::light::air_of;
/// use quarterstop::venue::{NamedAir, StatedAir};
/// let stated = StatedAir { name: NamedAir::Haze, water_cm: Some(1.0), ..StatedAir::default() };
/// let air = air_of(&stated);
/// assert_eq!((air.aerosol_500nm, air.water_cm), (0.6, 1.0));
/// ```
pub fn air_of(stated: &StatedAir) -> Air {
    let usual = named(stated.name);
    Air {
        aerosol_500nm: stated.aerosol_500nm.unwrap_or(usual.aerosol_500nm),
        aerosol_exponent: stated.aerosol_exponent.unwrap_or(usual.aerosol_exponent),
        water_cm: stated.water_cm.unwrap_or(usual.water_cm),
        ozone_atm_cm: stated.ozone_atm_cm.unwrap_or(usual.ozone_atm_cm),
        ground_albedo: stated.ground_albedo.unwrap_or(usual.ground_albedo),
    }
}

impl Default for Air {
    /// [`NamedAir::Standard`].
    fn default() -> Self {
        named(NamedAir::Standard)
    }
}
