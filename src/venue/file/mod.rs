//! The venue file as it is written: one struct a table.
//!
//! In: TOML. Out: plain data in the file's own axes and units, not yet checked
//! beyond its shape. These structs are the single place that names keys, units,
//! limits and defaults; the JSON Schema is derived from them.
//!
//! Points are `[along, across]` or `[along, across, up]` in field axes, metres
//! (see [`crate::base::frame`]).

mod camera;
mod candidate;
mod crew;
mod grandstand;
mod hole;
mod lattice;
mod mesh;
mod moving;
mod production;
mod relief;
mod setting;
mod site;
mod stands;
mod surveyed;
mod things;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::crew::{StatedExposure, Subject};

pub use camera::{CameraTable, GantryTable};
pub use candidate::CandidateTable;
pub use crew::OperatorTable;
pub use grandstand::{
    ArcTable, EndAt, EndTable, GrandstandTable, LayerPart, LayerTable, OpeningTable,
};
pub use hole::{HoleTable, ShotTable};
pub use lattice::LatticeTable;
pub use mesh::MeshTable;
pub use moving::{Days, MoveTable, MovingTable, StatePart, StatePartTable, StateTable};
pub use production::ProductionTable;
pub use relief::ReliefTable;
pub use setting::{
    AirTable, FieldTable, FixtureTable, FloodlightsOn, FloodlightsTable, HorizonTable, MomentTable,
    North, PlaceTable, TechnicalAreas, ZoneTable,
};
pub use site::{
    AxesTable, FIELD_TABLES, FramingTable, OnAirTable, PlayTable, SHARED_TABLES, SiteCameraTable,
    SiteFieldTable, SiteFile,
};
pub use stands::{
    BowlTable, ClosedEnds, CornerRoof, CornerTable, Foot, RoofTable, Section, SideName, StandTable,
};
pub use surveyed::SurveyedTable;
pub use things::{PanelTable, SolidTable, TreeTable};

/// The whole file.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop venue")]
pub struct VenueFile {
    /// Name for headings.
    pub title: String,
    pub place: PlaceTable,
    pub field: FieldTable,
    /// Named polygons on the ground, beside those of the sport.
    #[serde(default)]
    pub zone: Vec<ZoneTable>,
    /// A hole of golf, beside the outline and zones of its field.
    pub hole: Option<HoleTable>,
    /// Ground that is not flat; flat when absent.
    pub relief: Option<ReliefTable>,
    /// Straight stands along a side of the field.
    #[serde(default)]
    pub stand: Vec<StandTable>,
    /// Infill between the ends of two neighbouring stands.
    #[serde(default)]
    pub corner: Vec<CornerTable>,
    /// Curved stands: a ring of straight segments.
    #[serde(default)]
    pub bowl: Vec<BowlTable>,
    /// Stands of any section along a line in plan.
    #[serde(default)]
    pub grandstand: Vec<GrandstandTable>,
    /// Towers, scoreboards, neighbours, masts: upright prisms.
    #[serde(default)]
    pub solid: Vec<SolidTable>,
    #[serde(default)]
    pub tree: Vec<TreeTable>,
    /// Any planar polygon in space: roofs, sails, boards.
    #[serde(default)]
    pub panel: Vec<PanelTable>,
    /// Models of stands from OBJ or glTF files.
    #[serde(default)]
    pub mesh: Vec<MeshTable>,
    /// What stands in one of several states.
    #[serde(default)]
    pub moving: Vec<MovingTable>,
    /// When what moves changes its state.
    #[serde(default, rename = "move")]
    pub moves: Vec<MoveTable>,
    /// Lines that cameras stand on.
    #[serde(default)]
    pub gantry: Vec<GantryTable>,
    #[serde(default)]
    pub camera: Vec<CameraTable>,
    /// Places where one more camera could stand, to be compared.
    #[serde(default)]
    pub candidate: Vec<CandidateTable>,
    /// Exposure of all cameras that do not state their own.
    pub exposure: Option<StatedExposure>,
    /// What stands in front of the cameras.
    pub subject: Option<Subject>,
    /// What is made of the cameras' pictures: SDR, HDR or both. When absent nothing is said of
    /// outputs, and cameras are set as for SDR.
    pub production: Option<ProductionTable>,
    /// Who rides the irises.
    #[serde(default)]
    pub operator: Vec<OperatorTable>,
    pub horizon: Option<HorizonTable>,
    pub air: Option<AirTable>,
    pub floodlights: Option<FloodlightsTable>,
    pub fixture: Option<FixtureTable>,
    /// Moments of play, instead of those of the sport; the last is the end.
    #[serde(default)]
    pub moment: Vec<MomentTable>,
    /// Where numbers of this file come from, and how far they may be off.
    #[serde(default)]
    pub surveyed: Vec<SurveyedTable>,
}
