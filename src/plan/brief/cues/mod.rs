//! The times that matter, in order.
//!
//! In: a [`Prepared`] venue, its [`MatchPlan`], what the cameras set and who rides
//! them. Out: [`Cue`]s: what happens, when, for whom, how long before to be ready, how
//! the edge moves on and how sure the time is.
//!
//! Times of edges and lenses are found on the geometry to a second; verdicts, splits
//! and floodlights come from the light and keep the plan's step.

pub mod crew;
mod edge;
mod lens;

use chrono::DateTime;
use chrono_tz::Tz;

use super::lead::Moving;
use super::share::Desk;
use super::{BriefSettings, CameraBrief};
use crate::plan::model::MatchPlan;
use crate::plan::run::Prepared;

/// A hand needs so long to be ready beside its camera's own delay, s (common practice,
/// no source).
pub const READY_S: f64 = 10.0;

/// What a cue is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CueKind {
    /// The edge reaches a marked place.
    Mark,
    /// A zone or the whole field changes over.
    Zone,
    /// The edge comes into or goes out of what a camera covers.
    Cover,
    /// The sun and a lens.
    Lens,
    /// A camera has to be handled in another way.
    Verdict,
    /// A split passes a level.
    Split,
    /// Floodlights.
    Lamps,
    /// ND or gain to change.
    Setting,
}

/// One thing to know in time.
#[derive(Debug, Clone, PartialEq)]
pub struct Cue {
    pub at: DateTime<Tz>,
    pub kind: CueKind,
    /// "edge reaches centre spot".
    pub what: String,
    /// Cameras it is for, by index.
    pub cameras: Vec<usize>,
    /// Operators it is for, by index.
    pub operators: Vec<usize>,
    /// To be ready so long before, s: the slowest camera's delay and [`READY_S`].
    pub lead_s: f64,
    pub moving: Option<Moving>,
    pub sure: Sure,
}

/// How sure a time is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sure {
    /// So many seconds either way for roofs 1 m and a bearing 1 degree off, as the root
    /// of the sum of squares.
    Within(f64),
    /// With roofs or bearing that much off it does not come at all.
    MayNotCome,
    /// To a step of the plan, s.
    Step(f64),
    /// By the clock.
    Exact,
}

/// What cues are made from.
pub(super) struct Ground<'a> {
    pub prepared: &'a Prepared<'a>,
    pub plan: &'a MatchPlan,
    pub cameras: &'a [CameraBrief],
    pub desk: &'a Desk,
    /// Times of the instants.
    pub times: Vec<DateTime<Tz>>,
    /// Between instants, s.
    pub step_s: f64,
}

impl<'a> Ground<'a> {
    /// A cue for some cameras.
    fn cue(
        &self,
        at: DateTime<Tz>,
        kind: CueKind,
        what: impl Into<String>,
        cameras: Vec<usize>,
        sure: Sure,
    ) -> Cue {
        let mut operators: Vec<usize> =
            cameras.iter().filter_map(|&camera| self.desk.operator_of(camera)).collect();
        operators.sort_unstable();
        operators.dedup();
        let delays = cameras.iter().filter_map(|&c| self.cameras.get(c)).map(|c| c.rig.delay_s);
        let lead_s = delays.fold(0.0, f64::max) + READY_S;
        Cue { at, kind, what: what.into(), cameras, operators, lead_s, moving: None, sure }
    }

    fn name(&self, camera: usize) -> &'a str {
        self.prepared.venue.cameras.get(camera).map_or("", |c| c.name.as_str())
    }
}

/// All cues, in order of time.
pub(super) fn cues(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    cameras: &[CameraBrief],
    desk: &Desk,
    settings: &BriefSettings,
) -> Vec<Cue> {
    let times: Vec<DateTime<Tz>> = plan.instants.iter().map(|i| i.at).collect();
    let step = crate::plan::facts::step(plan);
    let step_s = step.map_or(0.0, |step| step.num_seconds() as f64);
    let ground = Ground { prepared, plan, cameras, desk, times, step_s };
    let mut cues = Vec::new();
    // a sky that hides the sun throws no edge and puts no sun into a lens
    if !plan.sky.hides_sun() {
        cues.extend(edge::cues(&ground));
        cues.extend(lens::cues(&ground));
    }
    cues.extend(crew::cues(&ground, settings));
    cues.sort_by(|a, b| a.at.cmp(&b.at).then(a.kind.cmp(&b.kind)).then(a.what.cmp(&b.what)));
    cues
}
