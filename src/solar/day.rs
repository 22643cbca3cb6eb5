//! Rise, noon and set of one local day.
//!
//! In: a place and a civil date in its zone. Out: times in that zone, to one
//! second, or the fact that the sun stays up or down.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use super::crossing::crossings;
use super::position::position;
use crate::venue::Place;

/// True elevation of the sun's centre at rise and set, degrees: 34' of
/// refraction and 16' of semidiameter (The Astronomical Almanac).
pub const RISE_ELEVATION_DEG: f64 = -0.8333;

/// Rise and set of a day at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SunDay {
    /// The rise before and the set after the day's noon.
    RisesAndSets { rise: DateTime<Tz>, noon: DateTime<Tz>, set: DateTime<Tz> },
    /// Rises before noon and is still up half a day after it: the eve of a polar
    /// day.
    OnlyRises { rise: DateTime<Tz>, noon: DateTime<Tz> },
    /// Up half a day before noon and sets after it: the end of a polar day.
    OnlySets { noon: DateTime<Tz>, set: DateTime<Tz> },
    /// Up from half a day before noon to half a day after it.
    PolarDay { noon: DateTime<Tz> },
    /// Down even at noon.
    PolarNight { noon: DateTime<Tz> },
}

impl SunDay {
    /// When the sun crosses the meridian, and so about its highest.
    pub fn noon(&self) -> DateTime<Tz> {
        match *self {
            Self::RisesAndSets { noon, .. }
            | Self::OnlyRises { noon, .. }
            | Self::OnlySets { noon, .. }
            | Self::PolarDay { noon }
            | Self::PolarNight { noon } => noon,
        }
    }
}

/// The sun's day on a civil date at a place. Noon is the upper transit that falls
/// in the date; rise and set are looked for within half a day of it.
pub fn day(place: &Place, date: NaiveDate) -> SunDay {
    let local = |utc: DateTime<Utc>| utc.with_timezone(&place.zone);
    let noon = upper_transit(place, date);
    let half_day = TimeDelta::hours(12);
    let over = |t: DateTime<Utc>| position(place, t).true_elevation.degrees() - RISE_ELEVATION_DEG;
    let step = TimeDelta::minutes(15);
    let rise = crossings(over, noon - half_day, noon, step).into_iter().rfind(|(_, up)| *up);
    let set = crossings(over, noon, noon + half_day, step).into_iter().find(|(_, up)| !*up);
    let [rise, set] = [rise, set].map(|found| found.map(|(t, _)| local(t)));
    let highest = over(noon);
    let noon = local(noon);
    match (rise, set) {
        _ if highest <= 0.0 => SunDay::PolarNight { noon },
        (Some(rise), Some(set)) => SunDay::RisesAndSets { rise, noon, set },
        (Some(rise), None) => SunDay::OnlyRises { rise, noon },
        (None, Some(set)) => SunDay::OnlySets { noon, set },
        (None, None) => SunDay::PolarDay { noon },
    }
}

/// The instant within a civil date when the sun crosses the meridian from east
/// to west on the upper side: the sine of its azimuth falls through zero. (At
/// lower transit it rises.) Right in the tropics, where noon may stand north.
fn upper_transit(place: &Place, date: NaiveDate) -> DateTime<Utc> {
    let start = first_instant(place.zone, date);
    let end = date
        .checked_add_days(Days::new(1))
        .map_or(start + TimeDelta::days(1), |next| first_instant(place.zone, next));
    let east = |t: DateTime<Utc>| position(place, t).azimuth.radians().sin();
    let found = crossings(east, start, end, TimeDelta::minutes(15));
    let transit = found.into_iter().find(|(_, rising)| !rising).map(|(t, _)| t);
    // a day without a transit (a zone that skips a whole day): highest sample
    transit.unwrap_or_else(|| {
        let height = |t: DateTime<Utc>| position(place, t).true_elevation.degrees();
        let hours = (0..=24).map(|h| start + TimeDelta::hours(h));
        hours.max_by(|a, b| height(*a).total_cmp(&height(*b))).unwrap_or(start)
    })
}

/// The first instant of a civil date; midnight itself may be skipped.
pub fn first_instant(zone: Tz, date: NaiveDate) -> DateTime<Utc> {
    let midnight = date.and_time(NaiveTime::MIN);
    let first = (0..=24 * 4).find_map(|q| {
        zone.from_local_datetime(&(midnight + TimeDelta::minutes(15 * q))).earliest()
    });
    first.map_or_else(|| midnight.and_utc(), |t| t.with_timezone(&Utc))
}
