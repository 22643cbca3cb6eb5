//! Grounds side by side on one page, and in a terminal.
//!
//! In: what is asked, grounds, a [`Tally`]. Out: one HTML file for screen and paper (A4),
//! without any reference outside of itself; names are escaped by the template. Every cell of
//! a picture has its number as well, so nothing hangs on a colour.

use std::fmt::Write;

use minijinja::Environment;
use serde::Serialize;

use crate::jobs::starts::advice::{FAIR_MIN, HARD_MIN};
use crate::jobs::starts::main_camera;
use crate::output::cautions::CAUTIONS;
use crate::output::draw::scale::cividis;
use crate::output::paper::foot_style;
use crate::output::text::{Ink, fit, titled, wrapped};
use crate::venue::Venue;

use super::part::Ask;
use super::tally::{Count, Tally, clock};

const PAGE: &str = include_str!("paper/league.html");
const STYLE: &str = include_str!("paper/style.css");
const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// Where a class of the share of days begins, percent, and where its colour lies.
const CLASSES: [(u32, f64); 5] = [(0, 0.0), (10, 0.2), (30, 0.38), (50, 0.75), (80, 1.0)];
/// Classes from here on have light letters.
const DARK_FROM: usize = 3;
/// Grounds that the terminal lists.
const MAX_SHOWN: usize = 40;

/// Why the page could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the page of the league could not be set: {0}")]
pub struct PageError(#[from] minijinja::Error);

/// What the page says of a venue.
pub(super) struct Ground {
    pub title: String,
    main_camera: Option<String>,
}

impl Ground {
    pub fn of(venue: &Venue, profile: &crate::jobs::starts::Profile) -> Self {
        let main_camera = main_camera(venue, profile).map(str::to_owned);
        Self { title: venue.title.clone(), main_camera }
    }
}

#[derive(Serialize)]
struct Page {
    under: String,
    starts: Vec<String>,
    /// Grounds, the one in trouble most often first.
    rows: Vec<Row>,
    legend: Vec<Cell>,
    meaning: String,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
struct Row {
    id: String,
    title: String,
    cells: Vec<Cell>,
    advice: String,
    camera: String,
    months: Vec<Month>,
}

#[derive(Serialize)]
struct Month {
    name: &'static str,
    cells: Vec<Cell>,
}

/// A share of days.
#[derive(Serialize)]
struct Cell {
    text: String,
    class: String,
    words: String,
}

fn class(percent: u32) -> usize {
    CLASSES.iter().rposition(|(from, _)| percent >= *from).unwrap_or(0)
}

fn cell(count: Option<&Count>, what: &str) -> Cell {
    match count.filter(|count| count.days > 0) {
        None => Cell { text: "–".into(), class: "none".into(), words: format!("{what}: no day") },
        Some(count) => {
            let percent = (100.0 * count.hard()).round() as u32;
            Cell {
                text: percent.to_string(),
                class: format!("c{}", class(percent)),
                words: format!("{what}: hard light on {} of {} days", count.light[2], count.days),
            }
        }
    }
}

/// The page.
///
/// # Errors
/// [`PageError`] where the template fails, which nothing should cause.
pub(super) fn html(ask: &Ask, grounds: &[Ground], tally: &Tally) -> Result<String, PageError> {
    let starts = tally.starts();
    let page = Page {
        under: under(ask, grounds.len()),
        starts: starts.iter().map(|start| clock(*start)).collect(),
        rows: order(grounds, tally)
            .into_iter()
            .filter_map(|i| row(i, grounds.get(i)?, tally, &starts))
            .collect(),
        legend: legend(),
        meaning: meaning(),
        cautions: CAUTIONS.to_vec(),
    };
    let mut environment = Environment::new();
    // the name ends in .html: everything that is put in is escaped
    environment.add_template("league.html", PAGE)?;
    let style = minijinja::Value::from_safe_string(STYLE.to_owned() + &colours() + &foot_style());
    let page = minijinja::context! { page => minijinja::value::Serde(page), style => style };
    Ok(environment.get_template("league.html")?.render(page)?)
}

fn colours() -> String {
    let mut style = String::new();
    for (i, (_, at)) in CLASSES.iter().enumerate() {
        let plotters::style::RGBColor(r, g, b) = cividis(*at);
        let ink = if i < DARK_FROM { "#111" } else { "#fff" };
        // writing into a string does not fail
        let _ = writeln!(style, ".c{i} {{ background: #{r:02x}{g:02x}{b:02x}; color: {ink}; }}");
    }
    style
}

fn legend() -> Vec<Cell> {
    let until = |i: usize| CLASSES.get(i + 1).map_or(100, |next| next.0 - 1);
    let one = |(i, (from, _)): (usize, &(u32, f64))| Cell {
        text: format!("{from} to {} %", until(i)),
        class: format!("c{i}"),
        words: String::new(),
    };
    CLASSES.iter().enumerate().map(one).collect()
}

/// Indices of grounds, the most days in hard light over all starts first.
fn order(grounds: &[Ground], tally: &Tally) -> Vec<usize> {
    let starts = tally.starts();
    let hard = |i: usize| -> f64 { starts.iter().map(|start| tally.year(i, *start).hard()).sum() };
    let mut order: Vec<usize> = (0..grounds.len()).collect();
    order.sort_by(|a, b| hard(*b).total_cmp(&hard(*a)));
    order
}

fn row(index: usize, ground: &Ground, tally: &Tally, starts: &[i32]) -> Option<Row> {
    let cells = starts.iter().map(|start| {
        cell(Some(&tally.year(index, *start)), &format!("{}, {}", ground.title, clock(*start)))
    });
    let month = |(i, name): (usize, &&'static str)| {
        let of = |start: &i32| tally.of(index, i as u32 + 1, *start);
        let words = |start: &i32| format!("{name}, {}", clock(*start));
        let any = starts.iter().any(|start| of(start).is_some());
        let cells = starts.iter().map(|start| cell(of(start), &words(start))).collect();
        any.then_some(Month { name, cells })
    };
    Some(Row {
        id: format!("ground-{}", index + 1),
        title: ground.title.clone(),
        cells: cells.collect(),
        advice: advice(index, tally, starts)?,
        camera: match &ground.main_camera {
            Some(name) => format!("Main camera: {name}."),
            None => "No camera is stated, so no light can be hard.".to_owned(),
        },
        months: MONTHS.iter().enumerate().filter_map(month).collect(),
    })
}

/// "Least often in hard light: 20:00 (0 % of days). Most often: 12:00 to 13:00 (89 %)."
fn advice(index: usize, tally: &Tally, starts: &[i32]) -> Option<String> {
    let percent = |count: &Count| (100.0 * count.hard()).round() as u32;
    let of_year: Vec<(i32, u32)> =
        starts.iter().map(|start| (*start, percent(&tally.year(index, *start)))).collect();
    let least = of_year.iter().map(|(_, hard)| *hard).min()?;
    let most = of_year.iter().map(|(_, hard)| *hard).max()?;
    if most == 0 {
        return Some("No start is in hard light on any clear day.".to_owned());
    }
    if most == least {
        return Some(format!("Every start is in hard light on {most} % of clear days."));
    }
    Some(format!(
        "Least often in hard light: {} ({least} % of days). Most often: {} ({most} %).",
        runs(&of_year, least).join(", "),
        runs(&of_year, most).join(", ")
    ))
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

fn under(ask: &Ask, grounds: usize) -> String {
    format!(
        "{grounds} {}, {} to {}, starts from {} to {} every {} min on the venues' clocks, counted \
         every {} min of play. All for a clear sky with the air typical of place and date, or that \
         of the venue file",
        if grounds == 1 { "ground" } else { "grounds" },
        ask.first,
        ask.last,
        ask.from.format("%H:%M"),
        ask.until.format("%H:%M"),
        ask.every_min,
        ask.step_min
    )
}

fn meaning() -> String {
    format!(
        "Numbers: of 100 days how many are in hard light, were the sky clear. Hard light: for {HARD_MIN:.0} \
         min of play or more a camera must expose for sun or for shade, or the main camera has the \
         sun in its lens; fair: from {FAIR_MIN:.0} min on. Cloud makes every start easier; how often \
         it comes is another question (starts --odds)"
    )
}

/// The summary of a terminal.
pub(super) fn summary(ask: &Ask, grounds: &[Ground], tally: &Tally, ink: Ink) -> String {
    let starts = tally.starts();
    let mut text = titled("Grounds side by side", &format!("{}.", under(ask, grounds.len())), ink);
    let order = order(grounds, tally);
    for i in order.iter().take(MAX_SHOWN) {
        let Some(ground) = grounds.get(*i) else { continue };
        let advice = advice(*i, tally, &starts).unwrap_or_default();
        let _ = write!(text, "{}\n{}", fit(&ground.title, 78), wrapped("  ", &advice));
    }
    if order.len() > MAX_SHOWN {
        let _ = writeln!(text, "and {} more in league.html", order.len() - MAX_SHOWN);
    }
    text + "\n" + &wrapped("", &format!("{}.", meaning()))
}
