//! The brief in a terminal: what to set, key actions, the desk.
//!
//! In: [`BriefReport`]. Out: text of at most [`crate::output::text::WIDTH`] columns.

use std::fmt::Write;

use crate::jobs::crew::CameraBrief;
use crate::jobs::forecast::report::text::expectation;
use crate::jobs::match_plan::play::PlaySpan;
use crate::output::text::{Ink, cautions, fit, wrapped};

use super::words::{DimmedSpan, Iris, clock, heading, key_actions, setting_words, sure_words};
use super::{BriefReport, desk_words, faces, outputs};

/// Key actions that are listed; the files hold all cues.
const MAX_ACTIONS: usize = 16;

/// The summary of a brief, without the list of files.
pub fn text(report: &BriefReport<'_>, ink: Ink) -> String {
    let mut parts = vec![
        format!("{}\n{}", ink.heading(&report.venue.title), wrapped("", &heading(report))),
        settings(report, ink),
    ];
    let hidden = |report: &BriefReport<'_>, brief: &CameraBrief| {
        report.hidden(brief.camera).map(str::to_owned).collect()
    };
    parts.extend(section(report, "Hidden from cameras", &hidden, ink));
    parts.extend(outputs::production_words(report).map(|words| made(report, &words, ink)));
    parts.extend(section(report, "Light that lenses lack", &faces::light_lines, ink));
    parts.extend(section(report, "Skins", &faces::skin_lines, ink));
    parts.extend(report.forecast.map(|day| expectation("Forecast", report.venue, day, ink)));
    parts.extend([cues(report, ink), desk(report, ink), cautions(ink)]);
    parts.join("\n")
}

fn settings(report: &BriefReport<'_>, ink: Ink) -> String {
    let title = format!("{:<28}{:<12}{:>25}{:>15}", "What to set", "", "sun", "shade");
    let mut text = ink.heading(title.trim_end());
    text.push('\n');
    for brief in &report.brief.cameras {
        let name = report.venue.cameras.get(brief.camera).map_or("", |c| c.name.as_str());
        for (number, span) in report.brief.spans.iter().enumerate() {
            let name =
                if number == 0 { fit(name, 25) } else { fit(&format!("  {}", span.name), 25) };
            let line = setting(report, brief, span, number);
            let _ = writeln!(text, "  {name:<26}{line}");
            if let Some(dimmed) = DimmedSpan::of(report, brief, span) {
                let _ = writeln!(text, "{:>80}", dimmed.words());
            }
        }
    }
    let words = "T-numbers from the start to the end of each run of play.";
    text + &wrapped("  ", format!("{words} {}", super::page::air_range(report)).trim_end())
}

/// What is made, and where outputs part.
fn made(report: &BriefReport<'_>, words: &str, ink: Ink) -> String {
    let by_camera = by_camera(report, &outputs::lines);
    format!("{}\n{}{by_camera}", ink.heading("Outputs"), wrapped("  ", words))
}

type Lines<'a> = &'a dyn Fn(&BriefReport<'_>, &CameraBrief) -> Vec<String>;

/// `None` where no camera has a line.
fn section(report: &BriefReport<'_>, title: &str, lines: Lines<'_>, ink: Ink) -> Option<String> {
    let by_camera = by_camera(report, lines);
    (!by_camera.is_empty()).then(|| format!("{}\n{by_camera}", ink.heading(title)))
}

/// What there is to say of each camera.
fn by_camera(report: &BriefReport<'_>, lines: Lines<'_>) -> String {
    let mut text = String::new();
    for brief in &report.brief.cameras {
        let name = report.venue.cameras.get(brief.camera).map_or("", |c| c.name.as_str());
        let lines = lines(report, brief);
        if !lines.is_empty() {
            text += &wrapped("  ", &format!("{name}: {}", lines.join("; ")));
        }
    }
    text
}

fn setting(
    report: &BriefReport<'_>,
    brief: &CameraBrief,
    span: &PlaySpan,
    number: usize,
) -> String {
    let Some(setting) = brief.settings.get(number).filter(|s| s.t_range.is_some()) else {
        return "sees nothing of the field".to_owned();
    };
    let filter = setting_words(setting.nd_stops, setting.gain_db);
    let sun = Iris::of(report, brief, span, |e| e.sun);
    let shade = Iris::of(report, brief, span, |e| Some(e.shade));
    let mut line = format!("{filter:<12}{:>25}{:>15}", sun.range, shade.range);
    // the times of an iris at an end of the lens stand under it
    for (side, iris) in [("sun", sun), ("shade", shade)] {
        for end in iris.ends {
            let _ = write!(line, "\n{:>80}", format!("{side}: {end}"));
        }
    }
    line
}

fn desk(report: &BriefReport<'_>, ink: Ink) -> String {
    let mut text = ink.heading("Desk");
    text.push('\n');
    for operator in &report.brief.desk.operators {
        let names = operator.cameras.iter().filter_map(|&c| report.venue.cameras.get(c));
        let names: Vec<&str> = names.map(|c| c.name.as_str()).collect();
        text += &wrapped("  ", &format!("operator {}: {}", operator.name, names.join(", ")));
    }
    for line in [desk_words::at_once(report), desk_words::filters(report)].concat() {
        text += &wrapped("  ", &line);
    }
    text
}

fn cues(report: &BriefReport<'_>, ink: Ink) -> String {
    let mut text = ink.heading(&format!("{:<66}{:>14}", "Key actions", "accuracy"));
    text.push('\n');
    let actions = key_actions(report.brief.cues.iter(), MAX_ACTIONS);
    for cue in &actions {
        let _ = writeln!(
            text,
            "  {}  {:<57}{:>14}",
            clock(cue.at),
            fit(&cue.what, 56),
            sure_words(cue.sure)
        );
    }
    if actions.is_empty() {
        text += "  none in play: nothing to set anew\n";
    }
    let all = match report.brief.cues.len() {
        0 => "No cue of any kind.".to_owned(),
        1 => "The one cue is in the files.".to_owned(),
        all => format!("All {all} cues are in the files."),
    };
    text + &wrapped("  ", &all)
}
