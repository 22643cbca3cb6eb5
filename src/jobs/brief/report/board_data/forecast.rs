//! What a forecast says, for the interactive page.
//!
//! In: the outlook of the day, minute by minute, and the brief. Out: [`ForecastData`]: odds of
//! sun (0 to 1), T-numbers and splits (stops), a value an instant.

use serde::Serialize;

use crate::jobs::brief::report::BriefReport;
use crate::jobs::brief::report::words::epoch_s;
use crate::jobs::crew::CameraBrief;
use crate::jobs::forecast::report::{minute_words, note, stretch_line, stretch_words};
use crate::jobs::forecast::{DayOutlook, Either, ForecastMinute, ForecastStretch};

use super::camera::t_lens;
use super::points::rounded;

/// What the forecast of the day says.
#[derive(Debug, Serialize)]
pub(super) struct ForecastData {
    stretches: Vec<StretchData>,
    /// Of each instant, in words.
    minutes: Vec<String>,
    /// Odds of sun, 0 to 1.
    sun: Vec<Option<f64>>,
    note: String,
    /// From then on it tells nothing; none where it does to the end.
    silent_from_s: Option<i64>,
    /// In the order of the brief.
    cameras: Vec<EitherData>,
}

/// What a camera sets in either light and the split to be expected, by instant; T-numbers
/// with the ND of the brief.
#[derive(Debug, Serialize)]
pub(super) struct EitherData {
    /// Widest and narrowest that the lens has at each instant.
    t_lens: Vec<[f64; 2]>,
    sun_t: Vec<Option<f64>>,
    shade_t: Vec<Option<f64>>,
    cloud_t: Vec<Option<f64>>,
    /// Stops, 0 without an edge in shot: mean over the skies, 10th and 90th percentile.
    split: Vec<Option<[f64; 3]>>,
}

/// What a forecast says by itself, for a page that has the plan already.
#[derive(Debug, Serialize)]
pub(in crate::jobs::brief::report) struct OutlookData {
    epoch_s: Vec<i64>,
    #[serde(flatten)]
    said: ForecastData,
}

#[derive(Debug, Serialize)]
pub(super) struct StretchData {
    from_s: i64,
    until_s: i64,
    expect: &'static str,
    words: String,
    /// Without its times.
    odds: String,
}

/// What a forecast says of the instants of a plan.
pub(in crate::jobs::brief::report) fn outlook(
    report: &BriefReport<'_>,
    day: &DayOutlook,
) -> OutlookData {
    OutlookData {
        epoch_s: day.minutes.iter().map(|minute| epoch_s(minute.at)).collect(),
        said: forecast(report, day),
    }
}

pub(super) fn forecast(report: &BriefReport<'_>, day: &DayOutlook) -> ForecastData {
    let stretch = |stretch: &ForecastStretch| StretchData {
        from_s: epoch_s(stretch.from),
        until_s: epoch_s(stretch.until),
        expect: stretch.expect.word(),
        words: stretch_line(stretch),
        odds: stretch_words(stretch),
    };
    ForecastData {
        stretches: day.stretches.iter().map(stretch).collect(),
        minutes: day.minutes.iter().map(minute_words).collect(),
        sun: day.minutes.iter().map(|m| Some(rounded(m.sky.states?.sun(), 3))).collect(),
        note: note(report.venue, day),
        silent_from_s: day.silent_from.map(epoch_s),
        cameras: report.brief.cameras.iter().enumerate().map(|(k, c)| either(day, k, c)).collect(),
    }
}

fn either(day: &DayOutlook, position: usize, camera: &CameraBrief) -> EitherData {
    let t = |of: fn(&Either) -> Option<f64>| {
        let each = day.minutes.iter().map(|m| m.either.get(position)?.as_ref().and_then(of));
        each.map(|t| t.map(|t| rounded(t, 2))).collect()
    };
    let split = |minute: &ForecastMinute| {
        let split = minute.splits.get(camera.camera)?;
        let (low, high) = (split.percentile(10.0)?, split.percentile(90.0)?);
        Some([split.expected()?, low, high].map(|stops| rounded(stops, 2)))
    };
    EitherData {
        t_lens: (0..day.minutes.len()).map(|i| t_lens(camera.rig_at(i).lens())).collect(),
        sun_t: t(|e| e.sun_t),
        shade_t: t(|e| e.shade_t),
        cloud_t: t(|e| e.cloud_t),
        split: day.minutes.iter().map(split).collect(),
    }
}
