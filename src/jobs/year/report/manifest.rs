//! What a folder of a year holds.
//!
//! In: a venue, its file, what is asked. Out: [`Manifest`], with a hash of all that the rows
//! are worked out from.

use std::hash::Hasher;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use twox_hash::XxHash64;

use crate::base::meaning::meaning;
use crate::engine::season::Weather;
use crate::venue::Venue;

use super::columns::columns;

/// Number of this form of the columns; changes when a meaning changes.
pub const FORMAT: u32 = 4;
pub(super) const DATE: &str = "%Y-%m-%d";

/// What the rows of a year are asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct YearRequest {
    /// What folders call the venue.
    pub venue: String,
    /// First and last day.
    pub first: NaiveDate,
    pub last: NaiveDate,
    pub step_min: u32,
    pub weather: Weather,
}

/// A part of the days: day `k`, counted from 0 at the first one asked for, belongs to
/// shard `k mod of + 1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Shard {
    /// 1 to `of`.
    pub number: u32,
    pub of: u32,
}

impl Shard {
    /// All days.
    pub const WHOLE: Self = Self { number: 1, of: 1 };

    /// Whether the shard has a day, counted from 0.
    pub fn has(self, day: usize) -> bool {
        day as u64 % u64::from(self.of.max(1)) + 1 == u64::from(self.number)
    }
}

/// What a folder holds, for people and for later runs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    pub format: u32,
    pub program: String,
    pub venue: String,
    /// Hash (XXH64) of what the venue file says, comments left out, of the files that it names, and of all that the
    /// command asks for.
    pub inputs: String,
    pub time_zone: String,
    pub first_date: String,
    pub last_date: String,
    pub step_min: u32,
    pub sky: String,
    /// The air assumed, in words.
    #[serde(default)]
    pub air: String,
    pub shards: String,
    pub columns: Vec<String>,
}

/// What tells one content of a file from another (XXH64).
pub fn fingerprint(bytes: &[u8]) -> u64 {
    XxHash64::oneshot(0, bytes)
}

impl Manifest {
    /// Of a venue, the text of its file, the [`fingerprint`]s of the files that it names,
    /// and what is asked.
    pub fn new(venue: &Venue, file: &str, models: &[u64], ask: &YearRequest) -> Self {
        let program = concat!("quarterstop ", env!("CARGO_PKG_VERSION")).to_owned();
        let mut hash = XxHash64::with_seed(0);
        hash.write(&meaning(file.as_bytes()));
        for model in models {
            hash.write(format!("\0model {model:016x}").as_bytes());
        }
        hash.write(format!("\0{FORMAT} {program} {ask:?}").as_bytes());
        Self {
            format: FORMAT,
            inputs: format!("{:016x}", hash.finish()),
            program,
            venue: venue.title.clone(),
            time_zone: venue.place.zone.name().to_owned(),
            first_date: ask.first.format(DATE).to_string(),
            last_date: ask.last.format(DATE).to_string(),
            step_min: ask.step_min,
            sky: ask.weather.sky.to_string(),
            air: ask.weather.air.statement(),
            shards: "day k, from 0 at first_date, belongs to shard (k mod n) + 1 of n".to_owned(),
            columns: columns(venue).into_iter().map(|column| column.name).collect(),
        }
    }
}
