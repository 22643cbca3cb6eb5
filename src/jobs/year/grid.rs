//! One figure over dates and times of day, ready to draw.

use chrono::NaiveDate;

use crate::camera::LensState;
use crate::solar::SunDay;

/// A figure over whole days.
#[derive(Debug, Clone, PartialEq)]
pub struct YearGrid {
    /// In order of dates.
    pub days: Vec<GridDay>,
    /// Between neighbouring instants, minutes.
    pub step_min: u32,
}

/// One civil day.
#[derive(Debug, Clone, PartialEq)]
pub struct GridDay {
    pub date: NaiveDate,
    pub sun: SunDay,
    /// In order of time.
    pub cells: Vec<GridCell>,
}

/// One instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridCell {
    /// What the wall clock shows after 0:00, minutes.
    pub minute: u32,
    /// Wall clock minus UTC, minutes.
    pub offset_min: i32,
    pub reading: GridReading,
}

/// What a figure reads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GridReading {
    SunDown,
    BehindSkyline,
    /// 0 to 1.
    Share(f64),
    Stops(f64),
    /// Sun and shade both there, or only one of them.
    BothSides,
    OneSide,
    Lens(LensState),
    /// The sun is up, and there is nothing to tell.
    Nothing,
}
