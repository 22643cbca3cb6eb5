//! The order of play of a site's day.
//!
//! In: the tables of matches and of what is on air, times local. Out: an [`Order`] with
//! instants, and for each field the fixture and moments that its plan goes by. A time that the
//! clocks skip, or that comes twice, is refused.

use chrono::{DateTime, NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Tz;

use crate::base::limits::{MAX_NAME, MAX_PLAYS};
use crate::venue::file::{FixtureTable, MomentTable, PlayTable, SiteFile};
use crate::venue::model;
use crate::venue::problem::Problems;
use crate::venue::site::{OnAir, Order, SiteMatch};

use super::extras::{day_of, time_of_day};
use super::site::field_of;

/// From the first start to the last end of a day, hours: the longest window that is planned,
/// less what a plan adds before and after.
const MAX_DAY_H: i64 = 23;

/// An order of play, kept to hand each field its own.
pub(super) struct Timed {
    pub order: Order,
}

impl Timed {
    /// Fixture and moments of a field; none where nothing is played on it.
    pub fn of_field(&self, field: usize) -> Option<(FixtureTable, Vec<MomentTable>)> {
        let plays: Vec<&SiteMatch> = self.order.plays.iter().filter(|p| p.field == field).collect();
        let first = plays.first()?.from;
        let after = |at: DateTime<Tz>| u32::try_from((at - first).num_minutes()).unwrap_or(0);
        let moment = |name: String, at, play| MomentTable { name, after_min: after(at), play };
        let moments = plays.iter().flat_map(|play| {
            let start = moment(play.name.clone(), play.from, model::Play::Starts);
            [start, moment(format!("{} ends", play.name), play.until, model::Play::Stops)]
        });
        let fixture = FixtureTable {
            date: first.format("%Y-%m-%d").to_string(),
            start: first.format("%H:%M:%S").to_string(),
        };
        Some((fixture, moments.collect()))
    }
}

/// The order of play of a file; `None` where it has none, or `problems` says why not.
pub(super) fn order(file: &SiteFile, problems: &mut Problems) -> Option<Timed> {
    if file.play.is_empty() {
        if !file.on_air.is_empty() {
            problems.add("on_air", "what is on air without a match", "at least one [[play]]");
        }
        return None;
    }
    if file.play.len() > MAX_PLAYS {
        let found = format!("{} of them", file.play.len());
        problems.add("play", found, format!("at most {MAX_PLAYS}"));
        return None;
    }
    let zone: Tz = file.place.zone.parse().ok()?;
    let Some(fixture) = &file.fixture else {
        problems.add("fixture", "an order of play without a day", "[fixture] with its date");
        return None;
    };
    // what the date gets wrong is said where the fixture is read
    let clock = Clock { zone, date: day_of(&fixture.date)? };
    let before = problems.len();
    let plays = plays(file, &clock, problems);
    let on_air = match file.on_air.is_empty() {
        true => one_by_one(file, &plays, problems),
        false => stated(file, &clock, &plays, problems),
    };
    (problems.len() == before).then_some(())?;
    let plays = plays.into_iter().map(|(_, play)| play).collect();
    Some(Timed { order: Order { date: clock.date, plays, on_air } })
}

struct Clock {
    zone: Tz,
    date: NaiveDate,
}

impl Clock {
    /// An instant of the day; notes a text that is no time, and a time that is no instant.
    fn at(&self, text: &str, key: String, problems: &mut Problems) -> Option<DateTime<Tz>> {
        let Some(time) = time_of_day(text.trim()) else {
            problems.add(key, format!("\"{text}\""), "a time of day, \"HH:MM\"");
            return None;
        };
        let found = self.zone.from_local_datetime(&self.date.and_time(time));
        if found.single().is_none() {
            let why = match found.earliest() {
                Some(_) => "comes twice on that day, when the clocks go back",
                None => "does not exist on that day, when the clocks go forward",
            };
            problems.add(key, format!("\"{text}\", which {why}"), "a time that comes once");
        }
        found.single()
    }
}

/// Matches with the indices of their tables, in order of time.
fn plays(file: &SiteFile, clock: &Clock, problems: &mut Problems) -> Vec<(usize, SiteMatch)> {
    let mut plays: Vec<(usize, SiteMatch)> = Vec::new();
    for (i, table) in file.play.iter().enumerate() {
        let name = table.name.trim();
        let key = format!("play[{i}].name");
        if name.is_empty() {
            problems.add(key, "an empty name", "a name");
        } else if name.chars().count() > MAX_NAME - 5 || name.chars().any(char::is_control) {
            let allowed = format!("up to {} characters on one line", MAX_NAME - 5);
            problems.add(key, "a name that does not fit", allowed);
        } else if plays.iter().any(|(_, play)| play.name == name) {
            problems.add(key, format!("\"{name}\" a second time"), "another name");
        }
        let field = field_of(file, &table.field, format!("play[{i}].field"), problems);
        let Some(field) = field else { continue };
        let last = plays.iter().map(|(_, play)| play).rfind(|play| play.field == field);
        let Some((from, follows)) = start((i, table), last, clock, problems) else { continue };
        let until = from + TimeDelta::minutes(table.lasts_min.into());
        plays.push((i, SiteMatch { name: name.to_owned(), field, from, until, follows }));
    }
    plays.sort_by_key(|(i, play)| (play.from, *i));
    if let (Some(first), Some(last)) = (
        plays.iter().map(|(_, play)| play.from).min(),
        plays.iter().max_by_key(|(_, play)| play.until),
    ) && (last.1.until - first).num_hours() >= MAX_DAY_H
    {
        let (i, play) = last;
        let found = format!("an end at {}", play.until.format("%Y-%m-%d %H:%M"));
        let allowed = format!("within {MAX_DAY_H} hours of the first start of the day");
        problems.add(format!("play[{i}].lasts_min"), found, allowed);
    }
    plays
}

/// When a match starts, and whether it waits for the one before on its field.
fn start(
    (i, table): (usize, &PlayTable),
    last: Option<&SiteMatch>,
    clock: &Clock,
    problems: &mut Problems,
) -> Option<(DateTime<Tz>, bool)> {
    let time = |text: &Option<String>, field: &str, problems: &mut Problems| {
        let text = text.as_deref()?;
        Some(clock.at(text, format!("play[{i}].{field}"), problems))
    };
    let free = last.map(|last| last.until + TimeDelta::minutes(table.after_min.into()));
    let starts = time(&table.starts, "starts", problems);
    let not_before = time(&table.not_before, "not_before", problems);
    match (starts, not_before, free) {
        (Some(_), Some(_), _) => {
            let allowed = "one of the two";
            problems.add(format!("play[{i}].not_before"), "not_before beside starts", allowed);
            None
        }
        (Some(starts), None, _) => {
            let starts = starts?;
            if let Some(last) = last.filter(|last| starts <= last.until) {
                let until = last.until.format("%H:%M");
                problems.add(
                    format!("play[{i}].starts"),
                    format!("{}, while \"{}\" is on that field", starts.format("%H:%M"), last.name),
                    format!("later than {until}, when that is expected to end"),
                );
                return None;
            }
            Some((starts, false))
        }
        (None, Some(not_before), Some(free)) => Some((not_before?.max(free), true)),
        (None, Some(not_before), None) => Some((not_before?, false)),
        (None, None, Some(free)) => Some((free, true)),
        (None, None, None) => {
            let allowed = "a time for the first match on a field, \"HH:MM\"";
            problems.add(format!("play[{i}].starts"), "nothing", allowed);
            None
        }
    }
}

/// Match after match, where no two run at the same time.
fn one_by_one(
    file: &SiteFile,
    plays: &[(usize, SiteMatch)],
    problems: &mut Problems,
) -> Vec<OnAir> {
    for pair in plays.windows(2) {
        let [(_, before), (i, play)] = pair else { continue };
        if play.from < before.until {
            let (name, field) = (&before.name, file.field[before.field].name.trim());
            problems.add_with_help(
                format!("play[{i}].field"),
                format!("a match while \"{name}\" is on \"{field}\""),
                "matches that do not overlap, or [[on_air]] tables",
                "[[on_air]] with field and from says which of them the programme shows when",
            );
        }
    }
    let on_air = |(_, play): &(usize, SiteMatch)| OnAir {
        field: play.field,
        from: play.from,
        until: play.until,
    };
    plays.iter().map(on_air).collect()
}

/// What the file says is on air, each up to the next; the last up to the end of play on it.
fn stated(
    file: &SiteFile,
    clock: &Clock,
    plays: &[(usize, SiteMatch)],
    problems: &mut Problems,
) -> Vec<OnAir> {
    let mut on_air: Vec<OnAir> = Vec::new();
    for (i, table) in file.on_air.iter().enumerate() {
        let field = field_of(file, &table.field, format!("on_air[{i}].field"), problems);
        let from = clock.at(&table.from, format!("on_air[{i}].from"), problems);
        let (Some(field), Some(from)) = (field, from) else { continue };
        if let Some(last) = on_air.last_mut() {
            if from <= last.from {
                let found = format!("{}, not after the one before", from.format("%H:%M"));
                let allowed = format!("later than {}", last.from.format("%H:%M"));
                problems.add(format!("on_air[{i}].from"), found, allowed);
                continue;
            }
            last.until = from;
        }
        let ends = plays.iter().map(|(_, play)| play).filter(|play| play.field == field);
        let Some(until) = ends.map(|play| play.until).max().filter(|until| *until > from) else {
            let name = table.field.trim();
            problems.add(
                format!("on_air[{i}].field"),
                format!("\"{name}\", where nothing is played from {} on", from.format("%H:%M")),
                "a field on which a match is running or still to come",
            );
            continue;
        };
        on_air.push(OnAir { field, from, until });
    }
    on_air
}
