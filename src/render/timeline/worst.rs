//! The worst split that a camera has in shot.
//!
//! In: a plan. Out: the largest split in stops while the edge is in shot, and
//! when it first comes.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::camera::{CameraView, SplitState};
use crate::plan::{Instant, MatchPlan};

/// What a split is between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Target {
    Turf,
    Subject,
}

impl Target {
    pub fn name(self) -> &'static str {
        match self {
            Target::Turf => "turf",
            Target::Subject => "subject",
        }
    }

    /// The split of a camera at an instant, without numbers that cannot be
    /// drawn.
    pub fn state(self, instant: &Instant, camera: usize) -> SplitState {
        let of = |view: &CameraView| match self {
            Target::Turf => view.turf.state,
            Target::Subject => view.subject.state,
        };
        let state = instant.cameras.get(camera).map(of);
        match state {
            Some(state) if stops(state).is_none_or(f64::is_finite) => state,
            _ => SplitState::NoEdge,
        }
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

/// The first instant of the largest split in shot; `None` when the edge never is.
pub(super) fn worst(plan: &MatchPlan, camera: usize, target: Target) -> Option<Worst> {
    let in_shot = plan.instants.iter().filter_map(|instant| {
        let stops = target.state(instant, camera).in_shot()?.stops();
        Some(Worst { stops, at: instant.at })
    });
    in_shot.reduce(|worst, next| if next.stops > worst.stops { next } else { worst })
}
