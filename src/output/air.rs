//! The air that a report assumed, as an object of JSON files.
//!
//! In: an [`Air`], or the airs of a year. Out: an [`AirOut`], numbers with their 10th and
//! 90th percentiles.

use schemars::JsonSchema;
use serde::Serialize;

use crate::light::{Air, AirByDate, AirRange, AirSource};

/// What is in the air over the venue, as assumed. Over dates of several seasons each number
/// is the mean of the four seasons, its low that of the lowest and its high that of the
/// highest.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AirOut {
    /// Who stated it: default, climatology, venue_file, options or readings.
    pub source: &'static str,
    /// Its name, or the region and the season that it is typical of.
    pub name: String,
    /// Aerosol optical depth at 500 nm.
    pub aerosol_500nm: f64,
    /// Aerosol optical depth that a tenth and nine tenths of such days stay under.
    pub aerosol_500nm_low: f64,
    pub aerosol_500nm_high: f64,
    /// Angstrom's exponent of the aerosol.
    pub aerosol_exponent: f64,
    /// Precipitable water.
    pub water_cm: f64,
    /// Water that a tenth and nine tenths of such days stay under.
    pub water_cm_low: f64,
    pub water_cm_high: f64,
    /// 1 is 1000 Dobson units.
    pub ozone_atm_cm: f64,
    /// Reflectance of the land around, 0 to 1.
    pub ground_albedo: f64,
}

impl AirOut {
    /// Of an air with what is known of it.
    pub fn of(air: &Air) -> Self {
        let range = AirRange::of(*air);
        Self {
            source: source(air.known.source),
            name: name(air.known.source),
            aerosol_500nm: air.aerosol_500nm,
            aerosol_500nm_low: range.clean.aerosol_500nm,
            aerosol_500nm_high: range.hazy.aerosol_500nm,
            aerosol_exponent: air.aerosol_exponent,
            water_cm: air.water_cm,
            water_cm_low: range.dry.water_cm,
            water_cm_high: range.wet.water_cm,
            ozone_atm_cm: air.ozone_atm_cm,
            ground_albedo: air.ground_albedo,
        }
    }
}

impl AirOut {
    /// Of the airs of many dates.
    pub fn by_date(airs: &AirByDate) -> Self {
        if let Some(air) = airs.same() {
            return Self::of(&air);
        }
        let each = airs.seasons().map(|air| Self::of(&air));
        let mean = |value: fn(&Self) -> f64| each.iter().map(value).sum::<f64>() / 4.0;
        let least = |value: fn(&Self) -> f64| each.iter().map(value).fold(f64::INFINITY, f64::min);
        let greatest = |value: fn(&Self) -> f64| each.iter().map(value).fold(0.0, f64::max);
        Self {
            source: source(airs.source()),
            name: name(airs.source()),
            aerosol_500nm: mean(|air| air.aerosol_500nm),
            aerosol_500nm_low: least(|air| air.aerosol_500nm_low),
            aerosol_500nm_high: greatest(|air| air.aerosol_500nm_high),
            aerosol_exponent: mean(|air| air.aerosol_exponent),
            water_cm: mean(|air| air.water_cm),
            water_cm_low: least(|air| air.water_cm_low),
            water_cm_high: greatest(|air| air.water_cm_high),
            ozone_atm_cm: mean(|air| air.ozone_atm_cm),
            ground_albedo: mean(|air| air.ground_albedo),
        }
    }
}

/// The word for who stated an air.
pub(crate) fn source(source: AirSource) -> &'static str {
    match source {
        AirSource::Default(_) => "default",
        AirSource::Climatology(_) => "climatology",
        AirSource::VenueFile(_) => "venue_file",
        AirSource::Options(_) | AirSource::OptionsOver(_) => "options",
        AirSource::Readings => "readings",
    }
}

fn name(source: AirSource) -> String {
    match source {
        AirSource::Default(name) | AirSource::VenueFile(name) | AirSource::Options(name) => {
            name.word().to_owned()
        }
        AirSource::Climatology(climate) | AirSource::OptionsOver(climate) => climate.to_string(),
        AirSource::Readings => "readings of the day".to_owned(),
    }
}
