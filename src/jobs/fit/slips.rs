//! Slips that people make on a recce, each undone.
//!
//! In: what was seen. Out: [`SlipTrial`]s: the same observations with one slip taken
//! back. A time is off by whole hours, by itself or with all of its day; left and
//! right, or ahead and behind, were taken for each other; a line was measured from
//! its other end; two observations have each other's place.

use chrono::{NaiveDate, TimeDelta, Utc};

use crate::solar;
use crate::venue::Venue;

use super::advise::when;
use super::result::Slip;
use super::seen::{FieldSpot, Observation, ObservationKind, Observations};

/// Whole hours that a time may be off: a digit mistyped, a clock not put forward or
/// back.
const HOURS: [i64; 4] = [1, -1, 2, -2];
/// Of more observations than this, pairs are not looked at.
const MAX_FOR_PAIRS: usize = 60;

/// Observations with one slip taken back.
pub(super) struct SlipTrial {
    pub slip: Slip,
    pub what: String,
    /// How many hours the time is off; 0 for all other slips.
    pub hours: i64,
    /// Indices of what was changed.
    pub touched: Vec<usize>,
    pub seen: Observations,
}

/// All slips that these observations could hold.
pub(super) fn candidates(venue: &Venue, seen: &Observations) -> Vec<SlipTrial> {
    let mut all = sessions(venue, seen);
    for touched in tables(seen) {
        all.extend(of_one(venue, seen, &touched));
    }
    if seen.observations.len() <= MAX_FOR_PAIRS {
        for i in 0..seen.observations.len() {
            all.extend((0..i).filter_map(|j| exchanged(seen, j, i)));
        }
    }
    all
}

/// "one hour later", "2 hours earlier".
fn hours_words(hours: i64) -> String {
    let way = if hours > 0 { "later" } else { "earlier" };
    match hours.abs() {
        1 => format!("one hour {way}"),
        n => format!("{n} hours {way}"),
    }
}

/// The observations with some of them changed; `None` where one cannot be.
fn with(
    seen: &Observations,
    touched: &[usize],
    change: impl Fn(&Observation) -> Option<ObservationKind>,
) -> Option<Observations> {
    let mut seen = seen.clone();
    for i in touched {
        let one = seen.observations.get_mut(*i)?;
        one.kind = change(one)?;
    }
    Some(seen)
}

/// Observations by table of the file: length and direction of a pole's shadow have one
/// time.
fn tables(seen: &Observations) -> Vec<Vec<usize>> {
    let mut tables: Vec<Vec<usize>> = Vec::new();
    for (i, one) in seen.observations.iter().enumerate() {
        let same = |table: &&mut Vec<usize>| seen.observations[table[0]].key == one.key;
        match tables.last_mut().filter(same) {
            Some(table) => table.push(i),
            None => tables.push(vec![i]),
        }
    }
    tables
}

fn of_one(venue: &Venue, seen: &Observations, touched: &[usize]) -> Vec<SlipTrial> {
    let Some(one) = touched.first().and_then(|i| seen.observations.get(*i)) else {
        return Vec::new();
    };
    let label = match touched.len() {
        1 => one.label.clone(),
        _ => one.label.replacen(": length", "", 1),
    };
    let mut found = Vec::new();
    let mut add = |slip, hours, what: String, changed: Option<Observations>| {
        if let Some(seen) = changed {
            found.push(SlipTrial { slip, what, hours, touched: touched.to_vec(), seen });
        }
    };
    for hours in HOURS {
        let changed = with(seen, touched, |o| later(venue, &o.kind, hours));
        let Some(at) = when(one).map(|w| w.at + TimeDelta::hours(hours)) else { continue };
        let what = format!("{label}: at {}, {}", at.format("%H:%M"), hours_words(hours));
        add(Slip::Hours, hours, what, changed);
    }
    for (slip, words) in [
        (Slip::LeftRight, "with left and right exchanged"),
        (Slip::AheadBehind, "with ahead and behind exchanged"),
        (Slip::OtherEnd, "from the other end"),
    ] {
        let changed = with(seen, touched, |o| mirrored(&o.kind, slip));
        add(slip, 0, format!("{label}: {words}"), changed);
    }
    found
}

/// All of a day together.
fn sessions(venue: &Venue, seen: &Observations) -> Vec<SlipTrial> {
    let day_of = |o: &Observation| when(o).map(|w| w.at.date_naive());
    let mut days: Vec<NaiveDate> = seen.observations.iter().filter_map(day_of).collect();
    days.sort_unstable();
    days.dedup();
    let mut found = Vec::new();
    let of = |is: &dyn Fn(NaiveDate) -> bool| {
        let all = seen.observations.iter().enumerate();
        all.filter(|(_, o)| day_of(o).is_some_and(is)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    let mut sessions: Vec<(String, Vec<usize>)> =
        days.iter().map(|day| (day.format("%-d %B %Y").to_string(), of(&|d| d == *day))).collect();
    if sessions.len() > 1 {
        sessions.push(("all days".to_owned(), of(&|_| true)));
    }
    for (of_what, touched) in sessions.into_iter().filter(|(_, touched)| touched.len() > 1) {
        for hours in HOURS {
            let changed = with(seen, &touched, |o| later(venue, &o.kind, hours));
            let Some(seen) = changed else { continue };
            let what = format!(
                "every time of {of_what} {}: the watch was not set to summer time, or is set to \
                 another zone",
                hours_words(hours)
            );
            let touched = touched.clone();
            found.push(SlipTrial { slip: Slip::SessionHours, what, hours, touched, seen });
        }
    }
    found
}

/// Two observations of one kind with each other's place.
fn exchanged(seen: &Observations, i: usize, j: usize) -> Option<SlipTrial> {
    let (a, b) = (&seen.observations[i], &seen.observations[j]);
    let (mut first, mut second) = (a.kind.clone(), b.kind.clone());
    match (&mut first, &mut second) {
        (ObservationKind::Passage { at: p, .. }, ObservationKind::Passage { at: q, .. })
            if p != q =>
        {
            std::mem::swap(p, q);
        }
        (
            ObservationKind::Edge { from: f, toward: t, met_at_m: m, .. },
            ObservationKind::Edge { from: g, toward: u, met_at_m: n, .. },
        ) if (*f, *t) != (*g, *u) || m != n => {
            std::mem::swap(f, g);
            std::mem::swap(t, u);
            std::mem::swap(m, n);
        }
        (ObservationKind::Sight { from: p, .. }, ObservationKind::Sight { from: q, .. })
            if p != q =>
        {
            std::mem::swap(p, q);
        }
        _ => return None,
    }
    let what = format!("{} and {}: with each other's place", a.label, b.label);
    let mut seen = seen.clone();
    seen.observations[i].kind = first;
    seen.observations[j].kind = second;
    Some(SlipTrial { slip: Slip::Exchanged, what, hours: 0, touched: vec![i, j], seen })
}

/// Some hours later, where the sun is up then.
fn later(venue: &Venue, kind: &ObservationKind, hours: i64) -> Option<ObservationKind> {
    let mut kind = kind.clone();
    match &mut kind {
        ObservationKind::Edge { when, .. }
        | ObservationKind::Passage { when, .. }
        | ObservationKind::PoleLength { when, .. }
        | ObservationKind::PoleWay { when, .. } => {
            when.at = when.at.checked_add_signed(TimeDelta::hours(hours))?;
            let sun = solar::position(&venue.place, when.at.with_timezone(&Utc));
            (sun.apparent_elevation.degrees() > 0.0).then_some(kind)
        }
        _ => None,
    }
}

/// The place on the other side, or the line from its other end.
fn mirrored(kind: &ObservationKind, slip: Slip) -> Option<ObservationKind> {
    let other = |[along, across]: FieldSpot| match slip {
        Slip::LeftRight => [along, -across],
        _ => [-along, across],
    };
    let mut mirrored = kind.clone();
    let changed = match &mut mirrored {
        ObservationKind::Edge { from, toward, .. } => ends(from, toward, slip, other),
        ObservationKind::Bearing { from, to, .. } => ends(from, to, slip, other),
        ObservationKind::Passage { at: place, .. } | ObservationKind::Sight { from: place, .. } => {
            let before = *place;
            *place = other(before);
            slip != Slip::OtherEnd && *place != before
        }
        _ => false,
    };
    changed.then_some(mirrored)
}

/// Changes both ends of a line; `false` where that changes nothing, or is what
/// another slip does.
fn ends(
    from: &mut FieldSpot,
    to: &mut FieldSpot,
    slip: Slip,
    other: impl Fn(FieldSpot) -> FieldSpot,
) -> bool {
    let before = (*from, *to);
    let turned = (before.1, before.0);
    let after = match slip {
        Slip::OtherEnd => turned,
        _ => (other(before.0), other(before.1)),
    };
    (*from, *to) = after;
    after != before && (slip == Slip::OtherEnd || after != turned)
}
