//! Columns of the table of a year: name, unit, meaning, and the value of a row.
//!
//! In: a venue and a [`Row`]. Out: [`Column`]s and [`Cell`]s. The one list that the
//! columnar files, the CSV and the printed schema come from.

use chrono::{DateTime, NaiveDate, Offset, Timelike};

use crate::base::slug::unique_ids;
use crate::camera::{Interval, LensState, OneSide, Split, SplitState};
use crate::engine::season::{CameraRow, Row};
use crate::geometry::ShadeShare;
use crate::light::FloodlightState;
use crate::output::partition;
use crate::output::partition::epoch_days;
use crate::solar::SunState;
use crate::venue::Venue;

pub use super::cell::{Cell, CellKind};

/// One column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YearColumn {
    pub name: String,
    pub what: What,
}

/// What a column tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    Utc,
    LocalDate,
    LocalMinute,
    UtcOffset,
    SunAzimuth,
    SunElevation,
    SunState,
    Field(Share),
    Zone(usize, Share),
    Camera(usize, CameraFigure),
    Floodlights,
}

/// Of a [`ShadeShare`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Share {
    Shaded,
    Opaque,
    Transmission,
}

/// Of a [`CameraRow`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CameraFigure {
    ShadedShare,
    MixedFrames,
    TurfEdge,
    TurfStops,
    SubjectEdge,
    SubjectStops,
    Lens,
    /// Ends of the range of a split.
    TurfLow,
    TurfHigh,
    SubjectLow,
    SubjectHigh,
}

const SHARES: [Share; 3] = [Share::Shaded, Share::Opaque, Share::Transmission];
const SEEN: [CameraFigure; 11] = [
    CameraFigure::ShadedShare,
    CameraFigure::MixedFrames,
    CameraFigure::TurfEdge,
    CameraFigure::TurfStops,
    CameraFigure::SubjectEdge,
    CameraFigure::SubjectStops,
    CameraFigure::Lens,
    CameraFigure::TurfLow,
    CameraFigure::TurfHigh,
    CameraFigure::SubjectLow,
    CameraFigure::SubjectHigh,
];

/// Every word that a cell may hold.
pub const WORDS: [&str; 15] = [
    "up",
    "behind_skyline",
    "down",
    "in_shot",
    "all_sunlit",
    "all_shaded",
    "no_edge",
    "clear",
    "shaded",
    "on_element",
    "in_frame",
    "none",
    "off",
    "lit",
    // the last, so that tables written before it stay readable
    "all_dimmed",
];

/// Columns of a venue's year, in order.
pub fn columns(venue: &Venue) -> Vec<YearColumn> {
    let zones = unique_ids(venue.zones.iter().map(|z| z.name.as_str()), "zone");
    let cameras = unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera");
    let zones: Vec<&str> = zones.iter().map(String::as_str).collect();
    let cameras: Vec<&str> = cameras.iter().map(String::as_str).collect();
    listed(&zones, &cameras)
}

/// The same for names of zones and cameras as they stand in column names.
pub(super) fn listed(zones: &[&str], cameras: &[&str]) -> Vec<YearColumn> {
    let first = [
        What::Utc,
        What::LocalDate,
        What::LocalMinute,
        What::UtcOffset,
        What::SunAzimuth,
        What::SunElevation,
        What::SunState,
    ];
    let mut all: Vec<What> = first.into_iter().chain(SHARES.map(What::Field)).collect();
    all.extend((0..zones.len()).flat_map(|zone| SHARES.map(|share| What::Zone(zone, share))));
    all.extend((0..cameras.len()).flat_map(|camera| SEEN.map(|seen| What::Camera(camera, seen))));
    all.push(What::Floodlights);
    let named = |what: What| {
        let own = match what {
            What::Zone(zone, _) => zones.get(zone),
            What::Camera(camera, _) => cameras.get(camera),
            _ => None,
        };
        YearColumn { name: what.name(own.copied().unwrap_or_default()), what }
    };
    all.into_iter().map(named).collect()
}

impl What {
    fn name(self, of: &str) -> String {
        match self {
            What::Utc => "time_utc".to_owned(),
            What::LocalDate => "local_date".to_owned(),
            What::LocalMinute => "local_minute_of_day".to_owned(),
            What::UtcOffset => "utc_offset_min".to_owned(),
            What::SunAzimuth => "sun_azimuth_deg".to_owned(),
            What::SunElevation => "sun_apparent_elevation_deg".to_owned(),
            What::SunState => "sun_state".to_owned(),
            What::Field(share) => format!("field_{}", share.word()),
            What::Zone(_, share) => format!("zone_{of}_{}", share.word()),
            What::Camera(_, seen) => format!("camera_{of}_{}", seen.word()),
            What::Floodlights => "floodlights".to_owned(),
        }
    }

    pub fn kind(self) -> CellKind {
        match self {
            What::Utc => CellKind::Instant,
            What::LocalDate => CellKind::Date,
            What::LocalMinute | What::UtcOffset => CellKind::Whole,
            What::SunState | What::Floodlights => CellKind::Word,
            What::Camera(
                _,
                CameraFigure::TurfEdge | CameraFigure::SubjectEdge | CameraFigure::Lens,
            ) => CellKind::Word,
            What::SunAzimuth
            | What::SunElevation
            | What::Field(_)
            | What::Zone(..)
            | What::Camera(..) => CellKind::Real,
        }
    }

    /// Unit of the value; `None` for words and times.
    pub fn unit(self) -> Option<&'static str> {
        match self {
            What::LocalMinute | What::UtcOffset => Some("min"),
            What::SunAzimuth | What::SunElevation => Some("deg"),
            What::Field(_) | What::Zone(..) => Some("1"),
            What::Camera(_, CameraFigure::ShadedShare | CameraFigure::MixedFrames) => Some("1"),
            What::Camera(
                _,
                CameraFigure::TurfEdge | CameraFigure::SubjectEdge | CameraFigure::Lens,
            ) => None,
            What::Camera(..) => Some("stop"),
            _ => None,
        }
    }

    pub fn meaning(self) -> &'static str {
        match self {
            What::Utc => "The instant, UTC.",
            What::LocalDate => "Civil date in the venue's zone.",
            What::LocalMinute => {
                "Minutes that the venue's wall clock shows after 0:00. An hour that clocks skip \
                 is missing; one that comes twice is there twice, with two offsets from UTC."
            }
            What::UtcOffset => "Wall clock minus UTC.",
            What::SunAzimuth => "Clockwise from true north.",
            What::SunElevation => "Of the sun's centre over the level horizon, with refraction.",
            What::SunState => "up, behind_skyline (risen, hidden by the land around) or down.",
            What::Field(share) => share.meaning("the field of play"),
            What::Zone(_, share) => share.meaning("the zone"),
            What::Camera(_, seen) => seen.meaning(),
            What::Floodlights => "none (the venue file states none), off or lit.",
        }
    }

    pub(super) fn cell(self, row: &Row) -> Cell {
        let local = row.at.naive_local();
        match self {
            What::Utc => Cell::Whole(row.at.timestamp_millis()),
            What::LocalDate => Cell::Whole(i64::from(epoch_days(local.date()))),
            What::LocalMinute => Cell::Whole(i64::from(local.hour() * 60 + local.minute())),
            What::UtcOffset => Cell::Whole(i64::from(offset_min(&row.at))),
            What::SunAzimuth => Cell::Real(row.sun.azimuth.degrees()),
            What::SunElevation => Cell::Real(row.sun.apparent_elevation.degrees()),
            What::SunState => Cell::Word(match row.sun_state {
                SunState::Up => "up",
                SunState::BehindSkyline => "behind_skyline",
                SunState::Down => "down",
            }),
            What::Field(share) => row.field.map_or(Cell::Empty, |of| share.of(&of)),
            What::Zone(zone, share) => row.zones.get(zone).map_or(Cell::Empty, |of| share.of(of)),
            What::Camera(camera, seen) => {
                row.cameras.get(camera).map_or(Cell::Empty, |of| seen.of(of))
            }
            What::Floodlights => match row.floodlight {
                None => Cell::Empty,
                Some(FloodlightState::None) => Cell::Word("none"),
                Some(FloodlightState::Off) => Cell::Word("off"),
                Some(FloodlightState::Lit) => Cell::Word("lit"),
            },
        }
    }
}

impl Share {
    fn word(self) -> &'static str {
        match self {
            Share::Shaded => "shaded_share",
            Share::Opaque => "opaque_share",
            Share::Transmission => "mean_transmission",
        }
    }

    fn meaning(self, of: &str) -> &'static str {
        match (self, of) {
            (Share::Shaded, "the zone") => "Share of the zone's turf not in full sun.",
            (Share::Opaque, "the zone") => "Share of the zone's turf without any direct sun.",
            (Share::Transmission, "the zone") => {
                "Share of the direct light that reaches the zone's turf, mean over it."
            }
            (Share::Shaded, _) => "Share of the field's turf not in full sun.",
            (Share::Opaque, _) => "Share of the field's turf without any direct sun.",
            (Share::Transmission, _) => {
                "Share of the direct light that reaches the field's turf, mean over it."
            }
        }
    }

    fn of(self, share: &ShadeShare) -> Cell {
        Cell::Real(match self {
            Share::Shaded => share.shaded,
            Share::Opaque => share.opaque,
            Share::Transmission => share.mean_transmission,
        })
    }
}

impl CameraFigure {
    fn word(self) -> &'static str {
        match self {
            CameraFigure::ShadedShare => "shaded_share",
            CameraFigure::MixedFrames => "mixed_frames",
            CameraFigure::TurfEdge => "turf_edge",
            CameraFigure::TurfStops => "turf_split_stops",
            CameraFigure::SubjectEdge => "subject_edge",
            CameraFigure::SubjectStops => "subject_split_stops",
            CameraFigure::Lens => "lens",
            CameraFigure::TurfLow => "turf_split_stops_low",
            CameraFigure::TurfHigh => "turf_split_stops_high",
            CameraFigure::SubjectLow => "subject_split_stops_low",
            CameraFigure::SubjectHigh => "subject_split_stops_high",
        }
    }

    fn meaning(self) -> &'static str {
        match self {
            CameraFigure::ShadedShare => "Share of the cover's turf, as ground, not in full sun.",
            CameraFigure::MixedFrames => {
                "Share of the frames of the pan that show full sun and something else at once."
            }
            CameraFigure::TurfEdge => {
                "Where the edge on the turf is: in_shot, all_sunlit, all_dimmed (under translucent \
                 bodies) or all_shaded (only one class takes more than a sliver of the pictures; \
                 the split is what it would be), no_edge (no direct sun)."
            }
            CameraFigure::TurfStops => {
                "Split between the brightest and the darkest class of light on the turf that take more \
                 than a sliver of the pictures, on the same places; empty without an edge."
            }
            CameraFigure::SubjectEdge => {
                "The same at face height, for a subject that faces the camera."
            }
            CameraFigure::SubjectStops => "The same for a subject that faces the camera.",
            CameraFigure::Lens => {
                "clear, shaded (the sun in front but kept off the lens), on_element (flare is \
                 likely) or in_frame."
            }
            CameraFigure::TurfLow => {
                "10th percentile of the split on the turf for what is unknown of the air; empty \
                 without an edge."
            }
            CameraFigure::TurfHigh => "90th percentile of the split on the turf.",
            CameraFigure::SubjectLow => {
                "10th percentile of the split for a subject that faces the camera."
            }
            CameraFigure::SubjectHigh => "90th percentile of the split for a subject.",
        }
    }

    fn of(self, row: &CameraRow) -> Cell {
        let Some(view) = &row.view else {
            return if self == CameraFigure::Lens { lens(row) } else { Cell::Empty };
        };
        match self {
            CameraFigure::ShadedShare => Cell::Real(view.shaded_share),
            CameraFigure::MixedFrames => Cell::Real(view.mixed_frames),
            CameraFigure::TurfEdge => edge(&view.turf),
            CameraFigure::TurfStops => stops(&view.turf),
            CameraFigure::SubjectEdge => edge(&view.subject),
            CameraFigure::SubjectStops => stops(&view.subject),
            CameraFigure::Lens => lens(row),
            CameraFigure::TurfLow => end(&view.turf, |range| range.low),
            CameraFigure::TurfHigh => end(&view.turf, |range| range.high),
            CameraFigure::SubjectLow => end(&view.subject, |range| range.low),
            CameraFigure::SubjectHigh => end(&view.subject, |range| range.high),
        }
    }
}

fn edge(split: &Split) -> Cell {
    Cell::Word(match split.state {
        SplitState::InShot(_) => "in_shot",
        SplitState::Latent(_, OneSide::AllSunlit) => "all_sunlit",
        SplitState::Latent(_, OneSide::AllDimmed) => "all_dimmed",
        SplitState::Latent(_, OneSide::AllShaded) => "all_shaded",
        SplitState::NoEdge => "no_edge",
    })
}

fn stops(split: &Split) -> Cell {
    let found = split.state.in_shot().or(split.state.latent());
    found.map_or(Cell::Empty, |stops| Cell::Real(stops.stops()))
}

fn end(split: &Split, of: fn(Interval) -> f64) -> Cell {
    let range = split.range.and_then(|range| range.stops);
    range.map_or(Cell::Empty, |range| Cell::Real(of(range)))
}

fn lens(row: &CameraRow) -> Cell {
    row.lens.map_or(Cell::Empty, |lens| {
        Cell::Word(match lens {
            LensState::Clear => "clear",
            LensState::Shaded => "shaded",
            LensState::OnElement => "on_element",
            LensState::InFrame => "in_frame",
        })
    })
}

fn offset_min(at: &DateTime<chrono_tz::Tz>) -> i32 {
    at.offset().fix().local_minus_utc().div_euclid(60)
}

/// The date of a cell of [`Kind::Date`]; `None` outside the calendar.
pub(super) fn date_of(days: i64) -> Option<NaiveDate> {
    partition::date_of(i32::try_from(days).ok()?)
}
