//! The times that matter, in order.
//!
//! In: a [`Prepared`] venue, its [`MatchPlan`], what the cameras set and who rides
//! them. Out: [`Cue`]s: what happens, when, for whom, whether a hand acts on it, how long
//! ahead to warn, how the edge moves on and how sure the time is.
//!
//! Times of edges and lenses are found on the geometry to a second; verdicts and splits
//! come from the light at the plan's step, and are as sure as the edge and the air that
//! cause them; floodlights keep the step.

pub mod crew;
mod edge;
mod lens;
mod sure;

pub use edge::mark_words;

use std::collections::HashMap;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::engine::Prepared;
use crate::engine::model::MatchPlan;
use crate::jobs::match_plan::play;

use super::known::KnownEdges;
use super::lead::EdgeMotion;
use super::share::Desk;
use super::uncertain::{AnswerChange, Casts, Off, crossing};
use super::{BriefSettings, CameraBrief, EdgeTimes};

/// A hand is warned so long ahead, beside its camera's own delay, s (common practice, no
/// source).
pub const WARN_AHEAD_S: f64 = 10.0;

/// Hours of a forecast are meant so loosely, s (common practice, no source).
const FORECAST_SURE_S: f64 = 1800.0;

/// What a cue is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CueKind {
    /// The edge reaches a marked place.
    Mark,
    /// A zone or the whole field changes over.
    Zone,
    /// The edge comes into or goes out of what a camera covers.
    Coverage,
    /// The sun and a lens.
    Lens,
    /// A camera has to be handled in another way.
    Verdict,
    /// A split passes a level.
    Split,
    /// Floodlights.
    Floodlights,
    /// Something of the ground that moves.
    Move,
    /// White balance to move.
    Balance,
    /// What the forecast says from then on.
    Forecast,
    /// ND or gain to change.
    Setting,
}

/// What a hand has to do about a cue; what is most urgent comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Urgency {
    /// To act at that time.
    Act,
    /// To set at that time, while play is stopped.
    AtBreak,
    /// Nothing to set: for information.
    Know,
}

/// Whether play runs at a cue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum During {
    Play,
    /// Before kickoff, at half-time, after the end.
    Outside,
}

/// One thing to know in time.
#[derive(Debug, Clone, PartialEq)]
pub struct Cue {
    pub at: DateTime<Tz>,
    pub kind: CueKind,
    pub urgency: Urgency,
    pub during: During,
    /// "edge reaches centre spot".
    pub what: String,
    /// What it is about, in words that stay the same when the plan is made again; with
    /// the kind and [`Cue::ordinal`] it tells a cue from all others of its fixture.
    pub subject: String,
    /// The how manieth of its kind and subject, from 1.
    pub ordinal: usize,
    /// Cameras it is for, by index.
    pub cameras: Vec<usize>,
    /// Operators it is for, by index.
    pub operators: Vec<usize>,
    /// To be warned so long ahead, s: the slowest camera's delay and [`WARN_AHEAD_S`].
    pub lead_s: f64,
    pub moving: Option<EdgeMotion>,
    pub sure: Sure,
}

/// How sure a time is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sure {
    /// So many seconds either way on eight days of ten, for roofs and a bearing that are
    /// off as surveyed, else 1 m and 1 degree, for what is unknown of the air, and for the
    /// plan's step, whichever count: the root of the sum of squares.
    Within(f64),
    /// With roofs or bearing that much off it does not come at all.
    MayNotCome,
    /// To a step of the plan, s.
    Step(f64),
    /// By the clock.
    Exact,
}

impl Cue {
    /// Whether a hand acts on it in play, or sets something for play to come.
    pub fn is_key_action(&self) -> bool {
        match self.urgency {
            Urgency::Act => self.during == During::Play,
            Urgency::AtBreak => true,
            Urgency::Know => false,
        }
    }
}

/// What a cue says.
struct What {
    kind: CueKind,
    urgency: Urgency,
    words: String,
    /// See [`Cue::subject`].
    subject: String,
}

impl What {
    /// With the words as the subject: they hold no figure that another run may change.
    fn new(kind: CueKind, urgency: Urgency, words: impl Into<String>) -> Self {
        let words = words.into();
        Self { kind, urgency, subject: words.clone(), words }
    }
}

/// What cues are made from.
pub(super) struct CueInputs<'a> {
    pub prepared: &'a Prepared<'a>,
    pub plan: &'a MatchPlan,
    pub cameras: &'a [CameraBrief],
    pub desk: &'a Desk,
    /// Times of the instants.
    pub times: Vec<DateTime<Tz>>,
    /// Between instants, s.
    pub step_s: f64,
    pub known: &'a KnownEdges,
    pub edge_times: EdgeTimes,
}

impl<'a> CueInputs<'a> {
    fn new(
        prepared: &'a Prepared<'a>,
        plan: &'a MatchPlan,
        (cameras, desk): (&'a [CameraBrief], &'a Desk),
        (known, edge_times): (&'a KnownEdges, EdgeTimes),
    ) -> Self {
        let times = plan.instants.iter().map(|i| i.at).collect();
        let step = crate::jobs::match_plan::facts::step(plan);
        let step_s = step.map_or(0.0, |step| step.num_seconds() as f64);
        Self { prepared, plan, cameras, desk, times, step_s, known, edge_times }
    }

    /// The change of an answer between two times, see [`crossing`].
    fn crossing(
        &self,
        flip: (DateTime<Tz>, DateTime<Tz>, bool),
        casts: &Casts<'_>,
        answer: impl FnMut(DateTime<Tz>, Off) -> bool,
    ) -> AnswerChange {
        match self.edge_times {
            EdgeTimes::ToTheSecond => crossing(flip, casts.errors, answer),
            EdgeTimes::ToTheStep => AnswerChange { at: flip.1, to: flip.2, uncertain_s: None },
        }
    }

    /// How sure the time of a change is.
    fn sure_of(&self, change: &AnswerChange) -> Sure {
        match (self.edge_times, change.uncertain_s) {
            (EdgeTimes::ToTheStep, _) => Sure::Step(self.step_s),
            (EdgeTimes::ToTheSecond, Some(within_s)) => Sure::Within(within_s),
            (EdgeTimes::ToTheSecond, None) => Sure::MayNotCome,
        }
    }

    /// Casts the shadows of the day; `None` without an instant.
    fn casts(&self) -> Option<Casts<'a>> {
        let date = self.times.first()?.date_naive();
        Some(Casts::new(self.prepared, self.known.levels(self.prepared, date)))
    }

    /// A cue for some cameras.
    fn cue(&self, at: DateTime<Tz>, what: What, cameras: Vec<usize>, sure: Sure) -> Cue {
        let operators = self.operators_of(&cameras);
        let delays = cameras.iter().filter_map(|&c| self.cameras.get(c)).map(|c| c.rig.delay_s);
        let lead_s = delays.fold(0.0, f64::max) + WARN_AHEAD_S;
        let during = match play::runs_at(self.plan, at) {
            true => During::Play,
            false => During::Outside,
        };
        Cue {
            at,
            kind: what.kind,
            urgency: what.urgency,
            during,
            what: what.words,
            subject: what.subject,
            ordinal: 1,
            cameras,
            operators,
            lead_s,
            moving: None,
            sure,
        }
    }

    /// Whose cameras they are, each once.
    fn operators_of(&self, cameras: &[usize]) -> Vec<usize> {
        let each = cameras.iter().filter_map(|&camera| self.desk.operator_of(camera));
        let mut operators: Vec<usize> = each.collect();
        operators.sort_unstable();
        operators.dedup();
        operators
    }

    fn name(&self, camera: usize) -> &'a str {
        self.prepared.venue.cameras.get(camera).map_or("", |c| c.name.as_str())
    }
}

/// All cues, in order of time.
pub(super) fn cues(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    (cameras, desk): (&[CameraBrief], &Desk),
    settings: &BriefSettings,
    known: &KnownEdges,
) -> Vec<Cue> {
    let edges = (known, settings.edge_times);
    let ground = CueInputs::new(prepared, plan, (cameras, desk), edges);
    let mut cues = Vec::new();
    // a sky that hides the sun throws no edge and puts no sun into a lens
    if !plan.sky.hides_sun() {
        cues.extend(edge::cues(&ground));
        cues.extend(lens::cues(&ground));
    }
    cues.extend(crew::cues(&ground, settings));
    cues.extend(crew::moves(&ground));
    leave_out(&mut cues, &ground, settings);
    sorted(cues)
}

/// Cues with what a forecast says from some times on, for all cameras.
pub(super) fn with_forecast(
    cues: Vec<Cue>,
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    (cameras, desk): (&[CameraBrief], &Desk),
    said: &[(DateTime<Tz>, String)],
) -> Vec<Cue> {
    let known = KnownEdges::default();
    let edges = (&known, EdgeTimes::default());
    let ground = CueInputs::new(prepared, plan, (cameras, desk), edges);
    let cue = |(at, words): &(DateTime<Tz>, String)| {
        let what = What {
            kind: CueKind::Forecast,
            urgency: Urgency::Know,
            words: format!("forecast: {words}"),
            subject: "forecast".to_owned(),
        };
        ground.cue(*at, what, (0..cameras.len()).collect(), Sure::Step(FORECAST_SURE_S))
    };
    sorted(cues.into_iter().chain(said.iter().map(cue)).collect())
}

/// In order of time, counted.
fn sorted(mut cues: Vec<Cue>) -> Vec<Cue> {
    cues.sort_by(|a, b| a.at.cmp(&b.at).then(a.kind.cmp(&b.kind)).then(a.what.cmp(&b.what)));
    number(&mut cues);
    cues
}

/// Takes cameras that are out from all cues, and cues that were for them alone.
fn leave_out(cues: &mut Vec<Cue>, ground: &CueInputs<'_>, settings: &BriefSettings) {
    let settled = &settings.settled;
    if settled.out.is_empty() {
        return;
    }
    let breaks = play::breaks(ground.plan);
    cues.retain_mut(|cue| {
        let before = cue.cameras.len();
        // what is set in a break is for the play after it
        let pause = breaks.iter().find(|b| b.from <= cue.at && cue.at < b.until);
        let at = pause.filter(|_| cue.kind == CueKind::Setting).map_or(cue.at, |b| b.until);
        cue.cameras.retain(|camera| !settled.is_out(*camera, at));
        if cue.cameras.len() < before {
            cue.operators = ground.operators_of(&cue.cameras);
        }
        before == 0 || !cue.cameras.is_empty()
    });
}

/// Counts cues of one kind and subject in order of time.
fn number(cues: &mut [Cue]) {
    let mut counts: HashMap<(CueKind, String), usize> = HashMap::new();
    for cue in cues {
        let count = counts.entry((cue.kind, cue.subject.clone())).or_default();
        *count += 1;
        cue.ordinal = *count;
    }
}
