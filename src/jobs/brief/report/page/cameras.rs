//! A camera on the pages: settings of each run of play, what the iris does, the sun.
//!
//! In: [`BriefReport`], the brief of a camera. Out: words; T-numbers, ND in stops.

use serde::Serialize;

use crate::camera::{ExposureRange, Interval, LensState, SubjectLit};
use crate::jobs::brief::report::words::{
    DimmedSpan, Iris, clock, iris_range_of, lens_words, lit_words, runs, setting_words,
    verdict_words,
};
use crate::jobs::brief::report::{BriefReport, faces, outputs};
use crate::jobs::clouds::Reach;
use crate::jobs::crew::{CameraBrief, Holds, SpanSetting};
use crate::jobs::match_plan::play::PlaySpan;

#[derive(Serialize)]
pub(in crate::jobs::brief::report) struct PageCamera {
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
pub(in crate::jobs::brief::report) struct PageSetting {
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

pub(super) fn camera_row(report: &BriefReport<'_>, brief: &CameraBrief) -> PageCamera {
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

/// "under cloud T4.0 to T2.8"; empty without a forecast.
fn cloud(report: &BriefReport<'_>, brief: &CameraBrief, span: &PlaySpan) -> String {
    let ready = report
        .forecast
        .and_then(|day| day.ready.iter().find(|r| r.camera == brief.camera && r.run == span.name));
    let Some((ready, (start, end))) = ready.and_then(|r| Some((r, r.cloud_ends_t?))) else {
        return String::new();
    };
    let (start, end) = (ready.lens.set_t(start), ready.lens.set_t(end));
    let (start, end) = (format!("T{start:.1}"), format!("T{end:.1}"));
    let t = if start == end { start } else { format!("{start} to {end}") };
    let beyond = match ready.in_reach {
        Reach::TooDarkUnderCloud => ": too dark for the lens, less ND",
        Reach::TooBrightInSun => ": too bright for the lens in the sun, more ND",
        Reach::Both | Reach::Unknown => "",
    };
    format!("under cloud {}{beyond}", unbroken(&t))
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
