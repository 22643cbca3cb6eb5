//! Equinoxes and solstices of a year.
//!
//! In: a calendar year. Out: four instants. The sun's declination is its elevation at
//! the north pole; taking half the difference of both poles drops the parallax.

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use super::crossing::crossings;
use super::position::position;
use crate::venue::Place;

/// One of the four turning points of the year; the words hold in both hemispheres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TurningPoint {
    MarchEquinox,
    JuneSolstice,
    SeptemberEquinox,
    DecemberSolstice,
}

impl TurningPoint {
    /// In the order of the year.
    pub const ALL: [Self; 4] =
        [Self::MarchEquinox, Self::JuneSolstice, Self::SeptemberEquinox, Self::DecemberSolstice];

    /// What people call it.
    pub fn name(self) -> &'static str {
        match self {
            Self::MarchEquinox => "March equinox",
            Self::JuneSolstice => "June solstice",
            Self::SeptemberEquinox => "September equinox",
            Self::DecemberSolstice => "December solstice",
        }
    }

    fn month(self) -> u32 {
        match self {
            Self::MarchEquinox => 3,
            Self::JuneSolstice => 6,
            Self::SeptemberEquinox => 9,
            Self::DecemberSolstice => 12,
        }
    }

    /// The instant in a year, to some minutes; `None` for a year outside the calendar.
    pub fn instant(self, year: i32) -> Option<DateTime<Utc>> {
        // all four lie between the 18th and the 25th in this and the next centuries
        let from = Utc.with_ymd_and_hms(year, self.month(), 12, 0, 0, 0).single()?;
        let until = from + TimeDelta::days(18);
        // a solstice is half way between two days of equal declination; over three
        // days the change of the sun's speed shifts that by less than a minute
        let side = TimeDelta::days(3);
        let f = |t: DateTime<Utc>| match self {
            Self::MarchEquinox | Self::SeptemberEquinox => declination_deg(t),
            _ => declination_deg(t + side) - declination_deg(t - side),
        };
        crossings(f, from, until, TimeDelta::days(2)).first().map(|(t, _)| *t)
    }
}

/// Declination of the sun, degrees.
pub fn declination_deg(at: DateTime<Utc>) -> f64 {
    let pole = |latitude_deg: f64| Place {
        latitude_deg,
        longitude_deg: 0.0,
        height_m: 0.0,
        zone: Tz::UTC,
        pressure_hpa: 1013.25,
        temperature_c: 15.0,
    };
    let over = |latitude_deg| position(&pole(latitude_deg), at).true_elevation.degrees();
    0.5 * (over(90.0) - over(-90.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check "seasons of 2026 and 2027": times in UT, Astronomical Applications
    /// Department of the U.S. Naval Observatory, Earth's Seasons (from memory); and
    /// the polynomials of Meeus, Astronomical Algorithms (2nd ed.), table 27.B,
    /// without its periodic terms, which stay under 25 minutes.
    #[test]
    fn seasons_agree_with_published_times() {
        let known = [
            (2026, [(3, 20, 14, 46), (6, 21, 8, 24), (9, 23, 0, 5), (12, 21, 20, 50)]),
            (2027, [(3, 20, 20, 25), (6, 21, 14, 11), (9, 23, 6, 2), (12, 22, 2, 42)]),
        ];
        for (year, times) in known {
            for (season, (month, day, hour, minute)) in TurningPoint::ALL.into_iter().zip(times) {
                let expected = Utc.with_ymd_and_hms(year, month, day, hour, minute, 0).unwrap();
                let off = season.instant(year).unwrap() - expected;
                assert!(off.abs() < TimeDelta::minutes(25), "{year} {season:?}: {off}");
            }
        }
        let mean = |season: TurningPoint, year: i32| {
            let y = f64::from(year - 2000) / 1000.0;
            let terms = match season {
                TurningPoint::MarchEquinox => {
                    [2451623.80984, 365242.37404, 0.05169, -0.00411, -0.00057]
                }
                TurningPoint::JuneSolstice => {
                    [2451716.56767, 365241.62603, 0.00325, 0.00888, -0.00030]
                }
                TurningPoint::SeptemberEquinox => {
                    [2451810.21715, 365242.01767, -0.11575, 0.00337, 0.00078]
                }
                TurningPoint::DecemberSolstice => {
                    [2451900.05952, 365242.74049, -0.06223, -0.00823, 0.00032]
                }
            };
            terms.iter().rev().fold(0.0, |sum, term| sum * y + term)
        };
        for year in [2025, 2026, 2027, 2028, 2035, 2050] {
            for season in TurningPoint::ALL {
                let found = season.instant(year).unwrap();
                let julian = found.timestamp() as f64 / 86_400.0 + 2_440_587.5;
                // table 27.C: the periodic terms add up to 0.02 day at the most; the
                // clock runs about a minute behind dynamical time
                let off = (julian - mean(season, year)) * 1440.0;
                assert!(off.abs() < 45.0, "{year} {season:?}: {off} min");
            }
        }
    }

    #[test]
    fn the_declination_reaches_the_obliquity_and_no_more() {
        // mean obliquity of the ecliptic, 23.436 degrees in 2027 (IAU 2006)
        let at = |season: TurningPoint| declination_deg(season.instant(2027).unwrap());
        assert!((at(TurningPoint::JuneSolstice) - 23.436).abs() < 0.01);
        assert!((at(TurningPoint::DecemberSolstice) + 23.436).abs() < 0.01);
        assert!(at(TurningPoint::MarchEquinox).abs() < 1e-3);
    }
}
