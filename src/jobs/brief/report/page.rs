//! The brief on paper: A4 pages as HTML with print style, for the whole crew or for
//! one operator.
//!
//! In: [`BriefReport`], the timeline as SVG. Out: one HTML file without any reference outside
//! of itself. The first page is the brief; the cues follow.

mod cameras;

use serde::Serialize;

use crate::camera::{ExposureRange, Interval};
use crate::jobs::crew::CameraBrief;
use crate::jobs::crew::cues::{Cue, During};
use crate::jobs::crew::desk::Proof;
use crate::jobs::forecast::DayOutlook;
use crate::jobs::forecast::report::{note, stretch_line};
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};

use super::words::{
    clock, clock_s, heading, key_actions, lead_words, moving_words, sure_words, usual_lead_s,
};
use super::{BriefReport, BriefReportError, desk_words, faces, outputs};

pub(super) use cameras::PageCamera;
use cameras::camera_row;

const PAGE: &str = include_str!("paper/page.html");
const STYLE: &str = include_str!("paper/style.css");
/// Pairs that cut badly, on the first page.
const MAX_PAIRS: usize = 3;
/// Key actions on the first page; all cues follow.
const MAX_ACTIONS: usize = 14;

#[derive(Serialize)]
pub(super) struct PageData {
    pub title: String,
    pub heading: String,
    /// The operator that this is for; none for the whole crew.
    pub operator: Option<String>,
    pub window: String,
    /// How far the air may move an iris.
    pub air_range: String,
    /// What is made; empty unless the venue file says.
    pub production: String,
    /// Whether dimmed light makes a side for any of the cameras.
    pub any_dimmed: bool,
    pub cameras: Vec<PageCamera>,
    /// Camera by camera; empty unless the venue file names skins.
    pub skins: Vec<faces::SkinRow>,
    pub operators: Vec<OperatorRow>,
    pub desk_note: String,
    pub forecast: Option<ForecastPart>,
    pub pairs: Vec<String>,
    pub pairs_note: &'static str,
    pub actions: Vec<PageCue>,
    /// How the actions were chosen, where not all are there.
    pub actions_note: String,
    /// What holds for all cues that say nothing else.
    pub cues_note: String,
    /// Cues while play runs.
    pub cues: Vec<PageCue>,
    /// Cues before, between and after.
    pub outside: Vec<PageCue>,
    pub assumed: Vec<String>,
    pub cautions: Vec<&'static str>,
}

/// What the forecast of the day says.
#[derive(Serialize)]
pub(super) struct ForecastPart {
    pub lines: Vec<String>,
    pub note: String,
}

#[derive(Serialize)]
pub(super) struct OperatorRow {
    pub name: String,
    pub cameras: String,
    pub minutes: String,
}

#[derive(Serialize, Clone)]
pub(super) struct PageCue {
    pub time: String,
    pub what: String,
    pub detail: String,
    pub accuracy: String,
    pub operators: String,
}

/// The brief of the whole crew, or of one operator by index.
///
/// # Errors
/// [`BriefReportError::Page`] where the template fails: a fault of the program.
pub fn html(
    report: &BriefReport<'_>,
    operator: Option<usize>,
    timeline_svg: &str,
) -> Result<String, BriefReportError> {
    let mut pages = paper::pages();
    pages.add_template("paper.html", PAGE)?;
    let safe = minijinja::Value::from_safe_string;
    let context = minijinja::context! {
        page => minijinja::value::Serde(page(report, operator)),
        style => safe(STYLE.to_owned() + &foot_style()),
        timeline => safe(timeline_svg.to_owned()),
    };
    Ok(pages.get_template("paper.html")?.render(context)?)
}

pub(super) fn page(report: &BriefReport<'_>, operator: Option<usize>) -> PageData {
    let (venue, brief) = (report.venue, report.brief);
    let mine = |camera: usize| operator.is_none() || brief.desk.operator_of(camera) == operator;
    let briefs: Vec<&CameraBrief> = brief.cameras.iter().filter(|c| mine(c.camera)).collect();
    let cues: Vec<&Cue> = brief
        .cues
        .iter()
        .filter(|cue| operator.is_none_or(|o| cue.operators.contains(&o)))
        .collect();
    let usual = usual_lead_s(&brief.cues);
    let row = |cue: &&Cue| cue_row(report, cue, usual);
    let during = |during| cues.iter().filter(move |cue| cue.during == during);
    let all_actions = cues.iter().filter(|cue| cue.is_key_action()).count();
    let actions = key_actions(cues.iter().copied(), MAX_ACTIONS);
    let pairs = brief.matching.pairs.iter();
    let pairs = pairs.filter(|p| !p.apart.is_empty() && (mine(p.cameras.0) || mine(p.cameras.1)));
    let cameras: Vec<PageCamera> = briefs.iter().map(|c| camera_row(report, c)).collect();
    PageData {
        any_dimmed: cameras.iter().flat_map(|c| &c.settings).any(|s| !s.dimmed.is_empty()),
        title: venue.title.clone(),
        production: outputs::production_words(report).unwrap_or_default(),
        heading: heading(report),
        operator: operator.and_then(|o| brief.desk.operators.get(o)).map(|o| o.name.clone()),
        window: window(report),
        air_range: match air_range(report) {
            range if range.is_empty() => range,
            range => format!("In brackets: low and high of each T-number. {range}"),
        },
        operators: operators(report),
        desk_note: desk_note(report),
        forecast: report.forecast.map(|day| forecast(report, day)),
        pairs: pairs.take(MAX_PAIRS).map(|p| desk_words::pair(report, p)).collect(),
        pairs_note: desk_words::PAIRS_NOTE,
        actions_note: match all_actions - actions.len() {
            0 => String::new(),
            more => format!("The most urgent; {more} more among the cues that follow."),
        },
        actions: actions.iter().map(row).collect(),
        cues_note: cues_note(usual),
        cues: during(During::Play).map(row).collect(),
        outside: during(During::Outside).map(row).collect(),
        assumed: assumed(report, operator),
        skins: faces::skins(report, briefs),
        cameras,
        cautions: CAUTIONS.to_vec(),
    }
}

fn cues_note(usual: Option<f64>) -> String {
    let ahead = usual.map_or_else(String::new, |lead| {
        format!(
            "Warn {:.0} s ahead, for the camera's delay and the hand, where nothing else is said. ",
            lead.ceil()
        )
    });
    format!("{ahead}Accuracy: with every roof 1 m and the bearing 1 degree off.")
}

fn window(report: &BriefReport<'_>) -> String {
    let stones: Vec<String> =
        report.plan.milestones.iter().map(|m| format!("{} {}", m.name, clock(m.at))).collect();
    stones.join(", ")
}

fn forecast(report: &BriefReport<'_>, day: &DayOutlook) -> ForecastPart {
    ForecastPart {
        lines: day.stretches.iter().map(stretch_line).collect(),
        note: format!(
            "{} Under cloud: for an overcast sky, with the ND of a clear day.",
            note(report.venue, day)
        ),
    }
}

/// "Air: ±0.2 stops in the sun, ±0.5 in shade ...": how far the air may move an iris, at
/// most over all cameras; empty where that is not known.
pub(super) fn air_range(report: &BriefReport<'_>) -> String {
    let all = report.brief.cameras.iter().flat_map(|camera| &camera.ranges).flatten();
    let most = |white: fn(&ExposureRange) -> Option<Interval>| {
        let stops = all.clone().filter_map(white).map(|r| 0.5 * (r.high / r.low).log2());
        stops.filter(|stops| stops.is_finite()).reduce(f64::max)
    };
    match (most(|r| r.sun), most(|r| Some(r.shade))) {
        (Some(sun), Some(shade)) => format!(
            "For what is unknown of the air at most \u{b1}{sun:.1} stops in the sun and \
             \u{b1}{shade:.1} in shade, 8 clear days of 10."
        ),
        _ => String::new(),
    }
}

fn operators(report: &BriefReport<'_>) -> Vec<OperatorRow> {
    let step = step_min(report);
    let name = |c: &usize| report.venue.cameras.get(*c).map(|c| c.name.clone());
    let row = |o: &crate::jobs::crew::DeskShare| OperatorRow {
        name: o.name.clone(),
        cameras: o.cameras.iter().filter_map(name).collect::<Vec<_>>().join(", "),
        minutes: format!("{:.0} min", o.load as f64 * step),
    };
    report.brief.desk.operators.iter().map(row).collect()
}

fn step_min(report: &BriefReport<'_>) -> f64 {
    crate::jobs::match_plan::facts::step(report.plan).map_or(1.0, |s| s.num_seconds() as f64 / 60.0)
}

fn desk_note(report: &BriefReport<'_>) -> String {
    let desk = &report.brief.desk;
    let clashes = match desk.clashes {
        0 => "Nobody has two cameras to ride at once.".to_owned(),
        n => format!(
            "{:.0} minutes of riding a second camera at once: no share of the cameras avoids it.",
            n as f64 * step_min(report)
        ),
    };
    let proof = match desk.proof {
        Proof::Best => "",
        Proof::BestFound => " A better share was not ruled out.",
    };
    let assumed =
        if desk.assumed { " Operators are assumed; the venue file names none." } else { "" };
    let more = [desk_words::at_once(report), desk_words::filters(report)].concat();
    let more: String = more.iter().map(|line| format!(" {line}")).collect();
    format!("{clashes}{proof}{assumed}{more}")
}

fn cue_row(report: &BriefReport<'_>, cue: &Cue, usual: Option<f64>) -> PageCue {
    let name = |o: &usize| report.brief.desk.operators.get(*o).map(|o| o.name.clone());
    PageCue {
        time: clock_s(cue.at),
        what: cue.what.clone(),
        detail: [moving_words(cue), lead_words(cue, usual)]
            .into_iter()
            .filter(|words| !words.is_empty())
            .collect::<Vec<_>>()
            .join("; "),
        accuracy: sure_words(cue.sure),
        operators: cue.operators.iter().filter_map(name).collect::<Vec<_>>().join(", "),
    }
}

/// Keys that nobody stated, camera by camera where they differ.
fn assumed(report: &BriefReport<'_>, operator: Option<usize>) -> Vec<String> {
    let mine = |c: &&CameraBrief| {
        operator.is_none() || report.brief.desk.operator_of(c.camera) == operator
    };
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for camera in report.brief.cameras.iter().filter(mine) {
        let keys = camera.rig.assumed.join(", ");
        let name = report.venue.cameras.get(camera.camera).map(|c| c.name.clone());
        match groups.iter_mut().find(|(k, _)| *k == keys) {
            Some((_, names)) => names.extend(name),
            None => groups.push((keys, name.into_iter().collect())),
        }
    }
    let words = |(keys, names): (String, Vec<String>)| {
        (!keys.is_empty()).then(|| format!("{}: {keys}", names.join(", ")))
    };
    groups.into_iter().filter_map(words).collect()
}
