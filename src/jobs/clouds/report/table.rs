//! `clouds.csv`: one row a camera.

use crate::jobs::clouds::{CameraOutlook, Chase, Outlook};
use crate::output::csv::{CsvError, table};
use crate::output::words::{fixed, local_time};
use crate::venue::Venue;

use super::reach_word;

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 17] = [
    ("camera", "text", "name"),
    ("time", "RFC 3339", "minute of play when a cloud takes most from its subjects"),
    ("swing_stops", "stop", "how much darker a subject in the sun is under the cloud"),
    ("swing_mired", "mired", "colour under the cloud over that in the sun"),
    ("usual_s", "s", "how long the light takes to fall, median wind, a usual edge of cloud"),
    ("usual_mean_stops_per_s", "stop/s", "over that time"),
    ("usual_peak_stops_per_s", "stop/s", "where it is fastest"),
    ("usual_behind_stops", "stop", "how far a hand is off at worst"),
    ("usual_follow", "word", "follows (0.5 stop at most), late (up to 1) or too_fast"),
    ("fast_s", "s", "the same for a wind that one day of ten passes and a sharp edge"),
    ("fast_peak_stops_per_s", "stop/s", "where it is fastest"),
    ("fast_behind_stops", "stop", "how far a hand is off at worst"),
    ("fast_follow", "word", "follows, late or too_fast"),
    ("sun_t", "T-number", "for the sunlit side with the ND of that run of play"),
    ("cloud_t", "T-number", "for the same under the cloud"),
    ("nd_stops", "stop", "ND of that run of play"),
    ("in_reach", "word", "both, too_dark_under_cloud, too_bright_in_sun or unknown"),
];

/// The table.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(venue: &Venue, outlook: &Outlook) -> Result<Vec<u8>, CsvError> {
    let rows = outlook.cameras.iter().map(|camera| row(venue, camera));
    table(COLUMNS.map(|c| c.0), rows)
}

fn row(venue: &Venue, camera: &CameraOutlook) -> Vec<String> {
    let name = venue.cameras.get(camera.camera).map_or("", |c| c.name.as_str());
    let maybe = |value: Option<f64>, digits| value.map_or_else(String::new, |v| fixed(v, digits));
    let chase = |chase: &Chase| {
        let passage = &chase.passage;
        [
            fixed(passage.seconds, 1),
            fixed(passage.mean_stops_per_s, 3),
            fixed(passage.peak_stops_per_s, 3),
            fixed(chase.behind_stops, 2),
            chase.follow.word().to_owned(),
        ]
    };
    let [fast_s, _, fast_peak, fast_behind, fast_follow] = chase(&camera.fast);
    let mut row = vec![
        name.to_owned(),
        local_time(camera.at),
        fixed(camera.swing.stops.stops(), 2),
        maybe(camera.swing.mired, 0),
    ];
    row.extend(chase(&camera.usual));
    row.extend([fast_s, fast_peak, fast_behind, fast_follow]);
    row.extend([
        maybe(camera.sun_t, 2),
        maybe(camera.cloud_t, 2),
        fixed(camera.nd_stops, 2),
        reach_word(camera.in_reach).to_owned(),
    ]);
    row
}
