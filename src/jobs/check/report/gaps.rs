//! Gaps between stands, in words.

use chrono::{DateTime, NaiveTime};
use chrono_tz::Tz;

use crate::jobs::check::{Findings, GapFrom, SkylineGap, YearSpan};
use crate::output::text::wrapped;
use crate::venue::Venue;

/// A gap names this many marks at most; the rest are counted.
const MAX_MARKS: usize = 4;

/// A paragraph for each gap; nothing where there are none.
pub(super) fn text(venue: &Venue, findings: &Findings) -> String {
    if findings.gaps.is_empty() {
        return String::new();
    }
    let date = findings.date.map(|d| d.format("%-d %B").to_string());
    let mut text = "Gaps where the sun slips through:\n".to_owned();
    for gap in &findings.gaps {
        text += &wrapped("  ", &format!("Between {}:", sides(venue, gap)));
        if let Some(date) = &date {
            text += &wrapped("      ", &on_date(gap, date));
        }
        text += &wrapped("      ", &in_year(gap));
    }
    text
}

/// "Town End and Orchard Side".
pub(super) fn sides(venue: &Venue, gap: &SkylineGap) -> String {
    let [a, b] = gap.things.map(|i| venue.occluders.get(i).map_or("", |o| o.name.as_str()));
    format!("{a} and {b}")
}

/// Which marks get sun through it on the date.
fn on_date(gap: &SkylineGap, date: &str) -> String {
    let mut marks: Vec<&GapFrom> = gap.from.iter().filter(|f| !f.on_date.is_empty()).collect();
    if marks.is_empty() {
        return format!("On {date} at none of the marks.");
    }
    let seconds = |f: &&GapFrom| {
        let all = f.on_date.iter().map(|(a, b)| (*b - *a).num_seconds());
        std::cmp::Reverse(all.sum::<i64>())
    };
    marks.sort_by_key(seconds);
    let told: Vec<String> = marks.iter().take(MAX_MARKS).map(|from| mark(from)).collect();
    let more = marks.len().saturating_sub(MAX_MARKS);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("On {date} at {}{more}.", told.join(", "))
}

fn mark(from: &GapFrom) -> String {
    let clock = |at: &DateTime<Tz>| at.format("%H:%M:%S").to_string();
    let times: Vec<String> =
        from.on_date.iter().map(|(a, b)| format!("{} to {}", clock(a), clock(b))).collect();
    format!("{} {}", from.mark, times.join(" and "))
}

/// Days and hours of the year, of all marks together.
fn in_year(gap: &SkylineGap) -> String {
    let spans = joined(gap.from.iter().flat_map(|f| f.in_year.iter().copied()).collect());
    let clock = |t: NaiveTime| t.format("%H:%M").to_string();
    let told = spans.iter().map(|span| {
        let day = |d: chrono::NaiveDate| d.format("%-d %B").to_string();
        let days = match span.first == span.last {
            true => format!("on {}", day(span.first)),
            false => format!("{} to {}", day(span.first), day(span.last)),
        };
        match span.earliest == span.latest {
            true => format!("{days} at about {}", clock(span.earliest)),
            false => format!("{days} between {} and {}", clock(span.earliest), clock(span.latest)),
        }
    });
    let marks = match gap.from.as_slice() {
        [one] => one.mark.clone(),
        all => format!("{} marks", all.len()),
    };
    format!("In the year ({marks}): {}.", told.collect::<Vec<_>>().join("; "))
}

/// Spans joined where their days overlap.
fn joined(mut spans: Vec<YearSpan>) -> Vec<YearSpan> {
    spans.sort_by_key(|span| span.first);
    let mut joined: Vec<YearSpan> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if span.first <= last.last => {
                last.last = last.last.max(span.last);
                last.earliest = last.earliest.min(span.earliest);
                last.latest = last.latest.max(span.latest);
            }
            _ => joined.push(span),
        }
    }
    joined
}
