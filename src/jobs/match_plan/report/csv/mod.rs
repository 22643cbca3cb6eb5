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
use crate::jobs::match_plan::facts::Target;
use crate::output::csv::{CsvError, table};
use crate::output::words;
use crate::venue::Venue;

use columns::{Column, INSTANT, SHARE};
use split::SPLIT;

pub mod columns;
mod split;

/// One column, or a family of columns, as the documentation lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnDoc {
    /// The name; `<zone>` and `<camera>` stand for the ids of the venue's own.
    pub name: String,
    /// Unit or form of the value.
    pub unit: &'static str,
    /// What it says.
    pub meaning: String,
}

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

const SHADED_COVER: &str = "shaded_share";

/// The splits of a camera, in the order of their columns.
const TARGETS: [Target; 2] = [Target::Turf, Target::Subject];

fn target_word(target: Target) -> &'static str {
    match target {
        Target::Turf => "turf",
        Target::Subject => "subject",
    }
}

/// Every column in order, families of columns once, for the documentation.
pub fn columns() -> Vec<ColumnDoc> {
    let mut list: Vec<ColumnDoc> = INSTANT.iter().map(|c| c.doc("", "")).collect();
    for plane in &PLANES {
        let field = format!("{}_field_", plane.prefix);
        let of_field = format!(", field of play, {}", plane.meaning);
        list.extend(SHARE.iter().map(|c| c.doc(&field, &of_field)));
        let zone = format!("{}_zone_<zone>_", plane.prefix);
        let of_zone = format!(", zone, {}", plane.meaning);
        list.extend(SHARE.iter().map(|c| c.doc(&zone, &of_zone)));
    }
    list.push(ColumnDoc {
        name: format!("camera_<camera>_{SHADED_COVER}"),
        unit: "0 to 1",
        meaning: "share of the cover's turf, as ground, not in full sun; empty without a cover"
            .to_owned(),
    });
    for target in TARGETS.map(target_word) {
        let prefix = format!("camera_<camera>_{target}_");
        let of_target = format!(", {target}");
        list.extend(SPLIT.iter().map(|c| c.doc(&prefix, &of_target)));
    }
    for (plane, area) in around() {
        let prefix = format!("{}_{}_", plane.prefix, area.word);
        let of_area = format!(", {}, {}", area.meaning, plane.meaning);
        list.extend(SHARE.iter().map(|c| c.doc(&prefix, &of_area)));
    }
    list
}

/// [`columns()`] as a Markdown table.
pub fn columns_markdown() -> String {
    let mut text = String::from("| column | unit | meaning |\n| --- | --- | --- |\n");
    for column in columns() {
        text += &format!("| `{}` | {} | {} |\n", column.name, column.unit, column.meaning);
    }
    text
}

/// The header row of a venue.
pub fn header(venue: &Venue) -> Vec<String> {
    let zones = unique_ids(venue.zones.iter().map(|z| z.name.as_str()), "zone");
    let cameras = unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera");
    let mut header: Vec<String> = INSTANT.iter().map(|c| c.name.to_owned()).collect();
    for Plane { prefix, .. } in &PLANES {
        header.extend(SHARE.iter().map(|c| format!("{prefix}_field_{}", c.name)));
        for zone in &zones {
            header.extend(SHARE.iter().map(|c| format!("{prefix}_zone_{zone}_{}", c.name)));
        }
    }
    for camera in &cameras {
        header.push(format!("camera_{camera}_{SHADED_COVER}"));
        for target in TARGETS.map(target_word) {
            header.extend(SPLIT.iter().map(|c| format!("camera_{camera}_{target}_{}", c.name)));
        }
    }
    for (plane, area) in around() {
        header.extend(SHARE.iter().map(|c| format!("{}_{}_{}", plane.prefix, area.word, c.name)));
    }
    header
}

pub(crate) fn row(venue: &Venue, plan: &MatchPlan, instant: &Instant) -> Vec<String> {
    let mut row: Vec<String> = INSTANT.iter().map(|c| c.render(instant)).collect();
    for Plane { of, .. } in &PLANES {
        let shade = of(instant);
        row.extend(SHARE.iter().map(|c| c.render(&shade.field)));
        for (index, _) in venue.zones.iter().enumerate() {
            row.extend(cells(SHARE, shade.zones.get(index)));
        }
    }
    for (index, _) in venue.cameras.iter().enumerate() {
        let view = instant.cameras.get(index);
        let covers = plan.covers.get(index).is_some_and(|c| c.area_m2 > 0.0);
        let share = view.filter(|_| covers).map(|v| v.shaded_share);
        row.push(share.filter(|s| s.is_finite()).map_or_else(String::new, |s| words::fixed(s, 4)));
        for target in TARGETS {
            row.extend(cells(SPLIT, view.map(|v| target.split(v))));
        }
    }
    for (plane, area) in around() {
        row.extend(SHARE.iter().map(|c| c.render((area.of)((plane.of)(instant)))));
    }
    row
}

/// One field for each column, all empty where there is nothing to write.
fn cells<T>(columns: &[Column<T>], of: Option<&T>) -> Vec<String> {
    let cell = |c: &Column<T>| of.map_or_else(String::new, |of| c.render(of));
    columns.iter().map(cell).collect()
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no venue and plan of the same
/// run should cause.
pub fn write(venue: &Venue, plan: &MatchPlan) -> Result<Vec<u8>, CsvError> {
    table(header(venue), plan.instants.iter().map(|instant| row(venue, plan, instant)))
}
