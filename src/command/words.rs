//! Words of the command line that become values, each with what is allowed.

use chrono::{NaiveDate, NaiveTime, Timelike};

use crate::base::target::Existing;
use crate::venue;
use crate::venue::{Moment, Play};

pub(crate) fn time_of_day(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text.trim(), "%H:%M")
        .map_err(|_| "a time of day is HH:MM, from 00:00 to 23:59".to_owned())
}

/// A time of day, to the second where it is said.
pub(crate) fn instant(text: &str) -> Result<NaiveTime, String> {
    // chrono takes a 60th second, which no clock of a venue shows
    let to_the_second = NaiveTime::parse_from_str(text.trim(), "%H:%M:%S");
    let whole = |time: &NaiveTime| time.nanosecond() < 1_000_000_000;
    time_of_day(text)
        .ok()
        .or(to_the_second.ok().filter(whole))
        .ok_or_else(|| "a time of day is HH:MM or HH:MM:SS, from 00:00 to 23:59:59".to_owned())
}

/// Of --replace.
pub(crate) fn existing(replace: bool) -> Existing {
    if replace { Existing::Replace } else { Existing::Keep }
}

pub(crate) fn day(text: &str) -> Result<NaiveDate, String> {
    let allowed = "a day is YYYY-MM-DD and has to be in the calendar, from 1900 to 2200";
    venue::day_of(text).ok_or_else(|| allowed.to_owned())
}

pub(crate) fn direct_share(text: &str) -> Result<f64, String> {
    within(text, 0.02, 1.0, "a share is a number")
}

pub(crate) fn stops(text: &str) -> Result<f64, String> {
    within(text, 0.1, 8.0, "a number of stops is")
}

pub(crate) fn apart(text: &str) -> Result<f64, String> {
    within(text, 0.0, 500.0, "a distance in metres is")
}

pub(crate) fn eye(text: &str) -> Result<f64, String> {
    within(text, 0.0, 100.0, "a height is a number of metres")
}

pub(crate) fn moment(text: &str) -> Result<Moment, String> {
    let asked = || {
        "a moment is NAME=MINUTE: 1 to 40 letters without =, a minute from 0 to 1440; commas \
         part several"
            .to_owned()
    };
    let (name, minute) = text.rsplit_once('=').ok_or_else(asked)?;
    let name = name.trim();
    let sign = |c: char| c.is_control() || c == '=';
    let sound = (1..=40).contains(&name.chars().count()) && !name.chars().any(sign);
    match minute.trim().parse() {
        Ok(after_min @ 0..=1440) if sound => {
            Ok(Moment { name: name.to_owned(), after_min, play: Play::GoesOn })
        }
        _ => Err(asked()),
    }
}

/// What moves and the state it is held in: NAME=STATE.
pub(crate) fn held(text: &str) -> Result<(String, String), String> {
    let (name, state) = text.rsplit_once('=').unwrap_or_default();
    match (name.trim(), state.trim()) {
        ("", _) | (_, "") => Err("what moves and its state are NAME=STATE".to_owned()),
        (name, state) => Ok((name.to_owned(), state.to_owned())),
    }
}

/// A reader of whole numbers within limits.
pub(crate) fn whole<T>(
    low: T,
    high: T,
) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync + 'static
where
    T: std::str::FromStr + PartialOrd + std::fmt::Display + Copy + Send + Sync + 'static,
{
    move |text| match text.trim().parse::<T>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        _ => Err(format!("a whole number from {low} to {high}")),
    }
}

pub(crate) fn within(text: &str, low: f64, high: f64, what: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        _ => Err(format!("{what} from {low} to {high}")),
    }
}
