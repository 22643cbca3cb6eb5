//! Skyline, air, floodlights, fixture, moments of play.

use chrono::{Datelike, NaiveDate, NaiveTime, Timelike};

use crate::base::units::{Azimuth, Elevation, Lux};
use crate::venue::file::{FloodlightsOn, MomentTable, North, VenueFile};
use crate::venue::model::{
    FloodlightUse, Floodlights, Horizon, Moment, ProposedFixture, StatedAir,
};
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

pub(super) fn air(file: &VenueFile) -> Option<StatedAir> {
    file.air.as_ref().map(|table| StatedAir {
        name: table.name,
        aerosol_500nm: table.aerosol_500nm,
        aerosol_exponent: table.aerosol_exponent,
        water_cm: table.water_cm,
        ozone_atm_cm: table.ozone_atm_cm,
        ground_albedo: table.ground_albedo,
    })
}

pub(super) fn floodlights(file: &VenueFile, problems: &mut Problems) -> Option<Floodlights> {
    let table = file.floodlights.as_ref()?;
    let when = match (table.on, table.below_lx) {
        (FloodlightsOn::Always, _) => FloodlightUse::Always,
        (FloodlightsOn::Never, _) => FloodlightUse::Never,
        (FloodlightsOn::FromTime, _) => {
            let stated = table.from.as_deref().map(str::trim);
            let Some(from) = stated.and_then(time_of_day) else {
                let found = stated.map_or("no time".to_owned(), |text| format!("\"{text}\""));
                problems.add("floodlights.from", found, "a time of day, \"HH:MM\"");
                return None;
            };
            FloodlightUse::FromTime(from)
        }
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

pub(super) fn fixture(file: &VenueFile, problems: &mut Problems) -> Option<ProposedFixture> {
    let table = file.fixture.as_ref()?;
    let date = day_of(&table.date);
    let start = time_of_day(table.start.trim());
    if date.is_none() {
        problems.add("fixture.date", format!("\"{}\"", table.date), DAY);
    }
    if start.is_none() {
        problems.add("fixture.start", format!("\"{}\"", table.start), "a time of day, \"HH:MM\"");
    }
    Some(ProposedFixture { date: date?, start: start? })
}

/// What a day may be, for messages.
pub(crate) const DAY: &str = "a day of the calendar, \"YYYY-MM-DD\", from 1900 to 2200";

/// A day, "YYYY-MM-DD". The place of the sun is good for fewer years than these; far
/// beyond them a day has none before or after it that can be counted.
pub(crate) fn day_of(text: &str) -> Option<NaiveDate> {
    let day = NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d").ok();
    day.filter(|day| (1900..=2200).contains(&day.year()))
}

/// A time of day, "HH:MM" or "HH:MM:SS", as an unquoted TOML time has it. No clock of a
/// ground shows a leap second, and no zone's rules place one: 23:59:60 is no time here.
pub(crate) fn time_of_day(text: &str) -> Option<NaiveTime> {
    let form = |form: &str| NaiveTime::parse_from_str(text, form).ok();
    let time = form("%H:%M").or_else(|| form("%H:%M:%S"));
    // the parser keeps a 60th second as nanoseconds past a whole one
    time.filter(|time| time.nanosecond() < 1_000_000_000)
}

pub(super) fn moments(file: &VenueFile, problems: &mut Problems) -> Vec<Moment> {
    let moment = |table: &MomentTable| Moment {
        name: table.name.trim().to_owned(),
        after_min: table.after_min,
        play: table.play,
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
