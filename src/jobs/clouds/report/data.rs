//! The format `quarterstop.clouds/1`: its structs and their JSON Schema.
//!
//! Units in the keys, absent values `null`. Keys may be added under the same number; a
//! change of meaning gets the next one.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::clouds::{CameraOutlook, Chase, ENHANCED, HOUR_MIN, Outlook};
use crate::output::words::{finite, local_time};
use crate::venue::Venue;
use crate::weather::Spread;

use super::reach_word;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.clouds/1";

/// How a broken sky comes and goes over a match.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop clouds")]
pub struct CloudsFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    pub sky: SkyOut,
    /// Between sunny and shaded minutes, in an hour.
    pub changes_per_hour: SpreadOut,
    /// The same in each run of play.
    pub runs: Vec<RunOut>,
    /// Cloud shadows of 5 s and more in an hour, those within a minute counted.
    pub shadows_per_hour: SpreadOut,
    pub sunny_spell_min: SpreadOut,
    pub shaded_spell_min: SpreadOut,
    /// Light for moments beside a bright edge of cloud over that of a clear sky, stops:
    /// usually between these.
    pub enhanced_stops_low: f64,
    pub enhanced_stops_high: f64,
    pub cameras: Vec<CameraOut>,
}

/// The clouds that were assumed.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SkyOut {
    /// Share of the sky that they cover, 0 to 1.
    pub cover: f64,
    #[schemars(extend("enum" = ["cumulus", "mixed", "layered"]))]
    pub kind: &'static str,
    /// Median wind at their height.
    pub wind_m_per_s: f64,
    /// Whether somebody stated it; else it is typical, with a wider spread.
    pub wind_stated: bool,
    /// Base above the ground.
    pub base_m: f64,
}

/// Percentiles.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SpreadOut {
    pub p10: Option<f64>,
    pub p50: Option<f64>,
    pub p90: Option<f64>,
    pub mean: Option<f64>,
}

/// A run of play.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RunOut {
    pub name: String,
    pub length_min: u32,
    pub changes: SpreadOut,
}

/// One camera.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraOut {
    pub name: String,
    /// Minute of play when a cloud takes most from its subjects; RFC 3339.
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
    pub swing_stops: f64,
    pub swing_mired: Option<f64>,
    /// Median wind, a usual edge of cloud.
    pub usual: ChaseOut,
    /// A wind that one day of ten passes, a sharp edge.
    pub fast: ChaseOut,
    pub sun_t: Option<f64>,
    pub cloud_t: Option<f64>,
    pub nd_stops: f64,
    /// Whether the lens reaches both T-numbers with that ND.
    #[schemars(extend("enum" = ["both", "too_dark_under_cloud", "too_bright_in_sun", "unknown"]))]
    pub in_reach: &'static str,
}

/// An edge of cloud and the hand that follows it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ChaseOut {
    /// Of the sun's disc, across the beam.
    pub penumbra_m: f64,
    /// For 90 % of the swing.
    pub seconds: f64,
    pub mean_stops_per_s: f64,
    pub peak_stops_per_s: f64,
    /// How far the picture is off at worst.
    pub behind_stops: f64,
    #[schemars(extend("enum" = ["follows", "late", "too_fast"]))]
    pub follow: &'static str,
}

/// The JSON Schema of the format.
pub fn schema() -> serde_json::Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<CloudsFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which nothing should cause.
pub fn write(venue: &Venue, outlook: &Outlook) -> Result<Vec<u8>, serde_json::Error> {
    let (field, coming) = (&outlook.field, &outlook.coming);
    let changes = |minutes| coming.changes_in(minutes).map_or_else(SpreadOut::nothing, spread);
    let run = |(name, minutes): &(String, u32)| RunOut {
        name: name.clone(),
        length_min: *minutes,
        changes: changes(*minutes),
    };
    let file = CloudsFile {
        format: FORMAT,
        venue: venue.title.clone(),
        sky: SkyOut {
            cover: field.cover,
            kind: field.kind.word(),
            wind_m_per_s: field.median_wind_m_s(),
            wind_stated: field.wind_m_s.is_some(),
            base_m: field.base_m(),
        },
        changes_per_hour: changes(HOUR_MIN),
        runs: outlook.runs.iter().map(run).collect(),
        shadows_per_hour: spread(&coming.shadows_per_hour),
        sunny_spell_min: spread(&coming.sunny_min),
        shaded_spell_min: spread(&coming.shaded_min),
        enhanced_stops_low: ENHANCED.0.log2(),
        enhanced_stops_high: ENHANCED.1.log2(),
        cameras: outlook.cameras.iter().map(|c| camera_out(venue, c)).collect(),
    };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

impl SpreadOut {
    fn nothing() -> Self {
        Self { p10: None, p50: None, p90: None, mean: None }
    }
}

fn spread(spread: &Spread) -> SpreadOut {
    SpreadOut {
        p10: spread.percentile(10.0),
        p50: spread.percentile(50.0),
        p90: spread.percentile(90.0),
        mean: spread.expected(),
    }
}

fn camera_out(venue: &Venue, camera: &CameraOutlook) -> CameraOut {
    CameraOut {
        name: venue.cameras.get(camera.camera).map_or_else(String::new, |c| c.name.clone()),
        time: local_time(camera.at),
        swing_stops: camera.swing.stops.stops(),
        swing_mired: camera.swing.mired.and_then(finite),
        usual: chase_out(&camera.usual),
        fast: chase_out(&camera.fast),
        sun_t: camera.sun_t.and_then(finite),
        cloud_t: camera.cloud_t.and_then(finite),
        nd_stops: camera.nd_stops,
        in_reach: reach_word(camera.in_reach),
    }
}

fn chase_out(chase: &Chase) -> ChaseOut {
    ChaseOut {
        penumbra_m: chase.passage.penumbra_m,
        seconds: chase.passage.seconds,
        mean_stops_per_s: chase.passage.mean_stops_per_s,
        peak_stops_per_s: chase.passage.peak_stops_per_s,
        behind_stops: chase.behind_stops,
        follow: chase.follow.word(),
    }
}
