//! Readings of the air, as the command line says them.
//!
//! In: words of `--reading`, a venue, the day. Out: the [`Air`] that they leave, and on
//! stderr what each says by itself.

use std::io::{self, Write};

use chrono::{Datelike, NaiveDate, NaiveTime};
use clap::Args;

use crate::camera::{CHART_LUX, Rig};
use crate::light::{Air, AirSource, Reading, air_of_readings};
use crate::solar::Sun;
use crate::venue::Venue;

use super::failure::Failure;
use super::options::{RepeatedChoice, time_of_day};
use super::stages;

/// Readings of the day.
#[derive(Debug, Args)]
pub struct ReadingOptions {
    /// Readings of the day, with commas between; splits carry what they leave unknown:
    /// card_stops=STOPS@HH:MM (flat white card in the open, sunlit over shaded),
    /// grey_t=T/ND@HH:MM (flat grey card in the sun by the first camera's iris, ND in
    /// stops), aerosol_500nm=DEPTH (sun photometer), visibility_km=KM, dew_point_c=C
    #[arg(long = "reading", value_name = "READING,...", value_delimiter = ',')]
    #[arg(value_parser = reading_word, allow_negative_numbers = true, verbatim_doc_comment)]
    pub words: Vec<ReadingWord>,
}

/// One word of `--reading`.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingWord {
    /// As it was written.
    text: String,
    read: Read,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Read {
    CardStops(f64, NaiveTime),
    GreyT { t: f64, nd_stops: f64, at: NaiveTime },
    Aerosol(f64),
    VisibilityKm(f64),
    DewPointC(f64),
}

const KINDS: &str = "card_stops=STOPS@HH:MM, grey_t=T/ND@HH:MM, aerosol_500nm=DEPTH, \
                     visibility_km=KM, dew_point_c=C";

/// Reads one word; what is wrong in words.
pub(super) fn reading_word(text: &str) -> Result<ReadingWord, String> {
    let text = text.trim();
    let (key, value) =
        text.split_once('=').ok_or_else(|| format!("a reading is one of {KINDS}"))?;
    let (key, value) = (key.trim(), value.trim());
    let number = |text: &str, low: f64, high: f64| match text.trim().parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        _ => Err(format!("{key} is a number from {low} to {high}")),
    };
    let timed = || {
        let (value, time) = value
            .split_once('@')
            .ok_or_else(|| format!("{key} needs the time it was read: {key}={value}@HH:MM"))?;
        Ok::<_, String>((value, time_of_day(time.trim())?))
    };
    let read = match key {
        "card_stops" => {
            let (stops, at) = timed()?;
            Read::CardStops(number(stops, 0.0, 8.0)?, at)
        }
        "grey_t" => {
            let (value, at) = timed()?;
            let (t, nd) = value.split_once('/').unwrap_or((value, "0"));
            let nd_stops = number(nd, 0.0, 20.0).map_err(|_| "ND is 0 to 20 stops".to_owned())?;
            Read::GreyT { t: number(t, 0.7, 64.0)?, nd_stops, at }
        }
        "aerosol_500nm" => Read::Aerosol(number(value, 0.0, 3.0)?),
        "visibility_km" => Read::VisibilityKm(number(value, 1.0, 300.0)?),
        "dew_point_c" => Read::DewPointC(number(value, -60.0, 35.0)?),
        _ => return Err(format!("a reading is one of {KINDS}")),
    };
    Ok(ReadingWord { text: text.to_owned(), read })
}

impl ReadingOptions {
    /// The air that the readings leave of the one assumed; the same without any.
    ///
    /// # Errors
    /// [`Failure`] for times that clocks do not show, and readings that fit no clear air.
    pub(super) fn over(
        &self,
        assumed: Air,
        venue: &Venue,
        date: NaiveDate,
        repeated: Option<RepeatedChoice>,
    ) -> Result<Air, Failure> {
        if self.words.is_empty() {
            return Ok(assumed);
        }
        let reading = |word: &ReadingWord| word.reading(venue, date, repeated);
        let readings: Vec<Reading> = self.words.iter().map(reading).collect::<Result<_, _>>()?;
        let told = air_of_readings(assumed, venue.place.pressure_hpa, &readings)
            .map_err(|e| Failure::Plan(format!("--reading: {e}").into()))?;
        for ((word, reading), [low, middle, high]) in
            self.words.iter().zip(&readings).zip(told.alone)
        {
            let (what, unit) = match reading {
                Reading::DewPoint { .. } => ("water", " cm"),
                _ => ("aerosol", ""),
            };
            // eprintln! would panic where stderr is closed
            let _ = writeln!(
                io::stderr(),
                "reading {}: by itself {what} {middle:.2} ({low:.2} to {high:.2}){unit}",
                word.text
            );
        }
        Ok(told.air.from(AirSource::Readings))
    }
}

impl ReadingWord {
    fn reading(
        &self,
        venue: &Venue,
        date: NaiveDate,
        repeated: Option<RepeatedChoice>,
    ) -> Result<Reading, Failure> {
        let sun = |time| -> Result<(Sun, u32), Failure> {
            let at = stages::resolve(venue.place.zone, date, time, repeated)?;
            Ok((stages::sun_at(&venue.place, at)?, at.ordinal()))
        };
        Ok(match self.read {
            Read::CardStops(stops, at) => {
                let (sun, day_of_year) = sun(at)?;
                Reading::CardPair { sun, day_of_year, stops }
            }
            Read::GreyT { t, nd_stops, at } => {
                let (sun, day_of_year) = sun(at)?;
                let lux = lux_of_iris(venue, t, nd_stops).ok_or_else(|| {
                    let text = "--reading: grey_t is of the venue file's first camera, and the \
                                file has none; give card_stops, or add a [[camera]]";
                    Failure::Plan(text.into())
                })?;
                Reading::CardLight { sun, day_of_year, lux }
            }
            Read::Aerosol(aerosol_500nm) => Reading::Photometer { aerosol_500nm },
            Read::VisibilityKm(km) => Reading::Visibility { km },
            Read::DewPointC(celsius) => Reading::DewPoint { celsius },
        })
    }
}

/// Light on a card that the first camera exposes as its sensitivity is stated for, at 0 dB.
fn lux_of_iris(venue: &Venue, t: f64, nd_stops: f64) -> Option<f64> {
    let rig = Rig::of(&venue.cameras.first()?.exposure);
    let stops = 2.0 * (t / rig.t_number_at_2000_lx).log2() + nd_stops - rig.shutter_stops;
    Some(CHART_LUX * stops.exp2())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_or_refused_with_what_is_allowed() {
        let time = NaiveTime::from_hms_opt(13, 40, 0).unwrap();
        let read = |text: &str| reading_word(text).map(|word| word.read);
        assert_eq!(read("card_stops=3.1@13:40"), Ok(Read::CardStops(3.1, time)));
        let grey = Read::GreyT { t: 8.0, nd_stops: 6.0, at: time };
        assert_eq!(read("grey_t = 8/6@13:40"), Ok(grey));
        assert_eq!(read("dew_point_c=-4"), Ok(Read::DewPointC(-4.0)));
        assert!(read("card_stops=3.1").unwrap_err().contains("@HH:MM"));
        assert!(read("visibility_km=0").unwrap_err().contains("1 to 300"));
        assert!(read("humidity=80").unwrap_err().contains("card_stops"));
    }
}
