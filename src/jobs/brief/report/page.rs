//! The brief on paper: A4 pages as HTML with print style, for the whole crew or for
//! one operator.
//!
//! In: [`BriefReport`], the timeline as SVG. Out: one HTML file without any reference outside
//! of itself. The first page is the brief; the cues follow.

use serde::Serialize;

use crate::camera::{ExposureRange, Interval, LensState, SubjectLit};
use crate::jobs::clouds::Reach;
use crate::jobs::crew::cues::{Cue, During};
use crate::jobs::crew::desk::Proof;
use crate::jobs::crew::{CameraBrief, Holds, SpanSetting};
use crate::jobs::forecast::DayOutlook;
use crate::jobs::forecast::report::{note, stretch_line};
use crate::jobs::match_plan::play::PlaySpan;
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};

use super::words::{
    DimmedSpan, Iris, clock, clock_s, heading, iris_range_of, key_actions, lead_words, lens_words,
    lit_words, moving_words, runs, setting_words, sure_words, usual_lead_s, verdict_words,
};
use super::{BriefReport, BriefReportError, desk_words, faces, outputs};

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
pub(super) struct PageCamera {
    pub name: String,
    pub operator: String,
    /// One for each run of play.
    pub settings: Vec<PageSetting>,
    pub verdicts: Vec<String>,
    /// What hides its cover, what the outputs do where there are several, and light that the
    /// lens lacks.
    pub outputs: Vec<String>,
    pub sun: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct PageSetting {
    pub span: String,
    pub filter: String,
    /// Sun side from the start to the end of the run.
    pub sun: String,
    pub shade: String,
    /// T-numbers and share of the picture in dimmed light; empty without any.
    pub dimmed: String,
    /// Under cloud, where there is a forecast; else empty.
    pub cloud: String,
    pub one: String,
    /// Low and high of the three; empty where no range is known.
    pub sun_range: String,
    pub shade_range: String,
    pub one_range: String,
    pub note: &'static str,
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

fn camera_row(report: &BriefReport<'_>, brief: &CameraBrief) -> PageCamera {
    let desk = &report.brief.desk;
    let operator = desk.operator_of(brief.camera).and_then(|o| desk.operators.get(o));
    let spans = report.brief.spans.iter().zip(&brief.settings);
    PageCamera {
        name: report.venue.cameras.get(brief.camera).map_or_else(String::new, |c| c.name.clone()),
        operator: operator.map_or_else(String::new, |o| o.name.clone()),
        settings: spans.map(|(span, setting)| setting_row(report, brief, span, setting)).collect(),
        verdicts: verdicts(report, brief),
        outputs: report
            .hidden(brief.camera)
            .map(str::to_owned)
            .chain(outputs::lines(report, brief))
            .chain(faces::light_lines(report, brief))
            .collect(),
        sun: sun(report, brief),
    }
}

fn setting_row(
    report: &BriefReport<'_>,
    brief: &CameraBrief,
    span: &PlaySpan,
    setting: &SpanSetting,
) -> PageSetting {
    let (sun, shade, one) = match setting.t_range {
        // it sees nothing of the field: there is no T-number to give
        None => Default::default(),
        Some(_) => (
            unbroken(&Iris::of(report, brief, span, |e| e.sun).to_string()),
            unbroken(&Iris::of(report, brief, span, |e| Some(e.shade)).to_string()),
            unbroken(&Iris::of(report, brief, span, |e| Some(e.one.white)).to_string()),
        ),
    };
    let range = |white: fn(&ExposureRange) -> Option<Interval>| match setting.t_range {
        None => String::new(),
        Some(_) => unbroken(&iris_range_of(report, brief, span, white)),
    };
    PageSetting {
        sun_range: range(|r| r.sun),
        shade_range: range(|r| Some(r.shade)),
        one_range: range(|r| Some(r.one)),
        span: span.name.clone(),
        filter: setting_words(setting.nd_stops, setting.gain_db),
        sun,
        shade,
        dimmed: DimmedSpan::of(report, brief, span)
            .map_or_else(String::new, |dimmed| unbroken(&dimmed.words())),
        cloud: cloud(report, brief, span),
        one,
        note: match setting.holds {
            Holds::Preferred => "",
            Holds::Reachable => "*",
            Holds::Beyond => "**",
        },
    }
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

/// "under cloud T4.0 to T2.8"; empty without a forecast.
fn cloud(report: &BriefReport<'_>, brief: &CameraBrief, span: &PlaySpan) -> String {
    let ready = report
        .forecast
        .and_then(|day| day.ready.iter().find(|r| r.camera == brief.camera && r.run == span.name));
    let Some((ready, (start, end))) = ready.and_then(|r| Some((r, r.cloud_ends_t?))) else {
        return String::new();
    };
    let (start, end) = (format!("T{start:.1}"), format!("T{end:.1}"));
    let t = if start == end { start } else { format!("{start} to {end}") };
    let beyond = match ready.in_reach {
        Reach::TooDarkUnderCloud => ": too dark for the lens, less ND",
        Reach::TooBrightInSun => ": too bright for the lens in the sun, more ND",
        Reach::Both | Reach::Unknown => "",
    };
    format!("under cloud {}{beyond}", unbroken(&t))
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

/// A range of T-numbers stays on one line of a narrow column; its times may go to the next.
fn unbroken(iris: &str) -> String {
    iris.replace(" to ", "\u{a0}to\u{a0}")
}

/// "14:40 to 15:04 ride; ...".
fn verdicts(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<String> {
    let values: Vec<_> = brief.exposures.iter().map(|e| e.map(|e| e.verdict)).collect();
    let words = |verdict: Option<_>| verdict.map_or("sees nothing of the field", verdict_words);
    run_texts(report, &values, |v| Some(words(v).to_owned()))
}

/// The sun and the lens, the way the subject is lit, the operator's own place.
fn sun(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<String> {
    let lens: Vec<LensState> = brief.lens.iter().map(|l| l.state).collect();
    let mut words = run_texts(report, &lens, |state| {
        (state != LensState::Clear).then(|| lens_words(state).to_owned())
    });
    let lit: Vec<Option<SubjectLit>> = brief.lens.iter().map(|l| l.subject).collect();
    words.extend(run_texts(report, &lit, |lit| lit.map(|l| lit_words(l).to_owned())));
    let out: Vec<bool> =
        brief.lens.iter().map(|l| l.at_camera.is_some_and(|t| t.share() > 0.5)).collect();
    words.extend(run_texts(report, &out, |out| out.then(|| "operator in the sun".to_owned())));
    words
}

fn run_texts<T: PartialEq + Copy>(
    report: &BriefReport<'_>,
    values: &[T],
    words: impl Fn(T) -> Option<String>,
) -> Vec<String> {
    let at =
        |index: usize| report.plan.instants.get(index).map_or_else(String::new, |i| clock(i.at));
    let run = |(from, until, value): (usize, usize, T)| {
        Some(format!("{} to {} {}", at(from), at(until), words(value)?))
    };
    runs(values).into_iter().filter_map(run).collect()
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
