//! Skyline, floodlights, fixture, moments of play.

use chrono::{NaiveDate, NaiveTime};

use crate::units::{Azimuth, Elevation, Lux};
use crate::venue::file::{FloodlightsOn, MomentTable, North, VenueFile};
use crate::venue::model::{Fixture, FloodlightUse, Floodlights, Horizon, Moment};
use crate::venue::problem::Problems;

pub(super) fn horizon(file: &VenueFile, problems: &mut Problems) -> Horizon {
    let Some(table) = &file.horizon else { return Horizon::default() };
    let declination = match (table.north, file.field.declination_deg) {
        (North::True, _) => 0.0,
        (North::Magnetic, Some(declination)) => declination,
        (North::Magnetic, None) => {
            problems.add(
                "horizon.north",
                "magnetic north without a declination",
                "declination_deg in [field]",
            );
            0.0
        }
    };
    let mut profile = Vec::with_capacity(table.profile.len());
    for (i, &[azimuth, elevation]) in table.profile.iter().enumerate() {
        let key = format!("horizon.profile[{i}]");
        if !(0.0..=360.0).contains(&azimuth) {
            problems.add(&key, format!("an azimuth of {azimuth} degrees"), "0 to 360 degrees");
        }
        if !(-10.0..90.0).contains(&elevation) {
            problems.add(&key, format!("an elevation of {elevation} degrees"), "-10 to 90 degrees");
        }
        profile.push((
            Azimuth::from_degrees(azimuth + declination),
            Elevation::from_degrees(elevation),
        ));
    }
    profile.sort_by(|a, b| a.0.degrees().total_cmp(&b.0.degrees()));
    if let Some(twice) = profile.windows(2).find(|w| w[0].0 == w[1].0) {
        problems.add(
            "horizon.profile",
            format!("the azimuth {} twice", twice[0].0.degrees()),
            "each azimuth once (0 and 360 are the same)",
        );
    }
    Horizon { profile }
}

pub(super) fn floodlights(file: &VenueFile, problems: &mut Problems) -> Option<Floodlights> {
    let table = file.floodlights.as_ref()?;
    let when = match (table.on, table.below_lx) {
        (FloodlightsOn::Always, _) => FloodlightUse::Always,
        (FloodlightsOn::Never, _) => FloodlightUse::Never,
        (FloodlightsOn::BelowDaylight, Some(lux)) => {
            FloodlightUse::BelowDaylight(Lux::from_lux(lux))
        }
        (FloodlightsOn::BelowDaylight, None) => {
            problems.add(
                "floodlights.below_lx",
                "no level",
                "the daylight under which they are lit, lx",
            );
            return None;
        }
    };
    Some(Floodlights {
        horizontal: Lux::from_lux(table.horizontal_lx),
        vertical: Lux::from_lux(table.vertical_lx),
        colour_temperature_k: table.colour_temperature_k,
        when,
    })
}

pub(super) fn fixture(file: &VenueFile, problems: &mut Problems) -> Option<Fixture> {
    let table = file.fixture.as_ref()?;
    let date = NaiveDate::parse_from_str(table.date.trim(), "%Y-%m-%d");
    // an unquoted TOML time has seconds
    let start = NaiveTime::parse_from_str(table.start.trim(), "%H:%M")
        .or_else(|_| NaiveTime::parse_from_str(table.start.trim(), "%H:%M:%S"));
    if date.is_err() {
        problems.add(
            "fixture.date",
            format!("\"{}\"", table.date),
            "a day of the calendar, \"YYYY-MM-DD\"",
        );
    }
    if start.is_err() {
        problems.add("fixture.start", format!("\"{}\"", table.start), "a time of day, \"HH:MM\"");
    }
    Some(Fixture { date: date.ok()?, start: start.ok()? })
}

pub(super) fn moments(file: &VenueFile, problems: &mut Problems) -> Vec<Moment> {
    let moment = |table: &MomentTable| Moment {
        name: table.name.trim().to_owned(),
        after_min: table.after_min,
    };
    let mut moments: Vec<Moment> = file.moment.iter().map(moment).collect();
    for (i, moment) in moments.iter().enumerate() {
        if moment.name.is_empty() {
            problems.add(format!("moment[{i}].name"), "an empty name", "a name");
        }
        if moments.iter().take(i).any(|m| m.after_min == moment.after_min) {
            problems.add(
                format!("moment[{i}].after_min"),
                format!("{} a second time", moment.after_min),
                "a minute of its own for each moment",
            );
        }
    }
    moments.sort_by_key(|m| m.after_min);
    moments
}
