//! Data sets that query engines read where they lie.
//!
//! In: the name of a ground, a date, notes. Out: folders `venue=NAME/month=YYYY-MM`, named the
//! way that Hive does, so that engines read both from them and skip what a query does not
//! ask for; properties of a Parquet file that states what its rows are sorted by; dates as
//! Parquet keeps them.

use chrono::{Datelike, NaiveDate};
use parquet::file::metadata::{KeyValue, SortingColumn};
use parquet::file::properties::WriterProperties;

/// 1970-01-01 in days of the common era.
const EPOCH: i32 = 719_163;

/// "venue=mill-lane/month=2027-04".
pub fn name(venue: &str, (year, month): (i32, u32)) -> String {
    format!("{}/month={year:04}-{month:02}", venue_folder(venue))
}

/// "venue=mill-lane".
pub fn venue_folder(venue: &str) -> String {
    format!("venue={venue}")
}

/// Of a file with some notes, whose rows are in order of the column at a place.
pub fn properties(notes: Vec<KeyValue>, sorted_by: i32) -> WriterProperties {
    let sorted = SortingColumn { column_idx: sorted_by, descending: false, nulls_first: false };
    WriterProperties::builder()
        .set_created_by(concat!("quarterstop ", env!("CARGO_PKG_VERSION")).to_owned())
        .set_key_value_metadata(Some(notes))
        .set_sorting_columns(Some(vec![sorted]))
        .build()
}

/// Days since 1970-01-01.
pub fn epoch_days(date: NaiveDate) -> i32 {
    date.num_days_from_ce() - EPOCH
}

/// The date again; `None` outside the calendar.
pub fn date_of(epoch_days: i32) -> Option<NaiveDate> {
    NaiveDate::from_num_days_from_ce_opt(epoch_days.checked_add(EPOCH)?)
}
