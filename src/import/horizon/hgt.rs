//! Tiles of SRTM as they are handed out: `N52W001.hgt`.
//!
//! In: bytes and a file name. Out: a [`TerrainTile`]. A tile is a square of one degree,
//! 1201 or 3601 posts a side with those on the border in both neighbours, signed
//! 16-bit numbers, high byte first, -32768 where there is no height (USGS, SRTM
//! Topography, version 2.1 documentation, from memory).

use super::HorizonError;
use super::tile::{System, TerrainTile};

const SIDES: [usize; 2] = [1201, 3601];
const VOID: i16 = i16::MIN;

/// The south-west corner that a file name states, latitude and longitude.
///
/// ```
/// use quarterstop::import::horizon::hgt::corner;
/// assert_eq!(corner("n52w001.hgt"), Some([52.0, -1.0]));
/// assert_eq!(corner("S34E151.SRTMGL1.hgt"), Some([-34.0, 151.0]));
/// assert_eq!(corner("terrain.hgt"), None);
/// ```
pub fn corner(file: &str) -> Option<[f64; 2]> {
    let name = file.to_uppercase();
    let sign = |letter: char, plus: char, minus: char| match letter {
        c if c == plus => Some(1.0),
        c if c == minus => Some(-1.0),
        _ => None,
    };
    let digits = |part: Option<&str>| -> Option<f64> {
        part.filter(|p| p.bytes().all(|b| b.is_ascii_digit()))?.parse().ok()
    };
    let latitude = sign(name.chars().next()?, 'N', 'S')? * digits(name.get(1..3))?;
    let longitude = sign(name.get(3..4)?.chars().next()?, 'E', 'W')? * digits(name.get(4..7))?;
    let ends = name.get(7..8).is_none_or(|c| !c.chars().all(char::is_alphanumeric));
    let sound = ends && latitude.abs() < 90.0 && longitude.abs() <= 180.0;
    sound.then_some([latitude, longitude])
}

/// The name of the tile that holds a place.
pub fn name_of(latitude_deg: f64, longitude_deg: f64) -> String {
    let longitude = (longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
    let (south, west) = (latitude_deg.floor() as i32, longitude.floor() as i32);
    format!(
        "{}{:02}{}{:03}",
        if south < 0 { 'S' } else { 'N' },
        south.abs(),
        if west < 0 { 'W' } else { 'E' },
        west.abs()
    )
}

/// Reads a tile; `file` is its name without folders.
///
/// # Errors
/// [`HorizonError::TileName`] and [`HorizonError::TileSize`].
pub fn read(bytes: &[u8], file: &str) -> Result<TerrainTile, HorizonError> {
    let Some([south, west]) = corner(file) else {
        return Err(HorizonError::TileName { file: file.to_owned() });
    };
    let Some(side) = SIDES.into_iter().find(|side| 2 * side * side == bytes.len()) else {
        return Err(HorizonError::TileSize { file: file.to_owned(), bytes: bytes.len() });
    };
    let step = 1.0 / (side - 1) as f64;
    let height = |pair: &[u8]| match i16::from_be_bytes([pair[0], pair[1]]) {
        VOID => f32::NAN,
        height => f32::from(height),
    };
    Ok(TerrainTile {
        file: file.to_owned(),
        system: System::Geographic,
        north_west: [west, south + 1.0],
        step: [step, step],
        columns: side,
        rows: side,
        heights: bytes.chunks_exact(2).map(height).collect(),
    })
}
