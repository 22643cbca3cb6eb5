//! `starts.csv` and `season.csv` (RFC 4180: UTF-8, comma, CRLF, one header row).
//!
//! In: [`Report`]. Out: one row a start, and one row a fixture.

use crate::jobs::starts::{Costed, Freedom, Part};
use crate::output::csv::{CsvError, table};
use crate::output::words::{fixed, local_time};

use super::{Entry, Report};

/// Name, unit and meaning of each column of `starts.csv`.
pub const START_COLUMNS: [(&str, &str, &str); 27] = [
    ("fixture", "text", "name in the list, empty where it has none"),
    ("date", "date", "day of the fixture"),
    ("venue", "text", "title of the venue file"),
    ("start", "RFC 3339", "start of play, with the venue's offset"),
    ("end", "RFC 3339", "end of play"),
    ("moves", "word", "free or fixed"),
    ("planned", "yes or no", "the start that shifts are counted from"),
    ("rank", "number", "among the starts to choose from, 1 has the least cost; empty for others"),
    ("cost", "number", "to be expected with the odds of sun, else for a clear sky"),
    ("cost_10", "number", "10th percentile over days; empty without odds"),
    ("cost_90", "number", "90th percentile over days; empty without odds"),
    ("saves", "number", "cost of the planned start less this one"),
    ("sun_share", "0 to 1", "of play with direct sun to be expected; empty without odds"),
    ("mixed_min", "min", "of play with sun and shade on the field, to be expected"),
    ("worst_split_stops", "stop", "widest split in shot, to be expected; 0 without one"),
    ("worst_split_10", "stop", "10th percentile over days; empty without odds"),
    ("worst_split_90", "stop", "90th percentile over days; empty without odds"),
    ("main_lens_min", "min", "of play with the sun in the main camera's lens, to be expected"),
    (
        "choose_min",
        "min",
        "of play in which a camera has to expose for sun or for shade, to be expected",
    ),
    ("dusk_min", "min", "of play at low sun or twilight under floodlights, to be expected"),
    ("clear_cost", "number", "under a clear sky"),
    ("clear_worst_stops", "stop", "widest split in shot under a clear sky; empty without one"),
    ("clear_worst_at", "RFC 3339", "when that is"),
    ("clear_worst_camera", "text", "which camera sees it"),
    ("clear_worst_stops_low", "stop", "10th percentile of clear_worst_stops for the unknown air"),
    ("clear_worst_stops_high", "stop", "90th percentile of clear_worst_stops"),
    ("odds_from", "word", "weather_file or forecast: what odds are from; empty without"),
];

/// Name, unit and meaning of each column of `season.csv`.
pub const FIXTURE_COLUMNS: [(&str, &str, &str); 21] = [
    ("fixture", "text", "name in the list, empty where it has none"),
    ("date", "date", "day of the fixture"),
    ("venue", "text", "title of the venue file"),
    ("moves", "word", "free or fixed"),
    ("planned_start", "RFC 3339", "the start that shifts are counted from"),
    ("planned_cost", "number", "of it"),
    ("best_start", "RFC 3339", "the start with the least cost"),
    ("best_cost", "number", "of it"),
    ("saves", "number", "what the best start saves"),
    ("worst_start", "RFC 3339", "the start with the most cost"),
    ("worst_cost", "number", "of it"),
    ("planned_worst_moment", "RFC 3339", "widest split of the planned start, clear sky"),
    ("planned_worst_stops", "stop", "that split; empty without one in shot"),
    ("equally_good", "HH:MM", "starts as good as the best, FROM-UNTIL with semicolons between"),
    ("planned_may_be", "yes or no", "whether the planned start is one of those to choose from"),
    ("weather_km", "km", "from the weather's place to the venue; empty without odds"),
    (
        "planned_worst_stops_low",
        "stop",
        "10th percentile of planned_worst_stops for the unknown air",
    ),
    ("planned_worst_stops_high", "stop", "90th percentile of planned_worst_stops"),
    ("season_start", "RFC 3339", "its start in the season under rules; empty without rules"),
    ("season_cost", "number", "of it"),
    ("season_why", "text", "why it lies there"),
];

/// `starts.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn starts(told: &Report<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = told.entries().flat_map(|entry| {
        let order = entry.ranked.order(entry.fixture, entry.venue.place.zone);
        let starts = entry.ranked.starts.iter().enumerate();
        let rows = starts.map(|(index, start)| {
            let rank = order.iter().position(|i| *i == index).map(|place| place + 1);
            row(&entry, start, rank)
        });
        rows.collect::<Vec<_>>()
    });
    table(START_COLUMNS.map(|c| c.0), rows)
}

fn moves(entry: &Entry<'_>) -> String {
    match entry.fixture.start {
        Freedom::Fixed => "fixed".to_owned(),
        Freedom::Free => "free".to_owned(),
    }
}

fn row(entry: &Entry<'_>, start: &Costed, rank: Option<usize>) -> Vec<String> {
    let maybe =
        |value: Option<f64>, decimals| value.map_or_else(String::new, |v| fixed(v, decimals));
    let part = |part| fixed(start.part(part), 2);
    let odds = start.odds;
    let planned = if start.at == entry.planned.at { "yes" } else { "no" };
    vec![
        entry.fixture.name.clone(),
        entry.fixture.date.to_string(),
        entry.venue.title.clone(),
        local_time(entry.local(start.at)),
        local_time(entry.local(start.ends)),
        moves(entry),
        planned.to_owned(),
        rank.map_or_else(String::new, |rank| rank.to_string()),
        fixed(start.cost(), 3),
        maybe(odds.map(|o| o.cost.p10), 3),
        maybe(odds.map(|o| o.cost.p90), 3),
        fixed(entry.planned.cost() - start.cost(), 3),
        maybe(odds.map(|o| o.sun), 4),
        part(Part::Mixed),
        part(Part::WorstSplit),
        maybe(odds.map(|o| o.split.p10), 2),
        maybe(odds.map(|o| o.split.p90), 2),
        part(Part::MainLens),
        part(Part::Choose),
        part(Part::Dusk),
        fixed(start.clear_cost, 3),
        maybe(start.worst.map(|w| w.stops), 2),
        start.worst.map_or_else(String::new, |w| local_time(entry.local(w.at))),
        start.worst.map_or_else(String::new, |w| entry.camera(w.camera).to_owned()),
        maybe(start.worst.and_then(|w| w.range).map(|r| r.0), 2),
        maybe(start.worst.and_then(|w| w.range).map(|r| r.1), 2),
        odds.map_or_else(String::new, |o| o.from.word().to_owned()),
    ]
}

/// `season.csv`.
///
/// # Errors
/// As [`starts`].
pub fn season(told: &Report<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = told.entries().map(|entry| {
        let zone = entry.venue.place.zone;
        let worst = entry.ranked.worst(entry.fixture, zone).unwrap_or(entry.planned);
        let run = |(from, until)| format!("{}-{}", entry.clock(from), entry.clock(until));
        let runs = entry.ranked.equally_good(entry.fixture, zone);
        let equal: Vec<String> = runs.into_iter().map(run).collect();
        let km = told.km(&entry);
        let at = |start: &Costed| local_time(entry.local(start.at));
        let moment = entry.planned.worst;
        let range = moment.and_then(|w| w.range);
        let rules = told.under_rules;
        let why = rules.and_then(|rules| rules.why(entry.ranked.fixture));
        vec![
            entry.fixture.name.clone(),
            entry.fixture.date.to_string(),
            entry.venue.title.clone(),
            moves(&entry),
            at(entry.planned),
            fixed(entry.planned.cost(), 3),
            at(entry.best),
            fixed(entry.best.cost(), 3),
            fixed(entry.planned.cost() - entry.best.cost(), 3),
            at(worst),
            fixed(worst.cost(), 3),
            moment.map_or_else(String::new, |w| local_time(entry.local(w.at))),
            moment.map_or_else(String::new, |w| fixed(w.stops, 2)),
            equal.join(";"),
            if entry.planned_may_be() { "yes" } else { "no" }.to_owned(),
            km.map_or_else(String::new, |km| fixed(km, 1)),
            range.map_or_else(String::new, |r| fixed(r.0, 2)),
            range.map_or_else(String::new, |r| fixed(r.1, 2)),
            rules.map_or_else(String::new, |_| at(entry.proposed)),
            rules.map_or_else(String::new, |_| fixed(entry.proposed.cost(), 3)),
            why.unwrap_or_default(),
        ]
    });
    table(FIXTURE_COLUMNS.map(|c| c.0), rows)
}
