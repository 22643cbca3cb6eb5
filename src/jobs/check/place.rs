//! Suspicions about place, time zone, declination, horizon, fixture and moments.

use chrono::{DateTime, Datelike, NaiveDate, Offset, TimeDelta, TimeZone, Timelike, Utc};
use chrono_tz::{OffsetComponents, Tz};
use geo::Point;

use crate::base::units::Lux;
use crate::engine::programme::{programme, usual};
use crate::light::{AirByDate, AirColumn, FloodlightState, Sky, daylight_through};
use crate::solar;
use crate::solar::SunState;
use crate::venue::{Play, Sport, Venue};

use super::zones::{ZonePlace, km};
use super::{PlaceSlip, Suspicion, compass, zones};

/// Mean solar time is within this of standard time in every zone but a few islands,
/// hours: the west of China, at 2.9 h, is the farthest of all land.
const ZONE_OFF_H: f64 = 3.0;
/// A place as it was meant should fit better than this, hours.
const GUESS_OFF_H: f64 = 1.5;
/// Near the poles zones follow supply lines, not the sun.
const POLAR_DEG: f64 = 70.0;
/// Elevations of land around a ground, degrees.
const MIN_SKYLINE_DEG: f64 = -5.0;
const MAX_SKYLINE_DEG: f64 = 45.0;
/// Nobody kicks off from this hour on, and before that one.
const NIGHT_FROM_H: u32 = 23;
const NIGHT_UNTIL_H: u32 = 6;
/// Where the file names no fixture, offsets of this year count.
const YEAR: i32 = 2027;

/// Farther than this from the place of its zone nothing lies but the west of China,
/// kilometres: the corners of Brazil, India and the United States are within 2,400.
const ZONE_REACH_KM: f64 = 2600.0;
const CHINA_REACH_KM: f64 = 4300.0;
/// With another sign a place is much nearer to that of its zone: by this factor, where it
/// is farther off than this, kilometres.
const NEARER_BY: f64 = 4.0;
const NEARER_FROM_KM: f64 = 700.0;
/// Zones named after a place this near to the prime meridian lie on both sides of it; there
/// neither clock nor distance tells a slipped sign, but which zone is the nearest may.
const ON_MERIDIAN_DEG: f64 = 1.0;
/// A declination may differ from the model by so many degrees: maps of thirty years ago,
/// and iron in the ground.
const DECLINATION_OFF_DEG: f64 = 4.0;
/// With the other sign it is as near as this.
const DECLINATION_SIGN_DEG: f64 = 2.0;
/// A match that ends before this share of what its sport takes.
const EARLY_SHARE: f64 = 0.6;

/// What spoils every plan: place, zone, declination, moments.
pub(super) fn slips(venue: &Venue) -> Vec<Suspicion> {
    let mut found: Vec<Suspicion> = zone(venue).or_else(|| far_off(venue)).into_iter().collect();
    found.extend(declination(venue));
    found.extend(early_end(venue));
    found
}

pub(super) fn suspicions(venue: &Venue) -> Vec<Suspicion> {
    let mut found: Vec<Suspicion> = horizon(venue).into_iter().collect();
    found.extend(fixture(venue));
    found
}

/// Hours that a zone's standard time is ahead of UTC.
fn standard_h(venue: &Venue, zone: Tz) -> Option<f64> {
    let year = venue.fixture.map_or(YEAR, |f| f.date.year());
    let winter = NaiveDate::from_ymd_opt(year, 1, 1)?.and_time(chrono::NaiveTime::MIN);
    let offset = zone.offset_from_utc_datetime(&winter).base_utc_offset();
    Some(offset.num_seconds() as f64 / 3600.0)
}

/// A place that is far from its zone's, or would be much nearer with another sign.
fn far_off(venue: &Venue) -> Option<Suspicion> {
    let (latitude, longitude) = (venue.place.latitude_deg, venue.place.longitude_deg);
    let home = zones::place_of(venue.place.zone)?;
    let here = Point::new(longitude, latitude);
    let far_km = km(here, home.at);
    let slips = [
        (PlaceSlip::SignOfLongitude, -longitude, latitude),
        (PlaceSlip::SignOfLatitude, longitude, -latitude),
        (PlaceSlip::BothSigns, -longitude, -latitude),
        (PlaceSlip::Exchanged, latitude, longitude),
    ];
    let distances = slips.iter().filter(|(_, _, latitude)| latitude.abs() <= 90.0);
    let distances = distances.map(|(slip, x, y)| (*slip, km(Point::new(*x, *y), home.at)));
    let (slip, meant_km) = distances.min_by(|a, b| a.1.total_cmp(&b.1))?;
    let reach_km = match venue.place.zone {
        Tz::Asia__Shanghai => CHINA_REACH_KM,
        _ => ZONE_REACH_KM,
    };
    if far_km > NEARER_FROM_KM && meant_km * NEARER_BY < far_km {
        return Some(Suspicion::PlaceFarFromZone { km: far_km, guess: Some(slip) });
    }
    if far_km > reach_km {
        return Some(Suspicion::PlaceFarFromZone { km: far_km, guess: None });
    }
    across_greenwich(here, home).then_some(Suspicion::PlaceFarFromZone {
        km: far_km,
        guess: Some(PlaceSlip::SignOfLongitude),
    })
}

/// Whether a place by the clock of a zone on the prime meridian lies nearest to a zone that keeps another time,
/// and with the other sign of longitude nearest to one that keeps this, and no farther from
/// its own.
fn across_greenwich(here: Point<f64>, home: ZonePlace) -> bool {
    let mirrored = Point::new(-here.x(), here.y());
    let time = |at: Point<f64>| Some(winter_s(zones::nearest(at)?.zone));
    let own = Some(winter_s(home.zone));
    home.at.x().abs() < ON_MERIDIAN_DEG
        && km(mirrored, home.at) <= km(here, home.at)
        && time(here) != own
        && time(mirrored) == own
}

/// The day that declinations are asked for.
pub(super) fn date(venue: &Venue) -> Option<NaiveDate> {
    venue.fixture.map(|f| f.date).or(NaiveDate::from_ymd_opt(YEAR, 1, 1))
}

/// Seconds that clocks of a zone are ahead of UTC in January.
fn winter_s(zone: Tz) -> i32 {
    let winter = NaiveDate::from_ymd_opt(YEAR, 1, 1).unwrap_or_default();
    zone.offset_from_utc_datetime(&winter.and_time(chrono::NaiveTime::MIN)).fix().local_minus_utc()
}

fn declination(venue: &Venue) -> Option<Suspicion> {
    let stated = venue.field.declination?;
    if !stated.used {
        return Some(Suspicion::DeclinationUnused { degrees: stated.degrees });
    }
    let date = date(venue)?;
    let model_deg = compass::declination_deg(&venue.place, date)?;
    let off = |degrees: f64| ((degrees - model_deg + 180.0).rem_euclid(360.0) - 180.0).abs();
    let is_off = off(stated.degrees) > DECLINATION_OFF_DEG;
    // a small one with the wrong sign is within what maps are off
    let is_mirrored = off(-stated.degrees) <= DECLINATION_SIGN_DEG
        && off(stated.degrees) > 2.0 * DECLINATION_SIGN_DEG.max(off(-stated.degrees));
    (is_off || is_mirrored)
        .then_some(Suspicion::DeclinationOff { stated_deg: stated.degrees, model_deg })
}

/// Moments that end the match before its sport does: they stand in place of the sport's. Not
/// where play is said to start and at last to stop, as an order of play does: that is meant.
fn early_end(venue: &Venue) -> Option<Suspicion> {
    let last = venue.moments.last()?;
    let usual_min = usual(venue.field.sport).length_min();
    let count = venue.moments.len();
    let early = venue.field.sport != Sport::Free
        && f64::from(last.after_min) < EARLY_SHARE * f64::from(usual_min);
    let starts = venue.moments.iter().any(|moment| moment.play == Play::Starts);
    let is_meant = starts && last.play == Play::Stops;
    (count == 1 || (early && !is_meant)).then(|| Suspicion::EarlyEnd {
        moment: last.name.clone(),
        count,
        after_min: last.after_min,
        usual_min,
    })
}

fn zone(venue: &Venue) -> Option<Suspicion> {
    let place = &venue.place;
    if place.latitude_deg.abs() > POLAR_DEG {
        return None;
    }
    let standard_h = standard_h(venue, place.zone)?;
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
    let beyond = |degrees: f64| (degrees - MAX_SKYLINE_DEG).max(MIN_SKYLINE_DEG - degrees);
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
    if start.checked_add_signed(TimeDelta::minutes(minutes.into())).is_none() {
        return Vec::new();
    }
    let mut found = Vec::new();
    let hour = start.hour();
    let sunless = all_sunless(venue, start, minutes);
    if sunless && !(NIGHT_UNTIL_H..NIGHT_FROM_H).contains(&hour) {
        found.push(Suspicion::NightStart { start });
    }
    found.extend(in_the_dark(venue, start, minutes));
    found
}

/// Runs of the match with the sun down and no floodlights lit.
fn in_the_dark(venue: &Venue, start: DateTime<Tz>, minutes: u32) -> Vec<Suspicion> {
    let column = AirColumn::new(
        &AirByDate::of_venue(venue).on(start.date_naive()),
        venue.place.pressure_hpa,
    );
    let stated = venue.floodlights.as_ref();
    let dark = |minute: u32| {
        let at = start + TimeDelta::minutes(minute.into());
        let sun = solar::position(&venue.place, at.to_utc());
        let state = solar::state(&sun, &venue.horizon);
        if state != SunState::Down {
            return None;
        }
        let daylight = daylight_through(&column, &sun, Sky::Clear, at.ordinal());
        let is_dark = FloodlightState::at(stated, at, &daylight).leaves_dark(state);
        is_dark.then(|| (at, Lux::from_lux(daylight.global_horizontal().lux())))
    };
    let all: Vec<Option<(DateTime<Tz>, Lux)>> = (0..=minutes).map(dark).collect();
    let runs = all.split(Option::is_none).filter_map(|run| {
        let (first, last) = ((*run.first()?)?, (*run.last()?)?);
        (first.0 < last.0).then_some(Suspicion::DarkFixture {
            from: first.0,
            until: last.0,
            daylight: [first.1, last.1],
            floodlights: stated.map(|lights| lights.when),
        })
    });
    runs.collect()
}

/// Whether the sun is under the horizon in each minute.
fn all_sunless(venue: &Venue, start: DateTime<Tz>, minutes: u32) -> bool {
    (0..=minutes).all(|minute| {
        let at = start.with_timezone(&Utc) + TimeDelta::minutes(minute.into());
        let sun = solar::position(&venue.place, at);
        solar::state(&sun, &venue.horizon) == SunState::Down
    })
}
