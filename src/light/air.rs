//! What is in the air over the venue.
//!
//! In: the name of an air and numbers. Out: an [`Air`]: contents of a vertical column,
//! where they are from, and how well they are known.

use super::climatology::Climate;
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
    /// Where the numbers are from.
    pub known: AirKnowledge,
}

/// Where the numbers of an air are from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirKnowledge {
    pub source: AirSource,
    pub aerosol: Knowledge,
    pub water: Knowledge,
}

/// Who stated an air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirSource {
    /// Nobody: the program's own default, by name.
    Default(NamedAir),
    /// Nobody: typical of the place and the time of the year.
    Climatology(Climate),
    /// The venue file; the name that its numbers start from.
    VenueFile(NamedAir),
    /// The options of the command, over a named air.
    Options(NamedAir),
    /// Numbers of the options, over what is typical.
    OptionsOver(Climate),
    /// Readings of the day.
    Readings,
}

/// How well a number of the air is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Knowledge {
    /// Stated as a number, so read on the day.
    Reading,
    /// That of a named kind of air.
    Class,
    /// Typical of a region and a season.
    Climatology,
    /// Worked out from readings: its 10th and its 90th percentile.
    Between(f64, f64),
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
        known: AirKnowledge {
            source: AirSource::Default(name),
            aerosol: Knowledge::Class,
            water: Knowledge::Class,
        },
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

/// The air that a venue file states; its numbers stand in place of its name's own.
///
/// ```
/// use quarterstop::light::air_of;
/// use quarterstop::venue::{NamedAir, StatedAir};
/// let stated = StatedAir { name: NamedAir::Haze, water_cm: Some(1.0), ..StatedAir::default() };
/// let air = air_of(&stated);
/// assert_eq!((air.aerosol_500nm, air.water_cm), (0.6, 1.0));
/// ```
pub fn air_of(stated: &StatedAir) -> Air {
    named(stated.name).with(stated).from(AirSource::VenueFile(stated.name))
}

impl Air {
    /// The same with the numbers that are stated.
    pub fn with(self, stated: &StatedAir) -> Self {
        let known = |number: Option<f64>, before| number.map_or(before, |_| Knowledge::Reading);
        Self {
            aerosol_500nm: stated.aerosol_500nm.unwrap_or(self.aerosol_500nm),
            aerosol_exponent: stated.aerosol_exponent.unwrap_or(self.aerosol_exponent),
            water_cm: stated.water_cm.unwrap_or(self.water_cm),
            ozone_atm_cm: stated.ozone_atm_cm.unwrap_or(self.ozone_atm_cm),
            ground_albedo: stated.ground_albedo.unwrap_or(self.ground_albedo),
            known: AirKnowledge {
                aerosol: known(stated.aerosol_500nm, self.known.aerosol),
                water: known(stated.water_cm, self.known.water),
                ..self.known
            },
        }
    }

    /// The same numbers from another source.
    pub fn from(self, source: AirSource) -> Self {
        Self { known: AirKnowledge { source, ..self.known }, ..self }
    }

    /// Name, numbers and source, for every report: "air: summer, of the venue file;
    /// aerosol 0.20 at 500 nm, ...".
    pub fn statement(&self) -> String {
        format!(
            "Air: {}; aerosol {:.3}{} at 500 nm (exponent {:.2}), water {:.2}{} cm, ozone {:.3} \
             atm-cm, ground albedo {:.2}.",
            self.known.source,
            self.aerosol_500nm,
            self.known.aerosol.range_words(),
            self.aerosol_exponent,
            self.water_cm,
            self.known.water.range_words(),
            self.ozone_atm_cm,
            self.ground_albedo
        )
    }

    /// What a picture has room for.
    pub fn caption(&self) -> String {
        let source = match self.known.source {
            AirSource::Default(name) => name.word().to_owned(),
            AirSource::Climatology(_) => "typical of place and season".to_owned(),
            AirSource::VenueFile(name) => format!("{}, venue file", name.word()),
            AirSource::Options(name) => format!("{}, --air", name.word()),
            AirSource::OptionsOver(_) => "--air".to_owned(),
            AirSource::Readings => "readings".to_owned(),
        };
        format!("aerosol {:.2}, water {:.1} cm ({source})", self.aerosol_500nm, self.water_cm)
    }
}

impl std::fmt::Display for AirSource {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Default(name) => write!(f, "{}, the default", name.word()),
            Self::Climatology(climate) => write!(f, "typical of {climate}, nothing stated"),
            Self::VenueFile(name) => write!(f, "{}, from the venue file", name.word()),
            Self::Options(name) => write!(f, "{}, from --air", name.word()),
            Self::OptionsOver(climate) => write!(f, "numbers of --air, else typical of {climate}"),
            Self::Readings => f.write_str("from readings of the day"),
        }
    }
}

impl Knowledge {
    /// " (0.08 to 0.15)" where it is from readings, else nothing.
    fn range_words(self) -> String {
        match self {
            Self::Between(low, high) => format!(" ({low:.2} to {high:.2})"),
            Self::Reading | Self::Class | Self::Climatology => String::new(),
        }
    }
}

impl Default for Air {
    /// [`NamedAir::Standard`].
    fn default() -> Self {
        named(NamedAir::Standard)
    }
}
