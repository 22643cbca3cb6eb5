//! The columns that a forecast may have.
//!
//! In: a name of the header. Out: what it is and how its numbers become those that are
//! counted with, or what is asked about it. A unit is the end of a name; without it nobody
//! knows whether 8 are oktas, tenths or per cent.

/// What a column says, in the unit that is counted with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ForecastQuantity {
    /// Cover of the sky by all, low, middle and high cloud, 0 to 1.
    CoverTotal,
    CoverLow,
    CoverMiddle,
    CoverHigh,
    /// Irradiance, W/m2.
    DirectNormal,
    DirectHorizontal,
    Diffuse,
    Global,
    /// At 10 m above the ground, m/s.
    Wind,
    /// At the height of the clouds, m/s.
    WindCloud,
    /// Horizontal visibility, km.
    Visibility,
    /// Degrees Celsius.
    Temperature,
    DewPoint,
    /// Precipitable water, cm.
    Water,
}

/// How a unit is written, the factor to the unit that is counted with, and the least and the
/// greatest number in it.
type Unit = (&'static str, f64, (f64, f64));

const COVER: &[Unit] = &[
    ("percent", 0.01, (0.0, 100.0)),
    ("oktas", 0.125, (0.0, 8.0)),
    ("tenths", 0.1, (0.0, 10.0)),
    ("share", 1.0, (0.0, 1.0)),
];
/// More than the sun sends outside of the air at its nearest, 1412 W/m2, and some for
/// clouds beside it.
const IRRADIANCE: &[Unit] = &[("w_m2", 1.0, (-5.0, 1800.0))];
const SPEED: &[Unit] = &[
    ("m_s", 1.0, (0.0, 120.0)),
    ("km_h", 1.0 / 3.6, (0.0, 432.0)),
    ("kn", 1852.0 / 3600.0, (0.0, 234.0)),
    ("mph", 1609.344 / 3600.0, (0.0, 269.0)),
];
const DISTANCE: &[Unit] = &[("km", 1.0, (0.0, 500.0)), ("m", 0.001, (0.0, 500_000.0))];
const TEMPERATURE: &[Unit] = &[("c", 1.0, (-90.0, 60.0))];
const WATER: &[Unit] = &[("cm", 1.0, (0.0, 10.0)), ("mm", 0.1, (0.0, 100.0))];

/// Name without its unit, what it is, its units, in words.
pub const COLUMNS: [(&str, ForecastQuantity, &[Unit], &str); 14] = [
    ("cover_total", ForecastQuantity::CoverTotal, COVER, "cover of the sky by all clouds"),
    ("cover_low", ForecastQuantity::CoverLow, COVER, "by low clouds"),
    ("cover_middle", ForecastQuantity::CoverMiddle, COVER, "by clouds of middle height"),
    (
        "cover_high",
        ForecastQuantity::CoverHigh,
        COVER,
        "by high clouds, through which the sun shines",
    ),
    (
        "direct_normal",
        ForecastQuantity::DirectNormal,
        IRRADIANCE,
        "direct irradiance facing the sun",
    ),
    (
        "direct_horizontal",
        ForecastQuantity::DirectHorizontal,
        IRRADIANCE,
        "direct irradiance on the horizontal",
    ),
    ("diffuse", ForecastQuantity::Diffuse, IRRADIANCE, "irradiance of the sky on the horizontal"),
    ("global", ForecastQuantity::Global, IRRADIANCE, "both together on the horizontal"),
    ("wind", ForecastQuantity::Wind, SPEED, "wind at 10 m above the ground"),
    ("wind_cloud", ForecastQuantity::WindCloud, SPEED, "wind at the height of the clouds"),
    ("visibility", ForecastQuantity::Visibility, DISTANCE, "horizontal visibility"),
    ("temperature", ForecastQuantity::Temperature, TEMPERATURE, "of the air"),
    ("dew_point", ForecastQuantity::DewPoint, TEMPERATURE, "of the air"),
    ("water", ForecastQuantity::Water, WATER, "precipitable water of the column"),
];

/// A column of a file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ForecastColumn {
    pub quantity: ForecastQuantity,
    pub unit: &'static str,
    factor: f64,
    range: (f64, f64),
}

/// What a name of the header is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Named {
    Value(ForecastColumn),
    /// A known quantity without a known unit.
    NoUnit(&'static str, &'static [Unit]),
    Unknown,
}

/// Reads a name: `cover_low_percent`, also with `cloud_` before it.
pub(super) fn named(name: &str) -> Named {
    let name = name.strip_prefix("cloud_").unwrap_or(name);
    // the longest stem first: wind_cloud before wind
    let mut stems: Vec<_> = COLUMNS.iter().filter(|(stem, ..)| name.starts_with(stem)).collect();
    stems.sort_by_key(|(stem, ..)| std::cmp::Reverse(stem.len()));
    for &&(stem, quantity, units, _) in &stems {
        let rest = &name[stem.len()..];
        if let Some(unit) = units.iter().find(|u| rest.strip_prefix('_') == Some(u.0)) {
            let (unit, factor, range) = *unit;
            return Named::Value(ForecastColumn { quantity, unit, factor, range });
        }
    }
    match stems.iter().find(|(stem, ..)| name == *stem || name.starts_with(&format!("{stem}_"))) {
        Some(&&(stem, _, units, _)) => Named::NoUnit(stem, units),
        None if name == "cover" => Named::NoUnit("cover_total", COVER),
        None => Named::Unknown,
    }
}

/// "cover_low_percent, cover_low_oktas, ..."
pub(super) fn names(stem: &str, units: &[Unit]) -> String {
    let names: Vec<String> = units.iter().map(|(unit, ..)| format!("{stem}_{unit}")).collect();
    names.join(", ")
}

impl ForecastColumn {
    /// A number of the file in the unit that is counted with; what is allowed otherwise.
    pub fn value(&self, number: f64) -> Result<f64, String> {
        let (low, high) = self.range;
        if !(low..=high).contains(&number) {
            return Err(format!("{low} to {high} {}", self.unit.replace('_', "/")));
        }
        let value = number * self.factor;
        // nights that were calculated are a little under zero
        Ok(if self.unit == "w_m2" { value.max(0.0) } else { value })
    }

    /// A value as the file has it.
    pub fn as_written(&self, value: f64) -> f64 {
        value / self.factor
    }

    /// Whether numbers of a cover are so small that another unit may be meant.
    pub fn looks_like_shares(&self, greatest: f64, any_fraction: bool) -> bool {
        self.range.1 >= 8.0 && self.factor < 0.2 && greatest <= 1.0 && any_fraction
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_ends_with_its_unit_or_is_asked_about() {
        let value = |name: &str| match named(name) {
            Named::Value(column) => (column.quantity, column.value(8.0).ok()),
            other => panic!("{name}: {other:?}"),
        };
        assert_eq!(value("cover_total_percent"), (ForecastQuantity::CoverTotal, Some(0.08)));
        assert_eq!(value("cloud_cover_low_oktas"), (ForecastQuantity::CoverLow, Some(1.0)));
        assert_eq!(value("cover_high_share"), (ForecastQuantity::CoverHigh, None));
        assert_eq!(value("wind_cloud_m_s"), (ForecastQuantity::WindCloud, Some(8.0)));
        assert_eq!(value("wind_km_h").0, ForecastQuantity::Wind);
        assert!(matches!(named("wind"), Named::NoUnit("wind", _)));
        assert!(matches!(named("cover_low"), Named::NoUnit("cover_low", _)));
        assert!(matches!(named("cloud_cover"), Named::NoUnit("cover_total", _)));
        assert_eq!(named("rain_mm"), Named::Unknown);
    }

    #[test]
    fn speeds_and_water_are_converted() {
        let value = |name: &str, number: f64| match named(name) {
            Named::Value(column) => column.value(number).unwrap(),
            other => panic!("{name}: {other:?}"),
        };
        assert!((value("wind_kn", 10.0) - 5.1444).abs() < 1e-3);
        assert!((value("wind_km_h", 36.0) - 10.0).abs() < 1e-9);
        assert!((value("water_mm", 25.0) - 2.5).abs() < 1e-9);
        // calculated nights are a hundredth under zero
        assert_eq!(value("global_w_m2", -0.5), 0.0);
    }
}
