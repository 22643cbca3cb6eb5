//! What is settled before a brief is made, by hands or by a brief before it.
//!
//! In: what the crew did. Out: [`Settled`], which the other parts of the brief keep to.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::camera::Rig;
use crate::jobs::match_plan::play::PlaySpan;

/// What a brief may not choose. Cameras and operators by index; nothing is settled in the
/// default.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Settled {
    /// When nobody works a camera: nothing to set, no cues, no load for an operator.
    pub out: Vec<Absence>,
    /// Rigs that come to a place on the day, later ones after earlier ones.
    pub rigs: Vec<PlacedRig>,
    /// ND that is in, later ones after earlier ones.
    pub nd: Vec<HeldNd>,
    /// Camera by camera, the operator who keeps it, whatever else changes.
    pub operator_of: Vec<Option<usize>>,
}

/// A rig that is at the place of a camera from a time on.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedRig {
    pub camera: usize,
    pub from: DateTime<Tz>,
    /// `None`: the one that the file states.
    pub rig: Option<Rig>,
}

/// A camera that is out, or not there yet, from one time to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Absence {
    pub camera: usize,
    pub from: DateTime<Tz>,
    /// `None`: to the end.
    pub until: Option<DateTime<Tz>>,
}

/// An ND that is in a camera from a time on, to the end of that run of play; at a break, to
/// the end of the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldNd {
    pub camera: usize,
    pub at: DateTime<Tz>,
    pub stops: f64,
}

impl Settled {
    /// Whether a camera is out at a time.
    pub fn is_out(&self, camera: usize, at: DateTime<Tz>) -> bool {
        let holds = |out: &Absence| out.from <= at && out.until.is_none_or(|until| at < until);
        self.out.iter().any(|out| out.camera == camera && holds(out))
    }

    /// Rigs that come to the place of a camera, in order of time.
    pub(super) fn rigs_of(&self, camera: usize) -> Vec<&PlacedRig> {
        let mut all: Vec<_> = self.rigs.iter().filter(|placed| placed.camera == camera).collect();
        all.sort_by_key(|placed| placed.from);
        all
    }

    /// The ND of a camera in a run of play, by the number of the run: of the rig that is there
    /// at its end.
    pub(super) fn nd(&self, spans: &[PlaySpan], camera: usize, span: usize) -> Option<f64> {
        let until = spans.get(span)?.until;
        self.nd_before(spans, (camera, span), until)
    }

    /// The same of the rig that is there just before a time.
    pub(super) fn nd_before(
        &self,
        spans: &[PlaySpan],
        (camera, span): (usize, usize),
        until: DateTime<Tz>,
    ) -> Option<f64> {
        let last = spans.len().saturating_sub(1);
        let of = |held: &HeldNd| spans.iter().position(|s| held.at < s.until).unwrap_or(last);
        let placed = self.rigs.iter().filter(|placed| placed.camera == camera);
        let since = placed.map(|placed| placed.from).filter(|from| *from < until).max();
        let is_in = |held: &&HeldNd| {
            held.camera == camera
                && of(held) == span
                && since.is_none_or(|since| since <= held.at)
                // what is put in after the last run of play counts for it
                && (held.at < until || spans.get(span).is_some_and(|s| s.until == until))
        };
        self.nd.iter().rev().find(is_in).map(|held| held.stops)
    }
}
