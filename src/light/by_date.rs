//! Daylight with nothing in the way, for tens of thousands of instants of a year whose air
//! changes with the date.
//!
//! In: a place, its [`AirByDate`] and a sky state, once; then the sun and a date. Out:
//! [`Daylight`], lx, as [`super::daylight`] gives it in the air of that date.
//!
//! One [`ByElevation`] for the air in the middle of each season and one for the air half
//! way to the next. Between two of them direct light is geometric, which is exact for one
//! wavelength, since aerosol, water and ozone are linear in between and stand in the
//! exponent; light of the sky, which scattering adds to, is linear
//! (`tests/light_by_sun.rs` holds both).

use chrono::{Datelike, NaiveDate};

use super::air::Air;
use super::air_by_date::AirByDate;
use super::by_elevation::ByElevation;
use super::climatology::between_seasons;
use super::model::{Daylight, Sky};
use super::tristimulus::Tristimulus;
use crate::solar::Sun;
use crate::venue::Place;

const SEASONS: usize = 4;

/// Daylight over the sun's elevation and the date, of one place and sky state.
#[derive(Debug)]
pub struct ByDate {
    /// One for all dates, or two for each season.
    tables: Vec<ByElevation>,
}

impl ByDate {
    pub fn new(place: Place, airs: &AirByDate, sky: Sky) -> Self {
        Self::of(airs, |air| ByElevation::new(place, air, sky))
    }

    /// The same from [`ByElevation::coarse`], for ranges.
    pub fn coarse(place: Place, airs: &AirByDate, sky: Sky) -> Self {
        Self::of(airs, |air| ByElevation::coarse(place, air, sky))
    }

    fn of(airs: &AirByDate, table: impl Fn(Air) -> ByElevation) -> Self {
        let tables = match airs.same() {
            Some(air) => vec![table(air)],
            None => (0..2 * SEASONS)
                .map(|half| {
                    let (season, share) = (half / 2, 0.5 * (half % 2) as f64);
                    table(airs.between(season, (season + 1) % SEASONS, share))
                })
                .collect(),
        };
        Self { tables }
    }

    /// Daylight under a sun on a date.
    pub fn at(&self, sun: &Sun, date: NaiveDate) -> Daylight {
        let (earlier, later, share) = match self.tables.len() {
            1 => (0, 0, 0.0),
            count => {
                let (season, _, share) = between_seasons(date);
                let half = 2 * season + usize::from(share >= 0.5);
                (half, (half + 1) % count, (2.0 * share).fract())
            }
        };
        let of = |season: usize| self.tables[season].at(sun, date.ordinal());
        let a = of(earlier);
        if share == 0.0 {
            return a;
        }
        let b = of(later);
        Daylight {
            direct_normal: between(a.direct_normal, b.direct_normal, share),
            direct_horizontal: between(a.direct_horizontal, b.direct_horizontal, share),
            diffuse_horizontal: a.diffuse_horizontal * (1.0 - share) + b.diffuse_horizontal * share,
        }
    }
}

/// Geometric between two lights; linear where one of them is dark.
fn between(a: Tristimulus, b: Tristimulus, share: f64) -> Tristimulus {
    let one = |a: f64, b: f64| match a > 0.0 && b > 0.0 {
        true => a * (b / a).powf(share),
        false => a + (b - a) * share,
    };
    Tristimulus { x: one(a.x, b.x), y: one(a.y, b.y), z: one(a.z, b.z) }
}
