//! Ranked starts in a terminal.
//!
//! In: [`StartsReport`]. Out: text of at most [`crate::output::text::WIDTH`] columns.

use std::fmt::Write;

use crate::jobs::starts::{Costed, days};
use crate::output::text::{Ink, cautions, fit, titled, wrapped};
use crate::output::words::{counted, fixed, signed};

use super::page::{made_of, meaning, title, under};
use super::{Entry, StartsReport, UnderRules};

/// Starts, fixtures and days that are told; the files hold all.
const MAX_STARTS: usize = 12;
const MAX_FIXTURES: usize = 24;
const MAX_DAYS: usize = 5;

/// The summary, without the list of files.
pub fn text(report: &StartsReport<'_>, ink: Ink) -> String {
    let mut under = format!("{} {}.", under(report, "%Y-%m-%d"), report.sky_words());
    for line in report.weather_words() {
        under += &format!(" {line}.");
    }
    let mut parts = vec![titled(&title(report), &under, ink)];
    let entries: Vec<Entry<'_>> = report.entries().collect();
    match entries.as_slice() {
        [one] => parts.push(starts(report, one, ink)),
        all => {
            parts.push(fixtures(report, all, ink));
            parts.push(extremes(report, all, ink));
        }
    }
    parts.extend(report.under_rules.as_ref().map(|rules| under_rules(rules, ink)));
    parts.extend(bought(report, ink));
    parts.push(format!("{}\n{}", ink.heading("What it means"), wrapped("  ", &meaning(report))));
    parts.push(cautions(ink));
    parts.join("\n")
}

/// Starts of one fixture, the least cost first.
fn starts(report: &StartsReport<'_>, entry: &Entry<'_>, ink: Ink) -> String {
    let title = format!("{:<9}{:>8}{:>15}  {}", "Start", "cost", report.range_words(), "breakdown");
    let mut text = ink.heading(&title);
    text.push('\n');
    let order = entry.ranked.order(entry.fixture, entry.venue.place.zone);
    let ranked = order.iter().filter_map(|i| entry.ranked.starts.get(*i));
    let outside = (!entry.planned_may_be()).then_some(entry.planned);
    for start in ranked.take(MAX_STARTS).chain(outside) {
        let mark = if start.at == entry.planned.at { "*" } else { "" };
        let head = format!(
            "  {:<7}{:>8}{:>15}  ",
            format!("{}{mark}", entry.clock(start.at)),
            fixed(start.cost(), 1),
            range(start)
        );
        let words = wrapped(&" ".repeat(34), &made_of(report.profile, start));
        let _ = write!(text, "{head}{}", words.trim_start());
    }
    if order.len() > MAX_STARTS {
        let _ = writeln!(text, "  and {} that cost as much or more", order.len() - MAX_STARTS);
    }
    let equal = entry.equal_words();
    if !equal.is_empty() {
        let best = entry.clock(entry.best.at);
        text += &wrapped("  ", &format!("{equal}; {best} is nearest to the planned start"));
    }
    let outside = if outside.is_some() { ", outside of the starts asked for" } else { "" };
    text += &wrapped("  ", &format!("* planned{outside}; {}", entry.worst_words(entry.planned)));
    entry.nights().iter().for_each(|night| text += &wrapped("  ", night));
    text
}

fn range(start: &Costed) -> String {
    let words = |o: crate::jobs::starts::UnderOdds| {
        format!("{} to {}", fixed(o.cost.p10, 1), fixed(o.cost.p90, 1))
    };
    start.odds.filter(|odds| odds.over != 1).map_or_else(String::new, words)
}

fn fixtures(report: &StartsReport<'_>, entries: &[Entry<'_>], ink: Ink) -> String {
    let many = report.venues.len() > 1;
    let what = if many { "venue" } else { "fixture" };
    let proposed = if report.under_rules.is_some() { "season" } else { "best" };
    let title = format!(
        "{:<12}{:<26}{:>8}{:>8}{:>7}{:>8}{:>8}",
        "Date", what, "planned", "cost", proposed, "cost", "saves"
    );
    let mut text = ink.heading(&title);
    text.push('\n');
    for entry in entries.iter().take(MAX_FIXTURES) {
        let name = if many { &entry.venue.title } else { &entry.fixture.name };
        let _ = writeln!(
            text,
            "{:<12}{:<26}{:>8}{:>8}{:>7}{:>8}{:>8}",
            entry.fixture.date.to_string(),
            fit(name, 25),
            entry.clock(entry.planned.at),
            fixed(entry.planned.cost(), 1),
            entry.clock(entry.proposed.at),
            fixed(entry.proposed.cost(), 1),
            fixed(entry.planned.cost() - entry.proposed.cost(), 1),
        );
    }
    if entries.len() > MAX_FIXTURES {
        let _ = writeln!(text, "and {} more in the files", entries.len() - MAX_FIXTURES);
    }
    if report.under_rules.is_none() && entries.iter().any(|entry| !entry.equal_words().is_empty()) {
        text += "Best: of starts that are equally good the one nearest to the planned start; the\n\
                 others are in season.csv and season.html.\n";
    }
    let nights = entries.iter().filter_map(|entry| entry.night_words(entry.proposed)).count();
    if nights > 0 {
        let starts = counted(nights, "proposed start needs", "proposed starts need");
        text += &wrapped("", &format!("{starts} floodlights, see season.html."));
    }
    if entries.iter().any(|entry| !entry.planned_may_be()) {
        text += "Some planned starts lie outside of the starts that may be chosen.\n";
    }
    text
}

/// What the season as a whole rests on.
fn under_rules(rules: &UnderRules<'_>, ink: Ink) -> String {
    let mut text =
        format!("{}\n{}", ink.heading("The season as a whole"), wrapped("  ", &rules.proof()));
    let broken = rules.planned_breaches();
    if !broken.is_empty() {
        text += &wrapped("  ", "The planned season breaks:");
        broken.iter().for_each(|breach| text += &wrapped("    ", breach));
    }
    text + &wrapped("  ", "Why each fixture lies where it lies: season.html and season.csv")
}

/// Best and worst days as planned.
fn extremes(report: &StartsReport<'_>, entries: &[Entry<'_>], ink: Ink) -> String {
    let days = days(report.ranked, report.fixtures, &report.zones());
    let line = |day: &crate::jobs::starts::DayCost| {
        entries.get(day.ranked).map_or_else(String::new, |entry| {
            let name = match entry.fixture.name.as_str() {
                "" => entry.venue.title.clone(),
                name => format!("{name}, {}", entry.venue.title),
            };
            let cost = fixed(day.planned, 1);
            format!("  {}  {:<52}{cost:>10}\n", entry.fixture.date, fit(&name, 51))
        })
    };
    let each = MAX_DAYS.min(days.len() / 2).max(1);
    let best: String = days.iter().take(each).map(line).collect();
    let worst: String = days.iter().rev().take(each).map(line).collect();
    format!(
        "{}\n{best}\n{}\n{worst}",
        ink.heading("Best days as planned"),
        ink.heading("Worst days as planned")
    )
}

/// What a shift buys.
fn bought(report: &StartsReport<'_>, ink: Ink) -> Option<String> {
    let compared = report.compared();
    if compared.shifts.len() < 2 || report.ranked.len() < 2 {
        return None;
    }
    let title = format!(
        "{:<12}{:>10}{:>12}{:>14}{:>9}{:>8}",
        "Shift, min", "fixtures", "mean cost", "mean saving", "better", "worse"
    );
    let mut text = ink.heading(&title);
    text.push('\n');
    for shift in &compared.shifts {
        let _ = writeln!(
            text,
            "{:>10}{:>12}{:>12}{:>14}{:>9}{:>8}",
            signed(shift.by_min as f64, 0),
            shift.fixtures,
            fixed(shift.cost, 1),
            signed(shift.saves, 1),
            shift.better,
            shift.worse
        );
    }
    text += &wrapped("", &report.compared_words(&compared));
    Some(text)
}
