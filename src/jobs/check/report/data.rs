//! The findings as JSON: `quarterstop.check/1`.
//!
//! Units in the keys, absent values `null`. Keys may be added under the same number; a
//! change of meaning gets the next.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::check::{Findings, GapFrom, Questions, SkylineGap};
use crate::output::json::JsonError;
use crate::output::words::local_time;
use crate::venue::Venue;

use super::questions::lines;
use super::words::told;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.check/1";

/// What is suspicious in a venue file.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop check")]
pub struct CheckFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    pub suspicions: Vec<SuspicionOut>,
    /// "YYYY-MM-DD" that `on_date` is told for; null without a fixture.
    pub date: Option<String>,
    pub gaps: Vec<GapOut>,
    /// How the ground lies by its file: sentences to be confirmed by those who know it.
    pub to_confirm: Vec<String>,
}

/// Something that may be a slip.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SuspicionOut {
    /// One word, such as "low_roof".
    pub kind: &'static str,
    /// The thing, camera or table of the venue file.
    pub place: String,
    pub what: String,
    pub why: &'static str,
    pub mend: String,
}

/// A gap between two neighbours where the sun slips through.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GapOut {
    /// Left and right side, seen from the field.
    pub between: [String; 2],
    pub from: Vec<GapFromOut>,
}

/// The gap as a mark of the field sees it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GapFromOut {
    pub mark: String,
    /// Left and right end.
    pub azimuths_deg: [f64; 2],
    /// The highest of its floor.
    pub floor_deg: f64,
    /// The lower of its sides.
    pub rim_deg: f64,
    /// From and until, RFC 3339; null without a fixture.
    pub on_date: Option<Vec<[String; 2]>>,
    pub in_year: Vec<YearSpanOut>,
}

/// Days of the year and their hours.
#[derive(Debug, Serialize, JsonSchema)]
pub struct YearSpanOut {
    /// "YYYY-MM-DD"
    pub first: String,
    pub last: String,
    /// "HH:MM" on the venue's clock, to some minutes.
    pub earliest: String,
    pub latest: String,
}

/// JSON Schema (draft 2020-12) of the object.
pub fn schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.into_generator().into_root_schema_for::<CheckFile>().to_value()
}

/// The whole object, on lines of its own.
///
/// # Errors
/// [`JsonError`] where the writer refuses.
pub fn write(
    venue: &Venue,
    findings: &Findings,
    questions: &Questions,
) -> Result<String, JsonError> {
    let suspicions = findings.suspicions.iter().map(|suspicion| {
        let told = told(venue, suspicion);
        let (kind, place, what) = (told.kind, told.place, told.what);
        SuspicionOut { kind, place, what, why: told.why, mend: told.mend }
    });
    let dated = findings.date.is_some();
    let file = CheckFile {
        format: FORMAT,
        venue: venue.title.clone(),
        suspicions: suspicions.collect(),
        date: findings.date.map(|d| d.format("%Y-%m-%d").to_string()),
        gaps: findings.gaps.iter().map(|gap| gap_out(venue, gap, dated)).collect(),
        to_confirm: lines(venue, questions),
    };
    Ok(serde_json::to_string_pretty(&file)? + "\n")
}

fn gap_out(venue: &Venue, gap: &SkylineGap, dated: bool) -> GapOut {
    let name = |i: usize| venue.occluders.get(i).map_or_else(String::new, |o| o.name.clone());
    GapOut {
        between: gap.things.map(name),
        from: gap.from.iter().map(|from| from_out(from, dated)).collect(),
    }
}

fn from_out(from: &GapFrom, dated: bool) -> GapFromOut {
    let times = from.on_date.iter().map(|(a, b)| [local_time(*a), local_time(*b)]);
    let days = from.in_year.iter().map(|span| YearSpanOut {
        first: span.first.format("%Y-%m-%d").to_string(),
        last: span.last.format("%Y-%m-%d").to_string(),
        earliest: span.earliest.format("%H:%M").to_string(),
        latest: span.latest.format("%H:%M").to_string(),
    });
    GapFromOut {
        mark: from.mark.clone(),
        azimuths_deg: from.azimuths.map(|a| a.degrees()),
        floor_deg: from.floor.degrees(),
        rim_deg: from.rim.degrees(),
        on_date: dated.then(|| times.collect()),
        in_year: days.collect(),
    }
}
