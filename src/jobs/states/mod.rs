//! Which state of what moves is best when: a roof open or shut, a screen up or down.
//!
//! In: a venue with moving things, what to plan, a cost profile. Out: a [`StateComparison`]:
//! for every choice of states what each run of play costs, in the parts that `starts` counts
//! (see [`crate::jobs::starts`]), how dark the field gets, and the choice that is best for
//! each run and for all of play. Each choice is held from beginning to end, so that any can
//! follow any other at a break.

#[cfg(feature = "cli")]
pub mod command;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::engine::season::{Season, Weather};
use crate::engine::{Milestone, PlanError, Prepared, Settings};
use crate::jobs::starts::glimpse::{Glimpse, WANTED, Watcher};
use crate::jobs::starts::{CostPart, CostParts, Profile};
use crate::venue::{Play, Venue};

/// Choices of states that are compared at most: each takes as long as a plan.
pub const MAX_CHOICES: usize = 24;

/// What to compare.
#[derive(Debug, Clone)]
pub struct StateSettings {
    pub plan: Settings,
    pub profile: Profile,
    /// Names of moving things to compare; all where empty. The others do what the file says.
    pub what: Vec<String>,
    /// A choice under which the field gets darker than this in play is no advice, lx on the
    /// turf, floodlights counted.
    pub least_lx: Option<f64>,
}

/// Why states cannot be compared.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StatesError {
    #[error("nothing moves at this venue\n  add a [[moving]] with its states to the file")]
    NothingMoves,
    #[error("nothing called \"{name}\" moves at this venue\n  choose one of: {}", known.join(", "))]
    NoSuchThing { name: String, known: Vec<String> },
    #[error(
        "{count} choices of states are more than {MAX_CHOICES}\n  compare fewer things at a time \
         with --what"
    )]
    TooMany { count: usize },
    #[error("no play in the window\n  give a window that holds some of it")]
    NoPlay,
    #[error("{0}")]
    Plan(#[from] PlanError),
}

/// A run of play.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodOfPlay {
    pub name: String,
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
}

/// A state of each thing that is compared, through the match.
#[derive(Debug, Clone)]
pub struct StateChoice {
    /// "Roof open".
    pub words: String,
    /// In the order of [`StateComparison::runs`].
    pub runs: Vec<RunCost>,
    /// All of play.
    pub whole: RunCost,
    /// Every instant of the plan.
    pub minutes: Vec<StateMinute>,
}

/// What a run of play costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunCost {
    pub parts: CostParts,
    pub cost: f64,
    /// The least light on the turf, mean over the field, floodlights counted, lx.
    pub least_lx: f64,
}

/// One instant of a choice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateMinute {
    pub at: DateTime<Tz>,
    pub in_play: bool,
    /// Sun and shade on the field.
    pub mixed: bool,
    /// A camera has to expose for sun or for shade.
    pub choose: bool,
    pub main_lens: bool,
    /// The widest split in shot, stops; `None` without any.
    pub split: Option<f64>,
    /// Of the field of play, not in full sun, 0 to 1.
    pub shaded: f64,
    /// On the turf, mean over the field, floodlights counted, lx.
    pub light_lx: f64,
}

/// All choices, and which is best.
#[derive(Debug, Clone)]
pub struct StateComparison {
    pub runs: Vec<PeriodOfPlay>,
    /// In the order of the file's states, the last thing's states changing first.
    pub choices: Vec<StateChoice>,
    /// Index of the best choice for each run.
    pub best: Vec<usize>,
    /// Index of the best for all of play.
    pub best_throughout: usize,
    /// Why each is better than the next best, in the order of the runs.
    pub why: Vec<String>,
    pub why_throughout: String,
    /// Whether some choices were left out of the advice for being too dark.
    pub too_dark: Vec<bool>,
}

/// Compares; `progress` is told how many choices are done of how many.
///
/// # Errors
/// [`StatesError`].
pub fn compare(
    venue: &Venue,
    settings: &StateSettings,
    progress: impl Fn(usize, usize),
) -> Result<StateComparison, StatesError> {
    let runs = runs(&settings.plan);
    if runs.is_empty() {
        return Err(StatesError::NoPlay);
    }
    let held = choices(venue, &settings.what)?;
    let mut choices = Vec::with_capacity(held.len());
    for (done, (words, venue)) in held.iter().enumerate() {
        progress(done, held.len());
        choices.push(choice(words, venue, settings, &runs)?);
    }
    let too_dark: Vec<bool> = choices
        .iter()
        .map(|c| settings.least_lx.is_some_and(|least| c.whole.least_lx < least))
        .collect();
    let by = (&settings.profile, venue.field.surface.name());
    let of_run = |run: usize| best(&choices, &too_dark, by, |c| c.runs[run]);
    let (best_of, why) = (0..runs.len()).map(of_run).unzip();
    let (best_throughout, why_throughout) = best(&choices, &too_dark, by, |c| c.whole);
    Ok(StateComparison {
        runs,
        choices,
        best: best_of,
        best_throughout,
        why,
        why_throughout,
        too_dark,
    })
}

/// Runs of play within the window.
fn runs(plan: &Settings) -> Vec<PeriodOfPlay> {
    let mut runs: Vec<PeriodOfPlay> = Vec::new();
    let mut open: Option<&Milestone> = None;
    for stone in &plan.milestones {
        match (stone.play, open) {
            (Play::Starts, None) => open = Some(stone),
            (Play::Stops, Some(begun)) => {
                runs.push(PeriodOfPlay {
                    name: begun.name.clone(),
                    from: begun.at,
                    until: stone.at,
                });
                open = None;
            }
            _ => {}
        }
    }
    for run in &mut runs {
        (run.from, run.until) = (run.from.max(plan.from), run.until.min(plan.until));
    }
    runs.retain(|run| run.from < run.until);
    runs
}

/// Every choice with its words and the venue that is held in it.
fn choices(venue: &Venue, what: &[String]) -> Result<Vec<(String, Venue)>, StatesError> {
    let moving = &venue.changes.moving;
    if moving.is_empty() {
        return Err(StatesError::NothingMoves);
    }
    for name in what {
        if !moving.iter().any(|m| m.name == name.trim()) {
            let known = moving.iter().map(|m| m.name.clone()).collect();
            return Err(StatesError::NoSuchThing { name: name.clone(), known });
        }
    }
    let asked = |name: &str| what.is_empty() || what.iter().any(|asked| asked.trim() == name);
    let compared = || moving.iter().enumerate().filter(|(_, m)| asked(&m.name));
    let count = compared().map(|(_, m)| m.states.len()).fold(1_usize, usize::saturating_mul);
    if count > MAX_CHOICES {
        return Err(StatesError::TooMany { count });
    }
    let mut all = vec![(Vec::new(), venue.clone())];
    for (index, thing) in compared() {
        let each = |(words, venue): (Vec<String>, Venue)| {
            let states = thing.states.iter().enumerate();
            let held = states.map(move |(state, of)| {
                let word = format!("{} {}", thing.name, of.name);
                ([words.clone(), vec![word]].concat(), venue.held_in(index, state))
            });
            held.collect::<Vec<_>>()
        };
        all = all.into_iter().flat_map(each).collect();
    }
    Ok(all.into_iter().map(|(words, venue)| (words.join(", "), venue)).collect())
}

fn choice(
    words: &str,
    venue: &Venue,
    settings: &StateSettings,
    runs: &[PeriodOfPlay],
) -> Result<StateChoice, StatesError> {
    let plan = &settings.plan;
    let prepared = Prepared::new(venue, plan.from.date_naive());
    let planned = prepared.run(plan, |_, _| {})?;
    let weather = Weather { sky: plan.sky, air: plan.air.into() };
    let season = Season::new(venue, weather, WANTED);
    let times: Vec<DateTime<Tz>> = planned.instants.iter().map(|i| i.at).collect();
    let watcher = Watcher::new(venue, settings.profile.main_camera.as_deref());
    let rows = season.rows(&times);
    let glimpses: Vec<Glimpse> = rows.iter().map(|row| watcher.glimpse(row, &weather)).collect();
    let minutes: Vec<StateMinute> = planned
        .instants
        .iter()
        .zip(&glimpses)
        .map(|(instant, glimpse)| {
            let field = &instant.field_light;
            let shade = field.in_shade.lux();
            let sun = field.in_sun.map_or(shade, |light| light.lux());
            let through = instant.turf.field.mean_transmission;
            StateMinute {
                at: instant.at,
                in_play: runs.iter().any(|run| run.from <= instant.at && instant.at < run.until),
                mixed: glimpse.mixed,
                choose: glimpse.choose,
                main_lens: glimpse.main_lens,
                split: glimpse.split.map(|(stops, _)| stops),
                shaded: instant.turf.field.shaded,
                light_lx: shade + (sun - shade) * through,
            }
        })
        .collect();
    let step_min = plan.step.num_seconds() as f64 / 60.0;
    let of_run = |run: &PeriodOfPlay| {
        let within = |at: DateTime<Tz>| run.from <= at && at < run.until;
        let inside = minutes.iter().zip(&glimpses).filter(|(minute, _)| within(minute.at));
        cost(inside, run.until - run.from, step_min, &settings.profile)
    };
    let by_run: Vec<RunCost> = runs.iter().map(of_run).collect();
    let whole = together(&by_run, &settings.profile);
    Ok(StateChoice { words: words.to_owned(), runs: by_run, whole, minutes })
}

/// Adds up what instants cost; each stands for a step, all together for the run.
fn cost<'a>(
    inside: impl Iterator<Item = (&'a StateMinute, &'a Glimpse)>,
    length: TimeDelta,
    step_min: f64,
    profile: &Profile,
) -> RunCost {
    let mut parts = CostParts::default();
    let (mut least_lx, mut counted_min) = (f64::INFINITY, 0.0);
    for (minute, glimpse) in inside {
        crate::jobs::starts::cost::count(&mut parts, glimpse, step_min);
        least_lx = least_lx.min(minute.light_lx);
        counted_min += step_min;
    }
    // a run that is no whole number of steps
    let scale = length.num_seconds() as f64 / 60.0 / f64::max(counted_min, f64::MIN_POSITIVE);
    for part in CostPart::ALL.into_iter().filter(|part| *part != CostPart::WorstSplit) {
        parts.set(part, parts.get(part) * scale.min(1.0));
    }
    RunCost { parts, cost: profile.cost(&parts), least_lx }
}

/// All runs as one.
fn together(runs: &[RunCost], profile: &Profile) -> RunCost {
    let mut parts = CostParts::default();
    for run in runs {
        for part in CostPart::ALL {
            match part {
                CostPart::WorstSplit => parts.set(part, parts.get(part).max(run.parts.get(part))),
                _ => parts.add(part, run.parts.get(part)),
            }
        }
    }
    let least_lx = runs.iter().map(|run| run.least_lx).fold(f64::INFINITY, f64::min);
    RunCost { parts, cost: profile.cost(&parts), least_lx }
}

/// The best choice, and why: the lowest cost, and of costs that are equal to a hand the most
/// light. What is too dark is left out where anything else is there.
fn best(
    choices: &[StateChoice],
    too_dark: &[bool],
    (profile, surface): (&Profile, &str),
    of: impl Fn(&StateChoice) -> RunCost,
) -> (usize, String) {
    let bright: Vec<usize> = (0..choices.len()).filter(|i| !too_dark[*i]).collect();
    let open = if bright.is_empty() { (0..choices.len()).collect() } else { bright };
    let lowest = open.iter().map(|&i| of(&choices[i]).cost).fold(f64::INFINITY, f64::min);
    let equal = open.iter().filter(|&&i| of(&choices[i]).cost <= lowest + profile.equal_within());
    let best = equal
        .copied()
        .max_by(|a, b| of(&choices[*a]).least_lx.total_cmp(&of(&choices[*b]).least_lx));
    let best = best.unwrap_or(0);
    let next = open.iter().copied().filter(|i| *i != best);
    let next = next.min_by(|a, b| of(&choices[*a]).cost.total_cmp(&of(&choices[*b]).cost));
    let why = next.map_or_else(
        || "nothing else is bright enough".to_owned(),
        |next| {
            let name = choices[next].words.as_str();
            why((of(&choices[best]), of(&choices[next])), (name, surface), profile)
        },
    );
    (best, why)
}

/// What makes a choice better than another: the two parts that tell the most.
fn why(
    (best, next): (RunCost, RunCost),
    (name, surface): (&str, &str),
    profile: &Profile,
) -> String {
    let less =
        |part: &CostPart| profile.weighed(&next.parts, *part) - profile.weighed(&best.parts, *part);
    let mut parts: Vec<CostPart> =
        CostPart::ALL.into_iter().filter(|part| less(part) > 0.05).collect();
    parts.sort_by(|a, b| less(b).total_cmp(&less(a)));
    let words = |part: &CostPart| {
        let by = next.parts.get(*part) - best.parts.get(*part);
        match part {
            CostPart::Mixed => format!("{by:.0} min less with sun and shade on the field"),
            CostPart::WorstSplit => format!("the widest split is {by:.1} stops narrower"),
            CostPart::MainLens => format!("{by:.0} min less with the sun in the main lens"),
            CostPart::Choose => format!("{by:.0} min less of exposing for sun or for shade"),
            CostPart::Dusk => format!("{by:.0} min less of dusk under floodlights"),
            CostPart::Dark => format!("{by:.0} min less in the dark without floodlights"),
        }
    };
    let differs = (next.cost - best.cost).abs() > profile.equal_within();
    if parts.is_empty() || !differs {
        let light = format!("{:.0} against {:.0} lx at the least", best.least_lx, next.least_lx);
        return format!("costs about the same as {name}, with {light} on the {surface}");
    }
    let told: Vec<String> = parts.iter().take(2).map(words).collect();
    format!("against {name} {}", told.join(" and "))
}
