//! Everything at one time: sun, shadows, what each camera sees.
//!
//! In: nothing. Out: types whose doc comments become the descriptions of the schema; lx, cd/m2,
//! stops, metres.

use schemars::JsonSchema;
use serde::Serialize;

use super::{EastNorth, LightOut, RegionOut};

/// Everything at one time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct InstantOut {
    /// RFC 3339 with the venue's offset.
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
    /// RFC 3339, UTC.
    #[schemars(extend("format" = "date-time"))]
    pub time_utc: String,
    pub sun: SunOut,
    pub daylight: DaylightOut,
    /// none: the file states none.
    #[schemars(extend("enum" = ["none", "off", "lit"]))]
    pub floodlights: &'static str,
    pub field_light: FieldLightOut,
    /// On the horizontal plane of turf and ball.
    pub turf: PlaneOut,
    /// On the horizontal plane at face height.
    pub face: PlaneOut,
    pub cameras: Vec<ViewOut>,
}

/// The sun's centre.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SunOut {
    /// Clockwise from true north.
    pub azimuth_deg: f64,
    /// With refraction: where the light comes from.
    pub apparent_elevation_deg: f64,
    /// Without refraction.
    pub true_elevation_deg: f64,
    /// behind_skyline: risen, but hidden by the land around.
    #[schemars(extend("enum" = ["up", "behind_skyline", "down"]))]
    pub state: &'static str,
}

/// Daylight with nothing in the way.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DaylightOut {
    /// From the sun, on a plane facing it.
    pub direct_normal_lx: f64,
    /// From the sun, on the horizontal.
    pub direct_horizontal_lx: f64,
    /// From the whole sky, on the horizontal.
    pub diffuse_horizontal_lx: f64,
    /// Correlated colour temperature of the direct light; null without it.
    pub direct_k: Option<f64>,
    /// Of the whole sky's light on the horizontal.
    pub diffuse_k: Option<f64>,
}

/// Light on the turf, mean over the field of play, floodlights counted.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FieldLightOut {
    /// In full sun; null without direct sun.
    pub in_sun: Option<LightOut>,
    /// In opaque shade.
    pub in_shade: LightOut,
    /// When a cloud covers the sun that now shines.
    pub under_cloud: Option<LightOut>,
}

/// Shadow on one horizontal plane.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaneOut {
    /// Above the field of play.
    pub height_m: f64,
    pub field: ShareOut,
    /// The field of play counted.
    pub playing_area: ShareOut,
    /// All of the ground that is planned, the playing area counted.
    pub surrounds: ShareOut,
    pub zones: Vec<ZoneShareOut>,
    /// Where no direct light arrives on the field of play.
    pub opaque_polygons_east_north_m: RegionOut,
    /// Under translucent occluders only; regions do not overlap.
    pub dimmed: Vec<DimmedOut>,
    /// Where full sun and shade meet inside the field, without its boundary.
    pub edge: Vec<EdgeOut>,
}

/// One connected piece of the edge.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EdgeOut {
    pub line_east_north_m: Vec<EastNorth>,
    /// Full width of the penumbra across each segment of the line; null where no
    /// single body throws it.
    pub penumbra_m: Vec<Option<f64>>,
}

/// How much of an area the shadow takes; shares of the area, 0 to 1.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ShareOut {
    /// Without any direct light.
    pub opaque_share: Option<f64>,
    /// Not in full sun.
    pub shaded_share: Option<f64>,
    /// Mean share of the direct light that arrives.
    pub mean_transmission: Option<f64>,
}

/// How much of one zone the shadow takes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ZoneShareOut {
    pub zone: String,
    #[serde(flatten)]
    pub share: ShareOut,
}

/// A region under translucent occluders only.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DimmedOut {
    /// Share of the direct light that arrives, 0 to 1.
    pub transmittance: f64,
    pub polygons_east_north_m: RegionOut,
}

/// What one camera sees at one instant.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ViewOut {
    pub camera: String,
    /// Share of the cover's turf, as ground, not in full sun; null without a cover.
    pub shaded_share: Option<f64>,
    /// Horizontal turf.
    pub turf: SplitOut,
    /// A vertical grey surface at face height turned toward the camera.
    pub subject: SplitOut,
}

/// Split between the classes of light in the cover. Each side is the mean over the same
/// places, as they would be in that class, weighed by what they take of the picture.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SplitOut {
    /// In full sun; null without direct sun.
    pub sunlit_cd_per_m2: Option<f64>,
    /// In opaque shade.
    pub shaded_cd_per_m2: Option<f64>,
    /// latent: only one class takes more than 2 % of the picture; no_edge: no direct sun.
    #[schemars(extend("enum" = ["in_shot", "latent", "no_edge"]))]
    pub state: &'static str,
    /// log2 of the brighter over the darker class of `between`, 0 or more; null for no_edge.
    pub stops: Option<f64>,
    /// 10th and 90th percentile of what follows from what is unknown of the air; null
    /// where the number itself is, and under an overcast sky.
    pub stops_low: Option<f64>,
    pub stops_high: Option<f64>,
    pub sunlit_cd_per_m2_low: Option<f64>,
    pub sunlit_cd_per_m2_high: Option<f64>,
    pub shaded_cd_per_m2_low: Option<f64>,
    pub shaded_cd_per_m2_high: Option<f64>,
    pub swing_stops_low: Option<f64>,
    pub swing_stops_high: Option<f64>,
    /// all_sunlit, all_dimmed or all_shaded where latent, else null.
    pub side: Option<&'static str>,
    /// Mean light on the target's plane in full sun.
    pub sunlit: Option<LightOut>,
    /// Mean light on the target's plane in opaque shade.
    pub shaded: Option<LightOut>,
    /// Colour of the darker over that of the brighter side; negative where bluer.
    pub colour_gap_mired: Option<f64>,
    /// Red gain against green that makes shade white for a camera balanced to the
    /// sunlit side; balanced to shade, the sunlit side needs its negative.
    pub shade_red_trim_stops: Option<f64>,
    /// The same for blue gain.
    pub shade_blue_trim_stops: Option<f64>,
    /// What the sunlit side loses when a cloud covers the sun.
    pub swing_stops: Option<f64>,
    /// What its colour does then; negative is bluer.
    pub swing_mired: Option<f64>,
    /// How much narrower the split is than without the floodlights that are lit.
    pub floodlights_take_stops: Option<f64>,
    /// The brightest and the darkest class of light in the cover; for a latent split what it
    /// would be between.
    #[schemars(extend("enum" = ["sun_shade", "sun_dimmed", "dimmed_shade", null]))]
    pub between: Option<&'static str>,
    /// What each class takes of the picture over the sweep; null where the camera shows
    /// nothing of the field.
    pub picture_shares: Option<PictureSharesOut>,
    /// Mean light on the target's plane where it is dimmed; null where that takes no more
    /// than 2 % of the picture.
    pub dimmed: Option<LightOut>,
    /// log2 of the luminance in full sun over dimmed; null as `dimmed`.
    pub sun_over_dimmed_stops: Option<f64>,
}

/// Shares of the picture, each place weighed by its solid angle from the lens, mean over the
/// frames of the sweep; 0 to 1, together 1.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PictureSharesOut {
    /// In full sun.
    pub sun_share: f64,
    /// Under translucent bodies only.
    pub dimmed_share: f64,
    /// Without direct light.
    pub shade_share: f64,
    /// Mean share of the direct light that reaches the dimmed part; null without one.
    pub transmittance: Option<f64>,
}
