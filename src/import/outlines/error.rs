//! Why outlines cannot be brought in.

use crate::base::read::clean;

/// Why outlines give no venue file.
#[derive(Debug, thiserror::Error)]
pub enum OutlineError {
    #[error(
        "it is no GeoJSON that can be read: {cause}\n  give a file as RFC 7946 describes it, in UTF-8"
    )]
    NoGeoJson { cause: String },
    #[error(
        "it states a coordinate system of its own: {crs}\n  \
         save it as longitude and latitude on WGS 84, in degrees (RFC 7946)"
    )]
    OtherSystem { crs: String },
    #[error(
        "it has {corners} corners; at most {limit} are read: cut a smaller area out of the map"
    )]
    TooMany { corners: usize, limit: usize },
    #[error(
        "the venue file would have {bytes} bytes, and may have {limit}\n  \
         take less with --within-m, or cut a smaller area out of the map"
    )]
    TooLong { bytes: u64, limit: u64 },
    #[error("there is no feature in it")]
    Nothing,
    #[error(
        "no field of play in it: no polygon says leisure=pitch\n  \
         state one with --centre LAT,LON --bearing-deg B, or add to a venue with --onto"
    )]
    NoField,
    #[error(
        "no field of play in it: what says leisure=pitch cannot be one\n  {}{}\n  \
         state one with --centre LAT,LON --bearing-deg B, or add to a venue with --onto",
        shown.join("\n  "),
        if *more > 0 { format!("\n  and {more} more") } else { String::new() }
    )]
    UnfitFields { shown: Vec<String>, more: usize },
    #[error("no field of play in it is called \"{asked}\"\n  it has: {}", known.join("; "))]
    NoSuchField { asked: String, known: Vec<String> },
    #[error(
        "there are {} fields of play in it{}\n  choose one with --field NAME_OR_ID: {}",
        known.len(),
        asked.as_ref().map_or(String::new(), |asked| format!(" called \"{asked}\"")),
        known.join("; ")
    )]
    SeveralFields { asked: Option<String>, known: Vec<String> },
    #[error("the field of play {field} cannot be used: {why}")]
    BadField { field: String, why: String },
    #[error(
        "the height of the ground above sea level is not known\n  \
         give --height-m H; a metre or ten does not matter, it is for the air pressure"
    )]
    NoHeight,
    #[error(
        "the venue states `{table}` in one line; write it as [[{table}]] tables, then add outlines"
    )]
    InlineTable { table: String },
    #[error("the venue cannot be edited: {}", clean(.0))]
    Edit(String),
    #[error("{0}")]
    Geodesy(#[from] crate::import::geodesy::GeodesyError),
    /// The venue's own reader refuses what would be written.
    #[error("the venue file that would be written is not sound\n{}", .0.without_lines())]
    Unsound(#[from] crate::venue::VenueError),
}
