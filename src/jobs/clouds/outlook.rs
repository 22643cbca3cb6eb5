//! What each camera gets of a sky that comes and goes.
//!
//! In: a [`CloudField`], a plan under a broken sky and its brief. Out: an [`Outlook`]: how
//! often it changes in an hour and in each run of play, and for each camera how far and how
//! fast the light falls on a subject, whether a hand follows, and what to set for sun and
//! for cloud.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::camera::{LensRange, Swing};
use crate::engine::{Instant, MatchPlan};
use crate::jobs::crew::{Brief, CameraBrief};
use crate::jobs::match_plan::{facts, play};
use crate::light::Z_90;

use super::field::CloudField;
use super::follow::{Follow, Hand, behind_stops};
use super::passage::{CloudCourse, EDGE_M, Passage, SHARP_EDGE_M};
use super::spells::Coming;

/// Minutes of an hour, beside the runs of play.
pub const HOUR_MIN: u32 = 60;
/// Runs of play are counted in up to so many minutes.
const MAX_RUN_MIN: i64 = 180;

/// An edge of cloud and a hand that follows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Chase {
    pub passage: Passage,
    /// The picture is off by so much at worst, stops.
    pub behind_stops: f64,
    pub follow: Follow,
}

impl Chase {
    fn new(course: &CloudCourse, hand: &Hand) -> Self {
        let passage = Passage::new(course);
        let behind_stops = behind_stops(&passage, hand);
        Self { passage, behind_stops, follow: Follow::of(behind_stops) }
    }
}

/// One camera, at the minute of play when a cloud takes most from its subjects.
#[derive(Debug, Clone, PartialEq)]
pub struct CameraOutlook {
    /// Index into [`crate::venue::Venue::cameras`].
    pub camera: usize,
    pub at: DateTime<Tz>,
    pub swing: Swing,
    /// Median wind and a usual edge; a wind that one day of ten passes and a sharp edge.
    pub usual: Chase,
    pub fast: Chase,
    /// T-numbers for the sunlit side, and under the cloud, with the ND and gain of that run
    /// of play; `None` where the brief has none.
    pub sun_t: Option<f64>,
    pub cloud_t: Option<f64>,
    /// What the lens has of them.
    pub lens: LensRange,
    pub nd_stops: f64,
    pub in_reach: Reach,
}

/// Whether the lens reaches both T-numbers with one ND.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    Both,
    /// It has to open wider under a cloud than it can.
    TooDarkUnderCloud,
    /// It has to close further in the sun than it can.
    TooBrightInSun,
    Unknown,
}

/// A broken sky over a match.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    pub field: CloudField,
    pub coming: Coming,
    /// Runs of play with their lengths, minutes.
    pub runs: Vec<(String, u32)>,
    /// In the order of the venue; without those that have no sun to lose.
    pub cameras: Vec<CameraOutlook>,
}

impl Outlook {
    /// Of a plan; `rate_stops_per_s` is the fastest that an iris is turned.
    pub fn new(field: CloudField, plan: &MatchPlan, brief: &Brief, rate_stops_per_s: f64) -> Self {
        let runs = runs(plan, brief);
        let mut windows = vec![HOUR_MIN];
        windows.extend(runs.iter().map(|(_, minutes)| *minutes));
        windows.sort_unstable();
        windows.dedup();
        let one = |camera: &CameraBrief| of_camera(&field, plan, brief, camera, rate_stops_per_s);
        Self {
            coming: Coming::new(&field, &windows),
            cameras: brief.cameras.iter().filter_map(one).collect(),
            field,
            runs,
        }
    }
}

/// Runs of play without the minutes before and after.
fn runs(plan: &MatchPlan, brief: &Brief) -> Vec<(String, u32)> {
    let step = facts::step(plan).unwrap_or(TimeDelta::zero());
    let minutes = |span: &play::PlaySpan| {
        let instants = plan.instants.get(span.instants.0..span.instants.1).unwrap_or_default();
        let played = |i: &&Instant| play::runs_at(plan, i.at);
        let mut played = instants.iter().filter(played);
        let first = played.next().map_or(span.from, |i| i.at);
        let last = played.next_back().map_or(span.until, |i| i.at);
        (last - first + step).num_minutes().clamp(1, MAX_RUN_MIN) as u32
    };
    brief.spans.iter().map(|span| (span.name.clone(), minutes(span))).collect()
}

fn of_camera(
    field: &CloudField,
    plan: &MatchPlan,
    brief: &Brief,
    camera: &CameraBrief,
    rate_stops_per_s: f64,
) -> Option<CameraOutlook> {
    let swing = |i: &Instant| i.cameras.get(camera.camera)?.subject.swing;
    let swings = plan
        .instants
        .iter()
        .enumerate()
        .filter_map(|(index, i)| Some((index, i, swing(i)?, play::runs_at(plan, i.at))));
    let (index, instant, swing, _) = swings.max_by(|a, b| {
        let (a, b) = ((a.3, a.2.stops.stops()), (b.3, b.2.stops.stops()));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    })?;
    let hand = Hand { rate_stops_per_s, delay_s: camera.rig.delay_s };
    let chase = |speed_m_s: f64, edge_m: f64| {
        let course = CloudCourse {
            base_m: field.base_m(),
            elevation_deg: instant.sun.apparent_elevation.degrees(),
            speed_m_s,
            edge_m,
            swing_stops: swing.stops.stops(),
        };
        Chase::new(&course, &hand)
    };
    let exposure = camera.exposures.get(index).copied().flatten();
    let sun_t =
        exposure.and_then(|e| e.sun).and_then(|white| camera.t_at(&brief.spans, index, white));
    let cloud_t = sun_t.map(|t| t * (-0.5 * swing.stops.stops()).exp2());
    let lens = camera.rig.lens();
    Some(CameraOutlook {
        camera: camera.camera,
        at: instant.at,
        swing,
        usual: chase(field.median_wind_m_s(), EDGE_M),
        fast: chase(field.wind_at(Z_90), SHARP_EDGE_M),
        in_reach: match (sun_t, cloud_t) {
            (Some(sun), _) if sun > lens.narrowest_t => Reach::TooBrightInSun,
            (_, Some(cloud)) if cloud < lens.widest_t => Reach::TooDarkUnderCloud,
            (Some(_), Some(_)) => Reach::Both,
            _ => Reach::Unknown,
        },
        sun_t,
        cloud_t,
        lens,
        nd_stops: camera.setting_at(&brief.spans, index).map_or(0.0, |s| s.nd_stops),
    })
}
