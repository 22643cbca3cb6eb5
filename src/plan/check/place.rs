//! Suspicions about place, time zone, horizon and fixture.

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, TimeZone, Timelike, Utc};
use chrono_tz::{OffsetComponents, Tz};

use super::{PlaceSlip, Suspicion};
use crate::plan::programme::programme;
use crate::solar::{self, SunState};
use crate::venue::{FloodlightUse, Venue};

/// Mean solar time is within this of standard time in every zone but a few islands,
/// hours: the west of China, at 2.9 h, is the farthest of all land.
const ZONE_OFF_H: f64 = 3.0;
/// A place as it was meant should fit better than this, hours.
const GUESS_OFF_H: f64 = 1.5;
/// Near the poles zones follow supply lines, not the sun.
const POLAR_DEG: f64 = 70.0;
/// Elevations of land around a ground, degrees.
const LOWEST_DEG: f64 = -5.0;
const HIGHEST_DEG: f64 = 45.0;
/// Nobody kicks off from this hour on, and before that one.
const NIGHT_FROM_H: u32 = 23;
const NIGHT_UNTIL_H: u32 = 6;
/// Where the file names no fixture, offsets of this year count.
const YEAR: i32 = 2027;

pub(super) fn suspicions(venue: &Venue) -> Vec<Suspicion> {
    let mut found: Vec<Suspicion> = zone(venue).into_iter().collect();
    found.extend(horizon(venue));
    found.extend(fixture(venue));
    found
}

fn zone(venue: &Venue) -> Option<Suspicion> {
    let place = &venue.place;
    if place.latitude_deg.abs() > POLAR_DEG {
        return None;
    }
    let year = venue.fixture.map_or(YEAR, |f| f.date.year());
    let winter = NaiveDate::from_ymd_opt(year, 1, 1)?.and_time(chrono::NaiveTime::MIN);
    let offset = place.zone.offset_from_utc_datetime(&winter).base_utc_offset();
    let standard_h = offset.num_seconds() as f64 / 3600.0;
    let off = |degrees: f64| (degrees / 15.0 - standard_h + 12.0).rem_euclid(24.0) - 12.0;
    let off_h = off(place.longitude_deg);
    let fits = |degrees: f64| off(degrees).abs() <= GUESS_OFF_H;
    let guess = if fits(-place.longitude_deg) {
        Some(PlaceSlip::SignOfLongitude)
    } else if fits(place.latitude_deg) && place.longitude_deg.abs() <= 90.0 {
        Some(PlaceSlip::Exchanged)
    } else {
        None
    };
    (off_h.abs() > ZONE_OFF_H).then_some(Suspicion::ZoneOffLongitude { off_h, guess })
}

/// The point of the profile that is farthest out.
fn horizon(venue: &Venue) -> Option<Suspicion> {
    let beyond = |degrees: f64| (degrees - HIGHEST_DEG).max(LOWEST_DEG - degrees);
    let points = venue.horizon.profile.iter().map(|(a, e)| (*a, *e, beyond(e.degrees())));
    let (azimuth, elevation, _) =
        points.filter(|(_, _, by)| *by > 0.0).max_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(Suspicion::OddHorizon { azimuth, elevation })
}

fn fixture(venue: &Venue) -> Vec<Suspicion> {
    let Some(stated) = venue.fixture else { return Vec::new() };
    let at = stated.date.and_time(stated.start);
    // a start that the clocks skip is refused by whoever plans it
    let Some(start) = venue.place.zone.from_local_datetime(&at).earliest() else {
        return Vec::new();
    };
    let minutes = programme(venue).length_min();
    let Some(until) = start.checked_add_signed(TimeDelta::minutes(minutes.into())) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let hour = start.hour();
    let sunless = all_sunless(venue, start, minutes);
    if sunless && !(NIGHT_UNTIL_H..NIGHT_FROM_H).contains(&hour) {
        found.push(Suspicion::NightStart { start });
    }
    let lamps = venue.floodlights.is_some_and(|f| f.when != FloodlightUse::Never);
    if sunless && !lamps {
        found.push(Suspicion::DarkFixture { from: start, until });
    }
    found
}

/// Whether the sun is under the horizon in each minute.
fn all_sunless(venue: &Venue, start: DateTime<Tz>, minutes: u32) -> bool {
    (0..=minutes).all(|minute| {
        let at = start.with_timezone(&Utc) + TimeDelta::minutes(minute.into());
        let sun = solar::position(&venue.place, at);
        solar::state(&sun, &venue.horizon) == SunState::Down
    })
}
