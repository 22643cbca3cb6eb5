//! Hours and places compared for the rides of a hole, as text, table and data.
//!
//! In: a venue and a [`Comparison`]. Out: lines of the printed summary, one row a camera, hour
//! and shot as CSV, everything as JSON of the format `quarterstop.ball-hours/2`.

mod data;
mod table;

use std::fmt::Write;

use crate::jobs::ball::{BallHour, BallPenaltyPart, Comparison, SiteHours};
use crate::output::text::{Ink, fit, wrapped};
use crate::venue::Venue;

pub use data::{BallHoursFile, FORMAT, schema, write};
pub use table::{columns, csv};

/// Hours that are told of one camera: the best and the worst.
const BEST: usize = 6;
const WORST: usize = 3;
/// Places that are told; the files hold all.
const MAX_PLACES: usize = 12;

/// The summary: hours of one camera, or places where there are several.
pub fn text(venue: &Venue, found: &Comparison, ink: Ink) -> String {
    let mut text = match found.sites.as_slice() {
        [one] => hours(one, ink),
        _ => places(venue, found, ink),
    };
    text += &wrapped("  ", &words(found));
    text
}

fn hours(site: &SiteHours, ink: Ink) -> String {
    let title = format!("Hours from {}", site.site.post.name);
    let mut text = ink.heading(&fit(&title, 80)) + "\n";
    text += &format!(
        "  {:<16}{:>8}{:>7}{:>7}{:>9}{:>8}{:>8}{:>8}{:>7}\n",
        "", "penalty", "close", "rate", "landing", "unseen", "hidden", "in sun", "near"
    );
    let ranked = site.ranked();
    let (best, rest) = ranked.split_at(ranked.len().min(BEST));
    let worst = &rest[rest.len().saturating_sub(WORST)..];
    for (i, index) in best.iter().chain(worst).enumerate() {
        if i == BEST && rest.len() > WORST {
            let _ = writeln!(text, "  ... {} more, then the worst", rest.len() - worst.len());
        }
        text += &row(&site.hours[*index]);
    }
    text
}

fn row(hour: &BallHour) -> String {
    let part = |part| hour.parts.get(part);
    let share = |p| format!("{:.0} %", 100.0 * part(p));
    format!(
        "  {:<16}{:>8.2}{:>7.1}{:>7.2}{:>9.1}{:>8}{:>8}{:>8}{:>7}\n",
        format!("{}, sun {:.0}°", hour.at.format("%H:%M"), hour.sun.1.degrees()),
        hour.penalty,
        part(BallPenaltyPart::Close),
        part(BallPenaltyPart::Rate),
        part(BallPenaltyPart::Landing),
        share(BallPenaltyPart::Unseen),
        share(BallPenaltyPart::Hidden),
        share(BallPenaltyPart::SunInFrame),
        share(BallPenaltyPart::SunNear),
    )
}

fn places(venue: &Venue, found: &Comparison, ink: Ink) -> String {
    let mut text = ink.heading("Places compared over the hours") + "\n";
    text += &format!("  {:<30}{:>9}{:>18}{:>18}\n", "", "mean", "best hour", "worst hour");
    let ranked = found.ranked();
    for index in ranked.iter().take(MAX_PLACES) {
        let site = &found.sites[*index];
        let order = site.ranked();
        let told = |index: Option<&usize>| {
            let hour = index.and_then(|i| site.hours.get(*i));
            hour.map_or_else(String::new, |h| format!("{} {:.2}", h.at.format("%H:%M"), h.penalty))
        };
        let _ = writeln!(
            text,
            "  {:<30}{:>9.2}{:>18}{:>18}",
            fit(&name(venue, site), 29),
            site.mean(),
            told(order.first()),
            told(order.last())
        );
    }
    if ranked.len() > MAX_PLACES {
        let _ = writeln!(text, "  ... and {} more in the files", ranked.len() - MAX_PLACES);
    }
    text
}

/// The name of a place; cameras that are there now say so.
fn name(venue: &Venue, site: &SiteHours) -> String {
    match site.site.candidate.and_then(|c| venue.candidates.get(c)) {
        Some(_) => site.site.post.name.clone(),
        None => format!("{} (now)", site.site.post.name),
    }
}

/// What the numbers mean.
fn words(found: &Comparison) -> String {
    let weights: Vec<String> = BallPenaltyPart::ALL
        .iter()
        .map(|p| format!("{} {}", p.word(), found.weights.get(*p)))
        .collect();
    format!(
        "Mean over the shots ({}). Penalty is the sum of its parts by weights ({}), which are our \
         choice. Close: stops to close for the background. Rate: how much faster than {} stops a \
         second the iris would have to be from the strike on. Landing: stops that blacks are \
         crushed by. Unseen: of the flight, too little contrast. In sun, near: of the flight with \
         the sun in frame, on the front element.",
        found.shots.join(", "),
        weights.join(", "),
        found.settings.rate,
    )
}
