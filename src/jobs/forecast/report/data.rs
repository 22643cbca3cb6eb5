//! The format `quarterstop.forecast/1`: its structs and their JSON Schema.
//!
//! Units in the keys, absent values `null`. Keys may be added under the same number; a
//! change of meaning gets the next one.

use chrono::DateTime;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::clouds::report::reach_word;
use crate::jobs::forecast::{DayOutlook, ForecastMinute, ForecastStretch, ReadySetting};
use crate::output::words::{finite, local_time};
use crate::venue::Venue;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.forecast/1";

/// What a forecast makes of a match; `forecast.csv` has more of each minute.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop forecast")]
pub struct ForecastFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    #[serde(flatten)]
    pub day: DayOut,
}

/// What a forecast makes of a match.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DayOut {
    /// Number of members or models.
    pub members: usize,
    /// Stretches that ask for the same, in order of time.
    pub stretches: Vec<StretchOut>,
    /// What to set for either light, by camera and run of play.
    pub ready: Vec<ReadyOut>,
    /// Odds of sun, instant by instant.
    pub minutes: Vec<MinuteOut>,
    /// Where members say nothing.
    pub gaps: Vec<GapOut>,
    /// From then on the forecast tells nothing any more; null where it does to the end.
    pub silent_from: Option<String>,
}

/// An instant.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MinuteOut {
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
    #[schemars(extend("enum" = ["sun", "cloud", "changing", "either", "unknown"]))]
    pub expect: &'static str,
    /// Odds of sun, 0 to 1: mean of the members, 10th and 90th percentile.
    pub sun: Option<f64>,
    pub sun_10: Option<f64>,
    pub sun_90: Option<f64>,
}

/// A stretch of time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StretchOut {
    #[schemars(extend("format" = "date-time"))]
    pub from: String,
    #[schemars(extend("format" = "date-time"))]
    pub until: String,
    #[schemars(extend("enum" = ["sun", "cloud", "changing", "either", "unknown"]))]
    pub expect: &'static str,
    /// Mean odds of sun, 0 to 1, and between which the members lie.
    pub sun: Option<f64>,
    pub sun_10: Option<f64>,
    pub sun_90: Option<f64>,
    /// Changes between sun and shade an hour, where the light is expected to change.
    pub changes_per_hour_10: Option<f64>,
    pub changes_per_hour_50: Option<f64>,
    pub changes_per_hour_90: Option<f64>,
}

/// Settings of a camera for a run of play.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReadyOut {
    pub camera: String,
    pub run: String,
    pub nd_stops: f64,
    /// T-numbers in the middle of the run.
    pub sun_t: Option<f64>,
    pub shade_t: Option<f64>,
    /// Under an overcast sky: in the middle, at the start and at the end of the run.
    pub cloud_t: Option<f64>,
    pub cloud_start_t: Option<f64>,
    pub cloud_end_t: Option<f64>,
    /// Whether the lens reaches all of them with that ND.
    #[schemars(extend("enum" = ["both", "too_dark_under_cloud", "too_bright_in_sun", "unknown"]))]
    pub in_reach: &'static str,
}

/// A gap.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GapOut {
    pub member: String,
    #[schemars(extend("format" = "date-time"))]
    pub from: String,
    #[schemars(extend("format" = "date-time"))]
    pub until: String,
}

/// The JSON Schema of the format.
pub fn schema() -> serde_json::Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<ForecastFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which nothing should cause.
pub fn write(venue: &Venue, day: &DayOutlook) -> Result<Vec<u8>, serde_json::Error> {
    let file =
        ForecastFile { format: FORMAT, venue: venue.title.clone(), day: day_out(venue, day) };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The day by itself, as other files hold it.
pub fn day_out(venue: &Venue, day: &DayOutlook) -> DayOut {
    let zone = venue.place.zone;
    let local = |at: DateTime<chrono::Utc>| local_time(at.with_timezone(&zone));
    let gap = |gap: &crate::weather::forecast::ForecastGap| GapOut {
        member: gap.member.clone(),
        from: local(gap.from),
        until: local(gap.until),
    };
    DayOut {
        members: day.members,
        stretches: day.stretches.iter().map(stretch_out).collect(),
        ready: day.ready.iter().map(|ready| ready_out(venue, ready)).collect(),
        minutes: day.minutes.iter().map(minute_out).collect(),
        gaps: day.gaps.iter().map(gap).collect(),
        silent_from: day.silent_from.map(local_time),
    }
}

fn minute_out(minute: &ForecastMinute) -> MinuteOut {
    MinuteOut {
        time: local_time(minute.at),
        expect: minute.expect.word(),
        sun: minute.sky.states.map(|states| states.sun()),
        sun_10: minute.sky.sun.percentile(10.0),
        sun_90: minute.sky.sun.percentile(90.0),
    }
}

fn stretch_out(stretch: &ForecastStretch) -> StretchOut {
    let changes = |p| stretch.changes_per_hour.as_ref().and_then(|s| s.percentile(p));
    StretchOut {
        from: local_time(stretch.from),
        until: local_time(stretch.until),
        expect: stretch.expect.word(),
        sun: stretch.sun.map(|s| s.0),
        sun_10: stretch.sun.map(|s| s.1),
        sun_90: stretch.sun.map(|s| s.2),
        changes_per_hour_10: changes(10.0),
        changes_per_hour_50: changes(50.0),
        changes_per_hour_90: changes(90.0),
    }
}

fn ready_out(venue: &Venue, ready: &ReadySetting) -> ReadyOut {
    ReadyOut {
        camera: venue.cameras.get(ready.camera).map_or_else(String::new, |c| c.name.clone()),
        run: ready.run.clone(),
        nd_stops: ready.nd_stops,
        sun_t: ready.sun_t.and_then(finite),
        shade_t: ready.shade_t.and_then(finite),
        cloud_t: ready.cloud_t.and_then(finite),
        cloud_start_t: ready.cloud_ends_t.and_then(|(start, _)| finite(start)),
        cloud_end_t: ready.cloud_ends_t.and_then(|(_, end)| finite(end)),
        in_reach: reach_word(ready.in_reach),
    }
}
