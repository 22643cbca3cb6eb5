//! The season as a calendar feed (iCalendar, RFC 5545): an event a fixture at its planned
//! start, with its worst moment and its best start in the notes. Times are UTC, so that
//! no device has to know the venues' zones; times in notes are the venue's clocks.

use chrono::{DateTime, Utc};
use icalendar::{Calendar, Component, Event, EventLike};

use super::{Entry, Told};
use crate::report::slug::slug;

/// The calendar's text. `stamp` is when it is made (DTSTAMP, which the standard asks
/// for).
pub fn ics(told: &Told<'_>, stamp: DateTime<Utc>) -> String {
    let mut calendar = Calendar::new();
    calendar.name("Fixtures, sun and shade");
    for entry in told.entries() {
        calendar.push(event(told, &entry, stamp));
    }
    calendar.to_string()
}

fn event(told: &Told<'_>, entry: &Entry<'_>, stamp: DateTime<Utc>) -> Event {
    let (planned, best) = (entry.planned, entry.best);
    let mut notes = vec![
        match planned.worst {
            Some(_) => format!("Worst moment under a clear sky: {}", entry.worst_words(planned)),
            None => "No split in shot under a clear sky".to_owned(),
        },
        format!("Cost as planned {:.1}", planned.cost()),
    ];
    if let Some(odds) = planned.odds {
        notes.push(format!(
            "Sun to be expected for {:.0} % of play; widest split to be expected {:.1} stops, \
             {:.1} to {:.1} on 8 days of 10",
            100.0 * odds.sun,
            odds.split.expected,
            odds.split.p10,
            odds.split.p90
        ));
    }
    if best.at != planned.at {
        let saves = planned.cost() - best.cost();
        notes.push(format!("A start at {} would save {saves:.1}", entry.clock(best.at)));
    }
    notes.push(format!("{}.", told.sky_words()));
    let name = match entry.fixture.name.as_str() {
        "" => entry.venue.title.clone(),
        name => name.to_owned(),
    };
    Event::new()
        .uid(&format!(
            "{}-{}-{}@quarterstop.invalid",
            slug(&entry.venue.title, "venue"),
            planned.at.format("%Y%m%dT%H%M%SZ"),
            entry.ranked.fixture + 1
        ))
        .timestamp(stamp)
        .summary(&name)
        .description(&notes.join("\n"))
        .location(&entry.venue.title)
        .starts(planned.at)
        .ends(planned.ends)
        .done()
}
