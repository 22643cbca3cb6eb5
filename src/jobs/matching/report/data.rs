//! Matched pairs as JSON: `quarterstop.matching/1`.
//!
//! In: [`MatchingReport`]. Out: one object, units in the keys, absent values `null`. The structs
//! are the format; [`schema`] derives its JSON Schema from them.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::matching::{CameraGap, MatchedPair};
use crate::output::words::local_time;
use crate::venue::Output;

use super::MatchingReport;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.matching/1";

/// Every pair of cameras that may cut.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop matching")]
pub struct MatchingFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    /// Outputs that trims are given for.
    pub outputs: Vec<Output>,
    /// The hardest first.
    pub pairs: Vec<PairOut>,
}

/// Two cameras.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PairOut {
    pub cameras: [String; 2],
    /// Share of the instants with a picture of both and a place in common at which the pictures are over a quarter
    /// of a stop apart, 0 to 1.
    pub hard_share: f64,
    pub gaps: Vec<GapOut>,
}

/// Two cameras at an instant.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GapOut {
    /// RFC 3339.
    pub time: String,
    /// Where the picture differs most.
    pub place: String,
    /// Light on a face there: first over second.
    pub light_stops: f64,
    /// The same in the picture, each at its one iris for both sides as far as its lens goes.
    pub picture_stops: f64,
    /// How much warmer the first sees the face.
    pub mired: Option<f64>,
    /// Gain of the second camera against green.
    pub red_stops: Option<f64>,
    pub blue_stops: Option<f64>,
    /// In the order of `outputs`.
    pub trims: Vec<TrimOut>,
}

/// What brings the second camera's signal to the first's; nulls where nothing does.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TrimOut {
    /// Factor of the signal, from black.
    pub gain: Option<f64>,
    /// Added to the signal after the gain, %.
    pub lift_percent: Option<f64>,
}

/// JSON Schema (draft 2020-12) of the format.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<MatchingFile>()
        .to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which no plan should cause.
pub fn write(report: &MatchingReport<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let file = MatchingFile {
        format: FORMAT,
        venue: report.venue.title.clone(),
        outputs: report.pairs.outputs.clone(),
        pairs: report.pairs.pairs.iter().map(|p| pair(report, p)).collect(),
    };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn pair(report: &MatchingReport<'_>, pair: &MatchedPair) -> PairOut {
    let times = report.plan.instants.iter().map(|instant| local_time(instant.at));
    let gaps = pair.gaps.iter().zip(times);
    PairOut {
        cameras: [pair.cameras.0, pair.cameras.1].map(|camera| report.camera(camera).to_owned()),
        hard_share: rounded(pair.hard_share()),
        gaps: gaps.filter_map(|(gap, time)| Some(gap_out(report, gap.as_ref()?, time))).collect(),
    }
}

fn gap_out(report: &MatchingReport<'_>, gap: &CameraGap, time: String) -> GapOut {
    GapOut {
        time,
        place: report.place(gap.mark).to_owned(),
        light_stops: rounded(gap.light.stops()),
        picture_stops: rounded(gap.picture.stops()),
        mired: gap.mired.map(rounded),
        red_stops: gap.trims.map(|trims| rounded(trims.red)),
        blue_stops: gap.trims.map(|trims| rounded(trims.blue)),
        trims: gap
            .outputs
            .iter()
            .map(|trim| TrimOut {
                gain: trim.map(|trim| rounded(trim.gain)),
                lift_percent: trim.map(|trim| rounded(100.0 * trim.lift)),
            })
            .collect(),
    }
}

/// To a thousandth.
fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
