//! What was seen, checked and placed.
//!
//! In: a file of observations and the venue that it is about. Out: [`Observations`]:
//! observations in field axes (metres), at instants, each with its standard
//! errors, and the unknowns. Mistakes are told all together, at their lines.

mod build;
mod file;
mod names;
mod tables;
mod unknowns;

use std::path::Path;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::venue::{Address, Draft, FileKind, TomlText, Unit, VenueError, schema_of, text_of};

pub use file::{EdgeName, EdgeSide, Errors, Reference, SeenFile};

/// A point of the field of play: along and across, metres.
pub type FieldSpot = [f64; 2];

/// All that was seen, and what is asked.
#[derive(Debug, Clone)]
pub struct Observations {
    pub observations: Vec<Observation>,
    pub unknowns: Vec<Unknown>,
    pub poles: Vec<Pole>,
    pub errors: Errors,
    /// Magnetic declination, degrees, east positive, where one is known.
    pub declination_deg: Option<f64>,
    /// Named places, for advice.
    pub spots: Vec<(String, FieldSpot)>,
}

/// Something that was seen.
#[derive(Debug, Clone)]
pub struct Observation {
    /// For people: kind, number, time and place.
    pub label: String,
    /// Where it stands in the file, `edge[0]`.
    pub key: String,
    pub kind: ObservationKind,
}

/// By the watch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct When {
    pub at: DateTime<Tz>,
    /// Standard error, seconds.
    pub plus_minus_s: f64,
}

/// Of what an edge is known beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thrower {
    /// What lies beyond it, or what comes with it.
    pub side: Option<EdgeSide>,
    /// In [`crate::venue::Venue::occluders`].
    pub occluder: Option<usize>,
}

/// What was seen. Errors are standard errors.
#[derive(Debug, Clone)]
pub enum ObservationKind {
    /// The edge on a line, metres from its start.
    Edge {
        when: When,
        from: FieldSpot,
        toward: FieldSpot,
        height_m: f64,
        met_at_m: f64,
        plus_minus_m: f64,
        edge: Thrower,
    },
    /// The edge over a place.
    Passage { when: When, at: FieldSpot, height_m: f64, plus_minus_m: f64, edge: Thrower },
    /// Length of a pole's shadow, metres.
    PoleLength { when: When, pole: usize, length_m: f64, plus_minus_m: f64 },
    /// Direction of a pole's shadow.
    PoleWay { when: When, way: Way, plus_minus_deg: f64 },
    /// An angle above the horizontal.
    Sight {
        from: FieldSpot,
        eye_m: f64,
        occluder: usize,
        edge: EdgeName,
        toward: Option<FieldSpot>,
        elevation_deg: f64,
        plus_minus_deg: f64,
    },
    /// A bearing between places.
    Bearing { from: FieldSpot, to: FieldSpot, way: Way, plus_minus_deg: f64 },
    /// A number of the file by itself.
    Tape { what: Address, reads: f64, plus_minus: f64, unit: Unit },
}

/// A direction over the ground, degrees clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    pub degrees: f64,
    pub from: Reference,
}

/// An upright pole.
#[derive(Debug, Clone, PartialEq)]
pub struct Pole {
    pub name: String,
    pub at: FieldSpot,
    pub height_m: f64,
}

/// What can be unknown.
#[derive(Debug, Clone, PartialEq)]
pub enum Quantity {
    Dimension(Address),
    /// How far the watch is ahead of the true time, seconds.
    Watch,
    /// How much the compass reads too high, degrees.
    Compass,
    /// Height of a pole, metres, in [`Observations::poles`].
    Pole(usize),
}

/// A number to be found.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    pub quantity: Quantity,
    /// As the file of observations names it.
    pub name: String,
    pub unit: Unit,
    /// Where the search starts, in `unit`.
    pub start: f64,
    /// Least and most, in `unit`.
    pub limits: (f64, f64),
    /// Standard error of `start`, where it counts as an observation.
    pub plus_minus: Option<f64>,
}

/// JSON Schema (draft 2020-12) of the file of observations.
pub fn schema() -> serde_json::Value {
    schema_of::<SeenFile>()
}

/// Reads and checks a file of observations about a venue.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read(path: &Path, draft: &Draft) -> Result<Observations, VenueError> {
    let (text, name) = text_of(FileKind::Seen, path)?;
    parse(&text, &name, draft)
}

/// Reads and checks the text of a file of observations; `name` is what messages
/// call it.
///
/// # Errors
/// [`VenueError`], which lists all problems.
///
/// ```
/// # use quarterstop::jobs::fit::seen;
/// # use quarterstop::venue::Draft;
/// # let text = std::fs::read_to_string("venues/football-demo.toml").unwrap();
/// # let draft = Draft::parse(&text, "demo").unwrap();
/// let seen = "on = \"2027-05-03\"\n\
///     [[unknown]]\nwhat = 'stand.\"Mill Stand\".roof.front_height_m'\n\
///     [[edge]]\ntime = \"17:32\"\nfrom = \"corner flag behind left\"\n\
///     toward = \"corner flag ahead left\"\nmet_at_m = 12.4\n";
/// assert_eq!(seen::parse(seen, "seen.toml", &draft).unwrap().observations.len(), 1);
/// let wrong = seen.replace("flag ahead", "flag ahed");
/// let told = seen::parse(&wrong, "seen.toml", &draft).unwrap_err().to_string();
/// assert!(told.contains("seen.toml:7") && told.contains("`corner flag ahead left`"));
/// ```
pub fn parse(text: &str, name: &str, draft: &Draft) -> Result<Observations, VenueError> {
    let (file, sheet) = TomlText::read::<SeenFile>(FileKind::Seen, text, name)?;
    let venue = draft.venue()?;
    build::seen(&file, draft, &venue).map_err(|problems| sheet.error(problems))
}
