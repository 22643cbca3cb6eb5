//! `clouds.csv`: one row a camera.

use crate::jobs::clouds::{CameraOutlook, Chase, Outlook};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::output::words::local_time;
use crate::venue::Venue;

use super::reach_word;

/// A camera's name and what clouds do to its light.
type Row<'a> = (&'a str, &'a CameraOutlook);

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    const FALL: &str = "how long the light takes to fall, median wind, a usual edge of cloud";
    const FAST: &str = "the same for a wind that one day of ten passes and a sharp edge";
    let mut list = vec![
        text("camera", "text", "name", |r: &Row<'a>| r.0.to_owned()),
        text(
            "time",
            "RFC 3339",
            "minute of play when a cloud takes most from its subjects",
            |r: &Row<'a>| local_time(r.1.at),
        ),
        number(
            "swing_stops",
            ("stop", 2),
            "how much darker a subject in the sun is under the cloud",
            |r: &Row<'a>| Some(r.1.swing.stops.stops()),
        ),
        number(
            "swing_mired",
            ("mired", 0),
            "colour under the cloud over that in the sun",
            |r: &Row<'a>| r.1.swing.mired,
        ),
    ];
    let mean = number("usual_mean_stops_per_s", ("stop/s", 3), "over that time", |c: &Chase| {
        Some(c.passage.mean_stops_per_s)
    });
    let [seconds, peak, behind, follow] =
        of_chase("usual", FALL, "follows (0.5 stop at most), late (up to 1) or too_fast");
    let usual = [seconds, mean, peak, behind, follow];
    list.extend(usual.map(|column| column.within(|r: &Row<'a>| Some(&r.1.usual))));
    let fast = of_chase("fast", FAST, "follows, late or too_fast");
    list.extend(fast.map(|column| column.within(|r: &Row<'a>| Some(&r.1.fast))));
    list.extend([
        number(
            "sun_t",
            ("T-number", 2),
            "for the sunlit side with the ND of that run of play",
            |r: &Row<'a>| r.1.sun_t,
        ),
        number("cloud_t", ("T-number", 2), "for the same under the cloud", |r: &Row<'a>| {
            r.1.cloud_t
        }),
        number("nd_stops", ("stop", 2), "ND of that run of play", |r: &Row<'a>| Some(r.1.nd_stops)),
        text(
            "in_reach",
            "word",
            "both, too_dark_under_cloud, too_bright_in_sun or unknown",
            |r: &Row<'a>| reach_word(r.1.in_reach).to_owned(),
        ),
    ]);
    list
}

/// How a hand on the iris follows a cloud.
fn of_chase<'a>(kind: &str, length: &'static str, words: &'static str) -> [Column<'a, Chase>; 4] {
    [
        number(format!("{kind}_s"), ("s", 1), length, |c: &Chase| Some(c.passage.seconds)),
        number(
            format!("{kind}_peak_stops_per_s"),
            ("stop/s", 3),
            "where it is fastest",
            |c: &Chase| Some(c.passage.peak_stops_per_s),
        ),
        number(
            format!("{kind}_behind_stops"),
            ("stop", 2),
            "how far a hand is off at worst",
            |c: &Chase| Some(c.behind_stops),
        ),
        text(format!("{kind}_follow"), "word", words, |c: &Chase| c.follow.word().to_owned()),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The table.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(venue: &Venue, outlook: &Outlook) -> Result<Vec<u8>, CsvError> {
    let name = |camera: usize| venue.cameras.get(camera).map_or("", |c| c.name.as_str());
    table::csv(&of_row(), outlook.cameras.iter().map(|camera| (name(camera.camera), camera)))
}
