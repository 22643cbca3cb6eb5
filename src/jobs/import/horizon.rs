//! `quarterstop import horizon`: a skyline into a venue file.
//!
//! In: a list of azimuths and elevations, or tiles of terrain. Out: a venue file
//! with the skyline in it, or the table alone on stdout, and what there
//! is to say about it.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::base::read::{bytes_of, clean, text_file};
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::print;
use crate::command::progress::Progress;
use crate::command::words::within;
use crate::import;
use crate::import::geodesy::Geographic;
use crate::import::horizon::profile::Viewpoint;
use crate::import::horizon::thin::thin;
use crate::import::horizon::tile::TerrainTile;
use crate::import::horizon::{HorizonError, Skyline, csv, geotiff, hgt, profile, table};
use crate::import::write::{save, wrapped};
use crate::venue::Venue;

use super::words::{length, metres, place};

/// Megabytes of a list and of a tile.
const MAX_LIST_MB: u64 = 16;
const MAX_TILE_MB: u64 = 1024;
/// Heights that are held at a time, over all tiles: 15 of SRTM at 1 arc-second.
const MAX_HEIGHTS: usize = 200_000_000;
/// Terrain is thinned to this unless asked otherwise, degrees: a fifth of the
/// sun's width.
const DEFAULT_TOLERANCE_DEG: f64 = 0.1;

/// Options of `quarterstop import horizon`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop import horizon skyline.csv --declination-deg 0.7 --onto ground.toml --into ground-2.toml
  quarterstop import horizon N52W001.hgt N51W001.hgt --onto ground.toml --into ground-2.toml
  quarterstop import horizon terrain.tif --centre 52.31,-0.42")]
pub struct HorizonOptions {
    /// A list (CSV: azimuth_deg, elevation_deg), or terrain: SRTM tiles (.hgt, called
    /// after their corner) and GeoTIFF (.tif)
    #[arg(value_name = "FILE", required = true, verbatim_doc_comment)]
    pub files: Vec<PathBuf>,

    /// Venue to put the skyline into; terrain is looked over from its place
    #[arg(long, value_name = "VENUE", requires = "into")]
    pub onto: Option<PathBuf>,

    /// Venue file to write; without it the table is printed
    #[arg(long, value_name = "VENUE")]
    pub into: Option<PathBuf>,

    /// Write over a file that is there
    #[arg(long, requires = "into")]
    pub replace: bool,

    /// Place to look from, without a venue
    #[arg(long, value_name = "LAT,LON", value_parser = place, allow_hyphen_values = true)]
    #[arg(conflicts_with = "onto")]
    pub centre: Option<Geographic>,

    /// Azimuths of the list count from magnetic north; its declination, degrees, east
    /// positive
    #[arg(long, value_name = "DEG", value_parser = declination, allow_negative_numbers = true)]
    #[arg(verbatim_doc_comment)]
    pub declination_deg: Option<f64>,

    /// Height of the eye over the ground, metres
    #[arg(long, value_name = "M", value_parser = length, default_value_t = 1.7)]
    pub eye_m: f64,

    /// Height of the ground at the centre of play above sea level, metres
    /// [default: that of the terrain]
    #[arg(long, value_name = "M", value_parser = metres, allow_negative_numbers = true)]
    #[arg(verbatim_doc_comment)]
    pub ground_m: Option<f64>,

    /// Land nearer than this is left out, metres: stands and buildings are entered
    /// by themselves
    #[arg(long, value_name = "M", value_parser = length, default_value_t = 500.0)]
    #[arg(verbatim_doc_comment)]
    pub from_m: f64,

    /// How far to look, kilometres, 1 to 300
    #[arg(long, value_name = "KM", value_parser = kilometres, default_value_t = 50.0)]
    pub to_km: f64,

    /// From ray to ray, degrees, 0.05 to 5
    #[arg(long, value_name = "DEG", value_parser = every, default_value_t = 0.25)]
    pub every_deg: f64,

    /// Leave out points that change the skyline by less than this, degrees, up or down
    /// [default: 0.1 for terrain, 0 for a list]
    #[arg(long, value_name = "DEG", value_parser = tolerance, verbatim_doc_comment)]
    pub tolerance_deg: Option<f64>,
}

fn declination(text: &str) -> Result<f64, String> {
    within(text, -180.0, 180.0, "a declination in degrees")
}

fn kilometres(text: &str) -> Result<f64, String> {
    within(text, 1.0, 300.0, "a number of kilometres")
}

fn every(text: &str) -> Result<f64, String> {
    within(text, 0.05, 5.0, "a number of degrees")
}

fn tolerance(text: &str) -> Result<f64, String> {
    within(text, 0.0, 5.0, "a number of degrees")
}

/// What a file is, by its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum TerrainFile {
    List,
    Hgt,
    GeoTiff,
}

fn kind(path: &Path) -> Option<TerrainFile> {
    match path.extension()?.to_string_lossy().to_lowercase().as_str() {
        "csv" | "txt" | "tsv" => Some(TerrainFile::List),
        "hgt" => Some(TerrainFile::Hgt),
        "tif" | "tiff" => Some(TerrainFile::GeoTiff),
        _ => None,
    }
}

fn refused(text: String) -> Failure {
    Failure::Input(text.into())
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then.
pub(crate) fn run(options: &HorizonOptions) -> Result<(), Failure> {
    let mut kinds = Vec::new();
    for file in &options.files {
        kinds.push(kind(file).ok_or_else(|| {
            refused(format!(
                "`{}` is neither a list (.csv) nor terrain (.hgt, .tif); unpack it first",
                file.display()
            ))
        })?);
    }
    if options.into.is_some() && options.onto.is_none() {
        return Err(refused("--into needs the venue to put the skyline into: --onto VENUE".into()));
    }
    let venue = options.onto.as_deref().map(super::words::venue_text).transpose()?;
    let (about, skyline) = match kinds.iter().filter(|k| **k == TerrainFile::List).count() {
        0 => terrain(options, &kinds, venue.as_ref().map(|(_, venue)| venue))?,
        1 if kinds.len() == 1 => list(options)?,
        _ => return Err(refused("give one list, or terrain, not both".into())),
    };
    let lines: Vec<String> = about.iter().flat_map(|text| wrapped("", text)).collect();
    let told = |e: HorizonError| Failure::Input(e.into());
    match (&venue, &options.into) {
        (Some((text, _)), Some(into)) => {
            let placed = table::onto(text, &skyline, &lines).map_err(told)?;
            let inputs = Inputs::of(&options.files).and(options.onto.as_ref());
            let (inputs, existing) =
                super::words::replacing(options.replace, inputs, options.onto.as_deref());
            save(into, &placed.text, &inputs, existing)?;
            let before =
                if placed.replaced { "It stands in place of the one before.\n" } else { "" };
            let lines = lines.join("\n");
            print(&format!("{lines}\n{before}Written: {}\n", into.display()))
        }
        _ => print(&table::alone(&skyline, &lines)),
    }
}

fn name(path: &Path) -> String {
    clean(&path.file_name().unwrap_or_default().to_string_lossy())
}

fn list(options: &HorizonOptions) -> Result<(Vec<String>, Skyline), Failure> {
    let file = &options.files[0];
    let text = text_file(file, MAX_LIST_MB).map_err(Failure::input)?;
    let skyline = csv::read(&text, &name(file), options.declination_deg).map_err(Failure::input)?;
    let kept = thin(&skyline, options.tolerance_deg.unwrap_or(0.0));
    let about = import::horizon::text::list(
        &name(file),
        &skyline,
        &kept,
        options.declination_deg,
        options.tolerance_deg,
    );
    Ok((about, kept))
}

fn terrain(
    options: &HorizonOptions,
    kinds: &[TerrainFile],
    venue: Option<&Venue>,
) -> Result<(Vec<String>, Skyline), Failure> {
    let told = |e: HorizonError| Failure::Input(e.into());
    if options.declination_deg.is_some() {
        return Err(refused("--declination-deg is for a list; terrain has true north".into()));
    }
    let from = match (venue, options.centre) {
        (Some(venue), _) => Geographic::new(venue.place.latitude_deg, venue.place.longitude_deg)
            .map_err(Failure::input)?,
        (None, Some(centre)) => centre,
        (None, None) => {
            return Err(refused(
                "terrain needs a place to look from: --onto VENUE or --centre LAT,LON".into(),
            ));
        }
    };
    if options.from_m >= options.to_km * 1000.0 {
        return Err(refused("--from-m has to be less than --to-km".into()));
    }
    let progress = Progress::of("terrain");
    let mut tiles: Vec<TerrainTile> = Vec::new();
    let all = options.files.len() + 1;
    for (i, (file, kind)) in options.files.iter().zip(kinds).enumerate() {
        progress.report(i, all);
        let bytes = bytes_of(file, MAX_TILE_MB).map_err(Failure::input)?;
        let tile = match kind {
            TerrainFile::Hgt => hgt::read(&bytes, &name(file)),
            _ => geotiff::read(&bytes, &name(file)),
        };
        tiles.push(tile.map_err(told)?);
        if tiles.iter().map(|t| t.heights.len()).sum::<usize>() > MAX_HEIGHTS {
            return Err(refused(format!(
                "more than {MAX_HEIGHTS} heights in all; give fewer tiles, or cut them"
            )));
        }
    }
    progress.report(all - 1, all);
    let look = Viewpoint {
        from,
        eye_m: options.eye_m,
        ground_m: options.ground_m,
        near_m: options.from_m,
        far_m: options.to_km * 1000.0,
        every_deg: options.every_deg,
    };
    let seen = profile::look(&tiles, &look).map_err(told)?;
    drop(progress);
    let tolerance = options.tolerance_deg.unwrap_or(DEFAULT_TOLERANCE_DEG);
    let kept = thin(&seen.skyline(), tolerance);
    let height = venue.map(|venue| venue.place.height_m);
    let notes = import::horizon::text::terrain(&tiles, &look, &seen, &kept, tolerance, height);
    Ok((notes, kept))
}
