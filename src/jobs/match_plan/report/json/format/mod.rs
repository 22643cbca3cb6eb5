//! The format `quarterstop.match/2`: its structs and their JSON Schema.
//!
//! In: nothing. Out: types whose doc comments become the descriptions of the
//! schema; the parent module fills them.

mod ground;
mod instant;
mod light;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::output::air::AirOut;

pub use ground::*;
pub use instant::*;
pub use light::*;

/// Name and number of the format, the first key of the file.
pub const FORMAT: &str = "quarterstop.match/2";

/// `[east, north]`, metres.
pub(super) type EastNorth = [f64; 2];
/// A closed ring.
pub(super) type Ring = Vec<EastNorth>;
/// Polygons; the first ring of each is its outside, the others are holes.
pub(super) type RegionOut = Vec<Vec<Ring>>;

/// A match at a venue: sun, shadow, light and splits over a window of time.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop match")]
pub struct MatchFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Program and version that wrote the file.
    pub written_by: &'static str,
    pub venue: VenueOut,
    /// The sky that every light figure holds for.
    #[schemars(extend("enum" = ["clear", "cumulus", "thin", "broken", "overcast"]))]
    pub sky: &'static str,
    /// Share of the direct light that comes through thin cloud; null in other
    /// skies.
    pub thin_cloud_direct_share: Option<f64>,
    pub air: AirOut,
    /// Minutes between instants; null for a single instant.
    pub step_min: Option<f64>,
    pub day: DayOut,
    /// Moments of the programme, in order of time.
    pub milestones: Vec<MilestoneOut>,
    /// Named polygons on the field of play.
    pub zones: Vec<ZoneOut>,
    pub cameras: Vec<CameraOut>,
    pub sky_view: SkyOut,
    /// How much floodlight would hold splits under a number of stops, beyond what
    /// is lit.
    pub floodlight_to_hold: HoldOut,
    /// In order of time, equal steps.
    pub instants: Vec<InstantOut>,
    /// At the times of the pictures.
    pub light_maps: Vec<LightMapOut>,
    /// Around sunset or sunrise and under floodlights; null by day and by night.
    pub dusk: Option<DuskOut>,
}

/// The JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator()
        .into_root_schema_for::<MatchFile>()
        .to_value()
}
