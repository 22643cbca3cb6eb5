//! ND and gain, chosen for the desk.
//!
//! In: what all cameras ask for in each run of play, which of them see a place in common,
//! what is settled. Out: the [`SpanSetting`]s of every camera, and a [`FilterGroup`] for
//! the cameras that cut to each other.
//!
//! Cameras that cut to each other take one ND: depth of field and the marks under the hands
//! are then alike. A camera takes another where the common one would put its iris out of
//! the preferred range by more than [`DEPARTING_COSTS`] beyond what its own best does.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::base::units::{Luminance, Stops};
use crate::camera::{DB_PER_STOP, Exposure, Rig, TOLERANCE_STOPS, stops_between_t};
use crate::engine::model::MatchPlan;
use crate::jobs::match_plan::play::PlaySpan;

use super::matching::Matching;
use super::settings::{CameraBrief, EarlierRig, SpanSetting, holds, outside};
use super::settled::Settled;

/// A run all beyond the lens's own range counts as much as so many stops beyond the preferred
/// one: what cannot be set is no choice while anything else is.
const CANNOT_SET: f64 = 1000.0;
/// From so many stops beyond the lens's own range on a picture counts as lost; nearer to it in
/// proportion (common practice, no source). What is lost in the dark is not lost the more the
/// darker it gets.
const LOST_STOPS: f64 = 1.0;
/// A stop beyond the lens's own range counts as much as so many beyond the preferred one: of
/// two filters that lose as much the one that is less off.
const MISSED_COSTS: f64 = 10.0;
/// A stop that is missing where no ND and no gain bring the iris into the lens's range counts
/// as much as so many beyond the preferred one: less light in the dark is a pity, but the dark
/// is no reason to lose the minutes that have light.
const MISSING_ANYWAY_COSTS: f64 = 0.1;
/// A step of gain counts as so many stops outside of the preferred range: noise is
/// the last resort.
const GAIN_COSTS: f64 = 0.5;
/// ND and gain of the run of play before stay unless others are better by so many stops, on
/// average: what is less is not worth a hand on the filter wheel.
const CHANGE_PAYS: f64 = 0.1;
/// Stops outside of the preferred range, on average, that one ND for all is worth to each
/// camera (common practice, no source).
pub const DEPARTING_COSTS: f64 = 0.5;
/// Irises of cameras that cut to each other should not be farther apart than this, stops
/// (common practice, no source): the pictures differ in depth of field.
pub const IRIS_APART_STOPS: f64 = 1.0;

/// Cameras that cut to each other, and what they have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct FilterGroup {
    /// Indices, rising; two at least.
    pub cameras: Vec<usize>,
    /// The common ND in each run of play, stops; `None` where no two have the same.
    pub nd_stops: Vec<Option<f64>>,
    /// Cameras with another ND, with the number of the run of play and their ND.
    pub others: Vec<OtherNd>,
    /// Where the irises at the one setting, as far as the lenses go, are farthest apart: stops,
    /// when, the wider and the narrower camera; `None` where fewer than two are lit.
    pub widest: Option<(Stops, DateTime<Tz>, (usize, usize))>,
}

/// A camera that does not have the ND of its group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherNd {
    pub camera: usize,
    pub span: usize,
    pub nd_stops: f64,
    /// Whether that is what it has in, not what suits it.
    pub settled: bool,
}

/// What a setting costs one camera in one run of play.
struct Costs<'a> {
    rig: &'a Rig,
    sides: Vec<SideInCover>,
    /// Of those that the lens has an iris for with one ND or another, where there are any.
    counts: f64,
}

/// A side in the cover of a camera at an instant.
struct SideInCover {
    white: Luminance,
    counts: f64,
    /// Whether any ND and gain bring its iris into the lens's range: in the dark none does.
    in_reach: bool,
}

/// ND in stops, gain in dB.
type Setting = (f64, f64);

impl<'a> Costs<'a> {
    fn new(rig: &'a Rig, exposures: &[Option<Exposure>]) -> Self {
        let side = |(white, counts)| SideInCover { white, counts, in_reach: reaches(rig, white) };
        let mut sides: Vec<SideInCover> =
            exposures.iter().flatten().flat_map(Exposure::in_cover).map(side).collect();
        // where the lens has an iris for none, the least amiss is the best
        if sides.iter().all(|side| !side.in_reach) {
            sides.iter_mut().for_each(|side| side.in_reach = true);
        }
        let counts: f64 = sides.iter().filter(|s| s.in_reach).map(|s| s.counts).sum();
        Self { rig, sides, counts: counts.max(f64::MIN_POSITIVE) }
    }

    /// Stops outside of the preferred range on average, each side by how much it counts.
    fn of(&self, (nd, gain): Setting) -> f64 {
        let each = self.sides.iter().filter_map(|side| {
            let t = self.rig.t_for_white(side.white, nd, gain)?;
            Some(side.counts * self.of_side(side, t))
        });
        each.sum::<f64>() / self.counts + GAIN_COSTS * gain.abs() / DB_PER_STOP
    }

    fn of_side(&self, side: &SideInCover, t: f64) -> f64 {
        let beyond = outside(t, (self.rig.widest_t, self.rig.narrowest_t));
        if !side.in_reach {
            return MISSING_ANYWAY_COSTS * beyond;
        }
        let lost = CANNOT_SET * (beyond / LOST_STOPS).min(1.0);
        outside(t, self.rig.prefers_t) + lost + MISSED_COSTS * beyond
    }

    /// The best gain with an ND.
    fn with(&self, nd: f64) -> Setting {
        let all = self.rig.gain_db.iter().map(|gain| (nd, *gain));
        all.min_by(|a, b| self.of(*a).total_cmp(&self.of(*b))).unwrap_or((nd, 0.0))
    }

    /// The best of its own.
    fn best(&self) -> Setting {
        let all = self.rig.nd_stops.iter().map(|nd| self.with(*nd));
        all.min_by(|a, b| self.of(*a).total_cmp(&self.of(*b))).unwrap_or((0.0, 0.0))
    }

    /// What a common ND costs, where the wheel has it; at most what its own best and
    /// departing from the others cost.
    fn in_common(&self, nd: f64) -> f64 {
        let alone = self.of(self.best()) + DEPARTING_COSTS;
        if self.has(nd) { self.of(self.with(nd)).min(alone) } else { alone }
    }

    fn has(&self, nd: f64) -> bool {
        self.rig.nd_stops.contains(&nd)
    }

    fn joins(&self, nd: f64) -> bool {
        self.has(nd) && self.of(self.with(nd)) <= self.of(self.best()) + DEPARTING_COSTS
    }

    fn setting(&self, (nd_stops, gain_db): Setting) -> SpanSetting {
        let t_numbers =
            self.sides.iter().filter_map(|s| self.rig.t_for_white(s.white, nd_stops, gain_db));
        let t_range = t_numbers.fold(None, |range: Option<(f64, f64)>, t| {
            Some(range.map_or((t, t), |(low, high)| (low.min(t), high.max(t))))
        });
        SpanSetting { nd_stops, gain_db, t_range, holds: holds(self.rig, t_range) }
    }
}

/// Whether any ND and gain bring the iris for a white into the lens's range.
fn reaches(rig: &Rig, white: Luminance) -> bool {
    let within = |nd: f64, gain: f64| {
        let t = rig.t_for_white(white, nd, gain);
        t.is_some_and(|t| outside(t, (rig.widest_t, rig.narrowest_t)) <= TOLERANCE_STOPS)
    };
    rig.nd_stops.iter().any(|nd| rig.gain_db.iter().any(|gain| within(*nd, *gain)))
}

/// Gives every camera its settings, run of play after run of play.
pub(super) fn choose(
    cameras: &mut [CameraBrief],
    plan: &MatchPlan,
    spans: &[PlaySpan],
    matching: &Matching,
    settled: &Settled,
) -> Vec<FilterGroup> {
    let groups = groups(cameras.len(), matching);
    for number in 0..spans.len() {
        for camera in cameras.iter_mut() {
            before_it_left(camera, spans, number, settled);
        }
        for group in &groups {
            for (camera, setting) in in_span(cameras, spans, number, group, settled) {
                if let Some(camera) = cameras.get_mut(camera) {
                    camera.settings.push(setting);
                }
            }
        }
    }
    let together = groups.into_iter().filter(|group| group.len() > 1);
    together.map(|group| in_common(cameras, plan, spans, group, settled)).collect()
}

/// Settings of rigs that leave a camera's place in a run of play: what was in stays in.
fn before_it_left(camera: &mut CameraBrief, spans: &[PlaySpan], number: usize, settled: &Settled) {
    let Some(mut from) = spans.get(number).map(|span| span.instants.0) else { return };
    let leaving: Vec<usize> = camera.earlier_in(spans, number).map(|one| one.until).collect();
    for until in leaving {
        let Some(place) = camera.earlier.iter().position(|one| one.until == until) else { return };
        let EarlierRig { rig, until_at, .. } = &camera.earlier[place];
        let costs = Costs::new(rig, camera.exposures.get(from..until).unwrap_or_default());
        let held = settled.nd_before(spans, (camera.camera, number), *until_at);
        let before = camera.settings.last().map(|b| (b.nd_stops, b.gain_db));
        let chosen = held.map(|nd| costs.with(nd)).or(before).unwrap_or_else(|| costs.best());
        let setting = costs.setting(chosen);
        camera.earlier[place].setting = Some(setting);
        from = until;
    }
}

/// Cameras that see a place in common, straight or by way of others; those alone, too.
fn groups(cameras: usize, matching: &Matching) -> Vec<Vec<usize>> {
    let mut of: Vec<usize> = (0..cameras).collect();
    for pair in matching.pairs.iter().map(|pair| pair.cameras) {
        let (Some(&a), Some(&b)) = (of.get(pair.0), of.get(pair.1)) else { continue };
        if a != b {
            let (low, high) = (a.min(b), a.max(b));
            of.iter_mut().filter(|of| **of == high).for_each(|of| *of = low);
        }
    }
    let members = |group: usize| (0..cameras).filter(|c| of.get(*c) == Some(&group)).collect();
    (0..cameras).map(members).filter(|group: &Vec<usize>| !group.is_empty()).collect()
}

/// The settings of a group for one run of play.
fn in_span(
    cameras: &[CameraBrief],
    spans: &[PlaySpan],
    number: usize,
    group: &[usize],
    settled: &Settled,
) -> Vec<(usize, SpanSetting)> {
    let Some((from, until)) = spans.get(number).map(|span| span.instants) else {
        return Vec::new();
    };
    let members = group.iter().filter_map(|&camera| {
        let brief = cameras.get(camera)?;
        // of the rig that is there at its end
        let from = brief.earlier_in(spans, number).last().map_or(from, |earlier| earlier.until);
        let seen = brief.exposures.get(from..until).unwrap_or_default();
        Some((camera, brief, Costs::new(brief.rig_at(until.saturating_sub(1)), seen)))
    });
    let members: Vec<(usize, &CameraBrief, Costs<'_>)> = members.collect();
    let free = || members.iter().filter(|m| settled.nd(spans, m.0, number).is_none());
    let common = common(free().map(|m| &m.2));
    let chosen = |costs: &Costs<'_>| match common {
        Some(nd) if costs.joins(nd) => costs.with(nd),
        _ => costs.best(),
    };
    let before = |brief: &CameraBrief| brief.settings.last().map(|b| (b.nd_stops, b.gain_db));
    let stays = free().all(|m| before(m.1).is_some()) && {
        let now: f64 = free().filter_map(|m| Some(m.2.of(before(m.1)?))).sum();
        let then: f64 = free().map(|m| m.2.of(chosen(&m.2))).sum();
        now < then + CHANGE_PAYS * free().count() as f64
    };
    let setting = |(camera, brief, costs): &(usize, &CameraBrief, Costs<'_>)| {
        let held = settled.nd(spans, *camera, number).map(|nd| costs.with(nd));
        let kept = before(brief).filter(|_| stays);
        (*camera, costs.setting(held.or(kept).unwrap_or_else(|| chosen(costs))))
    };
    members.iter().map(setting).collect()
}

/// The ND that costs all together the least; the lightest of equals.
fn common<'a>(members: impl Iterator<Item = &'a Costs<'a>> + Clone) -> Option<f64> {
    let mut all: Vec<f64> = members.clone().flat_map(|m| m.rig.nd_stops.clone()).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    let total = |nd: f64| members.clone().map(|m| m.in_common(nd)).sum::<f64>();
    all.into_iter().min_by(|a, b| total(*a).total_cmp(&total(*b)))
}

/// What a group has in common after all.
fn in_common(
    cameras: &[CameraBrief],
    plan: &MatchPlan,
    spans: &[PlaySpan],
    group: Vec<usize>,
    settled: &Settled,
) -> FilterGroup {
    // what a camera that is out would have in is nobody's business
    let nd = |camera: usize, span: usize| {
        let brief = cameras.get(camera)?;
        let (from, until) = spans.get(span)?.instants;
        let seen = brief.exposures.get(from..until)?.iter().any(Option::is_some);
        brief.settings.get(span).filter(|_| seen).map(|s| s.nd_stops)
    };
    let mut others = Vec::new();
    let mut nd_stops = Vec::new();
    for span in 0..spans.len() {
        let all: Vec<(usize, f64)> =
            group.iter().filter_map(|&c| Some((c, nd(c, span)?))).collect();
        let count = |nd: f64| all.iter().filter(|(_, other)| *other == nd).count();
        // the ND of most; the lightest of equals
        let most = all
            .iter()
            .map(|(_, nd)| *nd)
            .max_by(|a, b| count(*a).cmp(&count(*b)).then(b.total_cmp(a)));
        let most = most.filter(|nd| count(*nd) > 1);
        let differing = all.iter().filter(|(_, nd)| Some(*nd) != most);
        others.extend(differing.map(|&(camera, nd_stops)| OtherNd {
            camera,
            span,
            nd_stops,
            settled: settled.nd(spans, camera, span).is_some(),
        }));
        nd_stops.push(most);
    }
    let widest = widest(cameras, plan, spans, &group);
    FilterGroup { cameras: group, nd_stops, others, widest }
}

/// Where the irises of a group are farthest apart in play.
fn widest(
    cameras: &[CameraBrief],
    plan: &MatchPlan,
    spans: &[PlaySpan],
    group: &[usize],
) -> Option<(Stops, DateTime<Tz>, (usize, usize))> {
    let at = |index: usize| {
        let t = |camera: &usize| {
            let brief = cameras.get(*camera)?;
            let exposure = brief.exposures.get(index).copied().flatten()?;
            let wanted = brief.t_at(spans, index, exposure.one.white)?;
            Some((*camera, brief.set_t(index, wanted)))
        };
        let all: Vec<(usize, f64)> = group.iter().filter_map(t).collect();
        let wide = all.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let narrow = all.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let apart = Stops::from_stops(stops_between_t(wide.1, narrow.1));
        (wide.0 != narrow.0).then_some((apart, plan.instants.get(index)?.at, (wide.0, narrow.0)))
    };
    let inside = spans.iter().flat_map(|span| span.instants.0..span.instants.1);
    // the first of equals
    inside.filter_map(at).reduce(|w, x| if x.0.stops() > w.0.stops() { x } else { w })
}
