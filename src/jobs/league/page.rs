//! Grounds side by side on one page, and in a terminal.
//!
//! In: what is asked, grounds, a [`Tally`]. Out: one HTML file for screen and paper (A4),
//! without any reference outside of itself; names are escaped by the template. Every cell of
//! a picture has its number as well, so nothing hangs on a colour.

use std::fmt::Write;

use serde::Serialize;

use crate::jobs::odds::report::source_words;
use crate::jobs::starts::advice::{FAIR_MIN, HARD_MIN};
use crate::jobs::starts::{Profile, main_camera};
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};
use crate::output::text::{Ink, fit, titled, wrapped};
use crate::weather::DAYS_AROUND;

use super::figure::{MapCell, MapFigure, colours};
use super::ground;
use super::part::LeagueRequest;
use super::tally::{Tally, clock};

const PAGE: &str = include_str!("paper/league.html");
const STYLE: &str = include_str!("paper/style.css");
const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// Grounds that the terminal lists.
const MAX_SHOWN: usize = 40;

/// Why the page could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the page of the league could not be set: {0}")]
pub struct LeaguePageError(#[from] minijinja::Error);

/// What is reported.
pub(super) struct Told<'a> {
    pub ask: &'a LeagueRequest,
    pub grounds: &'a [PageGround],
    pub tally: &'a Tally,
}

/// What the page says of a venue.
pub(super) struct PageGround {
    pub title: String,
    main_camera: Option<String>,
    /// Where its weather is from; `None` without.
    weather: Option<String>,
    /// What is doubtful about it, as the terminal shows it.
    warnings: Vec<String>,
}

impl PageGround {
    pub fn of(ground: &ground::LeagueGround, profile: &Profile) -> Self {
        let venue = &ground.venue;
        let source = ground.odds.as_ref().map(|odds| source_words(odds, &venue.place));
        Self {
            title: venue.title.clone(),
            main_camera: main_camera(venue, profile).map(str::to_owned),
            weather: source.map(|words| format!("W{}.", words.trim_start_matches('w'))),
            warnings: ground.warnings(),
        }
    }
}

#[derive(Serialize)]
struct Page {
    title: &'static str,
    under: String,
    /// How many grounds have doubtful weather.
    doubtful: Option<String>,
    starts: Vec<String>,
    maps: Vec<Map>,
    order: &'static str,
    grounds: Vec<Article>,
    meaning: String,
    cautions: Vec<&'static str>,
}

/// A figure of all grounds, or of a ground by months.
#[derive(Serialize)]
struct Map {
    caption: &'static str,
    legend: Vec<MapCell>,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    /// Of the article that it leads to.
    id: String,
    name: String,
    cells: Vec<MapCell>,
}

#[derive(Serialize)]
struct Article {
    id: String,
    title: String,
    advice: Vec<String>,
    camera: String,
    weather: Option<String>,
    warnings: Vec<String>,
    maps: Vec<Map>,
}

/// The page.
///
/// # Errors
/// [`LeaguePageError`] where the template fails, which nothing should cause.
pub(super) fn html(told: &Told<'_>) -> Result<String, LeaguePageError> {
    let starts = told.tally.starts();
    let order = told.order();
    let page = Page {
        title: match told.with_weather() {
            0 => "How often which start is in hard light",
            _ => "How often which start is in good and in hard light",
        },
        under: told.under(),
        doubtful: told.doubtful(),
        starts: starts.iter().map(|start| clock(*start)).collect(),
        maps: told.figures().iter().map(|figure| told.side_by_side(*figure, &order)).collect(),
        order: match told.ranked_by() {
            MapFigure::GoodDays => "Grounds with the fewest good days come first",
            MapFigure::Hard => "Grounds that are in hard light most often come first",
        },
        grounds: order.iter().filter_map(|i| told.article(*i)).collect(),
        meaning: told.meaning(),
        cautions: CAUTIONS.to_vec(),
    };
    let mut environment = paper::pages();
    // the name ends in .html: everything that is put in is escaped
    environment.add_template("league.html", PAGE)?;
    let style = minijinja::Value::from_safe_string(STYLE.to_owned() + &colours() + &foot_style());
    let page = minijinja::context! { page => minijinja::value::Serde(page), style => style };
    Ok(environment.get_template("league.html")?.render(page)?)
}

impl Told<'_> {
    /// Grounds that have weather.
    fn with_weather(&self) -> usize {
        self.grounds.iter().filter(|ground| ground.weather.is_some()).count()
    }

    fn doubtful(&self) -> Option<String> {
        let doubtful = self.grounds.iter().filter(|ground| !ground.warnings.is_empty());
        match doubtful.count() {
            0 => None,
            1 => Some("the weather of 1 ground is doubtful; it is said there why".to_owned()),
            n => Some(format!("the weather of {n} grounds is doubtful; it is said there why")),
        }
    }

    /// Figures of the page, the one that matters most first.
    fn figures(&self) -> Vec<MapFigure> {
        match self.with_weather() {
            0 => vec![MapFigure::Hard],
            _ => vec![MapFigure::GoodDays, MapFigure::Hard],
        }
    }

    /// What grounds are put in order by: one that all of them have.
    fn ranked_by(&self) -> MapFigure {
        match self.with_weather() == self.grounds.len() {
            true => MapFigure::GoodDays,
            false => MapFigure::Hard,
        }
    }

    /// Indices of grounds, the one in trouble most often over all starts first.
    fn order(&self) -> Vec<usize> {
        let (starts, figure) = (self.tally.starts(), self.ranked_by());
        let bad = |i: usize| -> f64 {
            let years = starts.iter().map(|start| self.tally.year(i, *start));
            years.filter_map(|count| figure.badness(&count)).sum()
        };
        let mut order: Vec<usize> = (0..self.grounds.len()).collect();
        order.sort_by(|a, b| bad(*b).total_cmp(&bad(*a)));
        order
    }

    fn side_by_side(&self, figure: MapFigure, order: &[usize]) -> Map {
        let starts = self.tally.starts();
        let row = |index: &usize| {
            let title = &self.grounds.get(*index)?.title;
            let cells = starts.iter().map(|start| {
                let what = format!("{title}, {}", clock(*start));
                figure.cell(Some(&self.tally.year(*index, *start)), &what)
            });
            Some(Row { id: id(*index), name: title.clone(), cells: cells.collect() })
        };
        Map {
            caption: figure.caption(),
            legend: figure.legend(),
            rows: order.iter().filter_map(row).collect(),
        }
    }

    /// A ground by months.
    fn year(&self, figure: MapFigure, index: usize) -> Map {
        let starts = self.tally.starts();
        let month = |(i, name): (usize, &&'static str)| {
            let of = |start: &i32| self.tally.of(index, i as u32 + 1, *start);
            let words = |start: &i32| format!("{name}, {}", clock(*start));
            let any = starts.iter().any(|start| of(start).is_some());
            let cells = starts.iter().map(|start| figure.cell(of(start), &words(start))).collect();
            any.then(|| Row { id: String::new(), name: (*name).to_owned(), cells })
        };
        Map {
            caption: figure.caption(),
            legend: figure.legend(),
            rows: MONTHS.iter().enumerate().filter_map(month).collect(),
        }
    }

    fn article(&self, index: usize) -> Option<Article> {
        let ground = self.grounds.get(index)?;
        let figures = self.figures();
        let own = figures.iter().filter(|f| **f == MapFigure::Hard || ground.weather.is_some());
        Some(Article {
            id: id(index),
            title: ground.title.clone(),
            advice: own.clone().filter_map(|figure| self.advice(*figure, index)).collect(),
            camera: match &ground.main_camera {
                Some(name) => format!("Main camera: {name}."),
                None => "No camera is stated, so no light can be hard.".to_owned(),
            },
            weather: match (&ground.weather, self.with_weather()) {
                (None, 0) => None,
                (None, _) => Some("No weather was given for it.".to_owned()),
                (Some(words), _) => Some(words.clone()),
            },
            warnings: ground.warnings.clone(),
            maps: own.map(|figure| self.year(*figure, index)).collect(),
        })
    }

    /// "Good light most often: 19:00 to 20:00 (9 days in ten). Least often: 13:00 (4)."
    fn advice(&self, figure: MapFigure, index: usize) -> Option<String> {
        let of = |start: &i32| {
            Some((*start, figure.shown(figure.value(&self.tally.year(index, *start))?)))
        };
        let starts = self.tally.starts();
        let all: Vec<(i32, u32)> = starts.iter().filter_map(of).collect();
        let low = all.iter().map(|(_, value)| *value).min()?;
        let high = all.iter().map(|(_, value)| *value).max()?;
        let at = |value: u32| runs(&all, value).join(", ");
        let is_dark = |start: &i32| self.tally.year(index, *start).light[3] > 0;
        let hard = match starts.iter().any(is_dark) {
            true => "in hard light or in the dark",
            false => "in hard light",
        };
        Some(match figure {
            MapFigure::Hard if high == 0 => {
                format!("No start is {hard} on any clear day.")
            }
            MapFigure::Hard if high == low => {
                format!("Every start is {hard} on {high} % of clear days.")
            }
            MapFigure::Hard => format!(
                "Least often {hard}: {} ({low} % of clear days). Most often: {} ({high} %).",
                at(low),
                at(high)
            ),
            MapFigure::GoodDays if high == low => {
                format!("Every start is in good light on {high} days in ten.")
            }
            MapFigure::GoodDays => format!(
                "Good light most often: {} ({high} days in ten). Least often: {} ({low} in ten).",
                at(high),
                at(low)
            ),
        })
    }

    fn under(&self) -> String {
        let LeagueRequest { first, last, from, until, every_min, step_min, .. } = self.ask;
        let grounds = self.grounds.len();
        let sky = match self.with_weather() {
            0 => "All for a clear sky".to_owned(),
            n if n == grounds => "Once with the weather of each place, once for a clear sky".into(),
            n => format!("With the weather of the place at {n} of them; all for a clear sky"),
        };
        format!(
            "{grounds} {}, {} to {}, starts from {} to {} every {every_min} min on the venues' \
             clocks, counted every {step_min} min of play. {sky}, with the air typical of place \
             and date, or that of the venue file",
            if grounds == 1 { "ground" } else { "grounds" },
            first.format("%-d %B %Y"),
            last.format("%-d %B %Y"),
            from.format("%H:%M"),
            until.format("%H:%M"),
        )
    }

    fn meaning(&self) -> String {
        let cloud = match self.with_weather() {
            0 => "Cloud makes every start easier; how often it comes is said where weather files \
                  are given (--odds, --grounds)"
                .to_owned(),
            _ => format!(
                "Good days in ten: days of the weather files within {DAYS_AROUND} days of the date, \
                 each played through with the sky that its hours had; so many of ten are in good \
                 light. They are days of past years, not a forecast"
            ),
        };
        format!(
            "Hard light: for {HARD_MIN:.0} min of play or more a camera must expose for sun or for \
             shade, or the main camera has the sun in its lens; fair: from {FAIR_MIN:.0} min on; \
             good: less. In the dark: some play with the sun down and no floodlights lit. {cloud}"
        )
    }
}

fn id(index: usize) -> String {
    format!("ground-{}", index + 1)
}

/// Runs of starts with a value: "12:00 to 14:00".
fn runs(all: &[(i32, u32)], value: u32) -> Vec<String> {
    let groups = all.chunk_by(|a, b| (a.1 == value) == (b.1 == value));
    let runs = groups.filter(|group| group.first().is_some_and(|first| first.1 == value));
    let words = |group: &[(i32, u32)]| match group {
        [] => String::new(),
        [one] => clock(one.0),
        [first, .., last] => format!("{} to {}", clock(first.0), clock(last.0)),
    };
    runs.map(words).collect()
}

/// The summary of a terminal.
pub(super) fn summary(told: &Told<'_>, ink: Ink) -> String {
    let mut text = titled("Grounds side by side", &format!("{}.", told.under()), ink);
    let order = told.order();
    for i in order.iter().take(MAX_SHOWN) {
        let Some(Article { title, advice, weather, .. }) = told.article(*i) else { continue };
        let _ = writeln!(text, "{}", fit(&title, 78));
        for line in advice.iter().chain(&weather) {
            text += &wrapped("  ", line);
        }
    }
    if order.len() > MAX_SHOWN {
        let _ = writeln!(text, "and {} more in league.html", order.len() - MAX_SHOWN);
    }
    text + "\n" + &wrapped("", &format!("{}.", told.meaning()))
}
