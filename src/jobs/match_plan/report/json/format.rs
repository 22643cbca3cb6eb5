//! The format `quarterstop.match/2`: its structs and their JSON Schema.
//!
//! In: nothing. Out: types whose doc comments become the descriptions of the
//! schema; the parent module fills them.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::output::air::AirOut;

/// Name and number of the format, the first key of the file.
pub const FORMAT: &str = "quarterstop.match/2";

/// `[east, north]`, metres.
pub(super) type EastNorth = [f64; 2];
/// A closed ring.
pub(super) type Ring = Vec<EastNorth>;
/// Polygons; the first ring of each is its outside, the others are holes.
pub(super) type Region = Vec<Vec<Ring>>;

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

/// The ground.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VenueOut {
    pub title: String,
    /// North positive.
    pub latitude_deg: f64,
    /// East positive.
    pub longitude_deg: f64,
    pub height_above_sea_m: f64,
    /// IANA time zone.
    pub time_zone: String,
    pub pressure_hpa: f64,
    pub temperature_c: f64,
    /// football, rugby_union, tennis, hockey, cricket or free.
    pub sport: &'static str,
    /// Of the field's long axis, clockwise from true north.
    pub field_bearing_deg: f64,
    pub field_area_m2: f64,
    /// The field of play and what the laws add to it (in-goals, run-backs, run-offs),
    /// without what stands on it.
    pub playing_area_m2: f64,
    /// All of the ground that is planned, the playing area counted.
    pub surrounds_m2: f64,
    /// grass, dry_grass, clay, acrylic, sand, snow, concrete or asphalt.
    pub surface: &'static str,
    /// Luminous reflectance of the playing surface, 0 to 1.
    pub surface_reflectance: f64,
    /// Outside the playing area.
    pub surrounds_surface: &'static str,
    pub surrounds_reflectance: f64,
    /// The field of play: rings of [east, north].
    pub field_outline_east_north_m: Vec<Ring>,
    pub playing_area_outline_east_north_m: Vec<Ring>,
    pub surrounds_outline_east_north_m: Vec<Ring>,
}

/// Sun of the day. Times are RFC 3339 with the venue's offset.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DayOut {
    #[schemars(extend("enum" = ["rises_and_sets", "only_rises", "only_sets", "polar_day", "polar_night"]))]
    pub kind: &'static str,
    /// Null where the sun does not rise.
    pub rise: Option<String>,
    /// When the sun is highest.
    #[schemars(extend("format" = "date-time"))]
    pub noon: String,
    /// Null where the sun does not set.
    pub set: Option<String>,
}

/// A moment of the programme.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MilestoneOut {
    pub name: String,
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
}

/// A named polygon on the ground.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ZoneOut {
    /// Key that the instants and the CSV columns use.
    pub id: String,
    pub name: String,
    pub area_m2: f64,
    pub outline_east_north_m: Vec<Ring>,
}

/// A camera and the part of the ground it covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraOut {
    /// Key that the instants and the CSV columns use.
    pub id: String,
    pub name: String,
    /// Entrance pupil, [east, north, up] from the centre of play.
    pub position_east_north_up_m: [f64; 3],
    pub horizontal_fov_deg: f64,
    pub cover: CoverOut,
    /// Only where most of the cover is hidden from the camera: splits count it as seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hidden: Option<HiddenOut>,
}

/// What hides the cover of a camera; shares of the cover, 0 to 1.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HiddenOut {
    /// Hidden by anything.
    pub cover_share: f64,
    /// Name of what hides the most.
    pub by: String,
    pub by_share: f64,
}

/// The part of the ground a camera covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CoverOut {
    /// 0 where the camera sees nothing of the ground.
    pub area_m2: f64,
    /// How much of that is field of play.
    pub field_m2: f64,
    /// How much of it is playing area, the field of play counted.
    pub playing_area_m2: f64,
    /// Share of each zone that is covered.
    pub zones: Vec<ZoneCoverOut>,
    pub polygons_east_north_m: Region,
}

/// Share of one zone that a camera covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ZoneCoverOut {
    pub zone: String,
    /// 0 to 1.
    pub covered_share: Option<f64>,
}

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

/// An amount of light and its colour.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LightOut {
    pub illuminance_lx: f64,
    /// CIE 1931 chromaticity [x, y]; null in darkness.
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
    pub opaque_polygons_east_north_m: Region,
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

/// Sky view factors of the turf on a square lattice: the share of an evenly
/// bright sky's illuminance that arrives, 0 to 1.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SkyOut {
    /// Between neighbouring places.
    pub spacing_m: f64,
    /// [east, north, factor].
    pub places_east_north_m_factor: Vec<[f64; 3]>,
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
    pub polygons_east_north_m: Region,
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

/// The JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator()
        .into_root_schema_for::<MatchFile>()
        .to_value()
}
