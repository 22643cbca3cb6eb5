//! What was planned against what happened, on one page for the next visit.
//!
//! In: [`AfterTold`]. Out: one HTML file for screen and paper, without any reference outside
//! of itself; names are escaped by the template.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use serde::Serialize;

use crate::engine::Programme;
use crate::jobs::brief::report::words::clock_s;
use crate::jobs::day::{
    CueLine, DayPlan, DayState, IrisMiss, IrisSays, KnownTime, Learned, LightOn, LogEntry, Survey,
    iris_misses,
};
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};
use crate::output::words::{iris as words_of_iris, nd_or_clear};
use crate::venue::Venue;

use super::words;

const PAGE: &str = include_str!("page.html");
const STYLE: &str = include_str!("page.css");

/// All that the page is made of.
pub struct AfterTold<'a> {
    pub venue: &'a Venue,
    pub programme: &'a Programme,
    /// The planned start.
    pub start: DateTime<Tz>,
    pub entries: &'a [LogEntry],
    pub cues: &'a [CueLine],
    pub state: &'a DayState,
    pub plan: &'a DayPlan,
    pub now: DateTime<Tz>,
    /// What edges say, or why they say nothing.
    pub survey: Result<Option<&'a Survey>, String>,
}

#[derive(Serialize)]
struct Page {
    title: String,
    under: String,
    learned: Vec<String>,
    moments: Vec<MomentRow>,
    cameras: Vec<CameraPart>,
    entries: Vec<EntryRow>,
    cues: Vec<CueRow>,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
struct MomentRow {
    name: String,
    planned: String,
    happened: String,
    late: String,
}

#[derive(Serialize)]
struct CameraPart {
    name: String,
    notes: Vec<String>,
    readings: Vec<ReadingRow>,
}

#[derive(Serialize)]
struct ReadingRow {
    at: String,
    light: &'static str,
    planned: String,
    happened: String,
    stops: String,
}

#[derive(Serialize)]
struct EntryRow {
    number: u64,
    at: String,
    what: String,
    by: String,
    taken_back: bool,
}

#[derive(Serialize)]
struct CueRow {
    at: String,
    what: String,
    cameras: String,
}

/// The page as HTML.
///
/// # Errors
/// Those of the template.
pub fn page(day: &AfterTold<'_>) -> Result<String, minijinja::Error> {
    let page = Page {
        title: format!("Planned and happened: {}", day.venue.title),
        under: format!(
            "Match of {}, planned start {}. {} entries, {} cues. Times are the venue's clock.",
            day.start.format("%Y-%m-%d"),
            day.start.format("%H:%M UTC%:z"),
            day.entries.len(),
            day.cues.len()
        ),
        learned: learned(day),
        moments: moments(day),
        cameras: cameras(day),
        entries: day.entries.iter().map(|entry| entry_row(day, entry)).collect(),
        cues: day.cues.iter().map(|cue| cue_row(day, cue)).collect(),
        cautions: CAUTIONS.to_vec(),
    };
    let mut environment = paper::pages();
    // the name ends in .html: everything that is put in is escaped
    environment.add_template("day.html", PAGE)?;
    let style = minijinja::Value::from_safe_string(STYLE.to_owned() + &foot_style());
    let page = minijinja::context! { page => minijinja::value::Serde(page), style => style };
    environment.get_template("day.html")?.render(page)
}

fn learned(day: &AfterTold<'_>) -> Vec<String> {
    let learned = Learned::of(day.plan, day.state, day.now);
    let mut all = words::light(&learned);
    all.extend(learned.edges.iter().map(words::edge));
    match &day.survey {
        Ok(Some(survey)) => all.extend(survey.numbers.iter().map(words::number)),
        Ok(None) => {}
        Err(why) => all.push(format!("edges could not be compared with the venue file: {why}")),
    }
    all
}

fn moments(day: &AfterTold<'_>) -> Vec<MomentRow> {
    let planned = day.programme.milestones_from(day.start);
    let each = planned.iter().enumerate().map(|(number, stone)| {
        let known = day.state.moments.get(number).copied().flatten();
        let known = known.filter(|known: &KnownTime| !known.expected);
        let late = known.map(|known| (known.at - stone.at).num_seconds());
        MomentRow {
            name: stone.name.clone(),
            planned: clock_s(stone.at),
            happened: known.map_or_else(|| "not entered".to_owned(), |known| clock_s(known.at)),
            late: late.map_or_else(String::new, late_words),
        }
    });
    each.collect()
}

/// "14:20 late".
fn late_words(seconds: i64) -> String {
    let way = match seconds {
        0 => return "on time".to_owned(),
        s if s < 0 => "early",
        _ => "late",
    };
    format!("{}:{:02} min {way}", seconds.abs() / 60, seconds.abs() % 60)
}

fn cameras(day: &AfterTold<'_>) -> Vec<CameraPart> {
    let misses = iris_misses(day.plan, day.state);
    let absences = day.state.absences(&day.plan.plan.milestones);
    let each = day.venue.cameras.iter().zip(&day.state.cameras).enumerate();
    each.map(|(index, (post, day))| {
        let own: Vec<&IrisMiss> = misses.iter().filter(|m| m.camera == index).collect();
        let mut notes: Vec<String> = day
            .nd
            .iter()
            .map(|(at, stops)| format!("{}: {} in", clock_s(*at), nd_or_clear(*stops)))
            .collect();
        let away = absences.iter().filter(|out| out.camera == index);
        notes.extend(away.map(|out| match out.until {
            Some(until) => format!("out from {} to {}", clock_s(out.from), clock_s(until)),
            None => format!("out from {}", clock_s(out.from)),
        }));
        let without = day.iris.len() - own.len();
        if without > 0 {
            notes.push(format!("{without} iris readings that say no light, or have no plan"));
        }
        let readings = own.into_iter().map(|miss| ReadingRow {
            at: clock_s(miss.at),
            light: match miss.light {
                LightOn::Sun => "sun",
                LightOn::Shade => "shade",
            },
            planned: words_of_iris(miss.lens, miss.planned),
            happened: format!("T{:.1}", miss.t_number),
            stops: match miss.says {
                IrisSays::AsMuch => format!("{:+.1}", miss.stops),
                IrisSays::AsMuchOrLess => "wide open: as dark, or darker".to_owned(),
                IrisSays::AsMuchOrMore => "closed all the way: as bright, or brighter".to_owned(),
            },
        });
        CameraPart { name: post.name.clone(), readings: readings.collect(), notes }
    })
    .filter(|part| !part.notes.is_empty() || !part.readings.is_empty())
    .collect()
}

fn entry_row(day: &AfterTold<'_>, entry: &LogEntry) -> EntryRow {
    let by = match entry.by.name.as_str() {
        "" => format!("{:?}", entry.by.role).to_lowercase(),
        name => name.to_owned(),
    };
    EntryRow {
        number: entry.entry,
        at: clock_s(entry.at.with_timezone(&Utc).with_timezone(&day.venue.place.zone)),
        what: words::entry(&entry.what, day.programme),
        by,
        taken_back: day.state.taken_back.contains(&entry.entry),
    }
}

fn cue_row(day: &AfterTold<'_>, cue: &CueLine) -> CueRow {
    CueRow {
        at: clock_s(cue.at.with_timezone(&Utc).with_timezone(&day.venue.place.zone)),
        what: cue.what.clone(),
        cameras: cue.cameras.join(", "),
    }
}
