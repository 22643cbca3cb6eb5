//! What people ask of a plan first.
//!
//! In: a [`MatchPlan`]. Out: when the shadow edge is on the field, the widest
//! split of a camera and when, minutes in shot, the instant nearest to a time.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::units::{Lux, Stops};
use crate::camera::{CameraView, Interval, OneSide, Side, Split, SplitState, Swing};
use crate::engine::model::{Instant, MatchPlan};
use crate::light::level_that_holds;
use crate::solar::SunState;

/// Shares nearer than this to 0 or to 1 count as none or all: a hundredth of a
/// square metre on a football field, which is rounding of the overlay and no
/// shadow that a camera could see.
const SHARE_FLOOR: f64 = 1e-6;

/// What a split is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SplitTarget {
    /// The horizontal turf.
    Turf,
    /// A vertical grey surface at face height turned toward the camera.
    Subject,
}

impl SplitTarget {
    /// The split of this target.
    pub fn split(self, view: &CameraView) -> &Split {
        match self {
            SplitTarget::Turf => &view.turf,
            SplitTarget::Subject => &view.subject,
        }
    }
}

/// How the shadow edge comes on the field of play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Arrival {
    /// On the field from the first instant of the window.
    AlreadyThere(DateTime<Tz>),
    /// First instant with the edge on the field.
    Enters(DateTime<Tz>),
}

/// How the shadow edge goes from the field of play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Departure {
    /// On the field up to the last instant of the window.
    StillThere(DateTime<Tz>),
    /// Last instant with the edge on the field.
    Leaves(DateTime<Tz>),
}

/// The shadow edge on the turf over the window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EdgeStay {
    OnField {
        arrival: Arrival,
        departure: Departure,
        /// Minutes between the two without the edge.
        away_minutes: i64,
    },
    /// No edge at any instant.
    Never(WholeField),
}

/// What the field looks like where no edge crosses it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WholeField {
    Sunlit,
    Shaded,
    /// Sunlit at some instants, shaded at others.
    OneThenOther,
    /// The sun is down or behind the skyline throughout.
    NoSun,
}

/// Whether part of the field is in full sun and part of it not.
fn has_edge(instant: &Instant) -> bool {
    let shaded = instant.turf.field.shaded;
    instant.sun_state == SunState::Up && shaded > SHARE_FLOOR && shaded < 1.0 - SHARE_FLOOR
}

/// When the shadow edge on the turf enters and leaves the field of play.
pub fn edge_stay(plan: &MatchPlan) -> EdgeStay {
    let first = plan.instants.iter().position(has_edge);
    let last = plan.instants.iter().rposition(has_edge);
    let (Some(first), Some(last)) = (first, last) else {
        return EdgeStay::Never(whole_field(plan));
    };
    let (Some(entering), Some(leaving)) = (plan.instants.get(first), plan.instants.get(last))
    else {
        return EdgeStay::Never(whole_field(plan));
    };
    let between = plan.instants.iter().take(last).skip(first);
    let away = between.filter(|i| !has_edge(i)).count();
    EdgeStay::OnField {
        arrival: match first {
            0 => Arrival::AlreadyThere(entering.at),
            _ => Arrival::Enters(entering.at),
        },
        departure: match last + 1 == plan.instants.len() {
            true => Departure::StillThere(leaving.at),
            false => Departure::Leaves(leaving.at),
        },
        away_minutes: away as i64 * step(plan).map_or(0, |s| s.num_minutes()),
    }
}

fn whole_field(plan: &MatchPlan) -> WholeField {
    let mut with_sun = plan.instants.iter().filter(|i| i.sun_state == SunState::Up).peekable();
    if with_sun.peek().is_none() {
        return WholeField::NoSun;
    }
    let (shaded, sunlit): (Vec<_>, Vec<_>) = with_sun.partition(|i| i.turf.field.shaded > 0.5);
    match (sunlit.is_empty(), shaded.is_empty()) {
        (_, true) => WholeField::Sunlit,
        (true, false) => WholeField::Shaded,
        (false, false) => WholeField::OneThenOther,
    }
}

/// Time between instants; `None` for a plan of fewer than two.
pub fn step(plan: &MatchPlan) -> Option<TimeDelta> {
    let mut times = plan.instants.iter().map(|i| i.at);
    let (first, second) = (times.next()?, times.next()?);
    Some(second - first)
}

/// Index of the instant nearest to `at`; `None` outside the window.
pub fn nearest_instant(plan: &MatchPlan, at: DateTime<Tz>) -> Option<usize> {
    let (first, last) = (plan.instants.first()?.at, plan.instants.last()?.at);
    if at < first || at > last {
        return None;
    }
    let distance = |i: &Instant| (i.at - at).num_seconds().abs();
    let nearest = plan.instants.iter().enumerate().min_by_key(|(_, i)| distance(i));
    nearest.map(|(index, _)| index)
}

/// The widest split of one camera and when it is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Widest {
    pub stops: Stops,
    /// Index of the instant; the earliest where several are equal.
    pub index: usize,
    pub at: DateTime<Tz>,
    /// `None` for a split in shot; the side that fills the cover for a latent
    /// one.
    pub one_side: Option<OneSide>,
    /// From the 10th to the 90th percentile of what is unknown of the air, stops.
    pub range: Option<Interval>,
}

/// Widest split (largest number of stops either way) of camera `camera` with
/// the edge in shot; the widest latent one where the edge is never in shot;
/// `None` where there is no edge at all.
pub fn widest(plan: &MatchPlan, camera: usize, target: SplitTarget) -> Option<Widest> {
    let in_shot = widest_where(plan, camera, target, |w| w.one_side.is_none());
    in_shot.or_else(|| widest_where(plan, camera, target, |_| true))
}

fn widest_where(
    plan: &MatchPlan,
    camera: usize,
    target: SplitTarget,
    wanted: impl Fn(&Widest) -> bool,
) -> Option<Widest> {
    let mut widest: Option<Widest> = None;
    for (index, instant) in plan.instants.iter().enumerate() {
        let Some(view) = instant.cameras.get(camera) else {
            continue;
        };
        let (stops, one_side) = match target.split(view).state {
            SplitState::InShot(stops) => (stops, None),
            SplitState::Latent(stops, side) => (stops, Some(side)),
            SplitState::NoEdge => continue,
        };
        let range = target.split(view).range.and_then(|range| range.stops);
        let here = Widest { stops, index, at: instant.at, one_side, range };
        let size = stops.stops().abs();
        if size.is_finite() && wanted(&here) && widest.is_none_or(|w| size > w.stops.stops().abs())
        {
            widest = Some(here);
        }
    }
    widest
}

/// The widest split in shot over all cameras and both targets.
pub fn widest_in_shot(plan: &MatchPlan) -> Option<Widest> {
    (0..plan.covers.len())
        .flat_map(|camera| [(camera, SplitTarget::Turf), (camera, SplitTarget::Subject)])
        .filter_map(|(camera, target)| widest(plan, camera, target))
        .filter(|w| w.one_side.is_none())
        .reduce(|a, b| if b.stops.stops().abs() > a.stops.stops().abs() { b } else { a })
}

/// Minutes with the edge in shot, each instant standing for the time to halfway
/// to its neighbours; `None` where it never is.
pub fn minutes_in_shot(plan: &MatchPlan, camera: usize, target: SplitTarget) -> Option<i64> {
    let in_shot = |i: &Instant| {
        let split = i.cameras.get(camera).map(|view| target.split(view).state);
        matches!(split, Some(SplitState::InShot(_)))
    };
    let count = plan.instants.iter().filter(|i| in_shot(i)).count() as i64;
    // the first and the last instant stand for half a step inside the window
    let ends = [plan.instants.first(), plan.instants.last()];
    let halves = 2 * count - ends.into_iter().flatten().filter(|i| in_shot(i)).count() as i64;
    let step_s = step(plan).map_or(0, |s| s.num_seconds());
    (count > 0).then_some((halves * step_s + 60) / 120)
}

/// Floodlight that holds a camera's split.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// On the target's plane, beyond what is lit; zero where nothing is needed.
    pub level: Lux,
    /// When it takes the most.
    pub at: DateTime<Tz>,
}

/// The most floodlight over the window that camera `camera` needs, on all sides, to
/// keep its split in shot at [`MatchPlan::hold`]; `None` where no edge is in shot.
pub fn floodlight_to_hold(plan: &MatchPlan, camera: usize, target: SplitTarget) -> Option<Held> {
    let lux = |side: Side| Lux::from_lux(side.light.lux());
    let held = |instant: &Instant| {
        let split = target.split(instant.cameras.get(camera)?);
        split.state.in_shot()?;
        let (bright, dark) = split.sides()?;
        let level = level_that_holds(lux(bright), lux(dark), plan.hold)?;
        Some(Held { level, at: instant.at })
    };
    let all = plan.instants.iter().filter_map(held);
    all.reduce(|most, now| if now.level > most.level { now } else { most })
}

/// The largest swing of a camera's sunlit side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LargestSwing {
    pub swing: Swing,
    pub at: DateTime<Tz>,
}

/// The largest swing over the window; `None` without direct sun.
pub fn largest_swing(plan: &MatchPlan, camera: usize, target: SplitTarget) -> Option<LargestSwing> {
    let swing = |instant: &Instant| {
        let swing = target.split(instant.cameras.get(camera)?).swing?;
        Some(LargestSwing { swing, at: instant.at })
    };
    let larger = |a: LargestSwing, b: LargestSwing| {
        if b.swing.stops.stops() > a.swing.stops.stops() { b } else { a }
    };
    plan.instants.iter().filter_map(swing).reduce(larger)
}
