//! Columns of the table of a year: name, unit, meaning, and the value of a row.
//!
//! In: a venue and a [`SeasonRow`]. Out: [`YearColumn`]s and [`YearCell`]s. The one list that the
//! columnar files, the CSV and the printed schema come from.

use chrono::{DateTime, NaiveDate, Offset, Timelike};

use crate::base::slug::unique_ids;
use crate::camera::{Interval, LensState, OneSide, Split, SplitState};
use crate::engine::season::{CameraRow, SeasonRow};
use crate::geometry::ShadeShare;
use crate::light::FloodlightState;
use crate::output::partition;
use crate::output::partition::epoch_days;
use crate::solar::SunState;
use crate::venue::Venue;

pub use super::cell::{CellKind, YearCell};

/// One column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YearColumn {
    pub name: String,
    pub what: ColumnContent,
}

/// What a column tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ColumnContent {
    Utc,
    LocalDate,
    LocalMinute,
    UtcOffset,
    SunAzimuth,
    SunElevation,
    SunState,
    Field(ShareFigure),
    Zone(usize, ShareFigure),
    Camera(usize, CameraFigure),
    Floodlights,
}

/// Of a [`ShadeShare`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShareFigure {
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

const SHARES: [ShareFigure; 3] =
    [ShareFigure::Shaded, ShareFigure::Opaque, ShareFigure::Transmission];
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
        ColumnContent::Utc,
        ColumnContent::LocalDate,
        ColumnContent::LocalMinute,
        ColumnContent::UtcOffset,
        ColumnContent::SunAzimuth,
        ColumnContent::SunElevation,
        ColumnContent::SunState,
    ];
    let mut all: Vec<ColumnContent> =
        first.into_iter().chain(SHARES.map(ColumnContent::Field)).collect();
    all.extend(
        (0..zones.len()).flat_map(|zone| SHARES.map(|share| ColumnContent::Zone(zone, share))),
    );
    all.extend(
        (0..cameras.len()).flat_map(|camera| SEEN.map(|seen| ColumnContent::Camera(camera, seen))),
    );
    all.push(ColumnContent::Floodlights);
    let named = |what: ColumnContent| {
        let own = match what {
            ColumnContent::Zone(zone, _) => zones.get(zone),
            ColumnContent::Camera(camera, _) => cameras.get(camera),
            _ => None,
        };
        YearColumn { name: what.name(own.copied().unwrap_or_default()), what }
    };
    all.into_iter().map(named).collect()
}

impl ColumnContent {
    fn name(self, of: &str) -> String {
        match self {
            ColumnContent::Utc => "time_utc".to_owned(),
            ColumnContent::LocalDate => "local_date".to_owned(),
            ColumnContent::LocalMinute => "local_minute_of_day".to_owned(),
            ColumnContent::UtcOffset => "utc_offset_min".to_owned(),
            ColumnContent::SunAzimuth => "sun_azimuth_deg".to_owned(),
            ColumnContent::SunElevation => "sun_apparent_elevation_deg".to_owned(),
            ColumnContent::SunState => "sun_state".to_owned(),
            ColumnContent::Field(share) => format!("field_{}", share.word()),
            ColumnContent::Zone(_, share) => format!("zone_{of}_{}", share.word()),
            ColumnContent::Camera(_, seen) => format!("camera_{of}_{}", seen.word()),
            ColumnContent::Floodlights => "floodlights".to_owned(),
        }
    }

    pub fn kind(self) -> CellKind {
        match self {
            ColumnContent::Utc => CellKind::Instant,
            ColumnContent::LocalDate => CellKind::Date,
            ColumnContent::LocalMinute | ColumnContent::UtcOffset => CellKind::Whole,
            ColumnContent::SunState | ColumnContent::Floodlights => CellKind::Word,
            ColumnContent::Camera(
                _,
                CameraFigure::TurfEdge | CameraFigure::SubjectEdge | CameraFigure::Lens,
            ) => CellKind::Word,
            ColumnContent::SunAzimuth
            | ColumnContent::SunElevation
            | ColumnContent::Field(_)
            | ColumnContent::Zone(..)
            | ColumnContent::Camera(..) => CellKind::Real,
        }
    }

    /// Unit of the value; `None` for words and times.
    pub fn unit(self) -> Option<&'static str> {
        match self {
            ColumnContent::LocalMinute | ColumnContent::UtcOffset => Some("min"),
            ColumnContent::SunAzimuth | ColumnContent::SunElevation => Some("deg"),
            ColumnContent::Field(_) | ColumnContent::Zone(..) => Some("1"),
            ColumnContent::Camera(_, CameraFigure::ShadedShare | CameraFigure::MixedFrames) => {
                Some("1")
            }
            ColumnContent::Camera(
                _,
                CameraFigure::TurfEdge | CameraFigure::SubjectEdge | CameraFigure::Lens,
            ) => None,
            ColumnContent::Camera(..) => Some("stop"),
            _ => None,
        }
    }

    pub fn meaning(self) -> &'static str {
        match self {
            ColumnContent::Utc => "The instant, UTC.",
            ColumnContent::LocalDate => "Civil date in the venue's zone.",
            ColumnContent::LocalMinute => {
                "Minutes that the venue's wall clock shows after 0:00. An hour that clocks skip \
                 is missing; one that comes twice is there twice, with two offsets from UTC."
            }
            ColumnContent::UtcOffset => "Wall clock minus UTC.",
            ColumnContent::SunAzimuth => "Clockwise from true north.",
            ColumnContent::SunElevation => {
                "Of the sun's centre over the level horizon, with refraction."
            }
            ColumnContent::SunState => {
                "up, behind_skyline (risen, hidden by the land around) or down."
            }
            ColumnContent::Field(share) => share.meaning("the field of play"),
            ColumnContent::Zone(_, share) => share.meaning("the zone"),
            ColumnContent::Camera(_, seen) => seen.meaning(),
            ColumnContent::Floodlights => "none (the venue file states none), off or lit.",
        }
    }

    pub(super) fn cell(self, row: &SeasonRow) -> YearCell {
        let local = row.at.naive_local();
        match self {
            ColumnContent::Utc => YearCell::Whole(row.at.timestamp_millis()),
            ColumnContent::LocalDate => YearCell::Whole(i64::from(epoch_days(local.date()))),
            ColumnContent::LocalMinute => {
                YearCell::Whole(i64::from(local.hour() * 60 + local.minute()))
            }
            ColumnContent::UtcOffset => YearCell::Whole(i64::from(offset_min(&row.at))),
            ColumnContent::SunAzimuth => YearCell::Real(row.sun.azimuth.degrees()),
            ColumnContent::SunElevation => YearCell::Real(row.sun.apparent_elevation.degrees()),
            ColumnContent::SunState => YearCell::Word(match row.sun_state {
                SunState::Up => "up",
                SunState::BehindSkyline => "behind_skyline",
                SunState::Down => "down",
            }),
            ColumnContent::Field(share) => row.field.map_or(YearCell::Empty, |of| share.of(&of)),
            ColumnContent::Zone(zone, share) => {
                row.zones.get(zone).map_or(YearCell::Empty, |of| share.of(of))
            }
            ColumnContent::Camera(camera, seen) => {
                row.cameras.get(camera).map_or(YearCell::Empty, |of| seen.of(of))
            }
            ColumnContent::Floodlights => match row.floodlight {
                None => YearCell::Empty,
                Some(FloodlightState::None) => YearCell::Word("none"),
                Some(FloodlightState::Off) => YearCell::Word("off"),
                Some(FloodlightState::Lit) => YearCell::Word("lit"),
            },
        }
    }
}

impl ShareFigure {
    fn word(self) -> &'static str {
        match self {
            ShareFigure::Shaded => "shaded_share",
            ShareFigure::Opaque => "opaque_share",
            ShareFigure::Transmission => "mean_transmission",
        }
    }

    fn meaning(self, of: &str) -> &'static str {
        match (self, of) {
            (ShareFigure::Shaded, "the zone") => "Share of the zone's turf not in full sun.",
            (ShareFigure::Opaque, "the zone") => "Share of the zone's turf without any direct sun.",
            (ShareFigure::Transmission, "the zone") => {
                "Share of the direct light that reaches the zone's turf, mean over it."
            }
            (ShareFigure::Shaded, _) => "Share of the field's turf not in full sun.",
            (ShareFigure::Opaque, _) => "Share of the field's turf without any direct sun.",
            (ShareFigure::Transmission, _) => {
                "Share of the direct light that reaches the field's turf, mean over it."
            }
        }
    }

    fn of(self, share: &ShadeShare) -> YearCell {
        YearCell::Real(match self {
            ShareFigure::Shaded => share.shaded,
            ShareFigure::Opaque => share.opaque,
            ShareFigure::Transmission => share.mean_transmission,
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

    fn of(self, row: &CameraRow) -> YearCell {
        let Some(view) = &row.view else {
            return if self == CameraFigure::Lens { lens(row) } else { YearCell::Empty };
        };
        match self {
            CameraFigure::ShadedShare => YearCell::Real(view.shaded_share),
            CameraFigure::MixedFrames => YearCell::Real(view.mixed_frames),
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

fn edge(split: &Split) -> YearCell {
    YearCell::Word(match split.state {
        SplitState::InShot(_) => "in_shot",
        SplitState::Latent(_, OneSide::AllSunlit) => "all_sunlit",
        SplitState::Latent(_, OneSide::AllDimmed) => "all_dimmed",
        SplitState::Latent(_, OneSide::AllShaded) => "all_shaded",
        SplitState::NoEdge => "no_edge",
    })
}

fn stops(split: &Split) -> YearCell {
    let found = split.state.in_shot().or(split.state.latent());
    found.map_or(YearCell::Empty, |stops| YearCell::Real(stops.stops()))
}

fn end(split: &Split, of: fn(Interval) -> f64) -> YearCell {
    let range = split.range.and_then(|range| range.stops);
    range.map_or(YearCell::Empty, |range| YearCell::Real(of(range)))
}

fn lens(row: &CameraRow) -> YearCell {
    row.lens.map_or(YearCell::Empty, |lens| {
        YearCell::Word(match lens {
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

/// The date of a cell of [`CellKind::Date`]; `None` outside the calendar.
pub(super) fn date_of(days: i64) -> Option<NaiveDate> {
    partition::date_of(i32::try_from(days).ok()?)
}
