//! Readings of the air, as the command line says them.
//!
//! In: words of `--reading`, a venue, the window of the plan, a forecast. Out: the [`Air`]
//! that they leave, and on stderr what each says by itself.

use std::io;
use std::io::Write;

use chrono::{DateTime, Datelike, NaiveTime};
use chrono_tz::Tz;
use clap::Args;

use crate::camera::{CHART_LUX, Rig};
use crate::command::failure::Failure;
use crate::command::window::Window;
use crate::command::words::time_of_day;
use crate::light::{Air, AirSource, Reading, TimedReading, air_of_readings};
use crate::venue::Venue;
use crate::weather::forecast::{Forecast, ForecastQuantity};

use super::options::RepeatedChoice;

/// Readings of the day.
#[derive(Debug, Clone, Args)]
pub struct ReadingOptions {
    /// Readings of the day, with commas between; splits carry what they leave unknown:
    /// card_stops=STOPS@HH:MM (flat white card in the open, sunlit over shaded),
    /// grey_t=T/ND@HH:MM (flat grey card in the sun by the first camera's iris, ND in
    /// stops), aerosol_500nm=DEPTH@HH:MM (sun photometer), visibility_km=KM@HH:MM,
    /// dew_point_c=C, forecast (its visibility, dew point and water)
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
    GreyT {
        t: f64,
        nd_stops: f64,
        at: NaiveTime,
    },
    Aerosol(f64, NaiveTime),
    VisibilityKm(f64, NaiveTime),
    DewPointC(f64),
    /// What the forecast says of the air.
    Forecast,
}

const KINDS: &str = "card_stops=STOPS@HH:MM, grey_t=T/ND@HH:MM, \
                     aerosol_500nm=DEPTH@HH:MM, visibility_km=KM@HH:MM, dew_point_c=C, forecast";

/// Visibility that is forecast is worth as much as one that was read so long ago (no source).
const FORECAST_H: f64 = 10.0;

/// Reads one word; what is wrong in words.
pub(crate) fn reading_word(text: &str) -> Result<ReadingWord, String> {
    let text = text.trim();
    if text == "forecast" {
        return Ok(ReadingWord { text: text.to_owned(), read: Read::Forecast });
    }
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
        "aerosol_500nm" => {
            let (depth, at) = timed()?;
            Read::Aerosol(number(depth, 0.0, 3.0)?, at)
        }
        "visibility_km" => {
            let (km, at) = timed()?;
            Read::VisibilityKm(number(km, 1.0, 300.0)?, at)
        }
        "dew_point_c" => Read::DewPointC(number(value, -60.0, 35.0)?),
        _ => return Err(format!("a reading is one of {KINDS}")),
    };
    Ok(ReadingWord { text: text.to_owned(), read })
}

impl ReadingOptions {
    /// The air that the readings leave of the one assumed, all through a window; the same
    /// without any.
    ///
    /// # Errors
    /// [`Failure`] for times that clocks do not show, and readings that fit no clear air.
    pub fn over(
        &self,
        assumed: Air,
        venue: &Venue,
        when: (&Window, Option<RepeatedChoice>),
        forecast: Option<&Forecast>,
    ) -> Result<Air, Failure> {
        let mut named: Vec<(String, TimedReading)> = Vec::new();
        for word in &self.words {
            named.extend(word.readings(venue, when, forecast)?);
        }
        if named.is_empty() {
            return Ok(assumed);
        }
        let readings: Vec<TimedReading> = named.iter().map(|(_, reading)| *reading).collect();
        let given = air_of_readings(assumed, venue.place.pressure_hpa, &readings)
            .map_err(|e| Failure::Input(format!("--reading: {e}").into()))?;
        for ((name, timed), [low, middle, high]) in named.iter().zip(given.alone) {
            let (what, unit) = match timed.reading {
                Reading::DewPoint { .. } | Reading::Water { .. } => ("water", " cm"),
                _ => ("aerosol", " at 500 nm"),
            };
            // eprintln! would panic where stderr is closed
            let _ = writeln!(
                io::stderr(),
                "reading {name}: by itself {what} {middle:.2}{unit} ({low:.2} to {high:.2} in 8 cases of 10)"
            );
        }
        Ok(given.air.from(AirSource::Readings))
    }
}

/// What a forecast says of the air, with names.
fn of_forecast(
    forecast: Option<&Forecast>,
    window: &Window,
) -> Result<Vec<(String, TimedReading)>, Failure> {
    let refused = |text: &str| Failure::Input(format!("--reading: {text}").into());
    let forecast = forecast.ok_or_else(|| refused("forecast needs a forecast of the day"))?;
    let span = (window.from.to_utc(), window.until.to_utc());
    let median = |quantity| forecast.median(quantity, span);
    let visibility = median(ForecastQuantity::Visibility).map(|km| {
        let reading = Reading::Visibility { km: km.clamp(1.0, 300.0) };
        (format!("forecast, visibility {km:.0} km"), reading, FORECAST_H)
    });
    let dew_point = median(ForecastQuantity::DewPoint).map(|celsius| {
        (format!("forecast, dew point {celsius:.1} C"), Reading::DewPoint { celsius }, 0.0)
    });
    let water = median(ForecastQuantity::Water)
        .filter(|cm| *cm > 0.0)
        .map(|cm| (format!("forecast, water {cm:.1} cm"), Reading::Water { cm }, 0.0));
    // water itself says all that a dew point says of it
    let found = [visibility, water.or(dew_point)].into_iter().flatten();
    let found: Vec<_> =
        found.map(|(name, reading, hours)| (name, TimedReading { reading, hours })).collect();
    match found.is_empty() {
        true => Err(refused("the forecast has no column visibility, dew_point or water")),
        false => Ok(found),
    }
}

impl ReadingWord {
    /// What was read, and what to call it.
    fn readings(
        &self,
        venue: &Venue,
        (window, repeated): (&Window, Option<RepeatedChoice>),
        forecast: Option<&Forecast>,
    ) -> Result<Vec<(String, TimedReading)>, Failure> {
        let resolve = |time| {
            super::planning::resolve(venue.place.zone, window.start.date_naive(), time, repeated)
        };
        let sun = |at: DateTime<Tz>| super::planning::sun_at(&venue.place, at);
        // the range has to hold at both ends of the window
        let timed = |reading: Reading, at: DateTime<Tz>| {
            let apart = |end: DateTime<Tz>| (end - at).abs().as_seconds_f64() / 3600.0;
            TimedReading { reading, hours: apart(window.from).max(apart(window.until)) }
        };
        let read = match self.read {
            Read::Forecast => return of_forecast(forecast, window),
            Read::CardStops(stops, at) => {
                let at = resolve(at)?;
                let (sun, day_of_year) = (sun(at)?, at.ordinal());
                timed(Reading::CardPair { sun, day_of_year, stops }, at)
            }
            Read::GreyT { t, nd_stops, at } => {
                let at = resolve(at)?;
                let (sun, day_of_year) = (sun(at)?, at.ordinal());
                let lux = lux_of_iris(venue, t, nd_stops).ok_or_else(|| {
                    let text = "--reading: grey_t is of the venue file's first camera, and the \
                                file has none; give card_stops, or add a [[camera]]";
                    Failure::Input(text.into())
                })?;
                timed(Reading::CardLight { sun, day_of_year, lux }, at)
            }
            Read::Aerosol(aerosol_500nm, at) => {
                timed(Reading::Photometer { aerosol_500nm }, resolve(at)?)
            }
            Read::VisibilityKm(km, at) => timed(Reading::Visibility { km }, resolve(at)?),
            Read::DewPointC(celsius) => timed(Reading::DewPoint { celsius }, window.from),
        };
        Ok(vec![(self.text.clone(), read)])
    }
}

/// Light on a card that the first camera exposes as its sensitivity is stated for, at 0 dB.
fn lux_of_iris(venue: &Venue, t: f64, nd_stops: f64) -> Option<f64> {
    let rig = Rig::of(&venue.cameras.first()?.exposure);
    let stops =
        2.0 * (t / rig.t_number_at_2000_lx).log2() + nd_stops - rig.shutter_stops + rig.lost_stops;
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
        assert!(read("visibility_km=0@13:40").unwrap_err().contains("1 to 300"));
        assert!(read("humidity=80").unwrap_err().contains("card_stops"));
    }
}
