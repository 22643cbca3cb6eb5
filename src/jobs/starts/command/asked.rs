//! What is to be ranked: venues with fixtures, and the rules of a season.
//!
//! In: options, or a list of fixtures with the files it names. Out: venues, fixtures and
//! what these share, or what is wrong with any of them.

use std::path::{Path, PathBuf};

use chrono::{Days, NaiveDate};

use crate::command::failure::{Failure, WindowError};
use crate::jobs;
use crate::jobs::check::options::{FieldOption, StateOption};
use crate::jobs::starts::season::{KnownNames, Rules, Ties, read_rules};
use crate::jobs::starts::{Fixture, Freedom, ListedFixture, read_list};
use crate::venue::Venue;

use super::StartsOptions;

/// More dates than this are refused.
const MAX_DATES: usize = 1_000;
/// Fixtures that are placed together.
const MAX_PLACED: usize = 2_000;
/// Rows of a list that a message names.
const MAX_LINES: usize = 6;

/// Paths of venues, these, their fixtures, and what those share.
pub(super) type AskedFixtures = (Vec<PathBuf>, Vec<Venue>, Vec<Fixture>, Vec<Ties>);

pub(super) fn rules(
    path: &Path,
    venues: &[Venue],
    fixtures: &[Fixture],
    ties: &[Ties],
) -> Result<Rules, Failure> {
    if fixtures.len() > MAX_PLACED {
        let found = fixtures.len();
        return Err(Failure::Input(
            format!(
                "{found} fixtures; at most {MAX_PLACED} are placed together under --rules\n  \
                     make a list for each part of the season that rules do not tie together"
            )
            .into(),
        ));
    }
    let venues: Vec<&str> = venues.iter().map(|venue| venue.title.as_str()).collect();
    let names: Vec<&str> =
        fixtures.iter().map(|f| f.name.as_str()).filter(|n| !n.is_empty()).collect();
    let teams: Vec<&str> = ties.iter().flat_map(|t| &t.teams).map(String::as_str).collect();
    let known = KnownNames { venues: &venues, fixtures: &names, teams: &teams };
    read_rules(path, &known).map_err(Failure::venue)
}

/// The same range of starts on every date at every venue.
pub(super) fn asked(options: &StartsOptions) -> Result<AskedFixtures, Failure> {
    if options.to_time < options.from_time {
        return Err(
            WindowError::StartsReversed { from: options.from_time, to: options.to_time }.into()
        );
    }
    let venues = read_all(&options.venues, (&options.field, &options.held), |_| None)?;
    let mut fixtures = Vec::new();
    for (index, venue) in venues.iter().enumerate() {
        let own = venue.fixture;
        let first = options.date.or(own.map(|f| f.date));
        let first = first.ok_or(Failure::NoFixture { what: "date" })?;
        let planned = options.planned.or(own.map(|f| f.start));
        fixtures.extend(dates(options, first)?.into_iter().map(|date| Fixture {
            name: String::new(),
            venue: index,
            date,
            earliest: options.from_time,
            latest: options.to_time,
            start: Freedom::Free,
            planned: planned.unwrap_or(options.from_time),
            duration_min: options.duration_min,
        }));
    }
    let ties = vec![Ties::default(); fixtures.len()];
    Ok((options.venues.clone(), venues, fixtures, ties))
}

fn dates(options: &StartsOptions, first: NaiveDate) -> Result<Vec<NaiveDate>, Failure> {
    let mut dates = vec![first];
    if let Some(last) = options.last_date {
        let next = |day: &NaiveDate| day.checked_add_days(Days::new(options.every_days.into()));
        dates = std::iter::successors(Some(first), next)
            .take_while(|day| *day <= last)
            .take(MAX_DATES + 1)
            .collect();
    }
    dates.extend(&options.also_on);
    dates.sort_unstable();
    dates.dedup();
    if dates.len() > MAX_DATES {
        return Err(WindowError::TooManyMatches { most: MAX_DATES }.into());
    }
    Ok(dates)
}

/// The fixtures of a list; each venue file is read once.
pub(super) fn listed(
    list: &Path,
    ground: (&FieldOption, &StateOption),
) -> Result<AskedFixtures, Failure> {
    let rows = read_list(list).map_err(Failure::input)?;
    let mut paths: Vec<PathBuf> = Vec::new();
    let mut places = Vec::with_capacity(rows.len());
    for row in &rows {
        // two ways to write one file are one venue
        let path = row.venue.canonicalize().unwrap_or_else(|_| row.venue.clone());
        let known = paths.iter().position(|p| *p == path);
        places.push(known.unwrap_or(paths.len()));
        if known.is_none() {
            paths.push(path);
        }
    }
    let venues = read_all(&paths, ground, |index| Some(origin(list, &rows, &places, index)))?;
    let tied = |row: &ListedFixture| Ties {
        line: row.line,
        teams: row.teams.clone(),
        crew: row.crew.clone(),
        truck: row.truck.clone(),
    };
    let ties = rows.iter().map(tied).collect();
    let fixture = |(row, venue): (ListedFixture, usize)| Fixture {
        venue,
        planned: row.planned.unwrap_or(row.earliest),
        name: row.name,
        date: row.date,
        earliest: row.earliest,
        latest: row.latest,
        start: row.start,
        duration_min: row.duration_min,
    };
    Ok((paths, venues, rows.into_iter().zip(places).map(fixture).collect(), ties))
}

/// Which rows of a list name a venue file.
fn origin(list: &Path, rows: &[ListedFixture], places: &[usize], venue: usize) -> String {
    let naming = rows.iter().zip(places).filter(|(_, place)| **place == venue);
    let lines: Vec<String> = naming.map(|(row, _)| row.line.to_string()).collect();
    let shown = lines.iter().take(MAX_LINES).map(String::as_str).collect::<Vec<_>>().join(", ");
    let more = match lines.len().saturating_sub(MAX_LINES) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let word = if lines.len() == 1 { "line" } else { "lines" };
    format!("`{}`, {word} {shown}{more}, column venue", list.display())
}

/// All venues, or what is wrong with any of them, together; `origin` says which rows of a
/// list name one.
fn read_all(
    paths: &[PathBuf],
    (field, held): (&FieldOption, &StateOption),
    origin: impl Fn(usize) -> Option<String>,
) -> Result<Vec<Venue>, Failure> {
    let (mut venues, mut wrong) = (Vec::new(), Vec::new());
    for (index, path) in paths.iter().enumerate() {
        match jobs::check::command::read_venue(path, field) {
            Ok(venue) => venues.push(venue),
            Err(failure) => wrong.push(match origin(index) {
                Some(origin) => format!("{origin}: {failure}"),
                None => failure.to_string(),
            }),
        }
    }
    if !wrong.is_empty() {
        return Err(Failure::Venue(wrong.join("\n\n").into()));
    }
    held.known_among(venues.iter())?;
    venues.into_iter().map(|venue| held.hold_its_own(venue)).collect()
}
