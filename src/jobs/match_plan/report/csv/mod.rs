//! The CSV of a match: one row for each instant, wide.
//!
//! In: a venue and its [`MatchPlan`]. Out: RFC 4180 text (UTF-8, comma, CRLF,
//! one header row). Every column name says its unit; decimals follow from what
//! the number is good for; an absent value is an empty field.
//!
//! The tables below are the one list of columns: the header, the rows and the
//! documentation ([`columns()`]) all come from them.

use crate::base::slug::unique_ids;
use crate::engine::{Instant, MatchPlan, PlaneShade};
use crate::geometry::ShadeShare;
use crate::jobs::match_plan::facts::SplitTarget;
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number};
use crate::venue::Venue;

use columns::{of_instant, of_share};
use split::of_split;

pub mod columns;
mod split;

/// A plane, its prefix in column names, and how the documentation calls it.
struct Plane {
    prefix: &'static str,
    meaning: &'static str,
    of: fn(&Instant) -> &PlaneShade,
}

const PLANES: [Plane; 2] = [
    Plane { prefix: "turf", meaning: "on the turf (0 m)", of: |i| &i.turf },
    Plane { prefix: "face", meaning: "at face height (1.7 m)", of: |i| &i.face },
];

/// An area beside the field of play, its word in column names, what the documentation
/// calls it.
struct Around {
    word: &'static str,
    meaning: &'static str,
    of: fn(&PlaneShade) -> &ShadeShare,
}

/// After all other columns, which were there first.
const AROUND: [Around; 2] = [
    Around {
        word: "playing_area",
        meaning: "playing area, the field of play counted",
        of: |plane| &plane.playing_area,
    },
    Around {
        word: "surrounds",
        meaning: "all of the ground that is planned, the playing area counted",
        of: |plane| &plane.surrounds,
    },
];

/// Every plane with every area around the field.
fn around() -> impl Iterator<Item = (&'static Plane, &'static Around)> {
    PLANES.iter().flat_map(|plane| AROUND.iter().map(move |around| (plane, around)))
}

/// The splits of a camera, in the order of their columns.
const TARGETS: [SplitTarget; 2] = [SplitTarget::Turf, SplitTarget::Subject];

fn target_word(target: SplitTarget) -> &'static str {
    match target {
        SplitTarget::Turf => "turf",
        SplitTarget::Subject => "subject",
    }
}

/// What a row is made of.
#[derive(Clone, Copy)]
struct Row<'a> {
    plan: &'a MatchPlan,
    instant: &'a Instant,
}

impl<'a> Row<'a> {
    /// Share of a cover that is not in full sun, where the camera covers any of the ground.
    fn shaded_share(&self, camera: usize) -> Option<f64> {
        let covers = self.plan.covers.get(camera).is_some_and(|c| c.area_m2 > 0.0);
        self.instant.cameras.get(camera).filter(|_| covers).map(|view| view.shaded_share)
    }
}

/// The columns for zones and cameras of these ids.
fn of_row<'a>(zones: &[String], cameras: &[String]) -> Vec<Column<'a, Row<'a>>> {
    let mut list: Vec<_> = of_instant().into_iter().map(of_instant_of_row).collect();
    for plane in &PLANES {
        let (prefix, meaning) = (plane.prefix, plane.meaning);
        list.extend(of_share().into_iter().map(|column| {
            column
                .called(&format!("{prefix}_field_"), &format!(", field of play, {meaning}"))
                .within(|row: &Row<'a>| Some(&(plane.of)(row.instant).field))
        }));
        for (index, zone) in zones.iter().enumerate() {
            list.extend(of_share().into_iter().map(|column| {
                column
                    .called(&format!("{prefix}_zone_{zone}_"), &format!(", zone, {meaning}"))
                    .within(move |row: &Row<'a>| (plane.of)(row.instant).zones.get(index))
            }));
        }
    }
    for (index, camera) in cameras.iter().enumerate() {
        list.push(number(
            format!("camera_{camera}_shaded_share"),
            ("0 to 1", 4),
            "share of the cover's turf, as ground, not in full sun; empty without a cover",
            move |row: &Row<'a>| row.shaded_share(index),
        ));
        for target in TARGETS {
            let word = target_word(target);
            list.extend(of_split().into_iter().map(|column| {
                column.called(&format!("camera_{camera}_{word}_"), &format!(", {word}")).within(
                    move |row: &Row<'a>| row.instant.cameras.get(index).map(|v| target.split(v)),
                )
            }));
        }
    }
    for (plane, area) in around() {
        list.extend(of_share().into_iter().map(|column| {
            column
                .called(
                    &format!("{}_{}_", plane.prefix, area.word),
                    &format!(", {}, {}", area.meaning, plane.meaning),
                )
                .within(|row: &Row<'a>| Some((area.of)((plane.of)(row.instant))))
        }));
    }
    list
}

fn of_instant_of_row<'a>(column: Column<'a, Instant>) -> Column<'a, Row<'a>> {
    column.within(|row: &Row<'a>| Some(row.instant))
}

/// Every column in order, families of columns once, for the documentation.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row(&["<zone>".to_owned()], &["<camera>".to_owned()]))
}

fn of_venue<'a>(venue: &Venue) -> Vec<Column<'a, Row<'a>>> {
    let zones = unique_ids(venue.zones.iter().map(|z| z.name.as_str()), "zone");
    let cameras = unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera");
    of_row(&zones, &cameras)
}

/// The header row of a venue.
pub fn header(venue: &Venue) -> Vec<String> {
    of_venue(venue).into_iter().map(|column| column.name).collect()
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no venue and plan of the same
/// run should cause.
pub fn write(venue: &Venue, plan: &MatchPlan) -> Result<Vec<u8>, CsvError> {
    table::csv(&of_venue(venue), plan.instants.iter().map(|instant| Row { plan, instant }))
}
