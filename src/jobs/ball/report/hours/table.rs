//! Hours and places as CSV: one row a camera, hour and shot.
//!
//! In: a venue and a [`Comparison`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row).

use crate::base::frame::FieldPoint;
use crate::jobs::ball::{BallHour, BallPenaltyPart, Comparison, ShotScore, SiteHours};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::output::words::local_time;
use crate::venue::Venue;

/// A shot at an hour from a place; ranks count from 1.
struct Row<'a> {
    venue: &'a Venue,
    found: &'a Comparison,
    site: &'a SiteHours,
    place_rank: usize,
    hour: &'a BallHour,
    hour_rank: usize,
    name: &'a str,
    shot: &'a ShotScore,
}

impl Row<'_> {
    fn at(&self) -> FieldPoint {
        self.venue.field.frame.to_field(self.site.site.post.at)
    }

    fn candidate(&self) -> String {
        let candidate = self.site.site.candidate.and_then(|c| self.venue.candidates.get(c));
        candidate.map_or_else(String::new, |c| c.name.clone())
    }

    fn shot_penalty(&self) -> f64 {
        self.found.weights.penalty(&self.shot.parts)
    }
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let mut list = of_hour();
    list.extend(of_shot());
    list.extend(BallPenaltyPart::ALL.map(|part| {
        let (name, unit, meaning) = part.column();
        number(name, (unit, 4), meaning, move |r: &Row<'a>| Some(r.shot.parts.get(part)))
    }));
    list.extend(of_hand());
    list
}

/// Where the camera is, and when.
fn of_hour<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        text("camera", "name", "or the place of a candidate", |r: &Row<'a>| {
            r.site.site.post.name.clone()
        }),
        text(
            "candidate",
            "name",
            "the table it belongs to; empty for a camera that is there now",
            Row::candidate,
        ),
        number("along_m", ("m", 2), "where the lens is, field axes", |r: &Row<'a>| {
            Some(r.at().along_m)
        }),
        number("across_m", ("m", 2), "the same, to the left", |r: &Row<'a>| Some(r.at().across_m)),
        number("up_m", ("m", 2), "the same, over the plane of the field", |r: &Row<'a>| {
            Some(r.at().up_m)
        }),
        number(
            "place_rank",
            ("number", 0),
            "of the camera, 1 has the lowest mean penalty over the hours",
            |r: &Row<'a>| Some(r.place_rank as f64),
        ),
        text("time", "RFC 3339", "time in the venue's zone, with its offset", |r: &Row<'a>| {
            local_time(r.hour.at)
        }),
        number("sun_azimuth_deg", ("degree", 2), "clockwise from true north", |r: &Row<'a>| {
            Some(r.hour.sun.0.degrees())
        }),
        number("sun_apparent_elevation_deg", ("degree", 2), "apparent", |r: &Row<'a>| {
            Some(r.hour.sun.1.degrees())
        }),
        number(
            "hour_rank",
            ("number", 0),
            "of the hour for this camera, 1 has the lowest penalty",
            |r: &Row<'a>| Some(r.hour_rank as f64),
        ),
        number(
            "hour_penalty",
            ("number", 4),
            "weighed sum of the parts, mean over the shots",
            |r: &Row<'a>| Some(r.hour.penalty),
        ),
    ]
}

fn of_shot<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        text(
            "shot",
            "name",
            "the file's; \"the ball\" where options say how it is struck",
            |r: &Row<'a>| r.name.to_owned(),
        ),
        number("shot_penalty", ("number", 4), "of this shot alone", |r: &Row<'a>| {
            Some(r.shot_penalty())
        }),
    ]
}

/// What a hand on the iris has to do.
fn of_hand<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        number(
            "least_rate_stops_per_s",
            ("stop/s", 3),
            "a ride from the strike on needs; empty where none does",
            |r: &Row<'a>| r.shot.least_rate,
        ),
        number(
            "hand_starts_s",
            ("s", 3),
            "since the strike; empty where nothing is to close",
            |r: &Row<'a>| r.shot.hand_starts_s,
        ),
        number(
            "left_at_landing_stops",
            ("stop", 3),
            "more closed than needed when the ball is down",
            |r: &Row<'a>| Some(r.shot.left_at_landing),
        ),
        number("rate_stops_per_s", ("stop/s", 3), "that the iris does", |r: &Row<'a>| {
            Some(r.found.settings.rate)
        }),
        number(
            "hour_trouble",
            ("number", 4),
            "hour_penalty under its earlier name",
            |r: &Row<'a>| Some(r.hour.penalty),
        ),
        number(
            "shot_trouble",
            ("number", 4),
            "shot_penalty under its earlier name",
            |r: &Row<'a>| Some(r.shot_penalty()),
        ),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(venue: &Venue, found: &Comparison) -> Result<Vec<u8>, CsvError> {
    let places = found.ranked();
    let rank = |of: &[usize], i: usize| of.iter().position(|x| *x == i).map_or(0, |r| r + 1);
    let mut rows = Vec::new();
    for (s, site) in found.sites.iter().enumerate() {
        let (hours, place_rank) = (site.ranked(), rank(&places, s));
        for (h, hour) in site.hours.iter().enumerate() {
            let hour_rank = rank(&hours, h);
            rows.extend(found.shots.iter().zip(&hour.shots).map(|(name, shot)| Row {
                venue,
                found,
                site,
                place_rank,
                hour,
                hour_rank,
                name,
                shot,
            }));
        }
    }
    table::csv(&of_row(), rows)
}
