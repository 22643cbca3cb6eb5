//! Read and check the venue file.
//!
//! In: a TOML file in the ground's own axes. Out: a [`Venue`] that is valid as
//! a whole, every point in the local frame (metres, x east, y north, z up),
//! every bearing true. Nothing downstream checks it again.

pub mod build;
mod candidate;
pub mod crew;
pub mod draft;
mod error;
pub mod file;
mod hole;
mod lattice;
pub mod mesh;
mod model;
mod occluder;
pub mod outlines;
mod problem;
mod production;
pub mod read;
mod relief;
mod same;
mod shape;
pub mod site;
mod sizes;
mod slip;
mod standing;
pub mod surveyed;
mod tree;
mod usual;

pub(crate) use build::{DAY, day_of, nearest, time_of_day};
pub use candidate::{Candidate, CandidateGround};
pub use crew::{ExposesFor, Operator, Skin, Skins, StatedExposure, Subject};
pub use draft::{Address, Dimension, Draft, DraftError, FieldPart, Unit, VariantError, Variants};
pub use error::{FileKind, MessageInk, Mistakes, VenueError};
pub use hole::{Hole, Shot};
pub use lattice::{BarSection, BarWays, Lattice, MAX_BAR_WAYS};
pub use model::*;
pub use occluder::*;
pub(crate) use problem::counted;
pub use problem::{Problem, Problems};
pub use production::{Output, Production, SdrFrom};
#[cfg(feature = "cli")]
pub(crate) use read::is_site_file;
pub(crate) use read::{TomlText, check_text, text_of};
pub use read::{parse, parse_all, parse_field_in, parse_in, read, read_all, read_field};
pub(crate) use relief::GROUND_TO_M;
pub use relief::{GroundMet, Relief, ReliefError};
pub(crate) use shape::schema_of;
pub use shape::{schema, site_schema};
pub use site::{Site, VenueOrSite};
pub use standing::{
    ByStanding, Changes, Dated, Growing, Moving, NoSuchState, Standing, State, StateChange,
};
pub use surveyed::{How, Surveyed};
pub use usual::{FOOT_M, Odd, UnusualSize};
