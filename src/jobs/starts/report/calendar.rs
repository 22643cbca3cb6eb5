//! The season as a calendar feed (iCalendar, RFC 5545): an event a fixture at its planned
//! start, with its worst moment and its best start in the notes. Under rules, a fixture that
//! moves has a second event at its start in the season: tentative, taking up no time, named
//! as proposed. Times are UTC, so that no device has to know the venues' zones; times in
//! notes are the venue's clocks.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};

use crate::output::ics;
use crate::output::ics::{Busy, Earlier, Status, calendar, description, uid};

use super::{Entry, StartsReport, range_of};

/// No fixture is shorter in a calendar.
const MIN_LENGTH: TimeDelta = TimeDelta::minutes(1);
const SCOPE: [&str; 1] = ["season"];
/// Of what is proposed.
const PROPOSED: [&str; 1] = ["season, proposed"];

/// The calendar's text; `None` without a fixture, as a calendar has to hold something
/// (RFC 5545, 3.6). `stamp` is when it is made (DTSTAMP, which the standard asks for),
/// `earlier` the calendar that it replaces.
pub fn ics(report: &StartsReport<'_>, stamp: DateTime<Utc>, earlier: &Earlier) -> Option<String> {
    let mut counts: HashMap<[String; 3], usize> = HashMap::new();
    let events: Vec<ics::CalendarEntry> = report
        .entries()
        .flat_map(|entry| {
            let date = entry.fixture.date.to_string();
            let subject = [entry.venue.title.clone(), date, entry.fixture.name.clone()];
            let count = counts.entry(subject.clone()).or_default();
            *count += 1;
            let planned = event(report, &entry, &subject, *count);
            let proposed = proposal(report, &entry, &planned, &subject, *count);
            std::iter::once(planned).chain(proposed)
        })
        .collect();
    // a list of another season may stand in the same place: of what is gone only proposals
    // are cancelled, which nobody goes by
    let scope = Some(PROPOSED.as_slice());
    let text = || calendar("Fixtures, sun and shade", &events, stamp, earlier, scope);
    (!events.is_empty()).then(text)
}

/// The event of a fixture's start in the season under rules, beside that of its planned one;
/// `None` where it stays, or without rules.
fn proposal(
    report: &StartsReport<'_>,
    entry: &Entry<'_>,
    planned: &ics::CalendarEntry,
    [venue, date, fixture]: &[String; 3],
    count: usize,
) -> Option<ics::CalendarEntry> {
    let rules = report.under_rules.as_ref()?;
    let proposed = entry.proposed;
    if proposed.at == entry.planned.at {
        return None;
    }
    let notes = [
        Some(format!("Proposed in place of {}; not agreed", entry.clock(entry.planned.at))),
        rules.why(entry.ranked.fixture),
        entry.night_words(proposed),
        Some(format!("Worst moment under a clear sky: {}", entry.worst_words(proposed))),
        Some(format!("Cost {:.1}, as planned {:.1}", proposed.cost(), entry.planned.cost())),
    ];
    Some(ics::CalendarEntry {
        uid: uid(&PROPOSED, &[venue, date, fixture, &count.to_string()]),
        starts: proposed.at,
        ends: proposed.ends.max(proposed.at + MIN_LENGTH),
        summary: format!("Proposed: {}", planned.summary),
        description: description(notes.into_iter().flatten()),
        location: planned.location.clone(),
        category: "Proposed start",
        busy: Busy::Transparent,
        status: Status::Tentative,
        alarm: None,
    })
}

fn event(
    report: &StartsReport<'_>,
    entry: &Entry<'_>,
    subject: &[String; 3],
    count: usize,
) -> ics::CalendarEntry {
    let (planned, best) = (entry.planned, entry.best);
    let mut notes = vec![
        match planned.worst {
            Some(_) => format!("Worst moment under a clear sky: {}", entry.worst_words(planned)),
            None => "No split in shot under a clear sky".to_owned(),
        },
        format!("Cost as planned {:.1}", planned.cost()),
    ];
    if let Some(odds) = planned.odds {
        let range = range_of(&odds, &odds.split);
        notes.push(format!(
            "Sun to be expected for {:.0} % of play; widest split to be expected {:.1} stops{}",
            100.0 * odds.sun,
            odds.split.expected,
            range.map_or_else(String::new, |range| format!(", {range}"))
        ));
    }
    if report.under_rules.is_some() && entry.proposed.at != planned.at {
        notes.push(format!(
            "In the season under rules it starts at {}",
            entry.clock(entry.proposed.at)
        ));
    }
    let saves = planned.cost() - best.cost();
    if best.at != planned.at && saves > 0.0 {
        notes.push(format!("A start at {} would save {saves:.1}", entry.clock(best.at)));
    }
    notes.extend(entry.night_words(planned));
    let equal = entry.equal_words();
    if !equal.is_empty() {
        notes.push(format!("Starts: {equal}"));
    }
    if let Some(km) = report.km(entry) {
        notes.push(format!("Weather of a place {km:.0} km from the venue"));
    }
    notes.push(format!("{}.", report.sky_words()));
    notes.extend(report.warnings.iter().map(|warning| format!("Warning: {warning}")));
    let name = match entry.fixture.name.as_str() {
        "" => entry.venue.title.clone(),
        name => name.to_owned(),
    };
    let [venue, date, fixture] = subject;
    ics::CalendarEntry {
        uid: uid(&SCOPE, &[venue, date, fixture, &count.to_string()]),
        starts: planned.at,
        ends: planned.ends.max(planned.at + MIN_LENGTH),
        summary: name,
        description: description(notes),
        location: entry.venue.title.clone(),
        category: "Fixture",
        busy: Busy::Opaque,
        status: Status::Open,
        alarm: None,
    }
}
