//! A day's order as JSON `quarterstop.order/1`.
//!
//! In: [`DayOrder`]. Out: bytes, and the schema of the format.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::brief::report::words::{cue_key, uncertain_s, urgency_key, verdict_key};
use crate::output::words::local_time;

use super::{ArrivalSetting, DayOrder, OnAirStretch, OnArrival, StretchCue};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.order/1";

/// A day's order of play.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop order")]
pub struct OrderFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub site: String,
    /// The day, YYYY-MM-DD.
    pub date: String,
    pub time_zone: String,
    pub fields: Vec<String>,
    /// In order of time.
    pub matches: Vec<MatchOut>,
    /// Stretches in which a field is on air, in order of time.
    pub stretches: Vec<StretchOut>,
}

/// A match of the day.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MatchOut {
    pub name: String,
    pub field: String,
    /// RFC 3339.
    pub from: String,
    /// By its expected length.
    pub until: String,
    /// Whether it waits for the match before on its field.
    pub follows: bool,
}

/// A field on air.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StretchOut {
    pub field: String,
    pub from: String,
    pub until: String,
    pub matches: Vec<String>,
    /// How each camera is set when the programme comes.
    pub cameras: Vec<CameraOut>,
    pub cues: Vec<CueOut>,
}

/// A camera when the programme comes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraOut {
    pub name: String,
    pub set: SetOut,
    /// Sun over shade of the playing surface, where both are in the cover.
    pub split_stops: Option<f64>,
    /// Where it worked before, if that is another field.
    pub from_field: Option<String>,
    pub set_before: Option<SetOut>,
    /// What it puts at white here over what it put at white there.
    pub brighter_stops: Option<f64>,
}

/// A setting.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetOut {
    /// hold, ride or choose.
    pub verdict: &'static str,
    pub nd_stops: f64,
    pub gain_db: f64,
    /// One iris for both sides.
    pub one_t: f64,
    /// Without direct sun absent.
    pub sun_t: Option<f64>,
    pub shade_t: f64,
}

/// A cue.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CueOut {
    pub time: String,
    pub what: String,
    pub kind: &'static str,
    pub urgency: &'static str,
    /// Whether the field is on air then.
    pub on_air: bool,
    /// Either way; absent where it may not come at all.
    pub uncertain_s: Option<f64>,
}

/// JSON Schema (draft 2020-12) of the format.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<OrderFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which no day should cause.
pub fn json(day: &DayOrder<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let name = |field: usize| day.field_name(field).to_owned();
    let matches = day.order.plays.iter().map(|play| MatchOut {
        name: play.name.clone(),
        field: name(play.field),
        from: local_time(play.from),
        until: local_time(play.until),
        follows: play.follows,
    });
    let zone = day.site.fields.first().map(|field| field.venue.place.zone.name());
    let file = OrderFile {
        format: FORMAT,
        site: day.site.title.clone(),
        date: day.order.date.to_string(),
        time_zone: zone.unwrap_or_default().to_owned(),
        fields: day.site.fields.iter().map(|field| field.name.clone()).collect(),
        matches: matches.collect(),
        stretches: day.stretches.iter().map(|stretch| stretch_out(day, stretch)).collect(),
    };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn rounded(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn stretch_out(day: &DayOrder<'_>, stretch: &OnAirStretch) -> StretchOut {
    let set = |set: &ArrivalSetting| SetOut {
        verdict: verdict_key(Some(set.verdict)),
        nd_stops: set.nd_stops,
        gain_db: set.gain_db,
        one_t: rounded(set.one_t),
        sun_t: set.sun_t.map(rounded),
        shade_t: rounded(set.shade_t),
    };
    let camera = |camera: &OnArrival| CameraOut {
        name: camera.name.clone(),
        set: set(&camera.setting),
        split_stops: camera.split.map(|split| rounded(split.stops())),
        from_field: camera.comes_from.as_ref().map(|from| day.field_name(from.field).to_owned()),
        set_before: camera.comes_from.as_ref().map(|from| set(&from.setting)),
        brighter_stops: camera.brighter().map(|stops| rounded(stops.stops())),
    };
    let cue = |told: &StretchCue| CueOut {
        time: local_time(told.cue.at),
        what: told.cue.what.clone(),
        kind: cue_key(told.cue.kind),
        urgency: urgency_key(told.cue.urgency),
        on_air: told.on_air,
        uncertain_s: uncertain_s(told.cue.sure),
    };
    StretchOut {
        field: day.field_name(stretch.on_air.field).to_owned(),
        from: local_time(stretch.on_air.from),
        until: local_time(stretch.on_air.until),
        matches: stretch.matches.clone(),
        cameras: stretch.cameras.iter().map(camera).collect(),
        cues: stretch.cues.iter().map(cue).collect(),
    }
}
