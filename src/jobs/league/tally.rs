//! Sums over a data set: by venue, month of the year and start.
//!
//! In: rows, part by part. Out: how many days were in which light. It grows with venues and
//! starts, not with the span.

use std::collections::BTreeMap;

use chrono::Datelike;

use crate::output::csv::CsvError;
use crate::output::table;
use crate::output::table::{Column, ColumnDoc, docs, number, text};

use super::store::{LIGHT_WORDS, LeagueRow, UnderWeather};

/// Place of the minutes of choice among the parts.
const CHOOSE: usize = 3;

/// A row of `league.csv`.
struct Sums<'a> {
    venue: &'a str,
    month: u32,
    start: i32,
    count: &'a DayCount,
}

fn list<'a>() -> Vec<Column<'a, Sums<'a>>> {
    let days = |name: &str, meaning: &str, of: fn(&DayCount) -> u32| {
        number(name, ("number", 0), meaning, move |r: &Sums<'_>| Some(of(r.count).into()))
    };
    let mean = |name: &str, (unit, decimals), meaning: &str, of: fn(&DayCount) -> Option<f64>| {
        number(name, (unit, decimals), meaning, move |r: &Sums<'_>| of(r.count))
    };
    vec![
        text("venue", "text", "title of the venue file", |r: &Sums<'_>| r.venue.to_owned()),
        text("month", "1 to 12", "month of the year, all years together", |r: &Sums<'_>| {
            r.month.to_string()
        }),
        text("start", "HH:MM", "on the venue's clocks", |r: &Sums<'_>| clock(r.start)),
        days("days", "days counted", |c| c.days),
        days("good", "of them in good light, were the sky clear", |c| c.light[0]),
        days("fair", "in fair light", |c| c.light[1]),
        days("hard", "in hard light", |c| c.light[2]),
        mean("mean_cost", ("number", 3), "mean cost of the start under a clear sky", |c| {
            Some(c.cost / f64::from(c.days.max(1)))
        }),
        mean(
            "mean_choose_min",
            ("min", 3),
            "mean of play in which a camera has to expose for sun or for shade",
            |c| Some(c.choose_min / f64::from(c.days.max(1))),
        ),
        mean(
            "good_days_in_ten",
            ("0 to 10", 2),
            "of ten days with the weather of the place, how many are in good light; empty without \
             weather, as the two below",
            |c| c.in_weather(|sum| 10.0 * sum.good),
        ),
        mean("sun_share", ("0 to 1", 4), "of play with direct sun to be expected", |c| {
            c.in_weather(|sum| sum.sun)
        }),
        mean("mean_expected_cost", ("number", 3), "mean cost to be expected", |c| {
            c.in_weather(|sum| sum.cost)
        }),
        days(
            "dark",
            "days with play in the dark without floodlights, whatever the light before",
            |c| c.light[3],
        ),
    ]
}

/// Columns of `league.csv`.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&list())
}

/// Days of one start in one month.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct DayCount {
    pub days: u32,
    /// Good, fair, hard, dark.
    pub light: [u32; 4],
    pub cost: f64,
    pub choose_min: f64,
    /// Days that have weather, and sums over them.
    weathered: u32,
    weather: [f64; 3],
}

impl DayCount {
    /// Share of days in hard light or with play in the dark, 0 to 1.
    pub fn hard(&self) -> f64 {
        f64::from(self.light[2] + self.light[3]) / f64::from(self.days.max(1))
    }

    /// Mean good days in ten with the weather of the place; `None` without weather.
    pub fn good_in_ten(&self) -> Option<f64> {
        self.in_weather(|sum| 10.0 * sum.good)
    }

    /// Mean over the days that have weather.
    fn in_weather(&self, of: fn(&UnderWeather) -> f64) -> Option<f64> {
        let [good, sun, cost] = self.weather.map(|sum| sum / f64::from(self.weathered.max(1)));
        (self.weathered > 0).then(|| of(&UnderWeather { good, sun, cost }))
    }

    fn add(&mut self, other: &Self) {
        self.days += other.days;
        self.light.iter_mut().zip(other.light).for_each(|(sum, more)| *sum += more);
        self.cost += other.cost;
        self.choose_min += other.choose_min;
        self.weathered += other.weathered;
        self.weather.iter_mut().zip(other.weather).for_each(|(sum, more)| *sum += more);
    }
}

/// Days by venue, month of the year, and minute of the day.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tally(BTreeMap<(usize, u32, i32), DayCount>);

impl Tally {
    pub fn add(&mut self, venue: usize, rows: &[LeagueRow]) {
        for row in rows {
            let mut light = [0; 4];
            let level = LIGHT_WORDS.iter().position(|word| *word == row.light);
            if let Some(count) = level.and_then(|level| light.get_mut(level)) {
                *count = 1;
            }
            let choose_min = row.parts.get(CHOOSE).copied().unwrap_or_default();
            let one = DayCount {
                days: 1,
                light,
                cost: row.cost,
                choose_min,
                weathered: u32::from(row.weather.is_some()),
                weather: row.weather.map_or([0.0; 3], UnderWeather::values),
            };
            self.0.entry((venue, row.date.month(), row.start_min)).or_default().add(&one);
        }
    }

    /// Starts of any venue, minutes of the day.
    pub fn starts(&self) -> Vec<i32> {
        let mut all: Vec<i32> = self.0.keys().map(|key| key.2).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    pub fn of(&self, venue: usize, month: u32, start: i32) -> Option<&DayCount> {
        self.0.get(&(venue, month, start))
    }

    /// Over all months.
    pub fn year(&self, venue: usize, start: i32) -> DayCount {
        let mut sum = DayCount::default();
        (1..=12).filter_map(|month| self.of(venue, month, start)).for_each(|c| sum.add(c));
        sum
    }

    /// `league.csv`.
    ///
    /// # Errors
    /// [`CsvError`] where the writer refuses, which nothing should cause.
    pub fn csv(&self, titles: &[&str]) -> Result<Vec<u8>, CsvError> {
        let rows = self.0.iter().map(|((venue, month, start), count)| Sums {
            venue: titles.get(*venue).copied().unwrap_or_default(),
            month: *month,
            start: *start,
            count,
        });
        table::csv(&list(), rows)
    }
}

/// "16:30".
pub(super) fn clock(minute: i32) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}
