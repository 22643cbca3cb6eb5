//! The forecast over a match: text, table and JSON.
//!
//! In: a venue and its [`crate::jobs::forecast::DayOutlook`]. Out: text of at most 80 columns, CSV
//! (RFC 4180), one object of the format `quarterstop.forecast/1`.

pub mod data;
pub mod table;
pub mod text;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use crate::output::text::fit;
use crate::venue::Venue;
use crate::weather::forecast::{Forecast, ForecastGap};

use super::{DayOutlook, Expect, ForecastMinute, ForecastStretch};

/// Gaps that are listed.
const MAX_GAPS: usize = 6;

/// "sun 70 % (40 to 90), changing": what a crew is told of a stretch.
pub fn stretch_words(stretch: &ForecastStretch) -> String {
    let per_cent = |share: f64| format!("{:.0}", 100.0 * share);
    let odds = match stretch.sun {
        Some((sun, low, high)) if high - low >= 0.05 => {
            format!("sun {} % ({} to {})", per_cent(sun), per_cent(low), per_cent(high))
        }
        Some((sun, ..)) => format!("sun {} %", per_cent(sun)),
        None => return "no forecast".to_owned(),
    };
    odds + behind_odds(stretch.expect)
}

fn behind_odds(expect: Expect) -> &'static str {
    match expect {
        Expect::Changing => ", changing",
        Expect::Either => ", open",
        Expect::Sun | Expect::Cloud | Expect::Unknown => "",
    }
}

/// Names the columns of a forecast that mean nothing here; `None` where all are read.
pub fn left_out_words(forecast: &Forecast) -> Option<String> {
    let names = &forecast.left_out;
    (!names.is_empty())
        .then(|| format!("columns of the forecast that are not read: {}", names.join(", ")))
}

/// "14:30 to 15:10  sun 70 % (40 to 90), changing; 4 changes an hour (0 to 11)".
pub(crate) fn stretch_line(stretch: &ForecastStretch) -> String {
    let changes = stretch.changes_per_hour.as_ref().map_or_else(String::new, |spread| {
        let at = |p| spread.percentile(p).unwrap_or(0.0);
        let changes = if at(50.0).round() == 1.0 { "change" } else { "changes" };
        format!("; {:.0} {changes} an hour ({:.0} to {:.0})", at(50.0), at(10.0), at(90.0))
    });
    let (from, until) = (clock(stretch.from), clock(stretch.until));
    format!("{from} to {until}  {}{changes}", stretch_words(stretch))
}

/// "Sun 62 % (40 to 80), changing"; "No forecast" where nothing is said.
pub(crate) fn minute_words(minute: &ForecastMinute) -> String {
    let sky = &minute.sky;
    let per_cent = |share: f64| format!("{:.0}", 100.0 * share);
    let ends = sky.sun.percentile(10.0).zip(sky.sun.percentile(90.0));
    let odds = match (sky.states, ends) {
        (Some(states), Some((low, high))) if high - low >= 0.05 => {
            let (low, high) = (per_cent(low), per_cent(high));
            format!("Sun {} % ({low} to {high})", per_cent(states.sun()))
        }
        (Some(states), _) => format!("Sun {} %", per_cent(states.sun())),
        (None, _) => return "No forecast".to_owned(),
    };
    odds + behind_odds(minute.expect)
}

/// "20 members side by side".
pub(crate) fn members(day: &DayOutlook) -> String {
    match day.members {
        1 => "one member".to_owned(),
        n => format!("{n} members side by side"),
    }
}

/// What brackets mean, when the forecast stops telling anything, and its gaps.
pub(crate) fn note(venue: &Venue, day: &DayOutlook) -> String {
    let brackets = match day.members {
        1 => {
            "One member, which cannot say how sure it is. In brackets: the least and the most sun \
             through the stretch; of changes, 8 hours of 10."
        }
        _ => {
            "In brackets: 8 members of 10 lie between, all through the stretch; of changes, 8 \
             hours of 10."
        }
    };
    let silent = day.silent_from.map_or_else(String::new, |at| {
        format!(
            " From {} on the forecast tells nothing: no hours, or members that say the opposite. \
             Prepare for either.",
            clock(at)
        )
    });
    format!("{brackets}{silent}{}", gaps(venue, day))
}

fn gaps(venue: &Venue, day: &DayOutlook) -> String {
    let words = |gap: &ForecastGap| {
        let member = if gap.member.is_empty() { "the forecast" } else { gap.member.as_str() };
        let at = |at: DateTime<Utc>| clock(at.with_timezone(&venue.place.zone));
        format!("{} from {} to {}", fit(member, 30), at(gap.from), at(gap.until))
    };
    if day.gaps.is_empty() {
        return String::new();
    }
    let listed: Vec<String> = day.gaps.iter().take(MAX_GAPS).map(words).collect();
    let more = match day.gaps.len().saturating_sub(MAX_GAPS) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    format!(" Nothing is said by {}{more}.", listed.join(", "))
}

fn clock(at: DateTime<Tz>) -> String {
    at.format("%H:%M").to_string()
}
