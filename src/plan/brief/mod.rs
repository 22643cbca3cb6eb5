//! What the crew needs before the match: what to set, who rides what, how the cameras
//! match, and when to act.
//!
//! In: a [`Prepared`] venue and its [`MatchPlan`]. Out: a [`Brief`], ready to be told.

pub mod cues;
mod lead;
mod levels;
mod matching;
mod settings;
mod share;
mod uncertain;

pub use cues::{Cue, CueKind, During, Urgency};
pub use lead::Moving;
pub use levels::Levels;
pub use matching::{MATCHED_STOPS, Matching, PairGap, Spread};
pub use settings::{CameraBrief, Holds, STEADY_MIN, SpanSetting};
pub use share::{Desk, DeskShare};

use rayon::prelude::*;

use super::Prepared;
use super::model::MatchPlan;
use super::play::{Break, PlaySpan, breaks, spans};
use crate::units::Stops;

/// What a brief is made for.
#[derive(Debug, Clone, PartialEq)]
pub struct BriefSettings {
    /// Splits worth a cue when they are passed, stops.
    pub tell_splits: Vec<Stops>,
    /// Operators when the venue file names none.
    pub operators: Option<usize>,
}

impl Default for BriefSettings {
    /// A cue at two and at three stops.
    fn default() -> Self {
        Self { tell_splits: [2.0, 3.0].map(Stops::from_stops).to_vec(), operators: None }
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
    /// In order of time.
    pub cues: Vec<Cue>,
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
    Desk(#[from] super::desk::DeskError),
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
    let venue = prepared.venue;
    if venue.cameras.is_empty() {
        return Err(BriefError::NoCameras);
    }
    let spans = spans(plan);
    let cameras: Vec<CameraBrief> = (0..venue.cameras.len())
        .into_par_iter()
        .filter_map(|camera| settings::camera_brief(prepared, plan, &spans, camera))
        .collect();
    let desk = share::desk(venue, &cameras, settings.operators)?;
    let cues = cues::cues(prepared, plan, &cameras, &desk, settings);
    let matching = matching::matching(plan);
    Ok(Brief { cameras, spans, breaks: breaks(plan), matching, desk, cues })
}
