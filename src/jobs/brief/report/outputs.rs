//! Outputs of a production in the brief: sentences, columns and data. Without a production in
//! the venue file all of it is empty.

use schemars::JsonSchema;
use serde::Serialize;

use crate::jobs::crew::CameraBrief;
use crate::jobs::crew::outputs::{OutputBrief, SideCodes, outputs_words};
use crate::jobs::match_plan::play::PlaySpan;
use crate::output::table::{Column, number, text};
use crate::output::words::local_time;
use crate::venue::{Output, Production, SdrFrom};

use super::BriefReport;
use super::tables::SettingRow;
use super::words::{clock, runs, verdict_key};

/// What is made and how; `None` without a production.
pub(super) fn production_words(report: &BriefReport<'_>) -> Option<String> {
    let production = report.venue.production.as_ref()?;
    let names: Vec<&str> = production.makes.iter().map(|output| output.name()).collect();
    let made = match production.hdr_for_sdr().filter(|_| production.makes.contains(&Output::Sdr)) {
        Some(hdr) => format!(" SDR is made of {} {}.", hdr.name(), by_words(production.sdr_from)),
        None => String::new(),
    };
    let shaded = match names.len() {
        1 => String::new(),
        _ => format!(
            " Irises are set on {}; each is judged at an iris of its own.",
            production.shades_on.name()
        ),
    };
    Some(format!("The production makes {}.{shaded}{made}", names.join(" and ")))
}

fn by_words(sdr_from: SdrFrom) -> &'static str {
    match sdr_from {
        SdrFrom::MethodC => "by Report ITU-R BT.2446, method C",
        SdrFrom::DisplayLight => "by Report ITU-R BT.2408, display light",
        SdrFrom::SceneLight => "by Report ITU-R BT.2408, scene light",
        SdrFrom::Camera => "by the cameras themselves",
    }
}

/// "14:40 to 15:04 HLG holds, SDR must choose"; empty for fewer than two outputs.
pub(super) fn lines(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<String> {
    if brief.outputs.len() < 2 {
        return Vec::new();
    }
    let said: Vec<String> = (0..report.plan.instants.len())
        .map(|index| outputs_words(&brief.output_verdicts(index)))
        .collect();
    let said: Vec<&str> = said.iter().map(String::as_str).collect();
    let at =
        |index: usize| report.plan.instants.get(index).map_or_else(String::new, |i| clock(i.at));
    let known = runs(&said).into_iter().filter(|(_, _, words)| !words.is_empty());
    known.map(|(from, until, words)| format!("{} to {} {words}", at(from), at(until))).collect()
}

/// Statements of each instant, for the board; empty for fewer than two outputs.
pub(super) fn by_instant(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<String> {
    match brief.outputs.len() {
        0 | 1 => Vec::new(),
        _ => (0..report.plan.instants.len())
            .map(|index| outputs_words(&brief.output_verdicts(index)))
            .collect(),
    }
}

/// Columns of the output at a place of the list, with its word before each name.
pub(super) fn columns<'a>(word: &str, place: usize) -> Vec<Column<'a, SettingRow<'a>>> {
    let mut list = of_verdict(place);
    list.extend(of_codes(place));
    list.into_iter().map(|column| column.called(&format!("{word}_"), "")).collect()
}

/// The output at a place of the list.
fn of<'r>(row: &'r SettingRow<'_>, place: usize) -> Option<&'r OutputBrief> {
    row.camera.outputs.get(place)
}

fn of_verdict<'a>(place: usize) -> Vec<Column<'a, SettingRow<'a>>> {
    let exposure = move |r: &SettingRow<'a>| of(r, place)?.exposures.get(r.index).copied()?;
    let set = move |r: &SettingRow<'a>| of(r, place)?.as_set.get(r.index).copied()?;
    vec![
        text(
            "verdict",
            "word",
            "hold, ride, choose, or none where nothing is in the cover",
            move |r: &SettingRow<'a>| verdict_key(exposure(r).map(|e| e.verdict)).to_owned(),
        ),
        number(
            "one_t",
            ("T-number", 2),
            "the one iris for both sides, for this output alone",
            move |r: &SettingRow<'a>| {
                r.camera.t_at(&r.report.brief.spans, r.index, exposure(r)?.one.white)
            },
        ),
        number(
            "one_over_stops",
            ("stop", 2),
            "what the bright side is over with it",
            move |r: &SettingRow<'a>| Some(exposure(r)?.one.over.stops()),
        ),
        number(
            "one_under_stops",
            ("stop", 2),
            "what the dim side is under with it",
            move |r: &SettingRow<'a>| Some(exposure(r)?.one.under.stops()),
        ),
        number(
            "beyond_stops",
            ("stop", 2),
            "kit beyond what camera and output keep; negative is room",
            move |r: &SettingRow<'a>| Some(exposure(r)?.one.beyond.stops()),
        ),
        number(
            "set_over_stops",
            ("stop", 2),
            "what the bright side is over with the iris that is set",
            move |r: &SettingRow<'a>| Some(set(r)?.one.over.stops()),
        ),
        text(
            "set_holds",
            "yes or no",
            "whether the output holds with the iris that is set; empty where nothing is in the cover",
            move |r: &SettingRow<'a>| {
                set(r).map_or("", |s| if s.holds { "yes" } else { "no" }).to_owned()
            },
        ),
    ]
}

fn of_codes<'a>(place: usize) -> Vec<Column<'a, SettingRow<'a>>> {
    type Code = fn(&SideCodes) -> Option<u32>;
    let code = move |name: &str, meaning: &str, which: Code| {
        number(name, ("10 bit", 0), meaning, move |r: &SettingRow<'a>| {
            let codes = of(r, place)?.codes.get(r.index).copied()??;
            which(&codes).map(f64::from)
        })
    };
    vec![
        code("skin_sun_code", "skin in the sun with that iris, narrow range", |c| c.skin_sun),
        code("skin_shade_code", "skin in shade", |c| Some(c.skin_shade)),
        code("turf_sun_code", "turf in the sun", |c| c.turf_sun),
        code("turf_shade_code", "turf in shade", |c| Some(c.turf_shade)),
    ]
}

/// What is made.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProductionOut {
    /// "sdr", "hlg" and "pq", as the file lists them.
    pub makes: Vec<Output>,
    /// The one that irises are set by.
    pub shades_on: Output,
    /// Where SDR comes from; null unless SDR and HDR are made.
    pub sdr_from: Option<SdrFrom>,
}

impl ProductionOut {
    pub(super) fn of(production: &Production) -> Self {
        let both = production.makes.contains(&Output::Sdr) && production.makes.len() > 1;
        Self {
            makes: production.makes.clone(),
            shades_on: production.shades_on,
            sdr_from: both.then_some(production.sdr_from),
        }
    }
}

/// An output of one camera.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OutputOut {
    pub output: Output,
    /// Runs of one verdict, in order of time.
    pub verdicts: Vec<OutputVerdictOut>,
    /// In the order of the runs of play.
    pub settings: Vec<OutputSettingOut>,
}

/// A run of one verdict.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OutputVerdictOut {
    /// First and last instant, RFC 3339.
    pub from: String,
    pub until: String,
    /// "hold", "ride", "choose" or "none".
    pub verdict: &'static str,
}

/// An output in a run of play.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OutputSettingOut {
    /// Smallest and largest T-number of the one iris for both sides, for this output alone.
    pub one_t: Option<[f64; 2]>,
    /// Share of the instants at which the output holds with the iris that is set, 0 to 1.
    pub holds_as_set: Option<f64>,
    /// Most that the bright side is over, and the dim side under, with the iris that is set,
    /// stops.
    pub most_over_stops: Option<f64>,
    pub most_under_stops: Option<f64>,
    /// Where sun and shade lie farthest apart on skin.
    pub widest: Option<CodesOut>,
}

/// Code values of 10 bits, narrow range, with the iris that is set.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CodesOut {
    /// RFC 3339.
    pub time: String,
    pub skin_sun: Option<u32>,
    pub skin_shade: u32,
    pub turf_sun: Option<u32>,
    pub turf_shade: u32,
}

/// The outputs of a camera as data.
pub(super) fn output_outs(report: &BriefReport<'_>, brief: &CameraBrief) -> Vec<OutputOut> {
    let at = |index: usize| {
        report.plan.instants.get(index).map_or_else(String::new, |i| local_time(i.at))
    };
    let one = |of: &OutputBrief| {
        let verdicts: Vec<_> = of.exposures.iter().map(|e| e.map(|e| e.verdict)).collect();
        OutputOut {
            output: of.output,
            verdicts: runs(&verdicts)
                .into_iter()
                .map(|(from, until, verdict)| OutputVerdictOut {
                    from: at(from),
                    until: at(until),
                    verdict: verdict_key(verdict),
                })
                .collect(),
            settings: report
                .brief
                .spans
                .iter()
                .map(|span| setting(report, brief, of, span))
                .collect(),
        }
    };
    brief.outputs.iter().map(one).collect()
}

fn setting(
    report: &BriefReport<'_>,
    brief: &CameraBrief,
    of: &OutputBrief,
    span: &PlaySpan,
) -> OutputSettingOut {
    let (from, until) = span.instants;
    let t = |index: usize| {
        let white = of.exposures.get(index)?.as_ref()?.one.white;
        brief.t_at(&report.brief.spans, index, white)
    };
    let wider = |a: [f64; 2], b: [f64; 2]| [a[0].min(b[0]), a[1].max(b[1])];
    let set: Vec<_> = (from..until).filter_map(|i| of.as_set.get(i).copied().flatten()).collect();
    let apart = |codes: &SideCodes| codes.skin_sun.map_or(0, |sun| sun.abs_diff(codes.skin_shade));
    let codes = (from..until).filter_map(|i| Some((i, of.codes.get(i).copied().flatten()?)));
    // of equals the first
    let widest = codes.reduce(|a, b| if apart(&b.1) > apart(&a.1) { b } else { a });
    let most = |value: fn(&crate::camera::SetFor) -> f64| set.iter().map(value).reduce(f64::max);
    let held = set.iter().filter(|s| s.holds).count() as f64;
    OutputSettingOut {
        one_t: (from..until).filter_map(t).map(|t| [t, t]).reduce(wider),
        holds_as_set: (!set.is_empty()).then(|| held / set.len() as f64),
        most_over_stops: most(|s| s.one.over.stops()),
        most_under_stops: most(|s| s.one.under.stops()),
        widest: widest.map(|(index, codes)| CodesOut {
            time: report.plan.instants.get(index).map_or_else(String::new, |i| local_time(i.at)),
            skin_sun: codes.skin_sun,
            skin_shade: codes.skin_shade,
            turf_sun: codes.turf_sun,
            turf_shade: codes.turf_shade,
        }),
    }
}
