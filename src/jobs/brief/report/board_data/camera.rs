//! A camera and what it shows at each instant, for the interactive page.
//!
//! In: [`BriefReport`], the brief of a camera. Out: [`CameraData`]: splits in stops, T-numbers,
//! levels (linear, 1 is white), a value an instant.

use geo::{Coord, Simplify};
use serde::Serialize;

use crate::camera::{Interval, LensRange, SplitState, Verdict};
use crate::jobs::brief::report::BriefReport;
use crate::jobs::brief::report::words::{lens_key, verdict_key};
use crate::jobs::crew::CameraBrief;

use super::SMOOTH_M;
use super::points::{at, at3, ring, rounded};

#[derive(Debug, Serialize)]
pub(super) struct CameraData {
    name: String,
    at: [f64; 3],
    operator: String,
    /// A sentence where most of its cover is hidden from it; else empty.
    #[serde(skip_serializing_if = "String::is_empty")]
    hidden: String,
    cover: Vec<Vec<[f64; 2]>>,
    aims: Vec<[f64; 2]>,
    hfov_deg: f64,
    aspect: f64,
    split_turf: Vec<Option<f64>>,
    split_subject: Vec<Option<f64>>,
    in_shot: Vec<u8>,
    /// Widest and narrowest that the lens has, which may be another later: an iris that is
    /// asked for wider is wide open, one that is asked for narrower is closed all the way.
    t_lens: Vec<[f64; 2]>,
    t_sun: Vec<Option<f64>>,
    t_shade: Vec<Option<f64>>,
    /// Where dimmed light makes a side.
    t_dimmed: Vec<Option<f64>>,
    /// Of the picture, 0 to 1.
    dimmed_share: Vec<Option<f64>>,
    t_set: Vec<Option<f64>>,
    /// Half of what is unknown of the air, 8 clear days of 10: how far the iris may be off,
    /// stops; of the one iris, else of the side that is less known.
    t_uncertain: Vec<Option<f64>>,
    nd: Vec<f64>,
    verdict: Vec<&'static str>,
    /// What the outputs do, where there are several.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    outputs: Vec<String>,
    lens: Vec<&'static str>,
    /// Turf in sun and in shade, seats in sun and in shade, sky: linear, 1 is white.
    level: Vec<Option<[f64; 5]>>,
}

pub(super) fn camera(report: &BriefReport<'_>, brief: &CameraBrief) -> Option<CameraData> {
    let (venue, plan) = (report.venue, report.plan);
    let post = venue.cameras.get(brief.camera)?;
    let frame = venue.field.frame;
    let desk = &report.brief.desk;
    let operator = desk.operator_of(brief.camera).and_then(|o| desk.operators.get(o));
    let t_of =
        |white: &dyn Fn(&crate::camera::Exposure) -> Option<crate::base::units::Luminance>| {
            let each = brief.exposures.iter().enumerate().map(|(i, exposure)| {
                let t = brief.t_at(&report.brief.spans, i, white(exposure.as_ref()?)?)?;
                Some(rounded(t, 2))
            });
            each.collect::<Vec<_>>()
        };
    let views = || plan.instants.iter().filter_map(|i| i.cameras.get(brief.camera));
    let split = |state: &SplitState| match state {
        SplitState::InShot(s) | SplitState::Latent(s, _) => Some(rounded(s.stops(), 2)),
        SplitState::NoEdge => None,
    };
    let nd = |i| brief.setting_at(&report.brief.spans, i).map_or(0.0, |s| s.nd_stops);
    let verdict = |e: &Option<crate::camera::Exposure>| verdict_key(e.map(|e| e.verdict));
    let dimmed_share = |e: &Option<crate::camera::Exposure>| e.map(|e| rounded(e.shares.dimmed, 3));
    Some(CameraData {
        name: post.name.clone(),
        at: at3(frame, post.at),
        operator: operator.map_or(String::new(), |o| o.name.clone()),
        hidden: report.hidden(brief.camera).map(str::to_owned).collect(),
        cover: plan.covers.get(brief.camera).map_or_else(Vec::new, |cover| {
            cover.region.simplify(SMOOTH_M).0.iter().map(|p| ring(frame, p.exterior())).collect()
        }),
        aims: post.aims.iter().map(|a| at(frame, Coord { x: a.x, y: a.y })).collect(),
        hfov_deg: post.horizontal_fov_deg,
        aspect: post.aspect,
        split_turf: views().map(|v| split(&v.turf.state)).collect(),
        split_subject: views().map(|v| split(&v.subject.state)).collect(),
        in_shot: views().map(|v| u8::from(v.turf.state.in_shot().is_some())).collect(),
        t_lens: (0..plan.instants.len()).map(|i| t_lens(brief.rig_at(i).lens())).collect(),
        t_sun: t_of(&|e| e.sun),
        t_shade: t_of(&|e| Some(e.shade)),
        t_dimmed: t_of(&|e| e.dimmed_side()),
        dimmed_share: brief.exposures.iter().map(dimmed_share).collect(),
        t_set: t_of(&|e| Some(e.one.white)),
        t_uncertain: (0..plan.instants.len()).map(|i| uncertain_stops(brief, i)).collect(),
        nd: (0..plan.instants.len()).map(nd).collect(),
        verdict: brief.exposures.iter().map(verdict).collect(),
        outputs: crate::jobs::brief::report::outputs::by_instant(report, brief),
        lens: brief.lens.iter().map(|l| lens_key(l.state)).collect(),
        level: plan.instants.iter().enumerate().map(|(i, _)| level(report, brief, i)).collect(),
    })
}

/// Widest and narrowest T-number.
pub(super) fn t_lens(lens: LensRange) -> [f64; 2] {
    [lens.widest_t, lens.narrowest_t].map(|t| rounded(t, 2))
}

/// Half the range of the iris that an instant asks for, stops.
fn uncertain_stops(brief: &CameraBrief, index: usize) -> Option<f64> {
    let range = brief.ranges.get(index)?.as_ref()?;
    let verdict = brief.exposures.get(index)?.as_ref()?.verdict;
    let half = |range: Interval| 0.5 * (range.high / range.low).log2();
    let stops = match (verdict, range.sun) {
        (Verdict::Hold, _) => half(range.one),
        (_, Some(sun)) => half(sun).max(half(range.shade)),
        (_, None) => half(range.shade),
    };
    stops.is_finite().then(|| rounded(stops, 2))
}

/// Levels of what the camera's-eye view tones, at the one iris for both of an instant.
fn level(report: &BriefReport<'_>, brief: &CameraBrief, index: usize) -> Option<[f64; 5]> {
    let levels = report.brief.levels(report.venue, report.plan, brief.camera, index)?;
    let all =
        [levels.turf_sun, levels.turf_shade, levels.seats_sun, levels.seats_shade, levels.sky];
    Some(all.map(|level| rounded(level, 4)))
}
