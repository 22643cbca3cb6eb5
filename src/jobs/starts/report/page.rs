//! The season on one page to send on.
//!
//! In: [`StartsReport`]. Out: one HTML file for screen and paper (A4), without any reference
//! outside of itself; names are escaped by the template.

use serde::Serialize;

use crate::jobs::starts::advice::{Action, FixtureAdvice, LightLevel};
use crate::jobs::starts::picture::moments::{Moments, moments};
use crate::jobs::starts::{CostPart, Costed, Freedom, OddsFrom, Profile, days};
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};
use crate::output::words::{fixed, signed};

use super::advice::Chosen;
use super::{Entry, StartsReport, advice, range_of};

const PAGE: &str = include_str!("paper/season.html");
const STYLE: &str = include_str!("paper/style.css");

/// Warnings at the top of the page: more would hide what to do.
const MAX_WARNINGS: usize = 3;

/// Why the page could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the season's page could not be set: {0}")]
pub struct StartsPageError(#[from] minijinja::Error);

#[derive(Serialize)]
struct Page {
    title: String,
    under: String,
    sky: String,
    weather: Vec<String>,
    /// What stands at the top, and what is left to say further down.
    warnings: Vec<String>,
    more_warnings: Vec<String>,
    glance: Vec<Glance>,
    lit: Vec<Lit>,
    /// What the proposed season rests on; nothing without rules.
    proof: Option<String>,
    rules: Vec<String>,
    planned_breaks: Vec<String>,
    cards: Vec<Card>,
    ask: Vec<&'static str>,
    shifts: Vec<ShiftRow>,
    compared: String,
    rows: Vec<Row>,
    any_hard: bool,
    any_outside: bool,
    meaning: String,
    cautions: Vec<&'static str>,
}

/// A fixture in the list at the top.
#[derive(Serialize)]
struct Glance {
    /// Of its card.
    id: String,
    date: String,
    name: String,
    venue: String,
    planned: Sign,
    proposed: Sign,
    /// "move", "stay", "fixed".
    what: &'static str,
}

/// A start with its light.
#[derive(Serialize)]
struct Sign {
    clock: String,
    level: &'static str,
    sign: &'static str,
    style: &'static str,
}

/// How many fixtures are lit how, as planned and as proposed.
#[derive(Serialize)]
struct Lit {
    level: &'static str,
    sign: &'static str,
    style: &'static str,
    planned: usize,
    proposed: usize,
}

/// One fixture, for people who decide.
#[derive(Serialize)]
struct Card {
    id: String,
    why: Option<String>,
    date: String,
    name: String,
    venue: String,
    advice: String,
    nearest: Option<String>,
    equal: String,
    /// What is played without the sun.
    nights: Vec<String>,
    /// As planned, then at the best start where that is another.
    looks: Vec<StartLook>,
}

/// A start as it will look.
#[derive(Serialize)]
struct StartLook {
    /// "planned", "proposed".
    what: &'static str,
    clock: String,
    level: &'static str,
    sign: &'static str,
    style: &'static str,
    good_days: Option<String>,
    moments: Moments,
}

#[derive(Serialize)]
struct ShiftRow {
    by: String,
    fixtures: usize,
    cost: String,
    saves: String,
    better: usize,
    worse: usize,
}

#[derive(Serialize)]
struct Row {
    date: String,
    name: String,
    venue: String,
    planned: String,
    planned_cost: String,
    range: String,
    fixed: bool,
    outside: bool,
    best: String,
    equal: String,
    /// In the season under rules, and what it costs.
    season: String,
    season_cost: String,
    best_cost: String,
    saves: String,
    moment: String,
    sun: String,
    made_of: String,
    hard: bool,
}

/// The page.
///
/// # Errors
/// [`StartsPageError`] where the template fails, which nothing should cause.
pub fn html(report: &StartsReport<'_>) -> Result<String, StartsPageError> {
    // the dearest tenth, where there are enough to have one
    let costs = days(report.ranked, report.fixtures, &report.zones());
    let dear: Vec<usize> = costs.iter().rev().take(costs.len() / 10).map(|d| d.ranked).collect();
    let rows = report
        .entries()
        .enumerate()
        .map(|(i, entry)| Row { hard: dear.contains(&i), ..row(report.profile, &entry) });
    let shift = |s: crate::jobs::starts::Shift| ShiftRow {
        by: signed(s.by_min as f64, 0),
        fixtures: s.fixtures,
        cost: fixed(s.cost, 1),
        saves: signed(s.saves, 1),
        better: s.better,
        worse: s.worse,
    };
    let compared = report.compared();
    let compared_words = report.compared_words(&compared);
    let shifts = compared.shifts;
    let any_outside = report.entries().any(|entry| !entry.planned_may_be());
    let page = Page {
        glance: report.entries().map(|entry| glance(&entry)).collect(),
        lit: lit(report),
        proof: report.under_rules.map(|rules| format!("{}.", rules.proof())),
        rules: report.under_rules.map(|rules| rules.rules()).unwrap_or_default(),
        planned_breaks: report.under_rules.map(|r| r.planned_breaches()).unwrap_or_default(),
        cards: report.entries().filter_map(|entry| card(report, &entry)).collect(),
        ask: advice::WHO_TO_ASK.to_vec(),
        title: title(report),
        under: under(report, "%-d %B %Y"),
        sky: format!("{}.", report.sky_words()),
        weather: report.weather_words(),
        warnings: shown_warnings(report.warnings),
        more_warnings: match report.warnings.len() {
            0..=MAX_WARNINGS => Vec::new(),
            _ => report.warnings.to_vec(),
        },
        shifts: if shifts.len() > 1 { shifts.into_iter().map(shift).collect() } else { Vec::new() },
        compared: compared_words,
        rows: rows.collect(),
        any_hard: !dear.is_empty(),
        any_outside,
        meaning: meaning(report),
        cautions: CAUTIONS.to_vec(),
    };
    let mut environment = paper::pages();
    // the name ends in .html: everything that is put in is escaped
    environment.add_template("season.html", PAGE)?;
    let style = minijinja::Value::from_safe_string(STYLE.to_owned() + &foot_style());
    let page = minijinja::context! { page => minijinja::value::Serde(page), style => style };
    Ok(environment.get_template("season.html")?.render(page)?)
}

/// All of a few, else their number.
fn shown_warnings(all: &[String]) -> Vec<String> {
    match all.len() {
        0..=MAX_WARNINGS => all.to_vec(),
        n => vec![format!("{n} things are doubtful, see \"What this rests on\"")],
    }
}

fn id(entry: &Entry<'_>) -> String {
    format!("fixture-{}", entry.ranked.fixture + 1)
}

fn glance(entry: &Entry<'_>) -> Glance {
    let sign = |start: &Costed| {
        let (level, sign, style) = advice::level(LightLevel::of_start(start));
        Sign { clock: entry.clock(start.at), level, sign, style }
    };
    Glance {
        id: id(entry),
        date: entry.fixture.date.format("%a %-d %b %Y").to_string(),
        name: entry.fixture.name.clone(),
        venue: entry.venue.title.clone(),
        planned: sign(entry.planned),
        proposed: sign(entry.proposed),
        what: match (entry.fixture.start, entry.proposed.at == entry.planned.at) {
            (Freedom::Fixed, _) => "fixed",
            (Freedom::Free, true) => "stay",
            (Freedom::Free, false) => "move",
        },
    }
}

fn lit(report: &StartsReport<'_>) -> Vec<Lit> {
    let levels = [LightLevel::Good, LightLevel::Fair, LightLevel::Hard, LightLevel::Dark];
    let row = |wanted: LightLevel| {
        let (level, sign, style) = advice::level(wanted);
        let planned =
            report.entries().filter(|e| LightLevel::of_start(e.planned) == wanted).count();
        let proposed =
            report.entries().filter(|e| LightLevel::of_start(e.proposed) == wanted).count();
        // no word of darkness where there is none
        let is_shown = wanted != LightLevel::Dark || planned + proposed > 0;
        is_shown.then_some(Lit { level, sign, style, planned, proposed })
    };
    levels.into_iter().filter_map(row).collect()
}

fn card(report: &StartsReport<'_>, entry: &Entry<'_>) -> Option<Card> {
    let zone = entry.venue.place.zone;
    let chosen = match report.under_rules {
        Some(_) => Chosen::UnderRules,
        None => Chosen::OneByOne,
    };
    let level = LightLevel::of_start;
    let found = FixtureAdvice::of(entry.ranked, entry.fixture, zone, entry.proposed, level)?;
    let moved = found.proposed.at != found.planned.at;
    let proposed = moved.then(|| look("proposed", entry, found.proposed));
    let says_equal = found.action != Action::Fixed && chosen == Chosen::OneByOne;
    Some(Card {
        id: id(entry),
        why: report.under_rules.and_then(|rules| rules.why(entry.ranked.fixture)),
        date: entry.fixture.date.format("%A %-d %B %Y").to_string(),
        name: entry.fixture.name.clone(),
        venue: entry.venue.title.clone(),
        advice: advice::sentence(entry, report.profile, &found, chosen),
        nearest: advice::nearest(entry, &found, chosen),
        equal: if says_equal { entry.equal_words() } else { String::new() },
        nights: entry.nights(),
        looks: std::iter::once(look("planned", entry, found.planned)).chain(proposed).collect(),
    })
}

fn look(what: &'static str, entry: &Entry<'_>, start: &Costed) -> StartLook {
    let (level, sign, style) = advice::level(LightLevel::of_start(start));
    let middle = start.at + (start.ends - start.at) / 2;
    let good_days = start.odds.and_then(|odds| {
        let of = if odds.from == OddsFrom::Weather { "days" } else { "members" };
        (odds.over > 1)
            .then(|| odds.good.map(|good| format!("good on {:.0} {of} of 10", 10.0 * good)))?
    });
    StartLook {
        what,
        clock: entry.clock(start.at),
        level,
        sign,
        style,
        good_days,
        moments: moments(entry.venue, &[start.at, middle, start.ends]),
    }
}

/// "Start times at Umbra Park", "Start times at 4 venues".
pub(super) fn title(report: &StartsReport<'_>) -> String {
    match report.venues {
        [venue] => format!("Start times at {}", venue.title),
        venues => format!("Start times at {} venues", venues.len()),
    }
}

/// How many of what, with dates in a form of `chrono`.
pub(super) fn under(report: &StartsReport<'_>, date: &str) -> String {
    let starts: usize = report.ranked.iter().map(|r| r.starts.len()).sum();
    let fixtures = match report.ranked.len() {
        1 => "1 fixture".to_owned(),
        n => format!("{n} fixtures"),
    };
    let day = |of: &chrono::NaiveDate| of.format(date).to_string();
    let dates: Vec<_> = report.entries().map(|e| e.fixture.date).collect();
    let days = match (dates.iter().min(), dates.iter().max()) {
        (Some(first), Some(last)) if first != last => format!("{} to {}", day(first), day(last)),
        (Some(first), _) => day(first),
        _ => String::new(),
    };
    format!(
        "{fixtures}, {days}, {starts} starts, {} min apart; counted every {} min of play. Times \
         are the venues' clocks.",
        report.every_min, report.step_min
    )
}

/// What the numbers mean.
pub(super) fn meaning(report: &StartsReport<'_>) -> String {
    let weight = |part| report.profile.weight(part);
    format!(
        "Cost: {} for each minute of play with sun and shade on the field, {} for each stop of the \
         widest split in shot, {} for each minute with the sun in the main camera's lens, {} for \
         each minute in which a camera has to expose for sun or for shade, {} for each minute under floodlights \
         with the sun between 6 degrees over and under the horizon, {} for each minute with the sun \
         down and no floodlights lit. The lower the better. {}. A \
         range in brackets after a split: 8 clear days of 10 lie between, for what is unknown of \
         the air, which all starts of a day share.",
        weight(CostPart::Mixed),
        weight(CostPart::WorstSplit),
        weight(CostPart::MainLens),
        weight(CostPart::Choose),
        weight(CostPart::Dusk),
        weight(CostPart::Dark),
        report.equal_words(),
    )
}

fn row(profile: &Profile, entry: &Entry<'_>) -> Row {
    let (planned, best) = (entry.planned, entry.best);
    let range = planned.odds.and_then(|odds| range_of(&odds, &odds.cost));
    let sun = planned.odds.map(|odds| {
        format!(
            "sun for {:.0} % of play, split {} stops to be expected{}",
            100.0 * odds.sun,
            fixed(odds.split.expected, 1),
            range_of(&odds, &odds.split).map_or_else(String::new, |range| format!(", {range}"))
        )
    });
    Row {
        date: entry.fixture.date.format("%a %Y-%m-%d").to_string(),
        name: entry.fixture.name.clone(),
        venue: entry.venue.title.clone(),
        planned: entry.clock(planned.at),
        planned_cost: fixed(planned.cost(), 1),
        range: range.unwrap_or_default(),
        fixed: entry.fixture.start == Freedom::Fixed,
        outside: !entry.planned_may_be(),
        best: entry.clock(best.at),
        equal: entry.equal_words(),
        season: entry.clock(entry.proposed.at),
        season_cost: fixed(entry.proposed.cost(), 1),
        best_cost: fixed(best.cost(), 1),
        saves: fixed(planned.cost() - best.cost(), 1),
        moment: entry.worst_words(planned),
        sun: sun.unwrap_or_default(),
        made_of: made_of(profile, planned),
        hard: false,
    }
}

/// "mixed field 12 min, choose 8 min, ...", parts that count only.
pub(super) fn made_of(profile: &Profile, start: &Costed) -> String {
    let words = |part: CostPart| {
        let value = start.part(part);
        let (name, decimals, unit) = match part {
            CostPart::Mixed => ("mixed field", 0, "min"),
            CostPart::WorstSplit => ("widest split", 1, "stops"),
            CostPart::MainLens => ("sun in main lens", 0, "min"),
            CostPart::Choose => ("expose for sun or for shade", 0, "min"),
            CostPart::Dusk => ("dusk under floodlights", 0, "min"),
            CostPart::Dark => ("dark without floodlights", 0, "min"),
        };
        let counts = profile.weighed(&start_parts(start), part) > 0.0;
        counts.then(|| format!("{name} {} {unit}", fixed(value, decimals)))
    };
    let all: Vec<String> = CostPart::ALL.into_iter().filter_map(words).collect();
    if all.is_empty() { "nothing".to_owned() } else { all.join(", ") }
}

fn start_parts(start: &Costed) -> crate::jobs::starts::CostParts {
    start.odds.map_or(start.clear, |odds| odds.parts)
}
