//! What to do about a fixture, in words for people who know nothing of light.
//!
//! In: [`FixtureAdvice`]. Out: sentences, the words of a light level, its sign.

use chrono::TimeDelta;

use crate::jobs::starts::advice::{Action, FixtureAdvice, LightLevel};
use crate::jobs::starts::{CostPart, Costed, Profile};
use crate::output::words::{duration, fixed};

use super::Entry;

/// A split that reads as none, stops.
const UNSEEN_STOPS: f64 = 0.05;

/// Whom to ask about what, once a page.
pub(super) const WHO_TO_ASK: [&str; 4] = [
    "Cameras, iris and what a split means on air: vision control of the outside broadcast.",
    "Roofs, screens, floodlights and when they may be switched: the ground.",
    "Slots, rest days and travel: the league.",
    "How sure the weather is nearer to the day: a weather service; plan again with its forecast.",
];

/// A light level: words, a sign, and the key of its style.
pub(super) fn level(level: LightLevel) -> (&'static str, &'static str, &'static str) {
    match level {
        LightLevel::Good => ("good light", "●", "good"),
        LightLevel::Fair => ("fair light", "▲", "fair"),
        LightLevel::Hard => ("hard light", "■", "bad"),
        LightLevel::Dark => ("dark without floodlights", "◆", "bad"),
    }
}

/// Whether starts are chosen one by one, or as a season under rules.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Chosen {
    OneByOne,
    UnderRules,
}

/// One sentence.
pub(super) fn sentence(
    entry: &Entry<'_>,
    profile: &Profile,
    advice: &FixtureAdvice<'_>,
    chosen: Chosen,
) -> String {
    let [planned, proposed] = [advice.planned, advice.proposed].map(|start| entry.clock(start.at));
    let by = || by_words(advice.proposed.at - advice.planned.at);
    match (advice.action, chosen) {
        (Action::Fixed, _) => format!("Fixed at {planned}: {}.", trouble(advice.planned)),
        (Action::Stay, Chosen::OneByOne) => {
            format!("Stay at {planned}: no start that may be chosen is better.")
        }
        (Action::Stay, Chosen::UnderRules) => {
            format!("Stay at {planned}: {}.", trouble(advice.planned))
        }
        (Action::Move, Chosen::UnderRules) if advice.proposed.cost() >= advice.planned.cost() => {
            format!("Move to {proposed}, {}, for the rules: {}.", by(), trouble(advice.proposed))
        }
        (Action::Move, _) => {
            format!("Move to {proposed}, {}: {}.", by(), gain(profile, advice))
        }
        (Action::MoveInto, _) => {
            format!("{planned} may not be chosen. Take {proposed}: {}.", trouble(advice.proposed))
        }
    }
}

/// The nearest start that is lit better, where the best one is farther off. Under rules
/// another start would move others, so none is named.
pub(super) fn nearest(
    entry: &Entry<'_>,
    advice: &FixtureAdvice<'_>,
    chosen: Chosen,
) -> Option<String> {
    let nearest = advice.nearest.filter(|nearest| {
        let away = |start: &Costed| (start.at - advice.planned.at).abs();
        chosen == Chosen::OneByOne && away(nearest) < away(advice.proposed)
    })?;
    let (words, ..) = level(LightLevel::of_start(nearest));
    let by = by_words(nearest.at - advice.planned.at);
    Some(format!("The nearest start in {words} is {}, {by}.", entry.clock(nearest.at)))
}

/// "1 h 30 min later".
fn by_words(by: TimeDelta) -> String {
    let long = duration(by.num_minutes());
    format!("{long} {}", if by < TimeDelta::zero() { "earlier" } else { "later" })
}

/// What is won most of, by the weights of the profile.
fn gain(profile: &Profile, advice: &FixtureAdvice<'_>) -> String {
    let saved = |part: &CostPart| {
        profile.weight(*part) * (advice.planned.part(*part) - advice.proposed.part(*part))
    };
    let most = CostPart::ALL.into_iter().max_by(|a, b| saved(a).total_cmp(&saved(b)));
    let part = most.unwrap_or(CostPart::Mixed);
    let [before, after] = [advice.planned, advice.proposed].map(|start| start.part(part));
    let minutes = |what: &str| format!("{before:.0} min {what} become {after:.0}");
    match part {
        CostPart::Mixed => minutes("with sun and shade on the field"),
        CostPart::Choose => minutes("in which a camera must expose for sun or for shade"),
        CostPart::MainLens => minutes("with the sun in the main camera's lens"),
        CostPart::Dusk => minutes("of dusk under floodlights"),
        CostPart::Dark => minutes("of play in the dark without floodlights"),
        CostPart::WorstSplit if after < UNSEEN_STOPS => format!(
            "sun and shade come in no picture at once, now up to {} stops apart",
            fixed(before, 1)
        ),
        CostPart::WorstSplit => {
            format!(
                "sun and shade in one picture are {} stops apart at most, now {}",
                fixed(after, 1),
                fixed(before, 1)
            )
        }
    }
}

/// What a start asks of the cameras.
fn trouble(start: &Costed) -> String {
    let minutes = |part| start.part(part).round();
    let each = [
        (CostPart::Dark, "min of play in the dark without floodlights"),
        (CostPart::Choose, "min in which a camera must expose for sun or for shade"),
        (CostPart::MainLens, "min with the sun in the main camera's lens"),
        (CostPart::Dusk, "min of dusk under floodlights"),
    ];
    let found = each.into_iter().filter(|(part, _)| minutes(*part) >= 1.0);
    let words: Vec<String> =
        found.map(|(part, words)| format!("{:.0} {words}", minutes(part))).collect();
    match words.as_slice() {
        [] => "nothing asks much of the cameras".to_owned(),
        words => words.join(", "),
    }
}
