//! The file of a site: several fields at one place.
//!
//! In: TOML with `[[field]]`. Out: what all fields share, in the axes of the site, and each
//! field with the tables that a venue file has, in the axes of the field.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::crew::{StatedExposure, Subject};

use super::{
    AirTable, BowlTable, CameraTable, CandidateTable, CornerTable, FieldTable, FixtureTable,
    FloodlightsTable, GantryTable, GrandstandTable, HoleTable, HorizonTable, MeshTable,
    MomentTable, MoveTable, MovingTable, North, OperatorTable, PanelTable, PlaceTable,
    ProductionTable, ReliefTable, SolidTable, StandTable, SurveyedTable, TreeTable, ZoneTable,
};

/// Tables of a venue file that the file of a site has under each field.
pub const FIELD_TABLES: [&str; 16] = [
    "zone",
    "hole",
    "stand",
    "corner",
    "bowl",
    "grandstand",
    "solid",
    "tree",
    "panel",
    "mesh",
    "moving",
    "move",
    "gantry",
    "camera",
    "candidate",
    "surveyed",
];

/// Those that the site has for every field without its own.
pub const SHARED_TABLES: [&str; 3] = ["floodlights", "moment", "relief"];

/// A whole site. What stands beside `field` is shared and lies in the axes of the site.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop site")]
pub struct SiteFile {
    /// Name for headings; that of the field is added.
    pub title: String,
    /// Of the origin of the site's axes; the sun stands alike over all fields.
    pub place: PlaceTable,
    #[serde(default)]
    pub site: AxesTable,
    /// Ground under all fields that state none of their own, its heights over the plane of the
    /// site; crown and fall are those of a field.
    pub relief: Option<ReliefTable>,
    /// Courts, pitches, holes.
    pub field: Vec<SiteFieldTable>,
    /// Stands of any section along a line in plan; outward is away from the origin of the
    /// site.
    #[serde(default)]
    pub grandstand: Vec<GrandstandTable>,
    #[serde(default)]
    pub solid: Vec<SolidTable>,
    #[serde(default)]
    pub tree: Vec<TreeTable>,
    #[serde(default)]
    pub panel: Vec<PanelTable>,
    #[serde(default)]
    pub mesh: Vec<MeshTable>,
    #[serde(default)]
    pub moving: Vec<MovingTable>,
    #[serde(default, rename = "move")]
    pub moves: Vec<MoveTable>,
    /// Lines that cameras of the site stand on.
    #[serde(default)]
    pub gantry: Vec<GantryTable>,
    /// Cameras that serve several fields.
    #[serde(default)]
    pub camera: Vec<SiteCameraTable>,
    pub exposure: Option<StatedExposure>,
    pub subject: Option<Subject>,
    pub production: Option<ProductionTable>,
    #[serde(default)]
    pub operator: Vec<OperatorTable>,
    pub horizon: Option<HorizonTable>,
    pub air: Option<AirTable>,
    /// Floodlights of all fields that have none of their own.
    pub floodlights: Option<FloodlightsTable>,
    pub fixture: Option<FixtureTable>,
    /// Moments of a match on any of the fields, where no order of play is stated.
    #[serde(default)]
    pub moment: Vec<MomentTable>,
    /// Matches of the day of the fixture; those on one field in their order.
    #[serde(default)]
    pub play: Vec<PlayTable>,
    /// When the programme goes to which field; needed where matches run at the same time.
    #[serde(default)]
    pub on_air: Vec<OnAirTable>,
}

/// How the axes of the site lie.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxesTable {
    /// Bearing of the site's `along` axis, degrees clockwise from north.
    #[serde(default)]
    #[schemars(range(min = 0, max = 360))]
    pub bearing_deg: f64,
    #[serde(default)]
    pub north: North,
    /// Magnetic declination, degrees, east positive; also of fields that state none.
    #[schemars(range(min = -180, max = 180))]
    pub declination_deg: Option<f64>,
}

/// A field of a site: where it lies, and all that belongs to it, in its own axes.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct SiteFieldTable {
    pub name: String,
    /// Where its centre lies in the axes of the site, `[along, across]` metres.
    pub at: [f64; 2],
    /// Height of its plane over that of the site, metres.
    #[serde(default)]
    #[schemars(range(min = -200, max = 200))]
    pub up_m: f64,
    #[serde(flatten)]
    pub field: FieldTable,
    #[serde(default)]
    pub zone: Vec<ZoneTable>,
    pub hole: Option<HoleTable>,
    pub relief: Option<ReliefTable>,
    #[serde(default)]
    pub stand: Vec<StandTable>,
    #[serde(default)]
    pub corner: Vec<CornerTable>,
    #[serde(default)]
    pub bowl: Vec<BowlTable>,
    #[serde(default)]
    pub grandstand: Vec<GrandstandTable>,
    #[serde(default)]
    pub solid: Vec<SolidTable>,
    #[serde(default)]
    pub tree: Vec<TreeTable>,
    #[serde(default)]
    pub panel: Vec<PanelTable>,
    #[serde(default)]
    pub mesh: Vec<MeshTable>,
    #[serde(default)]
    pub moving: Vec<MovingTable>,
    #[serde(default, rename = "move")]
    pub moves: Vec<MoveTable>,
    #[serde(default)]
    pub gantry: Vec<GantryTable>,
    #[serde(default)]
    pub camera: Vec<CameraTable>,
    #[serde(default)]
    pub candidate: Vec<CandidateTable>,
    pub floodlights: Option<FloodlightsTable>,
    #[serde(default)]
    pub moment: Vec<MomentTable>,
    /// Where numbers of the field and of what belongs to it come from, and how far they may be
    /// off.
    #[serde(default)]
    pub surveyed: Vec<SurveyedTable>,
}

/// A camera of the site.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct SiteCameraTable {
    #[serde(flatten)]
    pub camera: CameraTable,
    /// Names of the fields it serves; all when absent.
    pub serves: Option<Vec<String>>,
    /// What it looks at and how wide on one field, where that differs.
    #[serde(default)]
    pub framing: Vec<FramingTable>,
}

/// How a camera of the site looks at one of its fields.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FramingTable {
    /// Name of the field.
    pub field: String,
    /// Names of marks or zones of that field, in turn.
    #[serde(default)]
    pub looks_at: Vec<String>,
    /// Points it looks at, in turn, `[along, across]` metres in the axes of that field.
    #[serde(default)]
    pub aim: Vec<[f64; 2]>,
    /// Horizontal field of view on that field, degrees.
    #[schemars(range(min = 0.1, max = 170))]
    pub horizontal_fov_deg: Option<f64>,
    /// Focal length on that field, mm.
    #[schemars(range(min = 1, max = 10000))]
    pub focal_length_mm: Option<f64>,
}

/// A match of the day, on one of the fields.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlayTable {
    pub name: String,
    /// Name of the field.
    pub field: String,
    /// Local time at which it starts, "HH:MM"; after the match before on its field when
    /// absent.
    pub starts: Option<String>,
    /// Starts after the match before, but not before this local time, "HH:MM".
    pub not_before: Option<String>,
    /// From the end of the match before on its field, minutes.
    #[serde(default = "changeover")]
    #[schemars(range(min = 1, max = 600))]
    pub after_min: u32,
    /// Expected length, minutes.
    #[schemars(range(min = 1, max = 1440))]
    pub lasts_min: u32,
}

/// The programme goes to a field.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OnAirTable {
    /// Name of the field.
    pub field: String,
    /// Local time, "HH:MM".
    pub from: String,
}

/// Players off, players on, warm-up (common practice, no source).
fn changeover() -> u32 {
    20
}
