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
    /// Rigs in place of those that the file states.
    pub rigs: Vec<(usize, Rig)>,
    /// ND that is in, later ones after earlier ones.
    pub nd: Vec<HeldNd>,
    /// Camera by camera, the operator who keeps it, whatever else changes.
    pub operator_of: Vec<Option<usize>>,
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

    /// The rig of a camera where it is another than the file states.
    pub fn rig(&self, camera: usize) -> Option<&Rig> {
        self.rigs.iter().rev().find(|(of, _)| *of == camera).map(|(_, rig)| rig)
    }

    /// The ND of a camera in a run of play, by the number of the run.
    pub(super) fn nd(&self, spans: &[PlaySpan], camera: usize, span: usize) -> Option<f64> {
        let last = spans.len().saturating_sub(1);
        let of = |held: &HeldNd| spans.iter().position(|s| held.at < s.until).unwrap_or(last);
        let held = self.nd.iter().rev().find(|h| h.camera == camera && of(h) == span);
        held.map(|held| held.stops)
    }
}
