//! When play runs and when it stops.
//!
//! In: milestones and the window of a plan. Out: [`PlaySpan`]s that cover the window,
//! each with its play; settings that need both hands change between them.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::engine::model::{MatchPlan, Milestone};
use crate::venue::Play;

/// A stretch of the window that one setting of ND has to serve: a run of play, with
/// the minutes before the first and after the last.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaySpan {
    /// The milestone that starts it: "kickoff", "second half".
    pub name: String,
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
    /// Instants of the plan, first and one past the last.
    pub instants: (usize, usize),
}

/// A stop of play.
#[derive(Debug, Clone, PartialEq)]
pub struct Break {
    pub name: String,
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
}

/// Runs of play in order; the whole window as one where no milestone starts play. The
/// first begins and the last ends with the window.
pub fn spans(plan: &MatchPlan) -> Vec<PlaySpan> {
    let (Some(first), Some(last)) = (plan.instants.first(), plan.instants.last()) else {
        return Vec::new();
    };
    let mut spans: Vec<PlaySpan> = Vec::new();
    for milestone in &plan.milestones {
        match milestone.play {
            Play::Starts => spans.push(span(milestone, last.at)),
            Play::Stops => {
                if let Some(open) = spans.last_mut() {
                    open.until = open.until.min(milestone.at);
                }
            }
            Play::GoesOn => {}
        }
    }
    spans.retain(|s| s.from < last.at && s.until > first.at);
    if spans.is_empty() {
        spans.push(PlaySpan {
            name: "whole window".to_owned(),
            from: first.at,
            until: last.at,
            instants: (0, 0),
        });
    }
    if let Some(first_span) = spans.first_mut() {
        first_span.from = first.at;
    }
    if let Some(last_span) = spans.last_mut() {
        last_span.until = last.at;
    }
    for span in &mut spans {
        let before = |at| plan.instants.partition_point(|i| i.at < at);
        let through = |at| plan.instants.partition_point(|i| i.at <= at);
        span.instants = (before(span.from), through(span.until));
    }
    spans
}

/// Whether play runs: from a milestone that starts it up to the one that stops it; all the
/// time where no milestone starts play.
pub fn runs_at(plan: &MatchPlan, at: DateTime<Tz>) -> bool {
    let told = plan.milestones.iter().filter(|m| m.play != Play::GoesOn);
    match told.take_while(|m| m.at <= at).last() {
        Some(last) => last.play == Play::Starts,
        None => plan.milestones.iter().all(|m| m.play != Play::Starts),
    }
}

fn span(milestone: &Milestone, until: DateTime<Tz>) -> PlaySpan {
    PlaySpan { name: milestone.name.clone(), from: milestone.at, until, instants: (0, 0) }
}

/// Stops between runs of play, with the name of the milestone that stops it.
pub fn breaks(plan: &MatchPlan) -> Vec<Break> {
    let mut breaks = Vec::new();
    for pair in plan.milestones.windows(2) {
        if let [stop, start] = pair
            && stop.play == Play::Stops
            && start.play == Play::Starts
        {
            breaks.push(Break { name: stop.name.clone(), from: stop.at, until: start.at });
        }
    }
    breaks
}
