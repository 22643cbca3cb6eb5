//! `starts.csv` and `season.csv` (RFC 4180: UTF-8, comma, CRLF, one header row).
//!
//! In: [`StartsReport`]. Out: one row a start, and one row a fixture.

use crate::jobs::starts::{CostPart, Costed, Freedom, WorstMoment};
use crate::output::csv::CsvError;
use crate::output::table;
use crate::output::table::{Column, ColumnDoc, docs, number, text, yes_or_no};
use crate::output::words::local_time;

use super::{Entry, StartsReport};

/// A start among those of its fixture.
struct Start<'a> {
    entry: Entry<'a>,
    start: &'a Costed,
    /// 1 has the least cost; `None` where it is no choice.
    rank: Option<usize>,
}

/// A fixture.
struct Row<'a> {
    report: &'a StartsReport<'a>,
    entry: Entry<'a>,
}

impl<'a> Start<'a> {
    fn worst(&self) -> Option<WorstMoment> {
        self.start.worst
    }
}

impl<'a> Row<'a> {
    fn worst(&self) -> &'a Costed {
        let zone = self.entry.venue.place.zone;
        self.entry.ranked.worst(self.entry.fixture, zone).unwrap_or(self.entry.planned)
    }

    /// Whether the season is placed under rules.
    fn placed(&self) -> Option<&'a Costed> {
        self.report.under_rules.map(|_| self.entry.proposed)
    }

    fn at(&self, start: &Costed) -> String {
        local_time(self.entry.local(start.at))
    }
}

/// Whose fixture it is, for both tables.
fn fixture<'a, T: 'a>(entry: impl Fn(&T) -> &Entry<'a> + Copy + 'a) -> [Column<'a, T>; 3] {
    [
        text("fixture", "text", "name in the list, empty where it has none", move |r: &T| {
            entry(r).fixture.name.clone()
        }),
        text("date", "date", "day of the fixture", move |r: &T| entry(r).fixture.date.to_string()),
        text("venue", "text", "title of the venue file", move |r: &T| entry(r).venue.title.clone()),
    ]
}

fn moves<'a, T: 'a>(entry: impl Fn(&T) -> &Entry<'a> + 'a) -> Column<'a, T> {
    text("moves", "word", "free or fixed", move |r: &T| match entry(r).fixture.start {
        Freedom::Fixed => "fixed".to_owned(),
        Freedom::Free => "free".to_owned(),
    })
}

fn of_start<'a>() -> Vec<Column<'a, Start<'a>>> {
    let num = |name: &str, form, meaning: &str, of: fn(&Start<'_>) -> Option<f64>| {
        number(name, form, meaning, move |r: &Start<'a>| of(r))
    };
    let txt = |name: &str, unit, meaning: &str, of: fn(&Start<'_>) -> String| {
        text(name, unit, meaning, move |r: &Start<'a>| of(r))
    };
    let part = |name: &str, unit, meaning: &str, part: CostPart| {
        let meaning = format!("{meaning}, to be expected");
        number(name, (unit, 2), meaning, move |r: &Start<'a>| Some(r.start.part(part)))
    };
    let mut list: Vec<Column<'a, Start<'a>>> = fixture(|r: &Start<'a>| &r.entry).into();
    list.extend([
        txt("start", "RFC 3339", "start of play, with the venue's offset", |r| {
            local_time(r.entry.local(r.start.at))
        }),
        txt("end", "RFC 3339", "end of play", |r| local_time(r.entry.local(r.start.ends))),
        moves(|r: &Start<'a>| &r.entry),
        yes_or_no("planned", "the start that shifts are counted from", |r: &Start<'a>| {
            r.start.at == r.entry.planned.at
        }),
        num(
            "rank",
            ("number", 0),
            "among the starts to choose from, 1 has the least cost; empty for others",
            |r| r.rank.map(|rank| rank as f64),
        ),
        num(
            "cost",
            ("number", 3),
            "to be expected with the odds of sun, else for a clear sky",
            |r| Some(r.start.cost()),
        ),
        num("cost_10", ("number", 3), "10th percentile over days; empty without odds", |r| {
            r.start.odds.map(|o| o.cost.p10)
        }),
        num("cost_90", ("number", 3), "90th percentile over days; empty without odds", |r| {
            r.start.odds.map(|o| o.cost.p90)
        }),
        num("saves", ("number", 3), "cost of the planned start less this one", |r| {
            Some(r.entry.planned.cost() - r.start.cost())
        }),
        num(
            "sun_share",
            ("0 to 1", 4),
            "of play with direct sun to be expected; empty without odds",
            |r| r.start.odds.map(|o| o.sun),
        ),
        part("mixed_min", "min", "of play with sun and shade on the field", CostPart::Mixed),
        number(
            "worst_split_stops",
            ("stop", 2),
            "widest split in shot, to be expected; 0 without one",
            |r: &Start<'a>| Some(r.start.part(CostPart::WorstSplit)),
        ),
        num("worst_split_10", ("stop", 2), "10th percentile over days; empty without odds", |r| {
            r.start.odds.map(|o| o.split.p10)
        }),
        num("worst_split_90", ("stop", 2), "90th percentile over days; empty without odds", |r| {
            r.start.odds.map(|o| o.split.p90)
        }),
        part(
            "main_lens_min",
            "min",
            "of play with the sun in the main camera's lens",
            CostPart::MainLens,
        ),
        part(
            "choose_min",
            "min",
            "of play in which a camera has to expose for sun or for shade",
            CostPart::Choose,
        ),
        part("dusk_min", "min", "of play at low sun or twilight under floodlights", CostPart::Dusk),
        part("dark_min", "min", "of play with the sun down and no floodlights lit", CostPart::Dark),
        num("clear_cost", ("number", 3), "under a clear sky", |r| Some(r.start.clear_cost)),
        num(
            "clear_worst_stops",
            ("stop", 2),
            "widest split in shot under a clear sky; empty without one",
            |r| r.worst().map(|w| w.stops),
        ),
        txt("clear_worst_at", "RFC 3339", "when that is", |r| {
            r.worst().map_or_else(String::new, |w| local_time(r.entry.local(w.at)))
        }),
        txt("clear_worst_camera", "text", "which camera sees it", |r| {
            r.worst().map_or_else(String::new, |w| r.entry.camera(w.camera).to_owned())
        }),
        num(
            "clear_worst_stops_low",
            ("stop", 2),
            "10th percentile of clear_worst_stops for the unknown air",
            |r| r.worst()?.range.map(|range| range.0),
        ),
        num("clear_worst_stops_high", ("stop", 2), "90th percentile of clear_worst_stops", |r| {
            r.worst()?.range.map(|range| range.1)
        }),
        txt(
            "odds_from",
            "word",
            "weather_file or forecast: what odds are from; empty without",
            |r| r.start.odds.map_or_else(String::new, |o| o.from.word().to_owned()),
        ),
    ]);
    list
}

fn of_fixture<'a>() -> Vec<Column<'a, Row<'a>>> {
    let num = |name: &str, form, meaning: &str, of: fn(&Row<'_>) -> Option<f64>| {
        number(name, form, meaning, move |r: &Row<'a>| of(r))
    };
    let txt = |name: &str, unit, meaning: &str, of: fn(&Row<'_>) -> String| {
        text(name, unit, meaning, move |r: &Row<'a>| of(r))
    };
    let mut list: Vec<Column<'a, Row<'a>>> = fixture(|r: &Row<'a>| &r.entry).into();
    list.extend([
        moves(|r: &Row<'a>| &r.entry),
        txt("planned_start", "RFC 3339", "the start that shifts are counted from", |r| {
            r.at(r.entry.planned)
        }),
        num("planned_cost", ("number", 3), "of it", |r| Some(r.entry.planned.cost())),
        txt("best_start", "RFC 3339", "the start with the least cost", |r| r.at(r.entry.best)),
        num("best_cost", ("number", 3), "of it", |r| Some(r.entry.best.cost())),
        num("saves", ("number", 3), "what the best start saves", |r| {
            Some(r.entry.planned.cost() - r.entry.best.cost())
        }),
        txt("worst_start", "RFC 3339", "the start with the most cost", |r| r.at(r.worst())),
        num("worst_cost", ("number", 3), "of it", |r| Some(r.worst().cost())),
        txt(
            "planned_worst_moment",
            "RFC 3339",
            "widest split of the planned start, clear sky",
            |r| {
                let moment = r.entry.planned.worst;
                moment.map_or_else(String::new, |w| local_time(r.entry.local(w.at)))
            },
        ),
        num("planned_worst_stops", ("stop", 2), "that split; empty without one in shot", |r| {
            r.entry.planned.worst.map(|w| w.stops)
        }),
        txt(
            "equally_good",
            "HH:MM",
            "starts as good as the best, FROM-UNTIL with semicolons between",
            |r| {
                let clock = |at| r.entry.clock(at);
                let runs = r.entry.ranked.equally_good(r.entry.fixture, r.entry.venue.place.zone);
                let run = |(from, until)| format!("{}-{}", clock(from), clock(until));
                runs.into_iter().map(run).collect::<Vec<_>>().join(";")
            },
        ),
        yes_or_no(
            "planned_may_be",
            "whether the planned start is one of those to choose from",
            |r: &Row<'a>| r.entry.planned_may_be(),
        ),
        num(
            "weather_km",
            ("km", 1),
            "from the weather's place to the venue; empty without odds",
            |r| r.report.km(&r.entry),
        ),
        num(
            "planned_worst_stops_low",
            ("stop", 2),
            "10th percentile of planned_worst_stops for the unknown air",
            |r| r.entry.planned.worst?.range.map(|range| range.0),
        ),
        num(
            "planned_worst_stops_high",
            ("stop", 2),
            "90th percentile of planned_worst_stops",
            |r| r.entry.planned.worst?.range.map(|range| range.1),
        ),
        txt(
            "season_start",
            "RFC 3339",
            "its start in the season under rules; empty without rules",
            |r| r.placed().map_or_else(String::new, |start| r.at(start)),
        ),
        num("season_cost", ("number", 3), "of it", |r| r.placed().map(Costed::cost)),
        txt("season_why", "text", "why it lies there", |r| {
            r.report
                .under_rules
                .and_then(|rules| rules.why(r.entry.ranked.fixture))
                .unwrap_or_default()
        }),
    ]);
    list
}

/// Columns of `starts.csv`.
pub fn start_columns() -> Vec<ColumnDoc> {
    docs(&of_start())
}

/// Columns of `season.csv`.
pub fn fixture_columns() -> Vec<ColumnDoc> {
    docs(&of_fixture())
}

/// `starts.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn starts(report: &StartsReport<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = report.entries().flat_map(|entry| {
        let order = entry.ranked.order(entry.fixture, entry.venue.place.zone);
        let starts = entry.ranked.starts.iter().enumerate();
        let row = move |(index, start)| {
            let rank = order.iter().position(|i| *i == index).map(|place| place + 1);
            Start { entry, start, rank }
        };
        starts.map(row)
    });
    table::csv(&of_start(), rows)
}

/// `season.csv`.
///
/// # Errors
/// As [`starts`].
pub fn season(report: &StartsReport<'_>) -> Result<Vec<u8>, CsvError> {
    table::csv(&of_fixture(), report.entries().map(|entry| Row { report, entry }))
}
