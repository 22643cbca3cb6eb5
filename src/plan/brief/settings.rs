//! What one camera sets through the match.
//!
//! In: its views over the window, its [`Rig`], the runs of play. Out: a
//! [`CameraBrief`]: white on both sides and a verdict for each instant, the sun and the
//! lens, and for each run of play the ND and gain that keep the iris in its range.

use super::super::facts;
use super::super::model::MatchPlan;
use super::super::play::PlaySpan;
use super::super::run::Prepared;
use crate::camera::{
    Exposure, ExposureRange, Interval, LensView, OneSide, Rig, SidesInCover, Verdict, exposure,
    exposure_range, lens_view, stops_between_t,
};
use crate::solar::SunState;
use crate::units::Luminance;

/// A verdict that would not last so long is not given, minutes: no hand works to it.
pub const STEADY_MIN: i64 = 3;
/// A stop beyond the lens's own range counts as much as so many beyond the preferred
/// one: what cannot be set is no choice while anything else is.
const CANNOT_SET: f64 = 1000.0;
/// A step of gain counts as so many stops outside of the preferred range: noise is
/// the last resort.
const GAIN_COSTS: f64 = 0.5;

/// One camera through the match.
#[derive(Debug, Clone)]
pub struct CameraBrief {
    /// Index into [`crate::venue::Venue::cameras`].
    pub camera: usize,
    pub rig: Rig,
    /// At each instant; `None` where nothing of the field is in its cover. Verdicts are
    /// steady: one that would not last [`STEADY_MIN`] gives way to the one before it.
    pub exposures: Vec<Option<Exposure>>,
    /// What the exposure at each instant may be for what is unknown of the air; `None`
    /// where that is not known.
    pub ranges: Vec<Option<ExposureRange>>,
    /// At each instant.
    pub lens: Vec<LensView>,
    /// In the order of the runs of play.
    pub settings: Vec<SpanSetting>,
}

/// ND and gain for one run of play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpanSetting {
    pub nd_stops: f64,
    pub gain_db: f64,
    /// Smallest and largest T-number that the sides in its cover ask for; `None`
    /// where it sees nothing.
    pub t_range: Option<(f64, f64)>,
    pub holds: Holds,
}

/// Where the iris stays through a run of play.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Holds {
    /// In its preferred range.
    Preferred,
    /// In the lens's range, but not always in the preferred one.
    Reachable,
    /// Not always in the lens's range.
    Beyond,
}

impl CameraBrief {
    /// The run of play that an instant belongs to: the one it is in, else the next.
    pub fn setting_at(&self, spans: &[PlaySpan], index: usize) -> Option<&SpanSetting> {
        let span = spans.iter().position(|s| index < s.instants.1);
        self.settings.get(span.unwrap_or(spans.len().saturating_sub(1)))
    }

    /// T-number that puts `white` at white with the ND and gain of an instant.
    pub fn t_at(&self, spans: &[PlaySpan], index: usize, white: Luminance) -> Option<f64> {
        let setting = self.setting_at(spans, index)?;
        self.rig.t_for_white(white, setting.nd_stops, setting.gain_db)
    }

    /// T-numbers of a range of luminances at white, the wider iris first.
    pub fn t_between(
        &self,
        spans: &[PlaySpan],
        index: usize,
        white: Interval,
    ) -> Option<(f64, f64)> {
        let t = |cd_per_m2| self.t_at(spans, index, Luminance::from_cd_per_m2(cd_per_m2));
        t(white.low).zip(t(white.high))
    }

    /// Verdicts that the air may make at an instant beside the one given.
    pub fn other_verdicts(&self, index: usize) -> Vec<Verdict> {
        let given = self.exposures.get(index).copied().flatten().map(|e| e.verdict);
        let range = self.ranges.get(index).and_then(Option::as_ref);
        let all = range.map_or(&[][..], |range| &range.verdicts);
        all.iter().copied().filter(|verdict| Some(*verdict) != given).collect()
    }
}

/// Briefs one camera; `None` for an index without a camera.
pub(super) fn camera_brief(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    spans: &[PlaySpan],
    camera: usize,
) -> Option<CameraBrief> {
    let post = prepared.venue.cameras.get(camera)?;
    let rig = Rig::of(&post.exposure);
    let subject = &prepared.venue.subject;
    let mut exposures: Vec<Option<Exposure>> = plan
        .instants
        .iter()
        .map(|i| i.cameras.get(camera).and_then(|view| exposure(view, &rig, subject)))
        .collect();
    steady(&mut exposures, plan);
    let views = plan.instants.iter().map(|i| i.cameras.get(camera));
    let ranges = views.map(|view| exposure_range(view?, &rig, subject)).collect();
    let lens = plan.instants.iter().map(|instant| {
        let shines = instant.sun_state == SunState::Up && !plan.sky.hides_sun();
        if !shines {
            return LensView::NO_SUN;
        }
        let toward = instant.sun.toward();
        lens_view(post, toward, prepared.scene.transmission(post.at, toward))
    });
    let lens = lens.collect();
    let settings = spans.iter().map(|span| {
        let (from, until) = span.instants;
        span_setting(&rig, exposures.get(from..until).unwrap_or_default())
    });
    let settings = settings.collect();
    Some(CameraBrief { camera, rig, lens, settings, exposures, ranges })
}

/// Lets each verdict that is too short give way to the one before it.
fn steady(exposures: &mut [Option<Exposure>], plan: &MatchPlan) {
    let step_s = facts::step(plan).map_or(60, |step| step.num_seconds().max(1));
    let least = (STEADY_MIN * 60).div_euclid(step_s).max(1) as usize;
    let told: Vec<Option<Verdict>> = exposures.iter().map(|e| e.map(|e| e.verdict)).collect();
    let mut held: Option<Verdict> = None;
    for (index, exposure) in exposures.iter_mut().enumerate() {
        let Some(exposure) = exposure else { continue };
        let run = told.iter().skip(index).take(least);
        let lasts = run.len() < least || run.clone().all(|v| *v == Some(exposure.verdict));
        match held {
            Some(before) if !lasts => exposure.verdict = before,
            _ => held = Some(exposure.verdict),
        }
    }
}

/// The ND and gain that keep the sides in the cover nearest to the preferred range.
fn span_setting(rig: &Rig, exposures: &[Option<Exposure>]) -> SpanSetting {
    let whites: Vec<Luminance> = exposures.iter().flatten().flat_map(in_cover).collect();
    let t_range = |nd: f64, gain: f64| {
        let all = whites.iter().filter_map(|w| rig.t_for_white(*w, nd, gain));
        all.fold(None, |range: Option<(f64, f64)>, t| {
            Some(range.map_or((t, t), |(low, high)| (low.min(t), high.max(t))))
        })
    };
    let cost = |nd: f64, gain: f64| {
        let each = whites.iter().filter_map(|w| rig.t_for_white(*w, nd, gain)).map(|t| {
            outside(t, rig.prefers_t) + CANNOT_SET * outside(t, (rig.widest_t, rig.narrowest_t))
        });
        let count = whites.len().max(1) as f64;
        each.sum::<f64>() / count + GAIN_COSTS * gain.abs() / crate::camera::DB_PER_STOP
    };
    let all = rig.nd_stops.iter().flat_map(|nd| rig.gain_db.iter().map(|gain| (*nd, *gain)));
    let best = all.min_by(|a, b| cost(a.0, a.1).total_cmp(&cost(b.0, b.1)));
    let (nd_stops, gain_db) = best.unwrap_or((0.0, 0.0));
    let t_range = t_range(nd_stops, gain_db);
    let within = |range: (f64, f64)| {
        t_range.is_none_or(|(low, high)| {
            outside(low, range) < TOLERANCE_STOPS && outside(high, range) < TOLERANCE_STOPS
        })
    };
    let holds = if within(rig.prefers_t) {
        Holds::Preferred
    } else if within((rig.widest_t, rig.narrowest_t)) {
        Holds::Reachable
    } else {
        Holds::Beyond
    };
    SpanSetting { nd_stops, gain_db, t_range, holds }
}

/// A tenth of a stop is no more than the marks on a lens tell.
const TOLERANCE_STOPS: f64 = 0.1;

/// Stops by which a T-number lies outside of a range.
fn outside(t: f64, (low, high): (f64, f64)) -> f64 {
    stops_between_t(t, low).max(stops_between_t(high, t)).max(0.0)
}

/// White on each side that is in the cover.
fn in_cover(exposure: &Exposure) -> impl Iterator<Item = Luminance> {
    let sun = exposure.sun.filter(|_| {
        matches!(exposure.sides, SidesInCover::Both | SidesInCover::Only(OneSide::AllSunlit))
    });
    let shade =
        (exposure.sides != SidesInCover::Only(OneSide::AllSunlit)).then_some(exposure.shade);
    sun.into_iter().chain(shade)
}
