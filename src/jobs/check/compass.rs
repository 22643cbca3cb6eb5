//! Magnetic declination by the World Magnetic Model.
//!
//! In: a place and a day. Out: degrees, east positive. Coefficients and series are those
//! of WMM2025 and its forerunner (NOAA NCEI and British Geological Survey, US public
//! domain) in crate `world_magnetic_model`. The model knows the field of the Earth's core;
//! iron in rock and in buildings adds degrees that no model has.

use chrono::{Datelike, NaiveDate};
use time::Date;
use world_magnetic_model::GeomagneticField;
use world_magnetic_model::uom::si::angle::degree;
use world_magnetic_model::uom::si::f32::{Angle, Length};
use world_magnetic_model::uom::si::length::meter;

use crate::venue::Place;

/// Years that the models hold for; a day before or after is taken for one in the nearest,
/// which costs a fifth of a degree a year at most grounds.
const YEARS: (i32, i32) = (2020, 2029);

/// Declination at a place on a day; `None` near the magnetic poles, where a compass is no
/// use.
pub fn declination_deg(place: &Place, date: NaiveDate) -> Option<f64> {
    let year = date.year().clamp(YEARS.0, YEARS.1);
    let day = Date::from_ordinal_date(year, u16::try_from(date.ordinal()).ok()?.min(365)).ok()?;
    let field = GeomagneticField::new(
        Length::new::<meter>(place.height_m as f32),
        Angle::new::<degree>(place.latitude_deg as f32),
        Angle::new::<degree>(place.longitude_deg as f32),
        day,
    )
    .ok()?;
    field.declination_warning().is_none().then(|| f64::from(field.declination().get::<degree>()))
}
