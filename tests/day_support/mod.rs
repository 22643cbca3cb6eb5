//! What happens on a match day, as the lead enters it.

use chrono::DateTime;
use chrono_tz::Tz;

use quarterstop::jobs::day::{Event, LogEntry, Person, Role};

/// A moment of play comes.
pub fn moment(moment: usize) -> Event {
    let name = String::new();
    Event::Moment { moment, name, expected: false, nd_stops: Default::default() }
}

/// Events at their times, numbered from 1.
pub fn entries(all: &[(DateTime<Tz>, Event)]) -> Vec<LogEntry> {
    let entry = |(number, (at, what)): (u64, &(DateTime<Tz>, Event))| LogEntry {
        entry: number,
        at: at.fixed_offset(),
        entered: at.fixed_offset(),
        by: Person { role: Role::Lead, name: String::new() },
        what: what.clone(),
    };
    (1..).zip(all).map(entry).collect()
}
