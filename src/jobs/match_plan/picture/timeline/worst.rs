//! What the strips say of a camera's splits.
//!
//! In: a plan. Out: the state of a split at an instant, fit to draw, and the
//! widest split in shot in words.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::camera::SplitState;
use crate::engine::{Instant, MatchPlan};
use crate::jobs::match_plan::facts::{SplitTarget, widest};
use crate::venue::PlayingSurface;

/// The word for a target on a surface.
pub(super) fn name(target: SplitTarget, surface: PlayingSurface) -> &'static str {
    match target {
        SplitTarget::Turf => surface.short_name(),
        SplitTarget::Subject => "subject",
    }
}

/// The split of a camera at an instant, without numbers that cannot be drawn.
pub(super) fn state(target: SplitTarget, instant: &Instant, camera: usize) -> SplitState {
    let state = instant.cameras.get(camera).map(|view| target.split(view).state);
    match state {
        Some(state) if stops(state).is_none_or(f64::is_finite) => state,
        _ => SplitState::NoEdge,
    }
}

/// The stops of a split, in shot or latent.
pub(super) fn stops(state: SplitState) -> Option<f64> {
    state.in_shot().or(state.latent()).map(|s| s.stops())
}

/// The worst split in shot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Worst {
    pub stops: f64,
    pub at: DateTime<Tz>,
}

impl Worst {
    pub fn text(&self) -> String {
        format!("{:.1} stops at {}", self.stops, self.at.format("%H:%M"))
    }
}

/// The widest split in shot, either way, and when it first comes; `None` when the
/// edge never is in shot.
pub(super) fn worst(plan: &MatchPlan, camera: usize, target: SplitTarget) -> Option<Worst> {
    let widest = widest(plan, camera, target).filter(|w| w.one_side.is_none())?;
    Some(Worst { stops: widest.stops.stops(), at: widest.at })
}
