//! `quarterstop import outlines`: a map's outlines into a venue file.
//!
//! In: a GeoJSON file, and a venue or what a new one needs. Out: a venue file, and
//! on stdout what was brought in, taken for granted and left out.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::base::read::text_file;
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::print;
use crate::command::progress::Progress;
use crate::import::geodesy::Geographic;
use crate::import::outlines;
use crate::import::outlines::height::DEFAULT_LEVEL_M;
use crate::import::outlines::{DEFAULT_WITHIN_M, FieldChoice, Goal, HeightRule, NewVenue, Wish};
use crate::import::write::save;
use crate::venue::Sport;

use super::words::{degrees, length, metres, place};

/// Megabytes of a map: the outlines of a large town.
const MAX_MB: u64 = 64;

/// Options of `quarterstop import outlines`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop import outlines ground.geojson --zone Europe/London --height-m 38 --into ground.toml
  quarterstop import outlines around.geojson --onto ground.toml --into ground-2.toml")]
pub struct OutlineOptions {
    /// Outlines (GeoJSON, RFC 7946: longitude and latitude on WGS 84)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Venue file to write
    #[arg(long, value_name = "VENUE")]
    pub into: PathBuf,

    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,

    /// Add to this venue; its place, bearing and everything in it stay
    #[arg(long, value_name = "VENUE", conflicts_with_all = ["zone", "title", "sport", "height_m"])]
    pub onto: Option<PathBuf>,

    /// Time zone of a new venue, by its IANA name
    #[arg(long, value_name = "ZONE", required_unless_present = "onto")]
    pub zone: Option<String>,

    /// Title of a new venue [default: the name of the field of play]
    #[arg(long, value_name = "TEXT", verbatim_doc_comment)]
    pub title: Option<String>,

    /// Height of the turf above sea level, metres [default: `ele` of the field of play]
    #[arg(long, value_name = "M", value_parser = metres, allow_negative_numbers = true)]
    #[arg(verbatim_doc_comment)]
    pub height_m: Option<f64>,

    /// Sport of a new venue [default: that of the field of play]
    #[arg(long, value_enum, verbatim_doc_comment)]
    pub sport: Option<SportChoice>,

    /// The field of play, by name or id, where the file has several
    #[arg(long, value_name = "NAME_OR_ID", conflicts_with_all = ["onto", "centre"])]
    pub field: Option<String>,

    /// Centre of play, where the file has no field of play
    #[arg(long, value_name = "LAT,LON", value_parser = place, allow_hyphen_values = true)]
    #[arg(requires = "bearing_deg", conflicts_with = "onto")]
    pub centre: Option<Geographic>,

    /// Bearing of the field's long axis, degrees clockwise from true north
    #[arg(long, value_name = "DEG", value_parser = degrees, requires = "centre")]
    pub bearing_deg: Option<f64>,

    /// Length of the field of play, metres [default: as drawn, else the sport's usual one]
    #[arg(long, value_name = "M", value_parser = length, conflicts_with = "onto")]
    #[arg(verbatim_doc_comment)]
    pub length_m: Option<f64>,

    /// Width of the field of play, metres [default: as drawn, else the sport's usual one]
    #[arg(long, value_name = "M", value_parser = length, conflicts_with = "onto")]
    #[arg(verbatim_doc_comment)]
    pub width_m: Option<f64>,

    /// How far from the centre of play outlines are taken, metres
    #[arg(long, value_name = "M", value_parser = length, default_value_t = DEFAULT_WITHIN_M)]
    pub within_m: f64,

    /// Height of a level, metres, where only levels are stated
    #[arg(long, value_name = "M", value_parser = level, default_value_t = DEFAULT_LEVEL_M)]
    pub level_m: f64,

    /// Height of buildings that state none, metres; left out when absent
    #[arg(long, value_name = "M", value_parser = length)]
    pub assume_height_m: Option<f64>,
}

/// A sport, as the venue file writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[value(rename_all = "snake_case")]
pub enum SportChoice {
    Football,
    RugbyUnion,
    Tennis,
    Hockey,
    Cricket,
    Free,
}

impl From<SportChoice> for Sport {
    fn from(choice: SportChoice) -> Self {
        match choice {
            SportChoice::Football => Self::Football,
            SportChoice::RugbyUnion => Self::RugbyUnion,
            SportChoice::Tennis => Self::Tennis,
            SportChoice::Hockey => Self::Hockey,
            SportChoice::Cricket => Self::Cricket,
            SportChoice::Free => Self::Free,
        }
    }
}

fn level(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if (1.0..=10.0).contains(&value) => Ok(value),
        _ => Err("a level is 1 to 10 m high".to_owned()),
    }
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then.
pub(crate) fn run(options: &OutlineOptions) -> Result<(), Failure> {
    let told = |e: crate::base::read::ReadError| Failure::Input(e.into());
    let geojson = text_file(&options.file, MAX_MB).map_err(told)?;
    let wish = Wish {
        source: options.file.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        within_m: options.within_m,
        rule: HeightRule { level_m: options.level_m, assumed_m: options.assume_height_m },
    };
    let progress = Progress::of("outlines");
    progress.report(0, 1);
    let venue = options.onto.as_deref().map(super::words::venue_text).transpose()?;
    let goal = match &venue {
        Some((text, venue)) => Goal::Onto { text, venue },
        None => Goal::New(new_venue(options)),
    };
    let imported = outlines::import(&geojson, goal, &wish)
        .map_err(|e| Failure::Input(format!("{}: {e}", options.file.display()).into()))?;
    drop(progress);
    let inputs = Inputs::of([&options.file]).and(options.onto.as_ref());
    let (inputs, existing) =
        super::words::replacing(options.replace, inputs, options.onto.as_deref());
    save(&options.into, &imported.text, &inputs, existing)?;
    super::words::warn_of_written(&options.into, venue.as_ref().map(|(_, venue)| venue));
    let into = options.into.display();
    print(&format!("{}Written: {into}\n", outlines::text(&imported, &wish)))
}

fn new_venue(options: &OutlineOptions) -> NewVenue {
    let field = match (options.centre, options.bearing_deg) {
        (Some(centre), Some(bearing_deg)) => FieldChoice::Stated { centre, bearing_deg },
        _ => FieldChoice::Drawn { named: options.field.clone() },
    };
    NewVenue {
        title: options.title.clone(),
        zone: options.zone.clone().unwrap_or_default(),
        height_m: options.height_m,
        sport: options.sport.map(Sport::from),
        length_m: options.length_m,
        width_m: options.width_m,
        field,
    }
}
