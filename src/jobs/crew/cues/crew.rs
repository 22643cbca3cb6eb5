//! Cues of what the crew does: verdicts, splits, floodlights, ND at breaks.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::units::Stops;
use crate::camera::{CameraView, ShortOfLight, Verdict};
use crate::jobs::crew::BriefSettings;
use crate::jobs::match_plan::dusk::{BalanceMove, Dusk, Leader};
use crate::jobs::match_plan::facts::SplitTarget;
use crate::jobs::match_plan::play;
use crate::light::FloodlightState;
use crate::output::words::nd_or_clear;

use super::sure::Causes;
use super::{Cue, CueInputs, CueKind, Sure, Urgency, What};

/// Floodlights matter when they take this much off a split, stops.
const LAMPS_MATTER: f64 = 0.25;

pub(super) fn cues(ground: &CueInputs<'_>, settings: &BriefSettings) -> Vec<Cue> {
    let mut cues = Vec::new();
    let causes = Causes::new(ground);
    for camera in 0..ground.cameras.len() {
        cues.extend(verdicts(ground, &causes, camera));
        cues.extend(short_of_light(ground, camera));
        for level in &settings.tell_splits {
            cues.extend(splits(ground, camera, *level));
        }
    }
    cues.extend(floodlight(ground));
    if let Some(dusk) = Dusk::of(ground.plan) {
        cues.extend(takeovers(ground, &dusk));
        cues.extend(balance(ground, &dusk));
    }
    cues.extend(nd(ground));
    cues
}

/// What of the ground moves during the plan, for all cameras.
pub(super) fn moves(ground: &CueInputs<'_>) -> Vec<Cue> {
    let venue = ground.prepared.venue;
    let (Some(first), Some(last)) = (ground.times.first(), ground.times.last()) else {
        return Vec::new();
    };
    let mut cues = Vec::new();
    for moving in &venue.changes.moving {
        let state = |at: &DateTime<Tz>| moving.state_at(at.naive_local());
        // a minute is the finest that a file says
        let minutes = (*last - *first).num_minutes().max(0);
        let times = (1..=minutes).map(|minute| *first + TimeDelta::minutes(minute));
        let mut before = state(first);
        for at in times {
            let now = std::mem::replace(&mut before, state(&at));
            let Some(to) = moving.states.get(before).filter(|_| before != now) else { continue };
            let what = format!("{}: {}", moving.name, to.name);
            let what = What::new(CueKind::Move, Urgency::Act, what);
            cues.push(ground.cue(at, what, (0..ground.cameras.len()).collect(), Sure::Exact));
        }
    }
    cues
}

/// How a verdict is said.
pub fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Hold => "one iris for both",
        Verdict::Ride => "ride the iris",
        Verdict::Choose => "expose for sun or for shade",
    }
}

/// Changes of a camera's verdict.
fn verdicts(ground: &CueInputs<'_>, causes: &Causes<'_>, camera: usize) -> Vec<Cue> {
    let Some(brief) = ground.cameras.get(camera) else { return Vec::new() };
    let told = brief.exposures.iter().map(|e| e.map(|e| e.verdict));
    let mut held: Option<Verdict> = None;
    let mut cues = Vec::new();
    for (index, (verdict, at)) in told.zip(&ground.times).enumerate() {
        let Some(new) = verdict else { continue };
        if let Some(old) = held.replace(new).filter(|old| *old != new) {
            let what = format!("{}: {}", ground.name(camera), verdict_words(new));
            let sure = causes.of_verdict(camera, index, (old, new));
            let what = What::new(CueKind::Verdict, Urgency::Act, what);
            cues.push(ground.cue(*at, what, vec![camera], sure));
        }
    }
    cues
}

/// A lens that loses light at its long end begins to have too little there, or has enough
/// again.
fn short_of_light(ground: &CueInputs<'_>, camera: usize) -> Vec<Cue> {
    let Some(brief) = ground.cameras.get(camera) else { return Vec::new() };
    let spans = play::spans(ground.plan);
    let state = |index: usize| {
        let known = brief.exposures.get(index).is_some_and(Option::is_some);
        known.then(|| match brief.short_of_light(&spans, index) {
            None => "lens has light enough at every focal length",
            Some(ShortOfLight::From { .. }) => "lens runs out of light at the long end",
            Some(ShortOfLight::Everywhere { .. }) => "lens runs out of light at both ends",
        })
    };
    let mut held: Option<&str> = None;
    let mut cues = Vec::new();
    for (index, at) in ground.times.iter().enumerate() {
        let Some(new) = state(index) else { continue };
        if held.replace(new).is_some_and(|old| old != new) {
            let what = format!("{}: {new}", ground.name(camera));
            let what = What::new(CueKind::Verdict, Urgency::Act, what);
            cues.push(ground.cue(*at, what, vec![camera], Sure::Step(ground.step_s)));
        }
    }
    cues
}

/// Where the wider of a camera's splits in shot passes a level; straight between
/// instants.
fn splits(ground: &CueInputs<'_>, camera: usize, level: Stops) -> Vec<Cue> {
    let widest = |view: &CameraView| {
        let in_shot = [view.turf.state.in_shot(), view.subject.state.in_shot()];
        in_shot.into_iter().flatten().map(|s| s.stops().abs()).reduce(f64::max)
    };
    let split = |i: usize| ground.plan.instants.get(i)?.cameras.get(camera).and_then(widest);
    let mut cues = Vec::new();
    for (index, times) in ground.times.windows(2).enumerate() {
        let (Some(before), Some(after)) = (split(index), split(index + 1)) else { continue };
        let over = after > level.stops();
        if (before > level.stops()) == over {
            continue;
        }
        let share = (level.stops() - before) / (after - before);
        let at = part_way(times[0], times[1], share);
        let way = if over { "over" } else { "under" };
        let what = format!("split of {} {way} {} stops", ground.name(camera), level.stops());
        let sure = super::sure::of_level(ground, camera, index, level);
        let what = What::new(CueKind::Split, Urgency::Know, what);
        cues.push(ground.cue(at, what, vec![camera], sure));
    }
    cues
}

fn part_way(from: DateTime<Tz>, to: DateTime<Tz>, share: f64) -> DateTime<Tz> {
    let seconds = ((to - from).num_seconds() as f64 * share.clamp(0.0, 1.0)).round();
    from + TimeDelta::seconds(seconds as i64)
}

/// Floodlights go on or off, and begin to matter.
fn floodlight(ground: &CueInputs<'_>) -> Vec<Cue> {
    let every: Vec<usize> = (0..ground.cameras.len()).collect();
    let instants = &ground.plan.instants;
    let mut cues = Vec::new();
    let switched = instants.windows(2).filter(|w| w[0].floodlight != w[1].floodlight);
    for pair in switched {
        let what = match pair[1].floodlight {
            FloodlightState::Lit => "floodlights go on",
            FloodlightState::Off | FloodlightState::None => "floodlights go off",
        };
        let sure = Sure::Step(ground.step_s);
        let what = What::new(CueKind::Floodlights, Urgency::Act, what);
        cues.push(ground.cue(pair[1].at, what, every.clone(), sure));
    }
    let takes = |view: &CameraView| {
        let each = [view.turf.floodlights_take, view.subject.floodlights_take];
        each.into_iter().flatten().any(|s| s.stops() >= LAMPS_MATTER)
    };
    let matters =
        |camera: usize| instants.iter().position(|i| i.cameras.get(camera).is_some_and(takes));
    for camera in every {
        // those that matter from the first instant are no news
        if let Some(index) = matters(camera).filter(|i| *i > 0)
            && let Some(at) = ground.times.get(index)
        {
            let name = ground.name(camera);
            let what = format!("floodlights take {LAMPS_MATTER} stop off the split of {name}");
            let sure = Sure::Step(ground.step_s);
            let what = What::new(CueKind::Floodlights, Urgency::Know, what);
            cues.push(ground.cue(*at, what, vec![camera], sure));
        }
    }
    cues
}

/// Floodlights and daylight are equal on the subjects of a camera.
fn takeovers(ground: &CueInputs<'_>, dusk: &Dusk) -> Vec<Cue> {
    let of = |camera: usize| {
        let name = ground.name(camera);
        dusk.takeovers(camera, SplitTarget::Subject).into_iter().map(move |takeover| {
            let what = match takeover.leader {
                Leader::Floodlights => format!("floodlights pass daylight on subjects of {name}"),
                Leader::Daylight => format!("daylight passes floodlights on subjects of {name}"),
            };
            let what = What::new(CueKind::Floodlights, Urgency::Know, what);
            ground.cue(takeover.at, what, vec![camera], Sure::Step(ground.step_s))
        })
    };
    (0..ground.cameras.len()).flat_map(of).collect()
}

/// The white balance of all cameras moves.
fn balance(ground: &CueInputs<'_>, dusk: &Dusk) -> Vec<Cue> {
    let cue = |m: &BalanceMove| {
        let kelvin = (m.to_kelvin() / 100.0).round() * 100.0;
        let what = What {
            kind: CueKind::Balance,
            urgency: Urgency::Act,
            words: format!("white balance to {kelvin:.0} K ({:+.0} mired)", m.by_mired),
            subject: "white balance".to_owned(),
        };
        let every = (0..ground.cameras.len()).collect();
        ground.cue(m.at, what, every, Sure::Step(ground.step_s))
    };
    dusk.balance.iter().map(cue).collect()
}

/// ND and gain that change while play is stopped.
fn nd(ground: &CueInputs<'_>) -> Vec<Cue> {
    let breaks = play::breaks(ground.plan);
    let mut cues = Vec::new();
    for (camera, brief) in ground.cameras.iter().enumerate() {
        for (pair, pause) in brief.settings.windows(2).zip(&breaks) {
            let (old, new) = (pair[0], pair[1]);
            if old.nd_stops == new.nd_stops && old.gain_db == new.gain_db {
                continue;
            }
            let name = ground.name(camera);
            let what = What {
                kind: CueKind::Setting,
                urgency: Urgency::AtBreak,
                words: format!(
                    "{name}: {} to {}",
                    setting_words(old.nd_stops, old.gain_db),
                    setting_words(new.nd_stops, new.gain_db)
                ),
                subject: format!("{name} at {}", pause.name),
            };
            cues.push(ground.cue(pause.from, what, vec![camera], Sure::Exact));
        }
    }
    cues
}

/// "ND 1/16", "clear", with gain where there is any.
pub fn setting_words(nd_stops: f64, gain_db: f64) -> String {
    let nd = nd_or_clear(nd_stops);
    if gain_db == 0.0 { nd } else { format!("{nd}, {gain_db:+} dB") }
}
