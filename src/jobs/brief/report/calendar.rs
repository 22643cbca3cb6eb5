//! The cues as calendars (iCalendar, RFC 5545), for the whole crew or for one operator:
//! an event for the match with the cautions, and one a cue, with an alarm where a hand
//! acts. Times are UTC, so that no device has to know the venue's zone.

use chrono::{DateTime, TimeDelta, Utc};

use crate::jobs::crew::cues::{Cue, CueKind, Urgency};
use crate::output::ics::{Busy, CalendarEntry, Earlier, Status, calendar, description, uid};

use super::BriefReport;
use super::words::{heading, moving_words, sure_words};

/// A cue is a time and no span; this is the shortest that calendars show well.
const CUE_LASTS: TimeDelta = TimeDelta::minutes(1);

/// The calendar's text for all, or for one operator by index. `stamp` is when it is made
/// (DTSTAMP, which the standard asks for), `earlier` the calendar that it replaces.
pub fn ics(
    report: &BriefReport<'_>,
    operator: Option<usize>,
    stamp: DateTime<Utc>,
    earlier: &Earlier,
) -> String {
    let name = operator.and_then(|o| report.brief.desk.operators.get(o)).map(|o| o.name.as_str());
    let date =
        report.plan.instants.first().map_or_else(String::new, |i| i.at.format("%F").to_string());
    // what tells this calendar from others: not the start, which may be moved
    let scope = [report.venue.title.as_str(), &date, name.unwrap_or_default()];
    let mine = |cue: &&Cue| operator.is_none_or(|o| cue.operators.contains(&o));
    let cues = report.brief.cues.iter().filter(mine).map(|cue| cue_entry(report, cue, &scope));
    let entries: Vec<CalendarEntry> = match_entry(report, &scope).into_iter().chain(cues).collect();
    let whose = name.map_or_else(String::new, |name| format!(", operator {name}"));
    let title = format!("{} cues{whose}", report.venue.title);
    calendar(&title, &entries, stamp, earlier, Some(&scope))
}

/// The match itself, so that a calendar without cues holds something and says so.
fn match_entry(report: &BriefReport<'_>, scope: &[&str]) -> Option<CalendarEntry> {
    let instants = &report.plan.instants;
    let (first, last) = (instants.first()?.at, instants.last()?.at);
    let stones = &report.plan.milestones;
    let starts = stones.first().map_or(first, |m| m.at).with_timezone(&Utc);
    let ends = stones.last().map_or(last, |m| m.at).with_timezone(&Utc);
    let cues = match report.brief.cues.len() {
        0 => "No cue: nothing changes for any camera.".to_owned(),
        _ => "Sun and shade cues follow as events of their own.".to_owned(),
    };
    Some(CalendarEntry {
        uid: uid(scope, &["match"]),
        starts,
        ends: ends.max(starts + CUE_LASTS),
        summary: format!("{}, sun and shade", report.venue.title),
        description: description([heading(report), cues]),
        location: report.venue.title.clone(),
        category: "Match",
        busy: Busy::Transparent,
        status: Status::Open,
        alarm: None,
    })
}

fn cue_entry(report: &BriefReport<'_>, cue: &Cue, scope: &[&str]) -> CalendarEntry {
    let starts = cue.at.with_timezone(&Utc);
    let names = cue.cameras.iter().filter_map(|&c| report.venue.cameras.get(c));
    let cameras: Vec<&str> = names.map(|c| c.name.as_str()).collect();
    let cameras = match cameras.is_empty() {
        true => String::new(),
        false => format!("Cameras: {}", cameras.join(", ")),
    };
    let accuracy = format!("Accuracy: {}", sure_words(cue.sure));
    let ahead = TimeDelta::seconds(cue.lead_s.ceil() as i64);
    CalendarEntry {
        uid: uid(scope, &[kind_word(cue.kind), &cue.subject, &cue.ordinal.to_string()]),
        starts,
        ends: starts + CUE_LASTS,
        summary: cue.what.clone(),
        description: description([accuracy, moving_words(cue), cameras]),
        location: report.venue.title.clone(),
        category: if cue.is_key_action() { "Key action" } else { "Information" },
        busy: Busy::Transparent,
        status: Status::Open,
        alarm: (cue.urgency != Urgency::Know).then_some(ahead),
    }
}

/// For UIDs alone: words that stay the same whatever other files call a kind.
fn kind_word(kind: CueKind) -> &'static str {
    match kind {
        CueKind::Mark => "mark",
        CueKind::Zone => "zone",
        CueKind::Coverage => "cover",
        CueKind::Lens => "lens",
        CueKind::Verdict => "verdict",
        CueKind::Split => "split",
        CueKind::Floodlights => "floodlights",
        CueKind::Move => "move",
        CueKind::Balance => "balance",
        CueKind::Forecast => "forecast",
        CueKind::Setting => "setting",
    }
}
