//! The words of each suspicion: where, what, why it matters, what to do.

mod numbers;
mod things;

use crate::jobs::check::Suspicion;
use crate::venue::Venue;

use numbers::{about_numbers, about_place};
use things::{about_cameras, about_things};

/// Warnings that a command prints before its own work.
const MAX_WARNINGS: usize = 6;

/// A suspicion in words; `what`, `why` and `mend` are sentences.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FindingText {
    /// One word for programs.
    pub kind: &'static str,
    /// The thing, camera or table of the venue file.
    pub place: String,
    pub what: String,
    pub why: &'static str,
    pub mend: String,
}

/// Puts a suspicion into words.
pub fn told(venue: &Venue, suspicion: &Suspicion) -> FindingText {
    about_place(venue, suspicion)
        .or_else(|| about_numbers(venue, suspicion))
        .or_else(|| about_things(venue, suspicion))
        .or_else(|| about_cameras(venue, suspicion))
        .unwrap_or_else(|| FindingText {
            kind: "other",
            place: venue.title.clone(),
            what: "something is odd.".to_owned(),
            why: "",
            mend: String::new(),
        })
}

/// Lines for stderr on what spoils every plan, one a slip; `file` is what the person
/// called the venue file.
pub fn warnings(venue: &Venue, slips: &[Suspicion], file: &str) -> Vec<String> {
    let line = |suspicion: &Suspicion| {
        let told = told(venue, suspicion);
        let what = told.what.trim_end_matches('.');
        format!("{}: {what}; see `quarterstop check {file}`", told.place)
    };
    let mut lines: Vec<String> = slips.iter().take(MAX_WARNINGS).map(line).collect();
    if let Some(more) = slips.len().checked_sub(MAX_WARNINGS).filter(|more| *more > 0) {
        lines.push(format!("and {more} more; see `quarterstop check {file}`"));
    }
    lines
}

fn thing(venue: &Venue, index: usize) -> String {
    venue.occluders.get(index).map_or_else(String::new, |o| o.name.clone())
}

fn camera(venue: &Venue, index: usize) -> String {
    let name = venue.cameras.get(index).map_or_else(String::new, |c| c.name.clone());
    format!("camera {name}")
}

fn per_cent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}
