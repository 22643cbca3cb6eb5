//! The shots of a hole over the hours of a day, from one camera or from many places.
//!
//! In: a [`Prepared`] venue, cameras, flights, times. Out: a [`Comparison`]: for each
//! camera and hour what is hard about the rides, mean over the shots, and who is best.

use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;
use std::borrow::Cow;

use rayon::prelude::*;

use crate::base::units::{Azimuth, Elevation};
use crate::engine::Prepared;
use crate::engine::surroundings::Surroundings;
use crate::solar;
use crate::venue::{CameraPost, Place};

use super::behind::BackgroundLight;
use super::penalty::{BallPenaltyParts, BallWeights, parts};
use super::physics::Flight;
use super::{BallSettings, follow, look};

/// How often a flight is looked at, s; changes of the background are found beside.
const LOOK_EVERY_S: f64 = 0.1;
/// More rides than this are refused.
pub const MAX_RIDES: usize = 20_000;

/// A shot in the air.
#[derive(Debug, Clone)]
pub struct ShotFlown {
    pub name: String,
    pub flight: Flight,
}

/// A camera that is there, or could be.
#[derive(Debug, Clone)]
pub struct BallCamera {
    pub post: CameraPost,
    /// Index into [`crate::venue::Venue::candidates`]; `None` for a camera of the file.
    pub candidate: Option<usize>,
}

/// What is compared.
#[derive(Debug, Clone)]
pub struct CompareSettings {
    pub sites: Vec<BallCamera>,
    pub shots: Vec<ShotFlown>,
    /// In order.
    pub times: Vec<DateTime<Tz>>,
    /// Sky, air, ball, iris, screen; its time, camera and flight are those above.
    pub ride: BallSettings,
    pub weights: BallWeights,
}

/// One shot at one hour from one camera.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotScore {
    pub parts: BallPenaltyParts,
    /// Stops to close for the background, 0 or more.
    pub close_stops: f64,
    /// With which a ride from the strike on does it all; `None` where no rate does.
    pub least_rate: Option<f64>,
    /// When the hand has to begin; `None` where nothing is to close.
    pub hand_starts_s: Option<f64>,
    /// More closed than needed when the ball is down, stops.
    pub left_at_landing: f64,
}

/// One hour from one camera.
#[derive(Debug, Clone, PartialEq)]
pub struct BallHour {
    pub at: DateTime<Tz>,
    pub sun: (Azimuth, Elevation),
    /// In the order of the shots.
    pub shots: Vec<ShotScore>,
    /// Mean over the shots.
    pub parts: BallPenaltyParts,
    pub penalty: f64,
}

/// All hours from one camera.
#[derive(Debug, Clone)]
pub struct SiteHours {
    pub site: BallCamera,
    /// In order of time; the same times for all.
    pub hours: Vec<BallHour>,
}

/// Hours and places compared.
#[derive(Debug, Clone)]
pub struct Comparison {
    pub date: NaiveDate,
    pub shots: Vec<String>,
    pub sites: Vec<SiteHours>,
    pub settings: BallSettings,
    pub weights: BallWeights,
}

/// Why there is nothing to compare.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CompareError {
    #[error(
        "there is no light at any of the times looked at\n  give an --earliest and a --latest with \
         the sun up between, or another --date"
    )]
    NoHours,
    #[error(
        "{count} rides are more than {MAX_RIDES}\n  take a longer --every, or fewer candidates"
    )]
    TooMany { count: usize },
}

impl SiteHours {
    /// Indices of the hours, the lowest penalty first; of equal ones the earlier.
    pub fn ranked(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.hours.len()).collect();
        order.sort_by(|a, b| self.hours[*a].penalty.total_cmp(&self.hours[*b].penalty));
        order
    }

    /// Mean penalty over the hours.
    pub fn mean(&self) -> f64 {
        let sum: f64 = self.hours.iter().map(|hour| hour.penalty).sum();
        sum / self.hours.len().max(1) as f64
    }
}

impl Comparison {
    /// Indices of the cameras, the lowest mean penalty first.
    pub fn ranked(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.sites.len()).collect();
        order.sort_by(|a, b| self.sites[*a].mean().total_cmp(&self.sites[*b].mean()));
        order
    }

    /// Compares; `progress` is told how many hours are done of how many.
    ///
    /// # Errors
    /// [`CompareError`].
    pub fn new(
        prepared: &Prepared<'_>,
        date: NaiveDate,
        settings: &CompareSettings,
        progress: impl Fn(usize, usize) + Sync,
    ) -> Result<Self, CompareError> {
        let all = settings.times.len();
        let count = all * settings.sites.len() * settings.shots.len();
        if count > MAX_RIDES {
            return Err(CompareError::TooMany { count });
        }
        let surroundings = Surroundings::new(prepared.venue, date);
        let flights: Vec<Flight> =
            settings.shots.iter().map(|s| look::stopped(&surroundings, &s.flight).0).collect();
        let done = AtomicUsize::new(0);
        let hours: Vec<Vec<BallHour>> = settings
            .times
            .par_iter()
            .filter_map(|at| {
                let now = BallSettings { at: *at, ..settings.ride.clone() };
                let stands = prepared.venue.at(*at);
                let moved = matches!(stands, Cow::Owned(_));
                let moved = moved.then(|| Surroundings::new(&stands, date));
                let light =
                    BackgroundLight::new(prepared, moved.as_ref().unwrap_or(&surroundings), &now);
                let hours = (!light.is_dark()).then(|| {
                    let sites = settings.sites.iter();
                    sites.map(|site| hour(&light, site, &flights, &now, settings)).collect()
                });
                progress(done.fetch_add(1, Ordering::Relaxed) + 1, all);
                hours
            })
            .collect();
        if hours.is_empty() {
            return Err(CompareError::NoHours);
        }
        let of = |(i, site): (usize, &BallCamera)| SiteHours {
            site: site.clone(),
            hours: hours.iter().filter_map(|row| row.get(i)).cloned().collect(),
        };
        Ok(Self {
            date,
            shots: settings.shots.iter().map(|s| s.name.clone()).collect(),
            sites: settings.sites.iter().enumerate().map(of).collect(),
            settings: settings.ride.clone(),
            weights: settings.weights,
        })
    }
}

fn hour(
    light: &BackgroundLight<'_>,
    site: &BallCamera,
    flights: &[Flight],
    now: &BallSettings,
    settings: &CompareSettings,
) -> BallHour {
    let shots: Vec<ShotScore> =
        flights.iter().map(|flight| shot(light, &site.post, flight, now)).collect();
    let parts = BallPenaltyParts::mean(shots.iter().map(|s| &s.parts));
    BallHour {
        at: now.at,
        sun: (light.sun.azimuth, light.sun.apparent_elevation),
        penalty: settings.weights.penalty(&parts),
        parts,
        shots,
    }
}

fn shot(
    light: &BackgroundLight<'_>,
    post: &CameraPost,
    flight: &Flight,
    now: &BallSettings,
) -> ShotScore {
    let (looks, rides) = follow(light, post, flight, now, LOOK_EVERY_S);
    let parts = parts(&looks, &rides);
    let ride = rides.background.as_ref();
    ShotScore {
        close_stops: parts.get(super::BallPenaltyPart::Close),
        least_rate: ride.and_then(|r| r.least_rate),
        hand_starts_s: ride.and_then(|r| r.hand_starts_s),
        left_at_landing: ride.map_or(0.0, |r| r.left_at_landing),
        parts,
    }
}

/// Times of a day at a place, so many minutes apart, from the earliest to the latest time of
/// the clock where these are stated, and with the sun over a level horizon.
pub fn times_with_sun(
    place: &Place,
    date: NaiveDate,
    every_min: u32,
    (earliest, latest): (Option<NaiveTime>, Option<NaiveTime>),
) -> Vec<DateTime<Tz>> {
    // a day of the clock begins within 26 hours of that of UTC; whole steps from its midnight
    let start = date.and_time(NaiveTime::MIN).and_utc() - TimeDelta::hours(26);
    let on_day = |at: &DateTime<Tz>| at.date_naive() == date;
    let minutes = |n: i64| (start + TimeDelta::minutes(n)).with_timezone(&place.zone);
    let day = (0..78 * 60).map(minutes).filter(on_day);
    let day: Vec<DateTime<Tz>> = day.collect();
    let wanted = |at: &DateTime<Tz>| {
        earliest.is_none_or(|t| at.time() >= t) && latest.is_none_or(|t| at.time() <= t)
    };
    let up = |at: &DateTime<Tz>| {
        solar::position(place, at.with_timezone(&Utc)).apparent_elevation.degrees() > 0.0
    };
    day.into_iter().step_by(every_min.max(1) as usize).filter(wanted).filter(up).collect()
}
