//! Positions compared, in a terminal: the best of each candidate and why.
//!
//! In: [`PositionsReport`]. Out: text of at most [`crate::output::text::WIDTH`] columns.

use std::fmt::Write;

use crate::jobs::positions::{PenaltyPart, ScoredPosition, SetSearch};
use crate::output::text::{Ink, cautions, fit, wrapped};
use crate::output::words::{counted, fixed};

use super::PositionsReport;

/// Places of a candidate that are told; the files hold all.
const MAX_PLACES: usize = 3;

/// The summary, without the list of files.
pub fn text(report: &PositionsReport<'_>, ink: Ink) -> String {
    let mut parts = vec![heading(report, ink), table(report, ink)];
    parts.extend(set(report, ink));
    parts.push(words(report, ink));
    parts.push(cautions(ink));
    parts.join("\n")
}

fn heading(report: &PositionsReport<'_>, ink: Ink) -> String {
    let positions = report.positions;
    let places = positions.sites.iter().filter(|s| s.candidate.is_some()).count();
    let places = places_words(places);
    let days = days_words(positions.matches);
    let text = format!(
        "{places} compared over {days}: {:.0} min of play, {:.0} of them in the sun; {}. {}",
        positions.play_min,
        positions.sun_min,
        positions.sky,
        positions.air.statement()
    );
    format!("{}\n{}", ink.heading(&report.venue.title), wrapped("", &text))
}

pub(crate) fn places_words(places: usize) -> String {
    counted(places, "place", "places")
}

/// "one day": on a site it may have several matches.
pub(crate) fn days_words(days: usize) -> String {
    match days {
        1 => "one day".to_owned(),
        n => format!("{n} days"),
    }
}

/// For each candidate what is there now, its best places and its worst.
fn table(report: &PositionsReport<'_>, ink: Ink) -> String {
    let title = format!(
        "{:<24}{:>9}{:>7}{:>7}{:>7}{:>6}{:>6}{:>7}{:>6}",
        "Penalty, lowest first",
        "penalty",
        "split",
        "match",
        "back",
        "frame",
        "lens",
        "hidden",
        "own"
    );
    let mut text = ink.heading(&title);
    text.push('\n');
    for (number, candidate) in report.venue.candidates.iter().enumerate() {
        let _ = writeln!(text, "  {}", fit(&candidate.name, 76));
        if let Some(now) = candidate.instead_of.and_then(|c| report.positions.sites.get(c)) {
            text += &row(&format!("{} (now)", now.post.name), now);
        }
        let places = ranked(report, number);
        let (best, rest) = places.split_at(places.len().min(MAX_PLACES));
        for site in best {
            text += &row(&place(report, site), site);
        }
        if let Some(worst) = rest.last() {
            text += &row(&format!("{} (worst)", place(report, worst)), worst);
        }
        if places.is_empty() {
            text += "    no place sees anything of the field\n";
        }
        if candidate.left_out > 0 {
            let _ = writeln!(text, "    {} places lie inside of things", candidate.left_out);
        }
    }
    text
}

/// Places of a candidate that see the field, the lowest penalty first.
fn ranked<'a>(report: &PositionsReport<'a>, candidate: usize) -> Vec<&'a ScoredPosition> {
    let of = |s: &&ScoredPosition| s.candidate == Some(candidate) && s.penalty.is_some();
    let mut places: Vec<&ScoredPosition> = report.positions.sites.iter().filter(of).collect();
    let penalty = |s: &ScoredPosition| s.penalty.unwrap_or(f64::INFINITY);
    places.sort_by(|a, b| penalty(a).total_cmp(&penalty(b)));
    places
}

/// Name and place on the ground's own axes.
fn place(report: &PositionsReport<'_>, site: &ScoredPosition) -> String {
    let at = report.place(site);
    // what the name has beside that of its candidate: the number of one among several
    let number = site.post.name.strip_prefix(report.candidate(site).unwrap_or_default());
    let number = number.unwrap_or_default().trim();
    let [along, across, up] = [at.along_m, at.across_m, at.up_m].map(|metres| fixed(metres, 0));
    format!("{number} at {along}, {across}, {up}").trim_start().to_owned()
}

fn row(name: &str, site: &ScoredPosition) -> String {
    let per_cent = |part| format!("{:.0} %", 100.0 * site.parts.get(part));
    let penalty = site.penalty.map_or_else(|| "-".to_owned(), |t| format!("{t:.2}"));
    format!(
        "    {:<20}{penalty:>9}{:>7}{:>7}{:>7}{:>6}{:>6}{:>7}{:>6}\n",
        fit(name, 20),
        per_cent(PenaltyPart::Split),
        format!("{:.2}", site.parts.get(PenaltyPart::Mismatch)),
        per_cent(PenaltyPart::BackLit),
        per_cent(PenaltyPart::SunInFrame),
        per_cent(PenaltyPart::SunOnLens),
        per_cent(PenaltyPart::Hidden),
        per_cent(PenaltyPart::OwnSun),
    )
}

fn set(report: &PositionsReport<'_>, ink: Ink) -> Option<String> {
    let text = match &report.positions.set {
        SetSearch::NotAsked => return None,
        SetSearch::NoneApart => "No set keeps the distance asked for.".to_owned(),
        SetSearch::Found(set) => {
            let sites = set.places.iter().filter_map(|i| report.positions.sites.get(*i));
            let names: Vec<String> = sites
                .map(|site| {
                    let candidate = report.candidate(site).unwrap_or_default();
                    format!("{candidate}: {}", place(report, site))
                })
                .collect();
            let proof = if set.proven { "no set is better" } else { "best found, not proved" };
            format!("{}; penalty {:.2} together, {proof}.", names.join("; "), set.cost)
        }
    };
    Some(format!("{}\n{}", ink.heading("Best set, matched to each other"), wrapped("  ", &text)))
}

fn words(report: &PositionsReport<'_>, ink: Ink) -> String {
    let positions = report.positions;
    let over = positions.over.first().map_or(0.0, |o| o.stops());
    let weights: Vec<String> = PenaltyPart::ALL
        .iter()
        .map(|p| format!("{} {}", p.word(), positions.weights.get(*p)))
        .collect();
    let text = format!(
        "Penalty is the sum of its parts by weights ({}). Split: share of play with more than \
         {over} stops in shot. Match: mean difference in stops, for the same subject, to the \
         cameras that no candidate replaces. Back: lit from behind. Frame, lens: sun in frame, \
         on the front element. Hidden: of what it covers. Own: sun on the camera. Places are \
         along, across, up in metres. {} beaten by no other in every part.",
        weights.join(", "),
        counted(positions.front.len(), "place is", "places are"),
    );
    format!("{}\n{}", ink.heading("What it means"), wrapped("  ", &text))
}
