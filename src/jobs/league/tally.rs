//! Sums over a data set: by venue, month of the year and start.
//!
//! In: rows, part by part. Out: how many days were in which light. It grows with venues and
//! starts, not with the span.

use std::collections::BTreeMap;

use chrono::Datelike;

use crate::output::csv::{CsvError, table};
use crate::output::words::fixed;

use super::store::{LIGHT_WORDS, Row};

/// Name, unit and meaning of each column of `league.csv`.
pub const TALLY_COLUMNS: [(&str, &str, &str); 9] = [
    ("venue", "text", "title of the venue file"),
    ("month", "1 to 12", "month of the year, all years together"),
    ("start", "HH:MM", "on the venue's clocks"),
    ("days", "number", "days counted"),
    ("good", "number", "of them in good light"),
    ("fair", "number", "in fair light"),
    ("hard", "number", "in hard light"),
    ("mean_cost", "number", "mean cost of the start"),
    ("mean_choose_min", "min", "mean of play in which a camera has to expose for sun or for shade"),
];
/// Place of the minutes of choice among the parts.
const CHOOSE: usize = 3;

/// Days of one start in one month.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Count {
    pub days: u32,
    /// Good, fair, hard.
    pub light: [u32; 3],
    pub cost: f64,
    pub choose_min: f64,
}

impl Count {
    /// Share of days in hard light, 0 to 1.
    pub fn hard(&self) -> f64 {
        f64::from(self.light[2]) / f64::from(self.days.max(1))
    }

    fn add(&mut self, other: &Self) {
        self.days += other.days;
        self.light.iter_mut().zip(other.light).for_each(|(sum, more)| *sum += more);
        self.cost += other.cost;
        self.choose_min += other.choose_min;
    }
}

/// Days by venue, month of the year, and minute of the day.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tally(BTreeMap<(usize, u32, i32), Count>);

impl Tally {
    pub fn add(&mut self, venue: usize, rows: &[Row]) {
        for row in rows {
            let mut light = [0; 3];
            let level = LIGHT_WORDS.iter().position(|word| *word == row.light);
            if let Some(count) = level.and_then(|level| light.get_mut(level)) {
                *count = 1;
            }
            let choose_min = row.parts.get(CHOOSE).copied().unwrap_or_default();
            let one = Count { days: 1, light, cost: row.cost, choose_min };
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

    pub fn of(&self, venue: usize, month: u32, start: i32) -> Option<&Count> {
        self.0.get(&(venue, month, start))
    }

    /// Over all months.
    pub fn year(&self, venue: usize, start: i32) -> Count {
        let mut sum = Count::default();
        (1..=12).filter_map(|month| self.of(venue, month, start)).for_each(|c| sum.add(c));
        sum
    }

    /// `league.csv`.
    ///
    /// # Errors
    /// [`CsvError`] where the writer refuses, which nothing should cause.
    pub fn csv(&self, titles: &[&str]) -> Result<Vec<u8>, CsvError> {
        let rows = self.0.iter().map(|((venue, month, start), count)| {
            let mean = |sum: f64| fixed(sum / f64::from(count.days.max(1)), 3);
            let [good, fair, hard] = count.light.map(|n| n.to_string());
            vec![
                titles.get(*venue).copied().unwrap_or_default().to_owned(),
                month.to_string(),
                clock(*start),
                count.days.to_string(),
                good,
                fair,
                hard,
                mean(count.cost),
                mean(count.choose_min),
            ]
        });
        table(TALLY_COLUMNS.map(|c| c.0), rows)
    }
}

/// "16:30".
pub(super) fn clock(minute: i32) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}
