//! What the crew sets when, who looks after which camera, how cameras match, when to act.
//!
//! In: a [`Prepared`] venue and its [`MatchPlan`]. Out: a [`Brief`]. The job `brief` puts it on
//! pages, `clouds` and `forecast` ask what a sky does to it, `day` keeps it true while play
//! goes on.

pub mod cues;
pub mod desk;
pub mod faces;
mod filters;
mod known;
mod lead;
mod levels;
mod matching;
pub mod outputs;
mod settings;
mod settled;
mod share;
mod together;
mod uncertain;

pub use cues::crew::setting_words;
pub use cues::{Cue, CueKind, During, Urgency, mark_words};
pub use filters::{DEPARTING_COSTS, FilterGroup, IRIS_APART_STOPS, OtherNd};
pub use known::KnownEdges;
pub use lead::EdgeMotion;
pub use levels::Levels;
pub use matching::{MATCHED_STOPS, Matching, PairGap, WidestGap};
pub use settings::{CameraBrief, EarlierRig, Holds, STEADY_MIN, SpanSetting};
pub use settled::{Absence, HeldNd, PlacedRig, Settled};
pub use share::{Desk, DeskShare, operator_names};
pub use together::{AT_ONCE_S, AtOnce, at_once, one_after_the_other};

use chrono::DateTime;
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::base::units::Stops;
use crate::engine::Prepared;
use crate::engine::model::MatchPlan;
use crate::jobs::match_plan::play::{Break, PlaySpan, breaks, spans};

/// What a brief is made for.
#[derive(Debug, Clone, PartialEq)]
pub struct BriefSettings {
    /// Splits worth a cue when they are passed, stops.
    pub tell_splits: Vec<Stops>,
    /// Operators when the venue file names none.
    pub operators: Option<usize>,
    /// What hands have settled already.
    pub settled: Settled,
    pub edge_times: EdgeTimes,
}

/// How finely the times of edges and of the sun in lenses are found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum EdgeTimes {
    /// With how far they may be off.
    #[default]
    ToTheSecond,
    /// To the step of the plan, for a first look.
    ToTheStep,
}

impl Default for BriefSettings {
    /// A cue at two and at three stops.
    fn default() -> Self {
        Self {
            tell_splits: [2.0, 3.0].map(Stops::from_stops).to_vec(),
            operators: None,
            settled: Settled::default(),
            edge_times: EdgeTimes::default(),
        }
    }
}

/// The crew's brief.
#[derive(Debug, Clone)]
pub struct Brief {
    /// In the order of [`crate::venue::Venue::cameras`].
    pub cameras: Vec<CameraBrief>,
    pub spans: Vec<PlaySpan>,
    pub breaks: Vec<Break>,
    pub matching: Matching,
    pub desk: Desk,
    /// Cameras that cut to each other, with the ND they have in common.
    pub filters: Vec<FilterGroup>,
    /// In order of time.
    pub cues: Vec<Cue>,
    /// Key actions of one operator on two cameras at the same moment.
    pub at_once: Vec<AtOnce>,
}

impl Brief {
    /// The same with cues of what a forecast says from some times on.
    pub fn with_forecast(
        self,
        prepared: &Prepared<'_>,
        plan: &MatchPlan,
        said: &[(DateTime<Tz>, String)],
    ) -> Self {
        let desk = (self.cameras.as_slice(), &self.desk);
        let cues = cues::with_forecast(self.cues, prepared, plan, desk, said);
        Self { cues, ..self }
    }
}

/// Why a brief cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BriefError {
    /// Nobody sees anything.
    #[error("the venue file names no camera, so there is nothing to brief; add a [[camera]]")]
    NoCameras,
    /// Someone would have nothing to do.
    #[error(
        "{cameras} cameras cannot be shared between the operators asked for, {operators}: ask for \
         no more operators than cameras"
    )]
    TooManyOperators { operators: usize, cameras: usize },
    /// Two answers to one question.
    #[error("the venue file names its operators, {count}; leave --operators out")]
    OperatorsStated { count: usize },
    /// The cameras cannot be shared out as asked.
    #[error("the cameras cannot be shared between the operators: {0}")]
    Desk(#[from] desk::DeskError),
}

#[cfg(feature = "cli")]
impl From<BriefError> for crate::command::failure::Failure {
    fn from(error: BriefError) -> Self {
        Self::input(error)
    }
}

/// Makes the brief of a plan.
///
/// # Errors
/// [`BriefError`] without cameras, or when operators cannot share them.
pub fn brief(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    settings: &BriefSettings,
) -> Result<Brief, BriefError> {
    brief_again(prepared, plan, settings, &KnownEdges::default())
}

/// The same for a ground of which edges are known from earlier briefs; those that are found
/// now are added.
///
/// # Errors
/// As [`brief`].
pub fn brief_again(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    settings: &BriefSettings,
    known: &KnownEdges,
) -> Result<Brief, BriefError> {
    let venue = prepared.venue;
    if venue.cameras.is_empty() {
        return Err(BriefError::NoCameras);
    }
    let spans = spans(plan);
    let settled = &settings.settled;
    let mut cameras: Vec<CameraBrief> = (0..venue.cameras.len())
        .into_par_iter()
        .filter_map(|camera| settings::camera_brief(prepared, plan, settled, camera))
        .collect();
    let matching = matching::matching(plan, settled);
    let filters = filters::choose(&mut cameras, plan, &spans, &matching, settled);
    let desk = share::desk(venue, &cameras, settings)?;
    let breaks = breaks(plan);
    let mut cues = cues::cues(prepared, plan, (&cameras, &desk), settings, known);
    one_after_the_other(&mut cues, &breaks);
    let at_once = at_once(&cues, desk.operators.len());
    Ok(Brief { cameras, spans, breaks, matching, desk, filters, cues, at_once })
}
