//! What one camera sets through the match.
//!
//! In: its views over the window, its [`Rig`], the runs of play. Out: a
//! [`CameraBrief`]: white on both sides and a verdict for each instant, the sun and the
//! lens, and for each run of play the ND and gain that keep the iris in its range.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::base::units::Luminance;
use crate::camera::{
    Exposure, ExposureRange, Interval, LensEnd, LensView, Rig, TOLERANCE_STOPS, Verdict,
    exposure_after, exposure_range, lens_view, stops_between_t,
};
use crate::engine::Prepared;
use crate::engine::model::MatchPlan;
use crate::jobs::match_plan::facts;
use crate::jobs::match_plan::play::PlaySpan;
use crate::solar::SunState;

use super::outputs::{OutputBrief, outputs};
use super::settled::Settled;

/// A verdict that would not last so long is not given, minutes: no hand works to it.
pub const STEADY_MIN: i64 = 3;
/// One camera through the match.
#[derive(Debug, Clone)]
pub struct CameraBrief {
    /// Index into [`crate::venue::Venue::cameras`].
    pub camera: usize,
    /// The one that is there at the end.
    pub rig: Rig,
    /// What is at its place before that, in order of time.
    pub earlier: Vec<EarlierRig>,
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
    /// In the order in which the production makes them; none without one.
    pub outputs: Vec<OutputBrief>,
}

/// A rig that gives way to another on the day.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierRig {
    pub rig: Rig,
    /// The first instant that is no longer its own, and when that is.
    pub until: usize,
    pub until_at: DateTime<Tz>,
    /// Its setting in a run of play that it leaves before the end.
    pub setting: Option<SpanSetting>,
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
        let span = span.unwrap_or(spans.len().saturating_sub(1));
        let left = self.earlier_in(spans, span).find(|earlier| index < earlier.until);
        left.and_then(|earlier| earlier.setting.as_ref()).or_else(|| self.settings.get(span))
    }

    /// Rigs that leave in a run of play, before its end.
    pub(super) fn earlier_in(
        &self,
        spans: &[PlaySpan],
        span: usize,
    ) -> impl Iterator<Item = &EarlierRig> {
        let instants = spans.get(span).map_or((0, 0), |span| span.instants);
        let within = move |one: &&EarlierRig| instants.0 < one.until && one.until < instants.1;
        self.earlier.iter().filter(within)
    }

    /// The rig that is there at an instant.
    pub fn rig_at(&self, index: usize) -> &Rig {
        let earlier = self.earlier.iter().find(|earlier| index < earlier.until);
        earlier.map_or(&self.rig, |earlier| &earlier.rig)
    }

    /// T-number that puts `white` at white with the ND and gain of an instant.
    pub fn t_at(&self, spans: &[PlaySpan], index: usize, white: Luminance) -> Option<f64> {
        let setting = self.setting_at(spans, index)?;
        self.rig_at(index).t_for_white(white, setting.nd_stops, setting.gain_db)
    }

    /// What an iris is set to that is asked for, by the lens that is there at an instant.
    pub fn set_t(&self, index: usize, wanted_t: f64) -> f64 {
        self.rig_at(index).lens().set_t(wanted_t)
    }

    /// The end of the range of that lens that the iris stops at; `None` within it.
    pub fn end_at(&self, index: usize, wanted_t: f64) -> Option<LensEnd> {
        self.rig_at(index).lens().end_at(wanted_t)
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

/// Briefs one camera, without its settings; `None` for an index without a camera.
pub(super) fn camera_brief(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    settled: &Settled,
    camera: usize,
) -> Option<CameraBrief> {
    let post = prepared.venue.cameras.get(camera)?;
    let production = prepared.venue.production.as_ref();
    let own = Rig::of(&post.exposure).shaded_on(production);
    let (rig, earlier) = rigs(plan, settled, camera, &own);
    let settings = Vec::new();
    let mut brief = CameraBrief {
        camera,
        rig,
        earlier,
        settings,
        exposures: Vec::new(),
        ranges: Vec::new(),
        lens: Vec::new(),
        outputs: Vec::new(),
    };
    let subject = &prepared.venue.subject;
    let mut held = None;
    let is_in = |at| !settled.is_out(camera, at);
    let views = || {
        let each = plan.instants.iter().enumerate();
        each.map(|(index, i)| Some((index, i.cameras.get(camera).filter(|_| is_in(i.at))?)))
    };
    let exposed = |view: Option<(usize, _)>| {
        let (index, view) = view?;
        let exposure = exposure_after(view, brief.rig_at(index), subject, held)?;
        held = Some(exposure.verdict);
        Some(exposure)
    };
    let mut exposures: Vec<Option<Exposure>> = views().map(exposed).collect();
    steady(&mut exposures, plan);
    let range = |view: Option<(usize, _)>| {
        let (index, view) = view?;
        exposure_range(view, brief.rig_at(index), subject)
    };
    brief.ranges = views().map(range).collect();
    if let Some(production) = production {
        let seen: Vec<_> = views().map(|view| view.map(|(_, view)| view)).collect();
        let rig_at = |index: usize| brief.rig_at(index);
        brief.outputs = outputs((production, subject), plan, &seen, &exposures, &rig_at);
    }
    brief.exposures = exposures;
    let lens = plan.instants.iter().map(|instant| {
        let shines = instant.sun_state == SunState::Up && !plan.sky.hides_sun();
        if !shines || !is_in(instant.at) {
            return LensView::NO_SUN;
        }
        let toward = instant.sun.toward();
        lens_view(post, toward, prepared.at(instant.at).lit.scene.transmission(post.at, toward))
    });
    brief.lens = lens.collect();
    Some(brief)
}

/// The rig that is there at the end of a plan, and those before it.
fn rigs(plan: &MatchPlan, settled: &Settled, camera: usize, own: &Rig) -> (Rig, Vec<EarlierRig>) {
    let mut now = own.clone();
    let mut earlier: Vec<EarlierRig> = Vec::new();
    for placed in settled.rigs_of(camera) {
        let until = plan.instants.partition_point(|i| i.at < placed.from);
        if until >= plan.instants.len() {
            break;
        }
        let next = placed.rig.clone().unwrap_or_else(|| own.clone());
        let rig = std::mem::replace(&mut now, next);
        if earlier.last().map_or(0, |before| before.until) < until {
            earlier.push(EarlierRig { rig, until, until_at: placed.from, setting: None });
        }
    }
    (now, earlier)
}

/// Lets a verdict give way only to one that lasts: to the next that stays [`STEADY_MIN`], or,
/// where it is not given at all for as long while others take turns, to the one of them that
/// asks the most of a hand. Each stays as long at least, but for the last of the plan.
pub(super) fn steady(exposures: &mut [Option<Exposure>], plan: &MatchPlan) {
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

/// Where T-numbers of a range lie.
pub(super) fn holds(rig: &Rig, t_range: Option<(f64, f64)>) -> Holds {
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

/// Stops by which a T-number lies outside of a range.
pub(super) fn outside(t: f64, (low, high): (f64, f64)) -> f64 {
    stops_between_t(t, low).max(stops_between_t(high, t)).max(0.0)
}
