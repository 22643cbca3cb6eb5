//! `forecast.csv`: one row for each instant.

use crate::base::slug::unique_ids;
use crate::jobs::forecast::{DayOutlook, Minute};
use crate::output::csv::{CsvError, table};
use crate::output::words::{fixed, local_time};
use crate::venue::Venue;
use crate::weather::State;

/// Name, unit and meaning of each column; `<camera>` stands for the ids of the venue's own.
pub const COLUMNS: [(&str, &str, &str); 14] = [
    ("time", "RFC 3339", "instant, with the venue's offset"),
    ("expect", "word", "sun, cloud, changing, either (one of them, open which) or unknown"),
    ("telling", "word", "agree, one_member, disagree or nothing: what members say together"),
    ("sun", "0 to 1", "odds of direct sun, mean of the members"),
    ("sun_10", "0 to 1", "10th percentile of the members"),
    ("sun_90", "0 to 1", "90th percentile of the members"),
    ("clear", "0 to 1", "odds of a clear sky"),
    ("thin", "0 to 1", "odds of sun through thin cloud"),
    ("gap", "0 to 1", "odds of sun in a gap of broken cloud"),
    ("cumulus", "0 to 1", "odds of a cloud over the sun, the rest open"),
    ("overcast", "0 to 1", "odds of a full sky without direct sun"),
    ("camera_<camera>_split_stops", "stop", "expected split in shot; 0 counts where none is"),
    ("camera_<camera>_split_stops_10", "stop", "10th percentile over the skies"),
    ("camera_<camera>_split_stops_90", "stop", "90th percentile over the skies"),
];
/// Those of an instant; the others are a camera's.
const OF_INSTANT: usize = 11;

/// The header of a venue.
pub fn header(venue: &Venue) -> Vec<String> {
    let (instant, camera) = COLUMNS.split_at(OF_INSTANT);
    let mut header: Vec<String> = instant.iter().map(|c| c.0.to_owned()).collect();
    for id in unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera") {
        header.extend(camera.iter().map(|c| c.0.replace("<camera>", &id)));
    }
    header
}

/// The table.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(venue: &Venue, day: &DayOutlook) -> Result<Vec<u8>, CsvError> {
    table(header(venue), day.minutes.iter().map(|minute| row(venue, minute)))
}

fn row(venue: &Venue, minute: &Minute) -> Vec<String> {
    let maybe = |value: Option<f64>, digits| value.map_or_else(String::new, |v| fixed(v, digits));
    let sky = &minute.sky;
    let mut row = vec![
        local_time(minute.at),
        minute.expect.word().to_owned(),
        sky.telling.word().to_owned(),
        maybe(sky.states.map(|s| s.sun()), 3),
        maybe(sky.sun.percentile(10.0), 3),
        maybe(sky.sun.percentile(90.0), 3),
    ];
    row.extend(State::ALL.map(|state| maybe(sky.states.map(|s| s.share(state)), 3)));
    for camera in 0..venue.cameras.len() {
        let split = minute.splits.get(camera);
        row.push(maybe(split.and_then(|s| s.expected()), 2));
        row.extend([10.0, 90.0].map(|p| maybe(split.and_then(|s| s.percentile(p)), 2)));
    }
    row
}
