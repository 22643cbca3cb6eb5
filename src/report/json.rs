//! The JSON of a match: everything of every instant, for other programs.
//!
//! In: a venue and its [`MatchPlan`]. Out: one object of the format
//! `quarterstop.match/1`, numbers unrounded, units in the keys, absent values
//! `null`. The structs below are the format; [`schema`] derives its JSON Schema
//! from them. Keys may be added under the same number; a change of meaning or a
//! removal gets the next one.
//!
//! Points are `[east, north]` in metres from the centre of play, north true.
//! Regions are nested as in a GeoJSON MultiPolygon (RFC 7946, section 3.1.7):
//! polygons, of which the first ring is the outside and the others are holes;
//! rings are closed.

use geo::{Area, LineString, MultiLineString, MultiPolygon, Polygon};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::camera::{CameraView, Split};
use crate::geometry::ShadeShare;
use crate::plan::{Cover, Instant, MatchPlan, PlaneShade, SunDay};
use crate::units::Luminance;
use crate::venue::{CameraPost, Venue, Zone};

use super::facts;
use super::slug::unique_ids;
use super::words::{self, finite};

/// Name and number of the format, the first key of the file.
pub const FORMAT: &str = "quarterstop.match/1";

/// `[east, north]`, metres.
type Point = [f64; 2];
/// A closed ring.
type Ring = Vec<Point>;
/// Polygons; the first ring of each is its outside, the others are holes.
type Region = Vec<Vec<Ring>>;

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
    #[schemars(extend("enum" = ["clear", "overcast"]))]
    pub sky: &'static str,
    /// Minutes between instants; null for a single instant.
    pub step_minutes: Option<f64>,
    pub day: DayOut,
    /// Moments of the programme, in order of time.
    pub milestones: Vec<MilestoneOut>,
    /// Named polygons on the field of play.
    pub zones: Vec<ZoneOut>,
    pub cameras: Vec<CameraOut>,
    /// In order of time, equal steps.
    pub instants: Vec<InstantOut>,
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
    /// Luminous reflectance of the playing surface, 0 to 1.
    pub surface_reflectance: f64,
    /// The field of play: rings of [east, north].
    pub field_outline_east_north_m: Vec<Ring>,
}

/// Sun of the day. Times are RFC 3339 with the venue's offset.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DayOut {
    #[schemars(extend("enum" = ["rises_and_sets", "polar_day", "polar_night"]))]
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

/// A named polygon on the field of play.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ZoneOut {
    /// Key that the instants and the CSV columns use.
    pub id: String,
    pub name: String,
    pub area_m2: f64,
    pub outline_east_north_m: Vec<Ring>,
}

/// A camera and the part of the field of play it covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraOut {
    /// Key that the instants and the CSV columns use.
    pub id: String,
    pub name: String,
    /// Entrance pupil, [east, north, up] from the centre of play.
    pub position_east_north_up_m: [f64; 3],
    pub horizontal_fov_deg: f64,
    pub cover: CoverOut,
}

/// The part of the field of play a camera covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CoverOut {
    /// 0 where the camera sees nothing of the field.
    pub area_m2: f64,
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
}

/// Shadow on one horizontal plane.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaneOut {
    /// Above the field of play.
    pub height_m: f64,
    pub field: ShareOut,
    pub zones: Vec<ZoneShareOut>,
    /// Where no direct light arrives.
    pub opaque_polygons_east_north_m: Region,
    /// Under translucent occluders only; regions do not overlap.
    pub dimmed: Vec<DimmedOut>,
    /// Line between full sun and shade inside the field.
    pub edge_lines_east_north_m: Vec<Vec<Point>>,
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
    /// Share of the cover's turf not in full sun; null without a cover.
    pub shaded_share: Option<f64>,
    /// Horizontal turf.
    pub turf: SplitOut,
    /// A vertical grey surface at face height turned toward the camera.
    pub subject: SplitOut,
}

/// Split between sun and shade.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SplitOut {
    /// Mean of the sunlit part, or what it would be; null without direct sun.
    pub sunlit_cd_per_m2: Option<f64>,
    /// Mean of the shaded part, or what it would be.
    pub shaded_cd_per_m2: Option<f64>,
    /// latent: only one side is in the cover; no_edge: no direct sun.
    #[schemars(extend("enum" = ["in_shot", "latent", "no_edge"]))]
    pub state: &'static str,
    /// log2 of sunlit over shaded; null for no_edge.
    pub stops: Option<f64>,
    /// all_sunlit or all_shaded where latent, else null.
    pub side: Option<&'static str>,
}

/// The JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator()
        .into_root_schema_for::<MatchFile>()
        .to_value()
}

/// Why the object could not be put into bytes.
#[derive(Debug, thiserror::Error)]
#[error("the JSON could not be put together: {0}")]
pub struct JsonError(#[from] serde_json::Error);

/// The whole file.
///
/// # Errors
/// [`JsonError`] where the writer refuses, which no plan should cause.
pub fn write(venue: &Venue, plan: &MatchPlan) -> Result<Vec<u8>, JsonError> {
    let mut bytes = serde_json::to_vec(&match_file(venue, plan))?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The object before it is written.
pub fn match_file(venue: &Venue, plan: &MatchPlan) -> MatchFile {
    let ids = Ids::of(venue);
    let milestone = |m: &crate::plan::Milestone| MilestoneOut {
        name: m.name.clone(),
        time: words::local_time(m.at),
    };
    let zones = ids.zones.iter().zip(&venue.zones);
    let cameras = ids.cameras.iter().zip(&venue.cameras).zip(&plan.covers);
    MatchFile {
        format: FORMAT,
        written_by: concat!("quarterstop ", env!("CARGO_PKG_VERSION")),
        venue: venue_out(venue),
        sky: words::sky(plan.sky),
        step_minutes: facts::step(plan).map(|s| s.as_seconds_f64() / 60.0),
        day: day_out(plan.day),
        milestones: plan.milestones.iter().map(milestone).collect(),
        zones: zones.map(|(id, zone)| zone_out(id, zone)).collect(),
        cameras: cameras
            .map(|((id, camera), cover)| camera_out(&ids, id, camera, cover))
            .collect(),
        instants: plan
            .instants
            .iter()
            .map(|i| instant_out(&ids, plan, i))
            .collect(),
    }
}

/// Keys of zones and cameras, in the order of the venue.
struct Ids {
    zones: Vec<String>,
    cameras: Vec<String>,
}

impl Ids {
    fn of(venue: &Venue) -> Self {
        Self {
            zones: unique_ids(venue.zones.iter().map(|z| z.name.as_str()), "zone"),
            cameras: unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera"),
        }
    }
}

fn venue_out(venue: &Venue) -> VenueOut {
    let place = &venue.place;
    VenueOut {
        title: venue.title.clone(),
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        height_above_sea_m: place.height_m,
        time_zone: place.zone.name().to_owned(),
        pressure_hpa: place.pressure_hpa,
        temperature_c: place.temperature_c,
        sport: words::sport(venue.field.sport),
        field_bearing_deg: venue.field.frame.bearing().degrees(),
        field_area_m2: venue.field.outline.unsigned_area(),
        surface_reflectance: venue.field.surface_reflectance,
        field_outline_east_north_m: rings(&venue.field.outline),
    }
}

fn day_out(day: SunDay) -> DayOut {
    let (kind, rise, noon, set) = match day {
        SunDay::RisesAndSets { rise, noon, set } => ("rises_and_sets", Some(rise), noon, Some(set)),
        SunDay::PolarDay { noon } => ("polar_day", None, noon, None),
        SunDay::PolarNight { noon } => ("polar_night", None, noon, None),
    };
    DayOut {
        kind,
        rise: rise.map(words::local_time),
        noon: words::local_time(noon),
        set: set.map(words::local_time),
    }
}

fn zone_out(id: &str, zone: &Zone) -> ZoneOut {
    ZoneOut {
        id: id.to_owned(),
        name: zone.name.clone(),
        area_m2: zone.outline.unsigned_area(),
        outline_east_north_m: rings(&zone.outline),
    }
}

fn camera_out(ids: &Ids, id: &str, camera: &CameraPost, cover: &Cover) -> CameraOut {
    let zones = ids.zones.iter().zip(&cover.zone_shares);
    let zone = |(zone, share): (&String, &f64)| ZoneCoverOut {
        zone: zone.clone(),
        covered_share: finite(*share),
    };
    CameraOut {
        id: id.to_owned(),
        name: camera.name.clone(),
        position_east_north_up_m: camera.at.to_array(),
        horizontal_fov_deg: camera.horizontal_fov_deg,
        cover: CoverOut {
            area_m2: cover.area_m2,
            zones: zones.map(zone).collect(),
            polygons_east_north_m: region(&cover.region),
        },
    }
}

fn instant_out(ids: &Ids, plan: &MatchPlan, instant: &Instant) -> InstantOut {
    let views = ids.cameras.iter().zip(&instant.cameras).zip(&plan.covers);
    InstantOut {
        time: words::local_time(instant.at),
        time_utc: words::utc_time(instant.at),
        sun: SunOut {
            azimuth_deg: instant.sun.azimuth.degrees(),
            apparent_elevation_deg: instant.sun.apparent_elevation.degrees(),
            true_elevation_deg: instant.sun.true_elevation.degrees(),
            state: words::sun_state(instant.sun_state),
        },
        daylight: DaylightOut {
            direct_normal_lx: instant.daylight.direct_normal.lux(),
            direct_horizontal_lx: instant.daylight.direct_horizontal.lux(),
            diffuse_horizontal_lx: instant.daylight.diffuse_horizontal.lux(),
        },
        turf: plane_out(ids, &instant.turf),
        face: plane_out(ids, &instant.face),
        cameras: views
            .map(|((id, view), cover)| view_out(id, view, cover))
            .collect(),
    }
}

fn plane_out(ids: &Ids, plane: &PlaneShade) -> PlaneOut {
    let zone = |(zone, share): (&String, &ShadeShare)| ZoneShareOut {
        zone: zone.clone(),
        share: share_out(share),
    };
    let dimmed = |d: &crate::geometry::Dimmed| DimmedOut {
        transmittance: d.transmittance.share(),
        polygons_east_north_m: region(&d.region),
    };
    PlaneOut {
        height_m: plane.shadow.height_m,
        field: share_out(&plane.field),
        zones: ids.zones.iter().zip(&plane.zones).map(zone).collect(),
        opaque_polygons_east_north_m: region(&plane.shadow.opaque),
        dimmed: plane.shadow.dimmed.iter().map(dimmed).collect(),
        edge_lines_east_north_m: lines(&plane.edge),
    }
}

fn share_out(share: &ShadeShare) -> ShareOut {
    ShareOut {
        opaque_share: finite(share.opaque),
        shaded_share: finite(share.shaded),
        mean_transmission: finite(share.mean_transmission),
    }
}

fn view_out(id: &str, view: &CameraView, cover: &Cover) -> ViewOut {
    let sees_field = cover.area_m2 > 0.0;
    ViewOut {
        camera: id.to_owned(),
        shaded_share: finite(view.shaded_share).filter(|_| sees_field),
        turf: split_out(&view.turf),
        subject: split_out(&view.subject),
    }
}

fn split_out(split: &Split) -> SplitOut {
    let luminance = |l: Option<Luminance>| l.map(Luminance::cd_per_m2).and_then(finite);
    SplitOut {
        sunlit_cd_per_m2: luminance(split.sunlit),
        shaded_cd_per_m2: luminance(split.shaded),
        state: words::split_state(split.state),
        stops: words::stops(split.state),
        side: words::side(split.state),
    }
}

fn points(line: &LineString<f64>) -> Vec<Point> {
    line.coords().map(|c| [c.x, c.y]).collect()
}

fn rings(polygon: &Polygon<f64>) -> Vec<Ring> {
    std::iter::once(polygon.exterior())
        .chain(polygon.interiors())
        .map(points)
        .collect()
}

fn region(polygons: &MultiPolygon<f64>) -> Region {
    polygons.iter().map(rings).collect()
}

fn lines(lines: &MultiLineString<f64>) -> Vec<Vec<Point>> {
    lines.iter().map(points).collect()
}
