//! Positions as JSON: `quarterstop.positions/1`.
//!
//! In: [`PositionsReport`]. Out: one object, units in the keys, absent values `null`. The structs
//! are the format; [`schema`] derives its JSON Schema from them. Keys may be added
//! under the same number; a change of meaning gets the next one.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::positions::{PenaltyPart, PenaltyParts, ScoredPosition, SetSearch};
use crate::output::air::AirOut;

use super::PositionsReport;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.positions/1";

/// Places where cameras could stand, compared.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop positions")]
pub struct PositionsFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    pub air: AirOut,
    pub matches: usize,
    /// Minutes of play in all, and of these with direct sun.
    pub play_min: f64,
    pub sun_min: f64,
    /// What `split_over_min` counts over, stops; the first makes `parts.split`.
    pub split_over_stops: Vec<f64>,
    /// What each part of penalty is multiplied by.
    pub weights: PartsOut,
    /// Cameras that no candidate replaces: what `gap_stops` is to, in order.
    pub fixed_cameras: Vec<String>,
    /// Cameras that are there now, then every place of every candidate.
    pub positions: Vec<SiteOut>,
    /// The best set; `null` where none was asked for or none keeps the distance.
    pub set: Option<SetOut>,
}

/// Parts of penalty, or their weights.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PartsOut {
    /// Share of play with a split in shot over the first of `split_over_stops`.
    pub split: f64,
    /// Mean difference to the fixed cameras for the same subject, stops.
    pub mismatch: f64,
    /// Share of play with subjects lit from behind.
    pub back_lit: f64,
    /// Share of play with the sun in frame.
    pub sun_in_frame: f64,
    /// Share of play with the sun on the front element, not in frame.
    pub sun_on_lens: f64,
    /// Share of the cover that something hides from the lens.
    pub hidden: f64,
    /// Share of play with the sun on camera and operator.
    pub own_sun: f64,
}

/// One place.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SiteOut {
    pub name: String,
    /// `null` for a camera that is there now.
    pub candidate: Option<String>,
    /// `[along, across, up]`, field axes.
    pub at_m: [f64; 3],
    pub horizontal_fov_deg: f64,
    pub cover_m2: f64,
    /// Sum of the parts by their weights; `null` where it sees nothing of the field.
    pub penalty: Option<f64>,
    /// The same under its earlier name.
    pub trouble: Option<f64>,
    pub parts: PartsOut,
    /// Widest split in shot while play runs.
    pub widest_split_stops: Option<f64>,
    /// Its 10th and 90th percentile for what is unknown of the air.
    pub widest_split_stops_low: Option<f64>,
    pub widest_split_stops_high: Option<f64>,
    /// Minutes of play, in the order of `split_over_stops`.
    pub split_over_min: Vec<f64>,
    /// In the order of `fixed_cameras`; `null` without a place in common.
    pub gap_stops: Vec<Option<f64>>,
    /// Lowest penalty of its candidate.
    pub pick: bool,
    /// No other place is as good in every part that counts and better in one.
    pub unbeaten: bool,
}

/// The best set.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetOut {
    pub positions: Vec<String>,
    /// Penalty of all, each matched to the fixed cameras and to the others of the set.
    pub penalty: f64,
    /// The same under its earlier name.
    pub trouble: f64,
    /// Whether no other set is better; false where the search stopped at its limit.
    pub proved_best: bool,
}

/// The JSON Schema of the format.
pub fn schema() -> serde_json::Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<PositionsFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which nothing should cause.
pub fn write(report: &PositionsReport<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let mut bytes = serde_json::to_vec(&file(report))?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn file(report: &PositionsReport<'_>) -> PositionsFile {
    let positions = report.positions;
    let mut weights = PenaltyParts::default();
    PenaltyPart::ALL.iter().for_each(|part| weights.set(*part, positions.weights.get(*part)));
    let name = |index: &usize| positions.sites.get(*index).map(|s| s.post.name.clone());
    PositionsFile {
        format: FORMAT,
        venue: report.venue.title.clone(),
        air: AirOut::by_date(&report.positions.air),
        matches: positions.matches,
        play_min: positions.play_min,
        sun_min: positions.sun_min,
        split_over_stops: positions.over.iter().map(|o| o.stops()).collect(),
        weights: parts(&weights),
        fixed_cameras: report.fixed().map(str::to_owned).collect(),
        positions: positions.sites.iter().enumerate().map(|(i, s)| site(report, i, s)).collect(),
        set: match &positions.set {
            SetSearch::NotAsked | SetSearch::NoneApart => None,
            SetSearch::Found(set) => Some(SetOut {
                positions: set.places.iter().filter_map(name).collect(),
                penalty: set.cost,
                trouble: set.cost,
                proved_best: set.proven,
            }),
        },
    }
}

fn parts(parts: &PenaltyParts) -> PartsOut {
    PartsOut {
        split: parts.get(PenaltyPart::Split),
        mismatch: parts.get(PenaltyPart::Mismatch),
        back_lit: parts.get(PenaltyPart::BackLit),
        sun_in_frame: parts.get(PenaltyPart::SunInFrame),
        sun_on_lens: parts.get(PenaltyPart::SunOnLens),
        hidden: parts.get(PenaltyPart::Hidden),
        own_sun: parts.get(PenaltyPart::OwnSun),
    }
}

fn site(report: &PositionsReport<'_>, index: usize, site: &ScoredPosition) -> SiteOut {
    let at = report.place(site);
    SiteOut {
        name: site.post.name.clone(),
        candidate: report.candidate(site).map(str::to_owned),
        at_m: [at.along_m, at.across_m, at.up_m],
        horizontal_fov_deg: site.post.horizontal_fov_deg,
        cover_m2: site.cover_m2,
        penalty: site.penalty,
        trouble: site.penalty,
        parts: parts(&site.parts),
        widest_split_stops: site.widest.map(|w| w.stops()),
        widest_split_stops_low: site.widest_range.map(|range| range.low),
        widest_split_stops_high: site.widest_range.map(|range| range.high),
        split_over_min: site.over_min.clone(),
        gap_stops: site.gaps.clone(),
        pick: report.is_pick(index),
        unbeaten: report.is_on_front(index),
    }
}
