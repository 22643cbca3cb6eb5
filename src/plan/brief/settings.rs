//! What one camera sets through the match.
//!
//! In: its views over the window, its [`Rig`], the runs of play. Out: a
//! [`CameraBrief`]: white on both sides and a verdict for each instant, the sun and the
//! lens, and for each run of play the ND and gain that keep the iris in its range.

use super::super::Prepared;
use super::super::facts;
use super::super::model::MatchPlan;
use super::super::play::PlaySpan;
use crate::camera::{
    Exposure, ExposureRange, Interval, LensView, Rig, Verdict, exposure_after, exposure_range,
    lens_view, stops_between_t,
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
/// ND and gain of the run of play before stay unless others are better by so many stops, on
/// average: what is less is not worth a hand on the filter wheel.
const CHANGE_PAYS: f64 = 0.1;

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
    let mut held = None;
    let mut exposed = |view| {
        let exposure = exposure_after(view, &rig, subject, held)?;
        held = Some(exposure.verdict);
        Some(exposure)
    };
    let views = plan.instants.iter().map(|i| i.cameras.get(camera));
    let mut exposures: Vec<Option<Exposure>> =
        views.map(|view| view.and_then(&mut exposed)).collect();
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
    let mut settings: Vec<SpanSetting> = Vec::with_capacity(spans.len());
    for span in spans {
        let (from, until) = span.instants;
        let seen = exposures.get(from..until).unwrap_or_default();
        settings.push(span_setting(&rig, seen, settings.last()));
    }
    Some(CameraBrief { camera, rig, lens, settings, exposures, ranges })
}

/// Lets a verdict give way only to one that lasts: to the next that stays [`STEADY_MIN`], or,
/// where it is not given at all for as long while others take turns, to the one of them that
/// asks the most of a hand. Each stays as long at least, but for the last of the plan.
fn steady(exposures: &mut [Option<Exposure>], plan: &MatchPlan) {
    let step_s = facts::step(plan).map_or(60, |step| step.num_seconds().max(1));
    let least = (STEADY_MIN * 60).div_euclid(step_s).max(1) as usize;
    let found: Vec<Option<Verdict>> = exposures.iter().map(|e| e.map(|e| e.verdict)).collect();
    let mut held: Option<(Verdict, usize)> = None;
    for (index, exposure) in exposures.iter_mut().enumerate() {
        let Some(exposure) = exposure else { continue };
        let verdict = match held {
            Some((before, since)) if index < since + least => before,
            Some((before, _)) => next_verdict(found.iter().skip(index).take(least), before),
            None => exposure.verdict,
        };
        if held.is_none_or(|(before, _)| before != verdict) {
            held = Some((verdict, index));
        }
        exposure.verdict = verdict;
    }
}

/// The verdict for instants to come, where `before` is held.
fn next_verdict<'a>(
    to_come: impl Iterator<Item = &'a Option<Verdict>> + Clone,
    before: Verdict,
) -> Verdict {
    let mut given = to_come.flatten().copied();
    match given.clone().any(|verdict| verdict == before) {
        true => before,
        false => given.clone().max().or_else(|| given.next()).unwrap_or(before),
    }
}

/// The ND and gain that keep the sides in the cover nearest to the preferred range, each side
/// by how much it counts; those of the run `before` where others are hardly better.
fn span_setting(
    rig: &Rig,
    exposures: &[Option<Exposure>],
    before: Option<&SpanSetting>,
) -> SpanSetting {
    let whites: Vec<(Luminance, f64)> =
        exposures.iter().flatten().flat_map(Exposure::in_cover).collect();
    let counts: f64 = whites.iter().map(|(_, counts)| counts).sum();
    let cost = |nd: f64, gain: f64| {
        let each = whites.iter().filter_map(|(white, counts)| {
            let t = rig.t_for_white(*white, nd, gain)?;
            let beyond = outside(t, (rig.widest_t, rig.narrowest_t));
            Some(counts * (outside(t, rig.prefers_t) + CANNOT_SET * beyond))
        });
        each.sum::<f64>() / counts.max(f64::MIN_POSITIVE)
            + GAIN_COSTS * gain.abs() / crate::camera::DB_PER_STOP
    };
    let all = rig.nd_stops.iter().flat_map(|nd| rig.gain_db.iter().map(|gain| (*nd, *gain)));
    let best = all.min_by(|a, b| cost(a.0, a.1).total_cmp(&cost(b.0, b.1)));
    let best = best.unwrap_or((0.0, 0.0));
    let stays = before.map(|before| (before.nd_stops, before.gain_db));
    let stays = stays.filter(|s| cost(s.0, s.1) < cost(best.0, best.1) + CHANGE_PAYS);
    let (nd_stops, gain_db) = stays.unwrap_or(best);
    let t_numbers = whites.iter().filter_map(|(w, _)| rig.t_for_white(*w, nd_stops, gain_db));
    let t_range = t_numbers.fold(None, |range: Option<(f64, f64)>, t| {
        Some(range.map_or((t, t), |(low, high)| (low.min(t), high.max(t))))
    });
    SpanSetting { nd_stops, gain_db, t_range, holds: holds(rig, t_range) }
}

fn holds(rig: &Rig, t_range: Option<(f64, f64)>) -> Holds {
    let within = |range: (f64, f64)| {
        t_range.is_none_or(|(low, high)| {
            outside(low, range) < TOLERANCE_STOPS && outside(high, range) < TOLERANCE_STOPS
        })
    };
    if within(rig.prefers_t) {
        Holds::Preferred
    } else if within((rig.widest_t, rig.narrowest_t)) {
        Holds::Reachable
    } else {
        Holds::Beyond
    }
}

/// A tenth of a stop is no more than the marks on a lens tell.
const TOLERANCE_STOPS: f64 = 0.1;

/// Stops by which a T-number lies outside of a range.
fn outside(t: f64, (low, high): (f64, f64)) -> f64 {
    stops_between_t(t, low).max(stops_between_t(high, t)).max(0.0)
}
