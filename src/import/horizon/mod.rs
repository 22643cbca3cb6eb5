//! The skyline of the land around, from a list or from terrain.
//!
//! In: a CSV of azimuths and elevations, or terrain tiles and a place. Out: a
//! profile of azimuth (degrees from true north) and elevation (degrees), thinned
//! so that a person can read it, as the `[horizon]` of a venue file.
//!
//! [`csv`] reads lists; [`hgt`] and [`geotiff`] read terrain into [`tile`]s,
//! [`profile`] looks over them, [`thin`] leaves out points that say nothing,
//! [`table`] writes.

pub mod csv;
mod error;
pub mod geotiff;
pub mod hgt;
pub mod profile;
pub mod table;
pub mod text;
pub mod thin;
pub mod tile;

pub use error::HorizonError;

/// A skyline: azimuth from true north and elevation, degrees, by azimuth, each
/// azimuth once, linear between and around north.
pub type Skyline = Vec<[f64; 2]>;
