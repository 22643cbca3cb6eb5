//! Matched pairs in a terminal: the hardest, when, and what to trim at their worst.
//!
//! In: [`MatchingReport`]. Out: text of at most [`crate::output::text::WIDTH`] columns.

use std::fmt::Write;

use crate::camera::LensEnd;
use crate::jobs::matching::MatchedPair;
use crate::output::text::{Ink, cautions, fit, wrapped};
use crate::output::words::{CLOSED, WIDE_OPEN};

use super::MatchingReport;

/// Pairs that are listed; the files hold all.
const MAX_PAIRS: usize = 8;

/// What to do where a lens goes no farther.
const NO_IRIS_LEFT: &str = "No iris is left there to match with: what these lenses leave is in the \
    differences above. ND that is in comes out of a lens that is wide open, and gain brings the \
    rest; more ND goes into one that is closed.";

/// The summary, without the list of files.
pub fn text(report: &MatchingReport<'_>, ink: Ink) -> String {
    let mut text = format!("{}\n\n", ink.heading(&report.venue.title));
    if report.pairs.pairs.is_empty() {
        text += "No two cameras see a mark of the field in common.\n";
    } else {
        text += &ink
            .heading(&format!("{:<50}{:>10}{:>10}{:>8}", "Hardest cuts", "widest", "at", "apart"));
        text.push('\n');
        for pair in report.pairs.pairs.iter().take(MAX_PAIRS) {
            line(report, pair, &mut text);
        }
        let words = "Widest: the first camera's picture over the second's, stops, the same face \
                     at the same place, each at its one iris for both sides, as far as its lens \
                     goes (the brief compares the light on that face, before any iris). Apart: share of the time over a \
                     quarter of a stop, while there is a picture of both. Trims for the second camera, minute by minute and for each \
                     output, are in the files.";
        text += &wrapped("  ", words);
        text += &at_ends(report, ink);
    }
    format!("{text}\n{}", cautions(ink))
}

/// Lenses that have no iris left to match with; nothing where all have.
fn at_ends(report: &MatchingReport<'_>, ink: Ink) -> String {
    if report.pairs.at_ends.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{}\n", ink.heading("Lenses at an end of their range"));
    let clock = |index: usize| {
        report
            .plan
            .instants
            .get(index)
            .map_or_else(String::new, |i| i.at.format("%H:%M").to_string())
    };
    for one in &report.pairs.at_ends {
        let (from, until) = (clock(one.instants.0), clock(one.instants.1));
        let (name, stops) = (report.camera(one.camera), one.end.stops().stops());
        let line = match one.end {
            LensEnd::WideOpen(_) => {
                format!(
                    "{name}: {WIDE_OPEN} from {from} to {until}, up to {stops:.1} stops too dark"
                )
            }
            LensEnd::Closed(_) => {
                format!(
                    "{name}: {CLOSED} from {from} to {until}, up to {stops:.1} stops too bright"
                )
            }
        };
        text += &wrapped("  ", &line);
    }
    text + &wrapped("  ", NO_IRIS_LEFT)
}

fn line(report: &MatchingReport<'_>, pair: &MatchedPair, text: &mut String) {
    let Some((index, gap)) = pair.worst() else { return };
    let at = report.plan.instants.get(index).map(|i| i.at.format("%H:%M").to_string());
    let share = 100.0 * pair.hard_share();
    let _ = writeln!(
        text,
        "  {:<48}{:>+10.1}{:>10}{:>6.0} %",
        fit(&report.names(pair), 47),
        gap.picture.stops(),
        at.unwrap_or_default(),
        share
    );
    if let Some(trims) = gap.trims {
        let trims = format!("red {:+.2}, blue {:+.2} stops", trims.red, trims.blue);
        let _ = writeln!(text, "{trims:>80}");
    }
}
