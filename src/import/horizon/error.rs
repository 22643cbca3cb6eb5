//! Why a skyline cannot be brought in.

use crate::base::read::clean;

/// Why files give no skyline. Messages begin with the file's name where one file
/// is at fault.
#[derive(Debug, thiserror::Error)]
pub enum HorizonError {
    #[error("{}: {}{}", clean(file), problems.join("\n  "), more(.count, problems))]
    List { file: String, problems: Vec<String>, count: usize },
    #[error(
        "{}: the name does not say which tile it is\n  \
         a tile of SRTM is called after its south-west corner, such as N52W001.hgt",
        clean(file)
    )]
    TileName { file: String },
    #[error(
        "{}: {bytes} bytes are no tile of SRTM; 1 arc-second has 25934402, 3 arc-seconds \
         2884802\n  unpack it first, or load it again",
        clean(file)
    )]
    TileSize { file: String, bytes: usize },
    #[error("{}: not a TIFF that can be read: {}", clean(file), clean(cause))]
    Tiff { file: String, cause: String },
    #[error(
        "{}: {columns} x {rows} heights; at most {limit} are read: cut a smaller area out",
        clean(file)
    )]
    TooLarge { file: String, columns: u64, rows: u64, limit: u64 },
    #[error("{}: {found}\n  allowed: {allowed}", clean(file))]
    NotTerrain { file: String, found: String, allowed: &'static str },
    #[error(
        "no terrain at the centre of play, {latitude_deg:.5}, {longitude_deg:.5}: {why}\n  \
         add the tile that holds it ({tile}), or state the ground with --ground-m"
    )]
    NotCovered { latitude_deg: f64, longitude_deg: f64, why: &'static str, tile: String },
    #[error("terrain is looked over between 85 degrees south and 85 degrees north")]
    NearPole,
    #[error("no terrain between {from_m} m and {to_km} km from the centre of play")]
    NothingSeen { from_m: f64, to_km: f64 },
    #[error("the venue cannot be edited: {}", clean(.0))]
    Edit(String),
    #[error("{0}")]
    Geodesy(#[from] crate::import::geodesy::GeodesyError),
    /// The venue's own reader refuses what would be written.
    #[error("the venue file that would be written is not sound\n{}", .0.without_lines())]
    Unsound(#[from] crate::venue::VenueError),
}

fn more(count: &usize, shown: &[String]) -> String {
    match count.saturating_sub(shown.len()) {
        0 => String::new(),
        more => format!("\n  and {more} more"),
    }
}
