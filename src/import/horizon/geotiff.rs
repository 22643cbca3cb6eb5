//! Terrain as GeoTIFF.
//!
//! In: bytes of a TIFF with one band of heights and the tags of OGC GeoTIFF 1.1
//! (OGC 19-008r4): scale and tie point, or a transformation without turning; keys
//! that say longitude and latitude, or a zone of UTM. Out: a [`TerrainTile`]. ETRS89 and
//! NAD83 are taken for WGS 84, from which they lie a metre or two.

use std::io::Cursor;

use tiff::ColorType;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;

use super::HorizonError;
use super::tile::{System, TerrainTile};

/// Heights in one file: 12 times a tile of SRTM at 1 arc-second.
const MAX_HEIGHTS: u64 = 160_000_000;
/// Bytes of heights that a byte of the file can stand for, at the most: deflate reaches
/// 1032 (RFC 1951: 258 bytes in two bits), LZW with codes of twelve bits some 1400.
const MAX_GROWTH: u64 = 1500;
/// What no land reaches, metres.
const NO_LAND_M: f64 = 12_000.0;
const SYSTEMS: &str = "longitude and latitude on WGS 84 (EPSG 4326), or UTM on WGS 84 \
     (EPSG 32601 to 32660, 32701 to 32760); warp the file to one of them";
const PLACED: &str = "a scale and one tie point, or a transformation that does not turn \
     (OGC GeoTIFF 1.1)";

/// Keys of the GeoTIFF directory that are looked at.
mod key {
    pub const MODEL: u16 = 1024;
    pub const RASTER: u16 = 1025;
    pub const GEOGRAPHIC: u16 = 2048;
    pub const PROJECTED: u16 = 3072;
    pub const ANGLE_UNIT: u16 = 2054;
    pub const LENGTH_UNIT: u16 = 3076;
    pub const HEIGHT_UNIT: u16 = 4099;
}

/// Reads a tile; `file` is its name for messages.
///
/// # Errors
/// [`HorizonError`] when it is no TIFF, too large, not placed, in a system that is
/// not known, or not one band of heights in metres.
pub fn read(bytes: &[u8], file: &str) -> Result<TerrainTile, HorizonError> {
    let failed =
        |e: tiff::TiffError| HorizonError::Tiff { file: file.to_owned(), cause: cause(&e) };
    let not =
        |found: String, allowed| HorizonError::NotTerrain { file: file.to_owned(), found, allowed };
    let mut limits = Limits::default();
    limits.decoding_buffer_size = MAX_HEIGHTS as usize * 8;
    limits.intermediate_buffer_size = 1 << 28;
    limits.ifd_value_size = 1 << 24;
    let mut decoder = Decoder::new(Cursor::new(bytes)).map_err(failed)?.with_limits(limits);
    let (columns, rows) = decoder.dimensions().map_err(failed)?;
    let (columns, rows) = (u64::from(columns), u64::from(rows));
    if columns.saturating_mul(rows) > MAX_HEIGHTS {
        let limit = MAX_HEIGHTS;
        return Err(HorizonError::TooLarge { file: file.to_owned(), columns, rows, limit });
    }
    if columns < 2 || rows < 2 {
        return Err(not(format!("{columns} x {rows} heights"), "at least 2 x 2"));
    }
    let bits = match decoder.colortype().map_err(failed)? {
        ColorType::Gray(bits) => u64::from(bits),
        other => return Err(not(pixels(other), "one band of heights")),
    };
    let keys = Keys::read(&mut decoder).map_err(failed)?;
    let system = system(&keys).map_err(|found| not(found, SYSTEMS))?;
    let placed = placed(&mut decoder, &keys).map_err(failed)?;
    let (north_west, step) = placed.map_err(|found| not(found, PLACED))?;
    if system == System::Geographic
        && (north_west[1].abs() > 91.0
            || step[1] * rows as f64 > 182.0
            || north_west[0].abs() > 361.0)
    {
        return Err(not("corners that are no longitude and latitude".into(), PLACED));
    }
    // room for what is claimed is made before the first height is read
    if columns * rows * bits / 8 > MAX_GROWTH.saturating_mul(bytes.len() as u64) {
        let found = format!("{columns} x {rows} heights in {} bytes", bytes.len());
        return Err(not(found, "as many as the file has bytes for; load it again"));
    }
    let none = decoder.find_tag(Tag::GdalNodata).map_err(failed)?;
    let none = none.and_then(|v| v.into_string().ok());
    let none = none.and_then(|text| text.trim_matches(['\0', ' ']).parse::<f64>().ok());
    let heights = heights(decoder.read_image().map_err(failed)?, none);
    if heights.len() as u64 != columns * rows {
        return Err(not(format!("{} heights", heights.len()), "as many as columns times rows"));
    }
    Ok(TerrainTile {
        file: file.to_owned(),
        system,
        north_west,
        step,
        columns: columns as usize,
        rows: rows as usize,
        heights,
    })
}

/// What the decoder refuses, in words: its own texts show values of its code.
fn cause(error: &tiff::TiffError) -> String {
    use tiff::{TiffError, TiffFormatError, TiffUnsupportedError as Unsupported};
    let joined = |bits: &[u8]| {
        let bits: Vec<String> = bits.iter().map(u8::to_string).collect();
        bits.join(", ")
    };
    match error {
        TiffError::UnsupportedError(what) => match what {
            Unsupported::InconsistentBitsPerSample(bits) => {
                format!("bands of different depths, {} bits", joined(bits))
            }
            Unsupported::InterpretationWithBits(_, bits) => {
                format!("bands of {} bits, which are not read", joined(bits))
            }
            Unsupported::UnsupportedBitsPerChannel(bits) => {
                format!("numbers of {bits} bits, which are not read")
            }
            Unsupported::UnknownCompressionMethod
            | Unsupported::UnsupportedCompressionMethod(_) => {
                "its compression is not read; save it uncompressed, with deflate or LZW".to_owned()
            }
            Unsupported::FloatingPointPredictor(_) | Unsupported::HorizontalPredictor(_) => {
                "its predictor is not read; save it without one".to_owned()
            }
            _ => "a kind of TIFF that is not read; save it as one band of heights".to_owned(),
        },
        TiffError::FormatError(TiffFormatError::RequiredTagNotFound(tag)) => {
            format!("the tag {} is missing", tag.to_u16())
        }
        TiffError::FormatError(
            TiffFormatError::InvalidTagValueType(tag) | TiffFormatError::InvalidCountForTag(tag, _),
        ) => format!("the tag {} holds something else than it should", tag.to_u16()),
        other => other.to_string(),
    }
}

/// What the pixels of a picture are, in words.
fn pixels(colours: ColorType) -> String {
    let (kind, bits) = match colours {
        ColorType::RGB(bits) => ("red, green and blue", bits),
        ColorType::RGBA(bits) => ("red, green, blue and opacity", bits),
        ColorType::GrayA(bits) => ("grey and opacity", bits),
        ColorType::CMYK(bits) | ColorType::CMYKA(bits) => ("printing inks", bits),
        ColorType::YCbCr(bits) => ("luma and chroma", bits),
        ColorType::Palette(bits) => ("a palette of colours", bits),
        ColorType::Multiband { bit_depth, num_samples } => {
            return format!("{num_samples} bands of {bit_depth} bits each");
        }
        _ => return "pixels of another kind".to_owned(),
    };
    format!("pixels of {kind}, {bits} bits each")
}

/// The directory of GeoTIFF keys with a short value each.
struct Keys(Vec<[u16; 4]>);

impl Keys {
    fn read(decoder: &mut Decoder<Cursor<&[u8]>>) -> Result<Self, tiff::TiffError> {
        let found = decoder.find_tag_unsigned_vec::<u16>(Tag::GeoKeyDirectoryTag)?;
        let entries = found.unwrap_or_default();
        let entries = entries.chunks_exact(4).skip(1);
        Ok(Self(entries.filter_map(|e| e.try_into().ok()).collect()))
    }

    fn get(&self, key: u16) -> Option<u16> {
        // a value in the entry itself has location 0
        self.0.iter().find(|e| e[0] == key && e[1] == 0).map(|e| e[3])
    }
}

/// The coordinate system, or what was found instead.
fn system(keys: &Keys) -> Result<System, String> {
    const DEGREE: u16 = 9102;
    const METRE: u16 = 9001;
    let unit = |key: u16, wanted: u16, what: &str| match keys.get(key) {
        Some(unit) if unit != wanted => Err(format!("{what} in units of EPSG {unit}")),
        _ => Ok(()),
    };
    unit(key::HEIGHT_UNIT, METRE, "heights")?;
    match (keys.get(key::MODEL), keys.get(key::GEOGRAPHIC), keys.get(key::PROJECTED)) {
        (Some(2), Some(4326 | 4258 | 4269), _) => {
            unit(key::ANGLE_UNIT, DEGREE, "angles")?;
            Ok(System::Geographic)
        }
        (Some(1), _, Some(projected)) => {
            unit(key::LENGTH_UNIT, METRE, "lengths")?;
            let zone = |first: u16, south: bool| {
                Ok(System::Utm { zone: (projected - first) as u8, south })
            };
            match projected {
                32601..=32660 => zone(32600, false),
                32701..=32760 => zone(32700, true),
                // ETRS89 / UTM, NAD83 / UTM
                25828..=25838 => zone(25800, false),
                26901..=26923 => zone(26900, false),
                other => Err(format!("the projection EPSG {other}")),
            }
        }
        (Some(2), Some(other), _) => Err(format!("the coordinate system EPSG {other}")),
        (None, ..) => Err("no coordinate system (GeoKeyDirectory)".into()),
        (Some(model), ..) => Err(format!("a coordinate system of its own (model {model})")),
    }
}

type Placed = Result<([f64; 2], [f64; 2]), String>;

/// The post in the north-west and the steps, or what was found instead.
fn placed(decoder: &mut Decoder<Cursor<&[u8]>>, keys: &Keys) -> Result<Placed, tiff::TiffError> {
    let mut values = |tag: Tag| -> Result<Vec<f64>, tiff::TiffError> {
        let found = decoder.find_tag(tag)?;
        Ok(found.and_then(|v| v.into_f64_vec().ok()).unwrap_or_default())
    };
    let scale = values(Tag::ModelPixelScaleTag)?;
    let ties = values(Tag::ModelTiepointTag)?;
    let matrix = values(Tag::ModelTransformationTag)?;
    let (corner, step) = match (&scale[..], &ties[..], &matrix[..]) {
        ([dx, dy, ..], [i, j, _, x, y, _], _) => ([x - i * dx, y + j * dy], [*dx, *dy]),
        ([_, _, ..], ties, _) => {
            return Ok(Err(format!("{} tie points", ties.len() / 6)));
        }
        (_, _, [a, b, _, x, c, d, _, y, ..]) => {
            if *b != 0.0 || *c != 0.0 {
                return Ok(Err("a turned grid".into()));
            }
            ([*x, *y], [*a, -*d])
        }
        _ => return Ok(Err("nothing that places it".into())),
    };
    let sound = corner.iter().chain(&step).all(|v| v.is_finite()) && step.iter().all(|s| *s > 0.0);
    if !sound {
        return Ok(Err(format!("steps of {} and {}", step[0], step[1])));
    }
    // a cell is told by its corner, a post by itself (GTRasterTypeGeoKey)
    let half = if keys.get(key::RASTER) == Some(2) { 0.0 } else { 0.5 };
    Ok(Ok(([corner[0] + half * step[0], corner[1] - half * step[1]], step)))
}

/// Heights with NaN for none.
fn heights(image: DecodingResult, none: Option<f64>) -> Vec<f32> {
    fn all<T: Copy>(values: Vec<T>, none: Option<f64>, wide: impl Fn(T) -> f64) -> Vec<f32> {
        let height = |value: T| {
            let height = wide(value);
            // a float file may keep the mark for "none" in single precision
            let is_none = none.is_some_and(|n| height == n || height as f32 == n as f32);
            let land = height.abs() <= NO_LAND_M;
            if is_none || !land { f32::NAN } else { height as f32 }
        };
        values.into_iter().map(height).collect()
    }
    use DecodingResult as D;
    match image {
        D::U8(v) => all(v, none, f64::from),
        D::U16(v) => all(v, none, f64::from),
        D::U32(v) => all(v, none, f64::from),
        D::U64(v) => all(v, none, |h| h as f64),
        D::I8(v) => all(v, none, f64::from),
        D::I16(v) => all(v, none, f64::from),
        D::I32(v) => all(v, none, f64::from),
        D::I64(v) => all(v, none, |h| h as f64),
        D::F32(v) => all(v, none, f64::from),
        D::F64(v) => all(v, none, |h| h),
        D::F16(v) => all(v, none, |h| f64::from(f32::from(h))),
    }
}
