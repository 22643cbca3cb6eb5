//! The brief in a terminal: what to set, the desk, what comes first.
//!
//! In: [`Told`]. Out: text of at most [`crate::report::summary::WIDTH`] columns.

use std::fmt::Write;

use super::Told;
use super::words::{clock, heading, setting_words, sure_words, t_number};
use crate::plan::brief::CameraBrief;
use crate::plan::brief::cues::CueKind;
use crate::plan::play::PlaySpan;
use crate::report::summary::{Ink, cautions, fit, wrapped};

/// Cues that are told; the files hold all.
const MOST_CUES: usize = 16;

/// The summary of a brief, without the list of files.
pub fn text(told: &Told<'_>, ink: Ink) -> String {
    let parts = [
        format!("{}\n{}", ink.heading(&told.venue.title), wrapped("", &heading(told))),
        settings(told, ink),
        desk(told, ink),
        cues(told, ink),
        cautions(ink),
    ];
    parts.join("\n")
}

fn settings(told: &Told<'_>, ink: Ink) -> String {
    let title = format!("{:<28}{:<16}{:>17}{:>17}", "What to set", "", "sun", "shade");
    let mut text = ink.heading(title.trim_end());
    text.push('\n');
    for brief in &told.brief.cameras {
        let name = told.venue.cameras.get(brief.camera).map_or("", |c| c.name.as_str());
        for (number, span) in told.brief.spans.iter().enumerate() {
            let name =
                if number == 0 { fit(name, 25) } else { fit(&format!("  {}", span.name), 25) };
            let line = setting(told, brief, span, number);
            let _ = writeln!(text, "  {name:<26}{line}");
        }
    }
    text + &wrapped("  ", "T-numbers from the start to the end of each run of play.")
}

fn setting(told: &Told<'_>, brief: &CameraBrief, span: &PlaySpan, number: usize) -> String {
    let Some(setting) = brief.settings.get(number).filter(|s| s.t_range.is_some()) else {
        return "sees nothing of the field".to_owned();
    };
    let (from, until) = (span.instants.0, span.instants.1.saturating_sub(1));
    let side = |shade: bool| {
        let at = |index: usize| {
            let exposure = brief.exposures.get(index).copied().flatten()?;
            let white = if shade { Some(exposure.shade) } else { exposure.sun };
            brief.t_at(&told.brief.spans, index, white?)
        };
        format!("{} to {}", t_number(at(from)), t_number(at(until)))
    };
    let filter = setting_words(setting.nd_stops, setting.gain_db);
    format!("{filter:<16}{:>17}{:>17}", side(false), side(true))
}

fn desk(told: &Told<'_>, ink: Ink) -> String {
    let mut text = ink.heading("Desk");
    text.push('\n');
    for operator in &told.brief.desk.operators {
        let names = operator.cameras.iter().filter_map(|&c| told.venue.cameras.get(c));
        let names: Vec<&str> = names.map(|c| c.name.as_str()).collect();
        text += &wrapped("  ", &format!("operator {}: {}", operator.name, names.join(", ")));
    }
    text
}

fn cues(told: &Told<'_>, ink: Ink) -> String {
    let wanted = |kind: CueKind| {
        matches!(kind, CueKind::Verdict | CueKind::Lens | CueKind::Setting | CueKind::Lamps)
    };
    let mut text = ink.heading("First for the hands");
    text.push('\n');
    let cues: Vec<_> = told.brief.cues.iter().filter(|c| wanted(c.kind)).collect();
    for cue in cues.iter().take(MOST_CUES) {
        let _ = writeln!(
            text,
            "  {}  {:<57}{:>14}",
            clock(cue.at),
            fit(&cue.what, 56),
            sure_words(cue.sure)
        );
    }
    if cues.is_empty() {
        text += "  nothing to do\n";
    }
    let all = told.brief.cues.len();
    text + &wrapped("  ", &format!("All {all} cues are in the files."))
}
