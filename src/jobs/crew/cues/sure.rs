//! How sure the times of verdicts and splits are, by what causes them.
//!
//! In: the plan, the range of each verdict and split, the shadows of a ground that is
//! off. Out: a [`Sure`].
//!
//! A verdict that changes while the edge moves over a cover comes when that edge comes:
//! its time is as unsure as the time at which the cover has the same share of shade. What
//! the air leaves open is the time over which both verdicts lie in its range. Both are
//! combined with the plan's step as the root of the sum of squares (JCGM 100:2008, GUM,
//! 5.1.2).

use std::cell::RefCell;

use crate::base::units::Stops;
use crate::camera::{CameraView, Interval, SLIVER_LEFT_SHARE, Verdict};
use crate::geometry::{OverlayScratch, Region};
use crate::jobs::crew::known::{DatedChange, OfCamera, QuestionSubject, lock};
use crate::jobs::crew::uncertain::{Casts, Off};

use super::{CueInputs, Sure};

/// A share of a cover that moves by less than this between two instants does not move.
const STILL: f64 = 1e-4;

/// What verdicts may be caused by.
pub(super) struct Causes<'a> {
    ground: &'a CueInputs<'a>,
    /// `None` under a sky without an edge.
    casts: Option<Casts<'a>>,
    bench: RefCell<OverlayScratch>,
}

impl<'a> Causes<'a> {
    pub fn new(ground: &'a CueInputs<'a>) -> Self {
        let casts = ground.casts().filter(|_| !ground.plan.sky.hides_sun());
        Self { ground, casts, bench: RefCell::default() }
    }

    /// Of a change of a verdict at the instant `index`.
    pub fn of_verdict(&self, camera: usize, index: usize, verdicts: (Verdict, Verdict)) -> Sure {
        let ground = self.ground;
        let air_s = open_instants(ground, camera, index, verdicts) * ground.step_s;
        match self.edge_s(camera, index) {
            Edge::None if air_s > 0.0 => Sure::Within(air_s.hypot(ground.step_s)),
            Edge::None => Sure::Step(ground.step_s),
            Edge::Within(edge_s) => Sure::Within(edge_s.hypot(air_s).hypot(ground.step_s)),
            Edge::MayNotCome => Sure::MayNotCome,
        }
    }

    /// The edge on a camera's cover between the instant before `index` and it.
    fn edge_s(&self, camera: usize, index: usize) -> Edge {
        let plan = self.ground.plan;
        let share =
            |index: usize| Some(plan.instants.get(index)?.cameras.get(camera)?.shaded_share);
        let cover = plan.covers.get(camera).filter(|cover| cover.area_m2 > 0.0);
        let shares = index.checked_sub(1).and_then(|before| share(before).zip(share(index)));
        let (Some(casts), Some(cover), Some((before, after))) = (&self.casts, cover, shares) else {
            return Edge::None;
        };
        let mixed = |share| (SLIVER_LEFT_SHARE..=1.0 - SLIVER_LEFT_SHARE).contains(&share);
        if (after - before).abs() < STILL || !(mixed(before) || mixed(after)) {
            return Edge::None;
        }
        let flip = (self.ground.times[index - 1], self.ground.times[index], after > before);
        let find = || {
            let (region, level) = (Region::new(&cover.region), 0.5 * (before + after));
            let bench = &mut *self.bench.borrow_mut();
            let answer = |at, off: Off| region.share(&casts.shadow(at, off, bench)).shaded > level;
            let change = self.ground.crossing(flip, casts, answer);
            DatedChange { change, moving: None }
        };
        let known = self.ground.known.of(QuestionSubject::Camera(camera, OfCamera::CoverShare));
        let DatedChange { change, .. } = lock(&known).change(flip, find);
        match self.ground.sure_of(&change) {
            Sure::Within(within_s) => Edge::Within(within_s),
            Sure::MayNotCome => Edge::MayNotCome,
            Sure::Step(_) | Sure::Exact => Edge::None,
        }
    }
}

/// The edge that causes a change.
enum Edge {
    None,
    /// So many seconds either way.
    Within(f64),
    MayNotCome,
}

/// Over how many instants to either side of a change the air may make both verdicts.
fn open_instants(
    ground: &CueInputs<'_>,
    camera: usize,
    index: usize,
    (old, new): (Verdict, Verdict),
) -> f64 {
    let Some(brief) = ground.cameras.get(camera) else { return 0.0 };
    let open = |index: &usize, other: Verdict| brief.other_verdicts(*index).contains(&other);
    let before = (0..index).rev().take_while(|i| open(i, new)).count();
    let after = (index..ground.times.len()).take_while(|i| open(i, old)).count();
    0.5 * (before + after) as f64
}

/// Of a split that passes a level between the instants `index` and the next: the time
/// over which its range holds the level.
pub(super) fn of_level(ground: &CueInputs<'_>, camera: usize, index: usize, level: Stops) -> Sure {
    let holds = |index: &usize| {
        let view = ground.plan.instants.get(*index).and_then(|i| i.cameras.get(camera));
        view.and_then(widest_range).is_some_and(|r| (r.low..=r.high).contains(&level.stops()))
    };
    let before = (0..=index).rev().take_while(&holds).count();
    let after = (index + 1..ground.times.len()).take_while(&holds).count();
    match 0.5 * (before + after) as f64 * ground.step_s {
        air_s if air_s > 0.0 => Sure::Within(air_s.hypot(ground.step_s)),
        _ => Sure::Step(ground.step_s),
    }
}

/// The range of the wider of the splits in shot.
fn widest_range(view: &CameraView) -> Option<Interval> {
    let each = [&view.turf, &view.subject];
    let in_shot = each.into_iter().filter_map(|s| Some((s.state.in_shot()?, s.range?.stops?)));
    let wider = in_shot.max_by(|a, b| a.0.stops().abs().total_cmp(&b.0.stops().abs()));
    wider.map(|(_, range)| range)
}
