//! Levels of all pictures as JSON (`quarterstop.on-air/1`) and as CSV.

use chrono::DateTime;
use chrono_tz::Tz;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use super::expose::Set;
use super::levels::NamedLevel;
use crate::camera::SkinLight;
use crate::engine::view::Placing;
use crate::output::csv::CsvError;
use crate::output::json::JsonError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::output::words::{light_class, local_time, skin_verdict};
use crate::signal::Output;
use crate::venue::Venue;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.on-air/1";

/// What one picture says in numbers.
#[derive(Debug, Clone)]
pub struct OnAirPicture {
    pub camera: String,
    pub at: DateTime<Tz>,
    pub placing: Placing,
    pub set: Set,
    pub levels: Vec<NamedLevel>,
}

/// Levels at named places of pictures through cameras.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop on-air")]
pub struct OnAirFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Program and version.
    pub written_by: &'static str,
    pub venue: String,
    /// "hlg" or "pq".
    pub hdr: &'static str,
    /// By camera, then in order of time.
    pub pictures: Vec<PictureOut>,
}

/// One camera at one minute.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PictureOut {
    pub camera: String,
    /// RFC 3339.
    pub at: String,
    /// "sun", "shade" or "between".
    pub exposed_for: &'static str,
    /// Luminance at reference white, cd/m2.
    pub white_cd_per_m2: f64,
    /// null where no light asks for one.
    pub t_number: Option<f64>,
    pub nd_stops: f64,
    /// Colour temperature of the light that is balanced to; null where it has none.
    pub white_balance_k: Option<f64>,
    /// Not there at 0 dB.
    #[serde(default, skip_serializing_if = "is_none")]
    pub gain_db: f64,
    /// How much darker than wanted, wide open at the highest gain; not there where it is not.
    #[serde(default, skip_serializing_if = "is_none")]
    pub dark_stops: f64,
    /// How much brighter than wanted, closed all the way; not there where it is not.
    #[serde(default, skip_serializing_if = "is_none")]
    pub bright_stops: f64,
    /// What an optical filter makes of the light that is balanced to; not there without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub behind_filter_k: Option<f64>,
    /// Where players stand, if not where the camera looks with their heads in the frame:
    /// "aim_hidden" and "aim_far_off" as near to it as ground of play is seen, "row_cut" beside
    /// it because something hides some of them there or the frame would cut their heads,
    /// "heads_out" there although it cuts them, "nowhere" in no place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub players: Option<&'static str>,
    pub levels: Vec<LevelOut>,
    /// Of the skins that the venue file names, in every light that the camera's cover shows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub skins: Vec<SkinLightOut>,
}

/// One skin in one light.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SkinLightOut {
    pub skin: &'static str,
    pub reflectance: f64,
    /// "the sun", "dimmed light" or "shade".
    pub light: &'static str,
    /// Over reference white, negative under it.
    pub over_white_stops: f64,
    /// Outside of the levels of Report ITU-R BT.2408, negative under them, 0 within.
    pub off_stops: f64,
    /// "fits", "too_bright", "too_dark", "clips" or "lost".
    pub verdict: &'static str,
}

fn skin(of: &SkinLight) -> SkinLightOut {
    SkinLightOut {
        skin: of.skin.name(),
        reflectance: rounded(of.skin.luminous(), 3),
        light: light_class(of.class),
        over_white_stops: rounded(of.over_white_stops, 2),
        off_stops: rounded(of.off_stops, 2),
        verdict: skin_verdict(of.verdict),
    }
}

fn is_none(value: &f64) -> bool {
    *value == 0.0
}

/// One place of a picture.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LevelOut {
    pub name: String,
    /// Pixels that show it.
    pub pixels: usize,
    pub luminance_cd_per_m2: f64,
    /// From where an 18 % grey card lies.
    pub stops_from_grey: f64,
    /// Green at 10 bits, narrow range: 64 is black, 940 is 100 %.
    pub sdr_code: u32,
    pub hdr_code: u32,
    /// Of the SDR made of the HDR by Report ITU-R BT.2446, method C.
    pub sdr_of_hdr_code: u32,
    /// Of its pixels, 0 to 1.
    pub sdr_clipped_share: f64,
    pub sdr_crushed_share: f64,
    pub hdr_clipped_share: f64,
    pub hdr_crushed_share: f64,
}

fn word(expose: super::Expose) -> &'static str {
    match expose {
        super::Expose::Sun => "sun",
        super::Expose::Shade => "shade",
        super::Expose::Between => "between",
    }
}

fn players(placing: Placing) -> Option<&'static str> {
    match placing {
        Placing::AtAim => None,
        Placing::HeadsOut => Some("heads_out"),
        Placing::AimHidden => Some("aim_hidden"),
        Placing::RowCut => Some("row_cut"),
        Placing::AimFarOff => Some("aim_far_off"),
        Placing::Nowhere => Some("nowhere"),
    }
}

fn rounded(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}

fn level(of: &NamedLevel) -> LevelOut {
    LevelOut {
        name: of.name.clone(),
        pixels: of.pixels,
        luminance_cd_per_m2: rounded(of.luminance_cd_per_m2, 1),
        stops_from_grey: rounded(of.stops_from_grey, 2),
        sdr_code: of.codes[0],
        hdr_code: of.codes[1],
        sdr_of_hdr_code: of.codes[2],
        sdr_clipped_share: rounded(of.clipped_shares[0], 4),
        sdr_crushed_share: rounded(of.crushed_shares[0], 4),
        hdr_clipped_share: rounded(of.clipped_shares[1], 4),
        hdr_crushed_share: rounded(of.crushed_shares[1], 4),
    }
}

/// The schema of the format.
pub fn schema() -> serde_json::Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<OnAirFile>().to_value()
}

/// As JSON.
///
/// # Errors
/// [`JsonError`].
pub fn json(venue: &Venue, hdr: Output, shown: &[OnAirPicture]) -> Result<Vec<u8>, JsonError> {
    let picture = |one: &OnAirPicture| PictureOut {
        camera: one.camera.clone(),
        at: local_time(one.at),
        exposed_for: word(one.set.expose),
        white_cd_per_m2: rounded(one.set.white.cd_per_m2(), 1),
        t_number: one.set.t_number.map(|t| rounded(t, 2)),
        nd_stops: one.set.nd_stops,
        white_balance_k: one.set.balanced_k.map(|k| rounded(k, 0)),
        gain_db: one.set.gain_db,
        dark_stops: rounded(one.set.dark_stops, 2),
        bright_stops: rounded(one.set.bright_stops, 2),
        behind_filter_k: one.set.behind_filter_k.map(|k| rounded(k, 0)),
        players: players(one.placing),
        levels: one.levels.iter().map(level).collect(),
        skins: one.set.skins.iter().map(skin).collect(),
    };
    let file = OnAirFile {
        format: FORMAT,
        written_by: concat!("quarterstop ", env!("CARGO_PKG_VERSION")),
        venue: venue.title.clone(),
        hdr: if hdr == Output::Pq { "pq" } else { "hlg" },
        pictures: shown.iter().map(picture).collect(),
    };
    let mut bytes = serde_json::to_vec_pretty(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// A place of a picture.
type Row<'a> = (&'a OnAirPicture, &'a NamedLevel);

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let share = |name, meaning, of: fn(&NamedLevel) -> f64| {
        number(name, ("0 to 1", 4), meaning, move |r: &Row<'a>| Some(of(r.1)))
    };
    let code = |name, meaning, i: usize| {
        number(name, ("10 bits", 0), meaning, move |r: &Row<'a>| Some(f64::from(r.1.codes[i])))
    };
    vec![
        text("camera", "name", "as the venue file names it", |r: &Row<'a>| r.0.camera.clone()),
        text("at", "RFC 3339", "time", |r: &Row<'a>| local_time(r.0.at)),
        text("exposed_for", "word", "sun, shade or between", |r: &Row<'a>| {
            word(r.0.set.expose).to_owned()
        }),
        number("white_cd_per_m2", ("cd/m2", 1), "luminance at reference white", |r: &Row<'a>| {
            Some(r.0.set.white.cd_per_m2())
        }),
        number("t_number", ("T-number", 2), "of the iris", |r: &Row<'a>| r.0.set.t_number),
        number("nd_stops", ("stop", 1), "of the ND wheel", |r: &Row<'a>| Some(r.0.set.nd_stops)),
        number(
            "white_balance_k",
            ("K", 0),
            "colour temperature of the light that is balanced to",
            |r: &Row<'a>| r.0.set.balanced_k,
        ),
        text("place", "words", "what is seen", |r: &Row<'a>| r.1.name.clone()),
        number("pixels", ("pixel", 0), "that show it", |r: &Row<'a>| Some(r.1.pixels as f64)),
        number("luminance_cd_per_m2", ("cd/m2", 1), "mean", |r: &Row<'a>| {
            Some(r.1.luminance_cd_per_m2)
        }),
        number(
            "stops_from_grey",
            ("stop", 2),
            "from where an 18 % grey card lies",
            |r: &Row<'a>| Some(r.1.stops_from_grey),
        ),
        code("sdr_code", "green in SDR, narrow range: 64 is black, 940 is 100 %", 0),
        code("hdr_code", "green in HDR, narrow range", 1),
        code("sdr_of_hdr_code", "green in the SDR made of the HDR, narrow range", 2),
        share("sdr_clipped_share", "of its pixels, clipped in SDR", |l| l.clipped_shares[0]),
        share("sdr_crushed_share", "of its pixels, crushed in SDR", |l| l.crushed_shares[0]),
        share("hdr_clipped_share", "of its pixels, clipped in HDR", |l| l.clipped_shares[1]),
        share("hdr_crushed_share", "of its pixels, crushed in HDR", |l| l.crushed_shares[1]),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// As CSV, a row for each place of each picture.
///
/// # Errors
/// [`CsvError`].
pub fn csv(shown: &[OnAirPicture]) -> Result<Vec<u8>, CsvError> {
    let rows = shown.iter().flat_map(|one| one.levels.iter().map(move |of| (one, of)));
    table::csv(&of_row(), rows)
}
