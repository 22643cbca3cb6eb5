//! The cues as a calendar (iCalendar, RFC 5545), one event a cue with an alarm at its
//! lead. Times are UTC, so that no device has to know the venue's zone.

use chrono::{DateTime, Duration, Utc};
use icalendar::{Alarm, Calendar, Component, Event, EventLike};

use super::Told;
use super::words::{moving_words, sure_words};
use crate::plan::brief::cues::Cue;
use crate::report::slug::slug;

/// The calendar's text. `stamp` is when it is made (DTSTAMP, which the standard asks
/// for).
pub fn ics(told: &Told<'_>, stamp: DateTime<Utc>) -> String {
    let mut calendar = Calendar::new();
    calendar.name(&format!("{} cues", told.venue.title));
    for (number, cue) in told.brief.cues.iter().enumerate() {
        calendar.push(event(told, number, cue, stamp));
    }
    calendar.to_string()
}

fn event(told: &Told<'_>, number: usize, cue: &Cue, stamp: DateTime<Utc>) -> Event {
    let at = cue.at.with_timezone(&Utc);
    let start = told.plan.instants.first().map_or(0, |i| i.at.timestamp());
    let names = cue.cameras.iter().filter_map(|&c| told.venue.cameras.get(c));
    let cameras: Vec<&str> = names.map(|c| c.name.as_str()).collect();
    let words = [
        format!("Time {}", sure_words(cue.sure)),
        moving_words(cue),
        match cameras.is_empty() {
            true => String::new(),
            false => format!("Cameras: {}", cameras.join(", ")),
        },
    ];
    let words: Vec<String> = words.into_iter().filter(|w| !w.is_empty()).collect();
    let id = format!("{}-{start}-{}", slug(&told.venue.title, "venue"), number + 1);
    // one of its own, or the library makes one by chance and no run is like another
    let alarm = Alarm::display(&cue.what, -Duration::seconds(cue.lead_s.ceil() as i64))
        .uid(&format!("{id}-alarm@quarterstop.invalid"))
        .done();
    Event::new()
        .uid(&format!("{id}@quarterstop.invalid"))
        .timestamp(stamp)
        .summary(&cue.what)
        .description(&words.join("\n"))
        .location(&told.venue.title)
        .starts(at)
        .ends(at)
        .alarm(alarm)
        .done()
}
