//! Light over the match: maps of pictures, dusk, floodlight that would hold splits.
//!
//! In: nothing. Out: types whose doc comments become the descriptions of the schema; lx, K,
//! stops.

use schemars::JsonSchema;
use serde::Serialize;

use super::EastNorth;

/// From daylight to floodlights.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DuskOut {
    /// First and last instant; RFC 3339 with the venue's offset.
    #[schemars(extend("format" = "date-time"))]
    pub from: String,
    #[schemars(extend("format" = "date-time"))]
    pub until: String,
    /// Colour of the light on all subjects together at the first instant.
    pub first_balance_k: Option<f64>,
    /// When the white balance should move, in order of time.
    pub white_balance: Vec<BalanceOut>,
    /// Times at which floodlights and daylight are equal.
    pub takeovers: Vec<TakeoverOut>,
}

/// A move of the white balance of all cameras.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BalanceOut {
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
    pub to_k: f64,
    pub to_mired: f64,
    /// From the balance before; positive toward red light.
    pub by_mired: f64,
}

/// Floodlights and daylight are equal on a target of a camera.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TakeoverOut {
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
    pub camera: String,
    #[schemars(extend("enum" = ["turf", "subject"]))]
    pub target: &'static str,
    /// Which is stronger from then on.
    #[schemars(extend("enum" = ["floodlights", "daylight"]))]
    pub leader: &'static str,
}

/// Light on the turf at the time of a picture; the places are in a CSV of their
/// own.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LightMapOut {
    /// RFC 3339 with the venue's offset.
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
    /// The mark that stops count from.
    pub reference: String,
    pub reference_east_north_m: EastNorth,
    pub reference_light: LightOut,
    /// Between the places of the CSV.
    pub spacing_m: f64,
    /// Across the edge nearest to the mark; null without an edge.
    pub edge_profile: Option<ProfileOut>,
}

/// Light on the turf on a straight line across an edge.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProfileOut {
    /// Where the line crosses the edge.
    pub at_east_north_m: EastNorth,
    /// Full width.
    pub penumbra_m: f64,
    /// From shade to sun.
    pub points: Vec<ProfilePointOut>,
}

/// One point of a profile.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProfilePointOut {
    /// Positive into the sun.
    pub from_edge_m: f64,
    /// Share of the direct light that arrives.
    pub direct_share: f64,
    pub turf_lx: f64,
    /// Over the light at the sunlit end.
    pub stops: f64,
}

/// An amount of light and its colour.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LightOut {
    pub illuminance_lx: f64,
    /// CIE 1931 chromaticity [x, y]; this and all colour is null under 0.5 lx.
    pub chromaticity_xy: Option<[f64; 2]>,
    /// Correlated colour temperature; null far from any black body.
    pub colour_temperature_k: Option<f64>,
    /// Distance from the Planckian locus in CIE 1960 (u, v), positive toward green.
    pub duv: Option<f64>,
}

/// Floodlight that would hold splits, camera by camera.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HoldOut {
    /// No split in shot wider than this.
    pub most_stops: f64,
    pub cameras: Vec<CameraHoldOut>,
}

/// For one camera: the largest level over the window, null where no edge is ever in
/// shot.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraHoldOut {
    pub camera: String,
    /// On the horizontal, for the turf.
    pub turf_lx: Option<f64>,
    /// On an upright plane toward the camera, for the subject.
    pub subject_lx: Option<f64>,
}
