//! How far the light of a season's rows may be off for what is unknown of the air.
//!
//! In: a place, the [`Weather`] assumed; then a sun and a date. Out: [`AtEnds`]: daylight
//! and aerosol at the 10th and at the 90th percentile, and how far the rest moves an open
//! field. The same ranges as [`crate::engine`] gives an instant of a match, from tables over
//! the sun's elevation and the date (`tests/season_rows.rs`).

use chrono::NaiveDate;

use crate::camera::OtherSpread;
use crate::light::{AirByDate, AirRange, ByDate, Daylight};
use crate::solar::Sun;
use crate::venue::Place;

use super::Weather;

/// Daylight in airs other than the one assumed.
#[derive(Debug)]
pub(super) struct Ranges {
    clean: End,
    hazy: End,
    dry: ByDate,
    wet: ByDate,
}

#[derive(Debug)]
struct End {
    airs: AirByDate,
    daylight: ByDate,
}

/// What an instant has in cleaner and in hazier air.
pub(super) struct AtEnds {
    /// With the aerosol optical depth at 500 nm.
    pub ends: [(Daylight, f64); 2],
    pub rest: OtherSpread,
}

impl Ranges {
    pub fn new(place: Place, weather: &Weather) -> Self {
        let table = |airs: &AirByDate| ByDate::coarse(place, airs, weather.sky);
        let airs = |end: fn(AirRange) -> _| weather.air.map(|air| end(AirRange::of(air)));
        let end = |of| {
            let airs = airs(of);
            End { airs, daylight: table(&airs) }
        };
        Self {
            clean: end(|range| range.clean),
            hazy: end(|range| range.hazy),
            dry: table(&airs(|range| range.dry)),
            wet: table(&airs(|range| range.wet)),
        }
    }

    pub fn at(&self, sun: &Sun, date: NaiveDate, assumed: &Daylight) -> AtEnds {
        let levels =
            |light: &Daylight| [light.direct_horizontal.lux(), light.diffuse_horizontal.lux()];
        let end = |end: &End| (end.daylight.at(sun, date), end.airs.on(date).aerosol_500nm);
        let water = [&self.dry, &self.wet].map(|table| levels(&table.at(sun, date)));
        AtEnds {
            ends: [end(&self.clean), end(&self.hazy)],
            rest: OtherSpread::between(levels(assumed), water),
        }
    }
}
