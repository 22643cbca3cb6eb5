//! Looking up from a place: what stands around it, and when the sun gets through.
//!
//! In: a venue, a [`Spot`], a date and the fixture's window. Out: a [`LookUp`]: the
//! [`Panorama`], the skyline, and for the date and the four seasons of its year where
//! the sun runs and when it lights the place. Times are in the venue's zone, to the
//! second, for the middle of the sun.

#[cfg(feature = "cli")]
pub mod command;
mod day;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;

use chrono::{DateTime, Datelike, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::engine::spot::Spot;
use crate::engine::surroundings::{ElevationSpan, SkylinePoint, Surroundings};
use crate::geometry::Panorama;
use crate::solar::TurningPoint;
use crate::venue::Venue;

pub use day::{DayAtPlace, LensSpan, PathPoint, Sunlight, SunlightSpan};

/// Start and end of something.
pub type TimeWindow = (DateTime<Tz>, DateTime<Tz>);

/// What moves is looked at as it stands then where no start is known.
const NOON: NaiveTime = match NaiveTime::from_hms_opt(12, 0, 0) {
    Some(noon) => noon,
    None => NaiveTime::MIN,
};

/// A place, what stands around it and the sun's days there.
#[derive(Debug, Clone)]
pub struct LookUp {
    pub spot: Spot,
    pub panorama: Panorama,
    /// In the order of the panorama's columns.
    pub skyline: Vec<SkylinePoint>,
    /// What is seen in each azimuth of the panorama, from land to zenith.
    pub runs: Vec<Vec<ElevationSpan>>,
    /// The date asked for first, then the seasons in the order of the year, without
    /// one that falls on the date.
    pub days: Vec<DayAtPlace>,
    /// Start and end of the fixture.
    pub window: Option<TimeWindow>,
}

impl LookUp {
    /// Looks up from a spot on a date.
    pub fn new(
        surroundings: &Surroundings<'_>,
        spot: Spot,
        date: NaiveDate,
        window: Option<TimeWindow>,
    ) -> Self {
        let venue = surroundings.venue();
        let panorama = surroundings.panorama(spot.at);
        let days = dates(venue, date);
        let days =
            days.into_par_iter().map(|(d, s)| DayAtPlace::new(surroundings, &spot, d, s)).collect();
        Self {
            skyline: surroundings.skyline(&panorama),
            runs: surroundings.runs(&panorama),
            days,
            panorama,
            spot,
            window,
        }
    }

    /// The date asked for.
    pub fn date(&self) -> Option<&DayAtPlace> {
        self.days.first()
    }
}

/// The date, and the seasons of its year as dates of the venue's calendar.
fn dates(venue: &Venue, date: NaiveDate) -> Vec<(NaiveDate, Option<TurningPoint>)> {
    let seasons = TurningPoint::ALL.into_iter().filter_map(|season| {
        let at = season.instant(date.year())?;
        Some((at.with_timezone(&venue.place.zone).date_naive(), season))
    });
    let seasons: Vec<(NaiveDate, TurningPoint)> = seasons.collect();
    let own = seasons.iter().find(|(d, _)| *d == date).map(|(_, season)| *season);
    let others = seasons.into_iter().filter(|(d, _)| *d != date).map(|(d, s)| (d, Some(s)));
    std::iter::once((date, own)).chain(others).collect()
}
