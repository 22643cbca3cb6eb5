//! Matched pairs in a terminal: the hardest, when, and what to trim at their worst.
//!
//! In: [`MatchingReport`]. Out: text of at most [`crate::output::text::WIDTH`] columns.

use std::fmt::Write;

use crate::jobs::matching::MatchedPair;
use crate::output::text::{Ink, cautions, fit, wrapped};

use super::MatchingReport;

/// Pairs that are listed; the files hold all.
const MAX_PAIRS: usize = 8;

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
                     at the same place, each at its one iris for both sides (the brief compares \
                     the light on that face, before any iris). Apart: share of the time over a \
                     quarter of a stop. Trims for the second camera, minute by minute and for each \
                     output, are in the files.";
        text += &wrapped("  ", words);
    }
    format!("{text}\n{}", cautions(ink))
}

fn line(report: &MatchingReport<'_>, pair: &MatchedPair, text: &mut String) {
    let Some((index, gap)) = pair.worst() else { return };
    let at = report.plan.instants.get(index).map(|i| i.at.format("%H:%M").to_string());
    let known = pair.gaps.iter().flatten().count().max(1);
    let share = 100.0 * pair.hard() as f64 / known as f64;
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
