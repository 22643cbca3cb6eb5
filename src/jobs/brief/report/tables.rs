//! Cues and settings as CSV (RFC 4180: UTF-8, comma, CRLF, one header row).
//!
//! In: [`BriefReport`]. Out: one row a cue, and one row for each camera and instant.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::base::units::Luminance;
use crate::camera::{Exposure, Interval, LensView};
use crate::jobs::crew::{CameraBrief, Cue, SpanSetting};
use crate::output::air::source;
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::output::words::local_time;

use super::words::{
    cue_key, during_key, lens_key, lit_words, uncertain_s, urgency_key, verdict_key,
};
use super::{BriefReport, outputs};

struct CueRow<'a> {
    report: &'a BriefReport<'a>,
    cue: &'a Cue,
}

impl CueRow<'_> {
    fn cameras(&self) -> String {
        let name = |c: &usize| self.report.venue.cameras.get(*c).map(|c| c.name.as_str());
        self.cue.cameras.iter().filter_map(name).collect::<Vec<_>>().join("; ")
    }

    fn operators(&self) -> String {
        let name = |o: &usize| self.report.brief.desk.operators.get(*o).map(|o| o.name.as_str());
        self.cue.operators.iter().filter_map(name).collect::<Vec<_>>().join("; ")
    }
}

fn of_cue<'a>() -> Vec<Column<'a, CueRow<'a>>> {
    vec![
        text("time", "RFC 3339", "when, with the venue's offset", |r: &CueRow<'a>| {
            local_time(r.cue.at)
        }),
        text("what", "text", "what happens", |r: &CueRow<'a>| r.cue.what.clone()),
        text(
            "kind",
            "word",
            "edge, zone, cover, lens, verdict, split, lamps, balance, forecast or break",
            |r: &CueRow<'a>| cue_key(r.cue.kind).to_owned(),
        ),
        text("cameras", "text", "names with \"; \" between", |r: &CueRow<'a>| r.cameras()),
        text("operators", "text", "names with \"; \" between", |r: &CueRow<'a>| r.operators()),
        number("ready_before_s", ("s", 0), "to be warned so long ahead", |r: &CueRow<'a>| {
            Some(r.cue.lead_s.ceil())
        }),
        number(
            "uncertain_s",
            ("s", 0),
            "either way; empty where it may not come at all",
            |r: &CueRow<'a>| uncertain_s(r.cue.sure),
        ),
        number(
            "edge_m_per_min",
            ("m/min", 2),
            "speed of the edge across itself; empty for other cues",
            |r: &CueRow<'a>| r.cue.moving.as_ref().map(|m| m.m_per_min),
        ),
        text("edge_toward", "text", "the stand or side that it moves toward", |r: &CueRow<'a>| {
            r.cue.moving.as_ref().map_or_else(String::new, |m| m.toward.clone())
        }),
        text(
            "urgency",
            "word",
            "act, at_break (to set while play is stopped) or know (nothing to set)",
            |r: &CueRow<'a>| urgency_key(r.cue.urgency).to_owned(),
        ),
        text(
            "during",
            "word",
            "play, or outside: before kickoff, at half-time, after the end",
            |r: &CueRow<'a>| during_key(r.cue.during).to_owned(),
        ),
    ]
}

/// A camera at an instant.
pub(super) struct SettingRow<'a> {
    pub(super) report: &'a BriefReport<'a>,
    pub(super) camera: &'a CameraBrief,
    pub(super) index: usize,
    at: DateTime<Tz>,
    name: &'a str,
    operator: &'a str,
    exposure: Option<Exposure>,
    lens: &'a LensView,
    setting: &'a SpanSetting,
    mixed_frames: f64,
}

impl<'a> SettingRow<'a> {
    fn new(report: &'a BriefReport<'a>, camera: &'a CameraBrief, index: usize) -> Option<Self> {
        let instant = report.plan.instants.get(index)?;
        let view = instant.cameras.get(camera.camera)?;
        let desk = &report.brief.desk;
        let operator = desk.operator_of(camera.camera).and_then(|o| desk.operators.get(o));
        Some(Self {
            report,
            camera,
            index,
            at: instant.at,
            name: &report.venue.cameras.get(camera.camera)?.name,
            operator: operator.map_or("", |o| &o.name),
            exposure: *camera.exposures.get(index)?,
            lens: camera.lens.get(index)?,
            setting: camera.setting_at(&report.brief.spans, index)?,
            mixed_frames: view.mixed_frames,
        })
    }

    /// T-number that brings a luminance to white.
    fn t(&self, white: Option<Luminance>) -> Option<f64> {
        white.and_then(|white| self.camera.t_at(&self.report.brief.spans, self.index, white))
    }

    fn between(&self, white: Option<Interval>) -> Option<(f64, f64)> {
        white.and_then(|w| self.camera.t_between(&self.report.brief.spans, self.index, w))
    }

    fn sun_between(&self) -> Option<(f64, f64)> {
        let range = self.camera.ranges.get(self.index).and_then(Option::as_ref);
        self.between(range.and_then(|r| r.sun))
    }

    fn shade_between(&self) -> Option<(f64, f64)> {
        let range = self.camera.ranges.get(self.index).and_then(Option::as_ref);
        self.between(range.map(|r| r.shade))
    }

    fn one_between(&self) -> Option<(f64, f64)> {
        let range = self.camera.ranges.get(self.index).and_then(Option::as_ref);
        self.between(range.map(|r| r.one))
    }

    fn may_be(&self) -> String {
        let others = self.camera.other_verdicts(self.index).into_iter();
        others.map(|v| verdict_key(Some(v))).collect::<Vec<_>>().join("; ")
    }
}

/// The columns, with those of outputs of these names behind them.
fn of_setting<'a>(made: &[&str]) -> Vec<Column<'a, SettingRow<'a>>> {
    let mut list = of_iris();
    list.extend(of_lens());
    list.extend(of_range());
    list.extend(made.iter().enumerate().flat_map(|(place, word)| outputs::columns(word, place)));
    list
}

/// What to set.
fn of_iris<'a>() -> Vec<Column<'a, SettingRow<'a>>> {
    vec![
        text("time", "RFC 3339", "instant, with the venue's offset", |r: &SettingRow<'a>| {
            local_time(r.at)
        }),
        text("camera", "text", "name", |r: &SettingRow<'a>| r.name.to_owned()),
        text("operator", "text", "name", |r: &SettingRow<'a>| r.operator.to_owned()),
        text(
            "verdict",
            "word",
            "hold, ride, choose, or none where nothing is in the cover",
            |r: &SettingRow<'a>| verdict_key(r.exposure.map(|e| e.verdict)).to_owned(),
        ),
        number("nd_stops", ("stop", 2), "ND of this run of play", |r: &SettingRow<'a>| {
            Some(r.setting.nd_stops)
        }),
        number("gain_db", ("dB", 1), "gain of this run of play", |r: &SettingRow<'a>| {
            Some(r.setting.gain_db)
        }),
        number(
            "sun_t",
            ("T-number", 2),
            "for the sunlit side; empty without direct sun",
            |r: &SettingRow<'a>| r.t(r.exposure.and_then(|e| e.sun)),
        ),
        number("shade_t", ("T-number", 2), "for the shaded side", |r: &SettingRow<'a>| {
            r.t(r.exposure.map(|e| e.shade))
        }),
        number(
            "one_t",
            ("T-number", 2),
            "the one iris for both that is least bad for all in the cover",
            |r: &SettingRow<'a>| r.t(r.exposure.map(|e| e.one.white)),
        ),
        number(
            "one_over_stops",
            ("stop", 2),
            "what the bright side is over with it",
            |r: &SettingRow<'a>| r.exposure.map(|e| e.one.over.stops()),
        ),
        number(
            "one_under_stops",
            ("stop", 2),
            "what the dim side is under with it",
            |r: &SettingRow<'a>| r.exposure.map(|e| e.one.under.stops()),
        ),
        number(
            "beyond_camera_stops",
            ("stop", 2),
            "kit beyond what the camera keeps; negative is room",
            |r: &SettingRow<'a>| r.exposure.map(|e| e.one.beyond.stops()),
        ),
    ]
}

/// What the lens sees.
fn of_lens<'a>() -> Vec<Column<'a, SettingRow<'a>>> {
    vec![
        number(
            "mixed_frames",
            ("0 to 1", 2),
            "share of the pan with both sides in frame",
            |r: &SettingRow<'a>| Some(r.mixed_frames),
        ),
        text(
            "lens",
            "word",
            "clear, shaded, on_element or in_frame: the sun and the lens",
            |r: &SettingRow<'a>| lens_key(r.lens.state).to_owned(),
        ),
        number(
            "sun_off_axis_deg",
            ("degree", 1),
            "least angle of sun and axis over the pan",
            |r: &SettingRow<'a>| r.lens.off_axis_deg,
        ),
        text("subject_lit", "word", "front-lit, side-lit or back-lit", |r: &SettingRow<'a>| {
            r.lens.subject.map_or_else(String::new, |s| lit_words(s).to_owned())
        }),
        number(
            "sun_at_camera",
            ("0 to 1", 2),
            "share of direct light at the operator's place",
            |r: &SettingRow<'a>| r.lens.at_camera.map(|t| t.share()),
        ),
        text(
            "verdict_may_be",
            "words",
            "other verdicts that the air may make, with \"; \" between",
            |r: &SettingRow<'a>| r.may_be(),
        ),
    ]
}

/// What is unknown of the air, and what it moves.
fn of_range<'a>() -> Vec<Column<'a, SettingRow<'a>>> {
    vec![
        number(
            "sun_t_low",
            ("T-number", 2),
            "10th percentile of sun_t for what is unknown of the air",
            |r: &SettingRow<'a>| r.sun_between().map(|t| t.0),
        ),
        number("sun_t_high", ("T-number", 2), "90th percentile of sun_t", |r: &SettingRow<'a>| {
            r.sun_between().map(|t| t.1)
        }),
        number(
            "shade_t_low",
            ("T-number", 2),
            "10th percentile of shade_t",
            |r: &SettingRow<'a>| r.shade_between().map(|t| t.0),
        ),
        number(
            "shade_t_high",
            ("T-number", 2),
            "90th percentile of shade_t",
            |r: &SettingRow<'a>| r.shade_between().map(|t| t.1),
        ),
        number("one_t_low", ("T-number", 2), "10th percentile of one_t", |r: &SettingRow<'a>| {
            r.one_between().map(|t| t.0)
        }),
        number("one_t_high", ("T-number", 2), "90th percentile of one_t", |r: &SettingRow<'a>| {
            r.one_between().map(|t| t.1)
        }),
        number(
            "aerosol_500nm",
            ("depth", 3),
            "aerosol optical depth at 500 nm that is assumed",
            |r: &SettingRow<'a>| Some(r.report.plan.air.aerosol_500nm),
        ),
        number(
            "water_cm",
            ("cm", 2),
            "precipitable water that is assumed",
            |r: &SettingRow<'a>| Some(r.report.plan.air.water_cm),
        ),
        text(
            "air_source",
            "word",
            "default, climatology, venue_file or options: who stated the air",
            |r: &SettingRow<'a>| source(r.report.plan.air.known.source).to_owned(),
        ),
        number(
            "dimmed_t",
            ("T-number", 2),
            "in dimmed light; empty where nothing is dimmed",
            |r: &SettingRow<'a>| r.t(r.exposure.and_then(|e| e.dimmed)),
        ),
        number(
            "sun_picture_share",
            ("0 to 1", 4),
            "share of the picture in full sun, mean over the pan",
            |r: &SettingRow<'a>| r.exposure.map(|e| e.shares.sun),
        ),
        number(
            "dimmed_picture_share",
            ("0 to 1", 4),
            "the same under translucent bodies only",
            |r: &SettingRow<'a>| r.exposure.map(|e| e.shares.dimmed),
        ),
        number(
            "shade_picture_share",
            ("0 to 1", 4),
            "the same without direct light",
            |r: &SettingRow<'a>| r.exposure.map(|e| e.shares.shade),
        ),
    ]
}

/// Columns of `cues.csv`.
pub fn cue_columns() -> Vec<ColumnDoc> {
    docs(&of_cue())
}

/// Columns of `settings.csv`; `<output>` is there for each output of a production only.
pub fn setting_columns() -> Vec<ColumnDoc> {
    docs(&of_setting(&["<output>"]))
}

/// `cues.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no plan should cause.
pub fn cues(report: &BriefReport<'_>) -> Result<Vec<u8>, CsvError> {
    table::csv(&of_cue(), report.brief.cues.iter().map(|cue| CueRow { report, cue }))
}

/// `settings.csv`.
///
/// # Errors
/// As [`cues`].
pub fn settings(report: &BriefReport<'_>) -> Result<Vec<u8>, CsvError> {
    let count = report.plan.instants.len();
    let rows = report.brief.cameras.iter().flat_map(|camera| {
        (0..count).filter_map(move |index| SettingRow::new(report, camera, index))
    });
    let production = report.venue.production.as_ref();
    let made = production.map_or(&[][..], |production| &production.makes);
    let made: Vec<&str> = made.iter().map(|output| output.word()).collect();
    table::csv(&of_setting(&made), rows)
}
