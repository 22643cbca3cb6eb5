//! Plans of the day, made apart from the lock of the day itself.
//!
//! In: a state with its venue, and the plan before. Out: the plan of that state, by the planner
//! that is there, or by another for another ground or other lenses.

use std::sync::Arc;

use chrono::DateTime;
use chrono_tz::Tz;

use super::outlook::Ahead;
use crate::engine::Programme;
use crate::jobs::day::{DayError, DayPlan, DayState, Planner, venue_with_lenses};
use crate::serve::problem::Refused;
use crate::venue::Venue;

self_cell::self_cell! {
    /// A planner with the venue that it borrows.
    pub(super) struct OwnPlanner {
        owner: Arc<Venue>,
        #[covariant]
        dependent: Planner,
    }
}

#[derive(Default)]
pub(super) struct Planning {
    pub(super) ready: Option<Ready>,
    /// Who has which camera, from the first plan on.
    pub(super) operators: Vec<Option<usize>>,
    pub(super) ahead: Ahead,
}

/// A planner, for one ground with the lenses that are on its cameras.
pub(super) struct Ready {
    pub(super) revision: u64,
    pub(super) lenses: Vec<Option<f64>>,
    pub(super) planner: OwnPlanner,
}

/// What a plan is to be made of.
pub(super) struct PlanInput {
    pub(super) revision: u64,
    pub(super) venue: Arc<Venue>,
    pub(super) programme: Programme,
    pub(super) start: DateTime<Tz>,
    pub(super) state: DayState,
    pub(super) operators: Vec<Option<usize>>,
    pub(super) now: DateTime<Tz>,
    pub(super) before: Option<Arc<DayPlan>>,
}

/// The plan of a state, with the planner that is there, or another for another ground or
/// other lenses.
pub(super) fn planned(planning: &mut Planning, wanted: &PlanInput) -> Result<DayPlan, Refused> {
    let refused = |e: DayError| Refused::input(e.to_string());
    if !wanted.operators.is_empty() {
        // as before a restart
        planning.operators.clone_from(&wanted.operators);
    } else if planning.operators.len() != wanted.venue.cameras.len() {
        planning.operators.clear();
    }
    let settled = !planning.operators.is_empty();
    let ready = planning.planner(wanted);
    let mut plan = |before: Option<&DayPlan>, state: &DayState| {
        let plan = |planner: &mut Planner<'_>| planner.plan_after(before, state, wanted.now);
        ready.planner.with_dependent_mut(|_, planner| plan(planner)).map_err(refused)
    };
    if settled {
        return plan(wanted.before.as_deref(), &wanted.state);
    }
    // who has which camera is settled before anything happens
    let first = plan(None, &DayState::new(&wanted.venue, &wanted.programme))?;
    let made = plan(Some(&first), &wanted.state);
    planning.operators = first.operators();
    made
}

impl Planning {
    /// The planner that is there, or another for another ground or other lenses.
    pub(super) fn planner(&mut self, wanted: &PlanInput) -> &mut Ready {
        let lenses: Vec<Option<f64>> =
            wanted.state.cameras.iter().map(|camera| camera.horizontal_fov_deg).collect();
        let usable = self.ready.take().filter(|r| r.revision == wanted.revision);
        self.ready.insert(match usable {
            Some(ready) if ready.lenses == lenses => ready,
            before => made_ready(before, wanted, (lenses, self.operators.clone())),
        })
    }
}

/// A planner for the lenses that are on the cameras now, out of the one before.
fn made_ready(
    before: Option<Ready>,
    wanted: &PlanInput,
    (lenses, operators): (Vec<Option<f64>>, Vec<Option<usize>>),
) -> Ready {
    let venue = venue_with_lenses(&wanted.venue, &wanted.state);
    let venue = venue.map_or_else(|| Arc::clone(&wanted.venue), Arc::new);
    let planner = OwnPlanner::new(venue, |venue| {
        let mut planner = match before {
            Some(mut ready) => {
                ready.planner.with_dependent_mut(|_, planner| Planner::after(venue, planner))
            }
            None => Planner::new(venue, wanted.start),
        };
        planner.keep_operators(operators);
        planner
    });
    Ready { revision: wanted.revision, lenses, planner }
}
