//! Key actions that ask one operator for two cameras at the same moment.
//!
//! In: cues in order of time, and the stops of play. Out: those that can wait moved, the
//! others listed as [`AtOnce`].
//!
//! ND is changed at a break, and a break is long: the second camera of an operator follows
//! after the first. What the sun does to two cameras at the same moment cannot be moved.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::jobs::match_plan::play::Break;

use super::cues::{Cue, CueKind, Urgency};

/// Actions of one operator nearer than this are at the same moment, s: less than it takes
/// to set one camera and look at the next (common practice, no source).
pub const AT_ONCE_S: i64 = 15;

/// Key actions of one operator at the same moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtOnce {
    /// Index of the operator.
    pub operator: usize,
    pub at: DateTime<Tz>,
    /// Cameras that ask for a hand, rising; two at least.
    pub cameras: Vec<usize>,
}

/// Moves changes of ND at a break one after the other, operator by operator, as far as the
/// break goes.
pub fn one_after_the_other(cues: &mut [Cue], breaks: &[Break]) {
    let mut taken: Vec<(usize, DateTime<Tz>)> = Vec::new();
    for cue in cues.iter_mut().filter(|cue| cue.kind == CueKind::Setting) {
        let Some(pause) = breaks.iter().find(|b| b.from <= cue.at && cue.at < b.until) else {
            continue;
        };
        let last = |at: DateTime<Tz>, taken: &[(usize, DateTime<Tz>)]| {
            let theirs = taken.iter().filter(|(operator, _)| cue.operators.contains(operator));
            theirs.map(|(_, at)| *at).filter(|t| pause.from <= *t && *t >= at).max()
        };
        if let Some(last) = last(pause.from, &taken) {
            let next = last + TimeDelta::seconds(AT_ONCE_S);
            cue.at = if next < pause.until { next } else { cue.at };
        }
        taken.extend(cue.operators.iter().map(|operator| (*operator, cue.at)));
    }
    cues.sort_by_key(|cue| cue.at);
}

/// Where an operator is asked for two cameras at the same moment, in order of time.
pub fn at_once(cues: &[Cue], operators: usize) -> Vec<AtOnce> {
    let mut all = Vec::new();
    for operator in 0..operators {
        let acts = cues.iter().filter(|cue| cue.urgency == Urgency::Act && cue.is_key_action());
        // floodlights, the balance of all and what moves ask nothing of a single camera
        let of_all = |kind| matches!(kind, CueKind::Floodlights | CueKind::Balance | CueKind::Move);
        let single = |c: &&Cue| !of_all(c.kind);
        let theirs = acts.filter(single).filter(|c| c.operators.contains(&operator));
        let mut open: Option<AtOnce> = None;
        for cue in theirs {
            let near = open.as_ref().is_some_and(|o| (cue.at - o.at).num_seconds() < AT_ONCE_S);
            match open.as_mut().filter(|_| near) {
                Some(open) => open.cameras.extend(&cue.cameras),
                None => {
                    let next = AtOnce { operator, at: cue.at, cameras: cue.cameras.clone() };
                    all.extend(open.replace(next));
                }
            }
        }
        all.extend(open);
    }
    for one in &mut all {
        one.cameras.sort_unstable();
        one.cameras.dedup();
    }
    all.retain(|one| one.cameras.len() > 1);
    all.sort_by_key(|one| (one.at, one.operator));
    all
}
