//! Hours and places as CSV: one row a camera, hour and shot.
//!
//! In: a venue and a [`Comparison`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row).

use crate::jobs::ball::{Comparison, Hour, Part, ShotScore, SiteHours};
use crate::output::csv::{CsvError, table};
use crate::output::words;
use crate::output::words::fixed;
use crate::venue::Venue;

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 26] = [
    ("camera", "name", "or the place of a candidate"),
    ("candidate", "name", "the table it belongs to; empty for a camera that is there now"),
    ("along_m", "m", "where the lens is, field axes"),
    ("across_m", "m", "the same, to the left"),
    ("up_m", "m", "the same, over the plane of the field"),
    ("place_rank", "number", "of the camera, 1 has the lowest mean penalty over the hours"),
    ("time", "RFC 3339", "time in the venue's zone, with its offset"),
    ("sun_azimuth_deg", "degree", "clockwise from true north"),
    ("sun_apparent_elevation_deg", "degree", "apparent"),
    ("hour_rank", "number", "of the hour for this camera, 1 has the lowest penalty"),
    ("hour_penalty", "number", "weighed sum of the parts, mean over the shots"),
    ("shot", "name", "the file's; \"the ball\" where options say how it is struck"),
    ("shot_penalty", "number", "of this shot alone"),
    ("close_stops", "stop", "to close for the background, against the strike"),
    ("rate_over", "ratio", "how much faster than it can the iris would have to be; 3 at the most"),
    ("landing_stops", "stop", "that blacks are crushed by when the ball is down"),
    ("unseen_share", "0 to 1", "of the flight, with too little contrast"),
    ("hidden_share", "0 to 1", "of the flight, behind something"),
    ("sun_in_frame_share", "0 to 1", "of the flight, sway counted"),
    ("sun_near_share", "0 to 1", "of the flight, with the sun on the front element"),
    ("least_rate_stops_per_s", "stop/s", "a ride from the strike on needs; empty where none does"),
    ("hand_starts_s", "s", "since the strike; empty where nothing is to close"),
    ("left_at_landing_stops", "stop", "more closed than needed when the ball is down"),
    ("rate_stops_per_s", "stop/s", "that the iris does"),
    ("hour_trouble", "number", "hour_penalty under its earlier name"),
    ("shot_trouble", "number", "shot_penalty under its earlier name"),
];

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(venue: &Venue, found: &Comparison) -> Result<Vec<u8>, CsvError> {
    let places = found.ranked();
    let rank = |of: &[usize], i: usize| of.iter().position(|x| *x == i).map_or(0, |r| r + 1);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (s, site) in found.sites.iter().enumerate() {
        let hours = site.ranked();
        for (h, hour) in site.hours.iter().enumerate() {
            let ranks = (rank(&places, s), rank(&hours, h));
            for (name, shot) in found.shots.iter().zip(&hour.shots) {
                rows.push(row(venue, found, (site, hour), ranks, (name, shot)));
            }
        }
    }
    table(COLUMNS.map(|c| c.0).to_vec(), rows.into_iter())
}

fn row(
    venue: &Venue,
    found: &Comparison,
    (site, hour): (&SiteHours, &Hour),
    (place_rank, hour_rank): (usize, usize),
    (name, shot): (&str, &ShotScore),
) -> Vec<String> {
    let at = venue.field.frame.to_field(site.site.post.at);
    let candidate = site.site.candidate.and_then(|c| venue.candidates.get(c));
    let or_empty = |v: Option<f64>| v.map_or_else(String::new, |v| fixed(v, 3));
    let hour_penalty = fixed(hour.penalty, 4);
    let shot_penalty = fixed(found.weights.penalty(&shot.parts), 4);
    let mut row = vec![
        site.site.post.name.clone(),
        candidate.map_or_else(String::new, |c| c.name.clone()),
        fixed(at.along_m, 2),
        fixed(at.across_m, 2),
        fixed(at.up_m, 2),
        place_rank.to_string(),
        words::local_time(hour.at),
        fixed(hour.sun.0.degrees(), 2),
        fixed(hour.sun.1.degrees(), 2),
        hour_rank.to_string(),
        hour_penalty.clone(),
        name.to_owned(),
        shot_penalty.clone(),
    ];
    row.extend(Part::ALL.iter().map(|part| fixed(shot.parts.get(*part), 4)));
    row.push(or_empty(shot.least_rate));
    row.push(or_empty(shot.hand_starts_s));
    row.push(fixed(shot.left_at_landing, 3));
    row.push(fixed(found.settings.rate, 3));
    row.extend([hour_penalty, shot_penalty]);
    row
}
