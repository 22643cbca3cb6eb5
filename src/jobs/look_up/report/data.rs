//! Looking up as JSON: `quarterstop.look-up/1`.
//!
//! In: a venue and a [`LookUp`]. Out: one object, units in the keys, absent values
//! `null`. Keys may be added under the same number; a change of meaning gets the next.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::camera::LensState;
use crate::jobs::look_up::{DayAtPlace, LookUp};
use crate::output::json::JsonError;
use crate::output::words::local_time;
use crate::venue::Venue;

use super::{kind_word, name, state_word, thing};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.look-up/1";

/// What stands around a place and when the sun reaches it.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop look-up")]
pub struct LookUpFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Program and version.
    pub written_by: &'static str,
    pub venue: String,
    pub place: PlaceOut,
    /// The fixture's window; null where no start is known.
    pub window: Option<WindowOut>,
    /// The date asked for first, then equinoxes and solstices of its year.
    pub days: Vec<DayOut>,
    /// Clockwise from north, a quarter of a degree apart.
    pub skyline: Vec<SkylineOut>,
}

/// A place to look up from.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaceOut {
    pub name: String,
    /// "camera", "mark" or "point".
    pub kind: &'static str,
    /// Of the eye or lens, in the field's axes.
    pub along_m: f64,
    pub across_m: f64,
    pub up_m: f64,
}

/// Start and end of play, RFC 3339.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WindowOut {
    pub from: String,
    pub until: String,
}

/// The sun over the place on a date.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DayOut {
    /// "YYYY-MM-DD"
    pub date: String,
    /// "March equinox", "June solstice", "September equinox", "December solstice".
    pub season: Option<&'static str>,
    /// Time in the open sun.
    pub lit_s: i64,
    /// The whole civil day without gaps, for the middle of the sun.
    pub spans: Vec<SpanOut>,
    /// Where the sun runs while it is up, and a little before and after.
    pub path: Vec<PathOut>,
    /// For a camera: the sun in or on the lens.
    pub in_lens: Vec<LensOut>,
}

/// One state over some time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SpanOut {
    /// RFC 3339.
    pub from: String,
    /// RFC 3339.
    pub until: String,
    /// "lit", "dimmed", "hidden", "behind_land" or "down".
    pub state: &'static str,
    /// What is between the sun and the place.
    pub thing: Option<String>,
}

/// The sun at a time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PathOut {
    /// RFC 3339.
    pub time: String,
    /// Clockwise from true north.
    pub azimuth_deg: f64,
    /// Apparent.
    pub elevation_deg: f64,
    /// As in spans.
    pub state: &'static str,
}

/// The sun in or on the lens over some time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LensOut {
    /// RFC 3339.
    pub from: String,
    /// RFC 3339.
    pub until: String,
    /// "in_frame" or "on_element".
    pub state: &'static str,
}

/// The skyline in one azimuth.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SkylineOut {
    pub azimuth_deg: f64,
    /// Of the highest opaque thing, land counted.
    pub elevation_deg: f64,
    /// What that is; null for the land.
    pub thing: Option<String>,
    /// Up to here nothing is open.
    pub covered_to_deg: f64,
}

/// JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.into_generator().into_root_schema_for::<LookUpFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// [`JsonError`] where the writer refuses.
pub fn write(venue: &Venue, look: &LookUp) -> Result<Vec<u8>, JsonError> {
    let mut bytes = serde_json::to_vec(&file(venue, look))?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn file(venue: &Venue, look: &LookUp) -> LookUpFile {
    let at = venue.field.frame.to_field(look.spot.at);
    let skyline = look.skyline.iter().map(|point| SkylineOut {
        azimuth_deg: point.azimuth.degrees(),
        elevation_deg: point.elevation.degrees(),
        thing: point.thing.and_then(|t| name(venue, t)).map(str::to_owned),
        covered_to_deg: point.covered.degrees(),
    });
    LookUpFile {
        format: FORMAT,
        written_by: concat!("quarterstop ", env!("CARGO_PKG_VERSION")),
        venue: venue.title.clone(),
        place: PlaceOut {
            name: look.spot.name.clone(),
            kind: kind_word(look),
            along_m: at.along_m,
            across_m: at.across_m,
            up_m: at.up_m,
        },
        window: look
            .window
            .map(|(from, until)| WindowOut { from: local_time(from), until: local_time(until) }),
        days: look.days.iter().map(|day| day_out(venue, day)).collect(),
        skyline: skyline.collect(),
    }
}

fn day_out(venue: &Venue, day: &DayAtPlace) -> DayOut {
    let span = |s: &crate::jobs::look_up::SunlightSpan| SpanOut {
        from: local_time(s.from),
        until: local_time(s.until),
        state: state_word(s.sunlight),
        thing: thing(venue, s.sunlight).map(str::to_owned),
    };
    let point = |p: &crate::jobs::look_up::PathPoint| PathOut {
        time: local_time(p.at),
        azimuth_deg: p.azimuth.degrees(),
        elevation_deg: p.elevation.degrees(),
        state: state_word(p.sunlight),
    };
    let lens = |s: &crate::jobs::look_up::LensSpan| LensOut {
        from: local_time(s.from),
        until: local_time(s.until),
        state: if s.state == LensState::InFrame { "in_frame" } else { "on_element" },
    };
    DayOut {
        date: day.date.format("%Y-%m-%d").to_string(),
        season: day.season.map(|s| s.name()),
        lit_s: day.lit().num_seconds(),
        spans: day.spans.iter().map(span).collect(),
        path: day.path.iter().map(point).collect(),
        in_lens: day.in_lens.iter().map(lens).collect(),
    }
}
