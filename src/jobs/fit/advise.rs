//! What to look at next.
//!
//! In: a finished attempt. Out: observations that could be made, each with what
//! the standard error of the worst known unknown would be with it.
//!
//! An observation with slopes `g` (in standard errors a unit) turns covariance `C`
//! into `C - C g g' C / (1 + g' C g)`: the same as fitting again with it, to first
//! order. Looked at are the edges on the lines around and across the field each
//! quarter of an hour of the days of the observations, shadows of the poles at the
//! same times, and angles to roofs and decks from the corners and middles of the
//! field; edges of those things only that unknowns and observations are about, since
//! the file may be as wrong about the others.

use chrono::{DateTime, NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Tz;
use nalgebra::{DMatrix, DVector};

use crate::geometry::{EdgeOf, LevelLine, crossings_along};
use crate::solar;
use crate::solar::SunState;
use crate::venue::Part;

use super::attempt::Attempt;
use super::ground::{TrialGround, TrialGrounds, parameter};
use super::link::link;
use super::predict::{misfit, off};
use super::result::Advice;
use super::seen::{
    EdgeName, FieldSpot, Observation, ObservationKind, Observations, Quantity, Reference, Thrower,
    Way, When,
};
use super::solve::Parameter;

const EVERY_MIN: i64 = 15;
/// Lower suns throw edges too soft to be measured, degrees (common practice, no
/// source).
const MIN_SUN_DEG: f64 = 5.0;
/// Days looked at.
const MAX_DAYS: usize = 7;
/// Errors of observations not yet made: as the file of observations has them where
/// it states none.
const EDGE_M: f64 = 0.2;
const TIME_S: f64 = 15.0;
const SIGHT_DEG: f64 = 0.3;
const TIP_M: f64 = 0.03;
const POLE_DEG: f64 = 0.5;
const EYE_M: f64 = 1.6;
/// What nobody knows is known to this many scales, so that advice is possible.
const VAGUE: f64 = 100.0;
/// Lines that people can walk: around the field and across its middle.
const LINES: [(&str, &str); 6] = [
    ("corner behind left", "corner ahead left"),
    ("corner behind right", "corner ahead right"),
    ("corner behind left", "corner behind right"),
    ("corner ahead left", "corner ahead right"),
    ("middle left", "middle right"),
    ("middle behind", "middle ahead"),
];
/// Advice given.
const GIVEN: usize = 3;

/// The best observations to add, of different kinds or at different lines.
pub(super) fn advice(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    attempt: &Attempt,
) -> Vec<Advice> {
    let mut all = candidates(grounds, seen, attempt);
    all.sort_by(|a, b| a.error_then.total_cmp(&b.error_then));
    let mut given: Vec<Advice> = Vec::new();
    for one in all {
        let place = |a: &Advice| a.observation.key.clone();
        if given.iter().all(|g| place(g) != place(&one)) {
            given.push(one);
        }
        if given.len() == GIVEN {
            break;
        }
    }
    given
}

/// Every observation looked at.
pub(super) fn candidates(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    attempt: &Attempt,
) -> Vec<Advice> {
    let parameters: Vec<Parameter> = seen.unknowns.iter().map(parameter).collect();
    let numbers = &attempt.solution.numbers;
    let Ok(ground) = grounds.with(numbers) else { return Vec::new() };
    let Some(covariance) = vague_covariance(&attempt.solution.jacobian, &parameters) else {
        return Vec::new();
    };
    let size = |i: usize| covariance[(i, i)].sqrt() / parameters[i].scale;
    let Some(worst) = (0..numbers.len()).max_by(|a, b| size(*a).total_cmp(&size(*b))) else {
        return Vec::new();
    };
    let around = around(grounds, &parameters, numbers);
    let about = about(&ground, seen, attempt);
    let mut found = edges(&ground, seen, &about);
    found.extend(poles(&ground, seen));
    found.extend(sights(&ground, seen, &about));
    let now = covariance[(worst, worst)].sqrt();
    let told = attempt.solution.told[worst];
    let weigh = |Candidate { observation, edge, what }| {
        let error = misfit(&ground, &observation, edge)?.error;
        let slopes = around.iter().map(|(high, low, by)| {
            let at = |g: &TrialGround<'_>| off(g, &observation, edge, 0.0);
            Some((at(high)? - at(low)?) / (by * error))
        });
        let g = DVector::from_vec(slopes.collect::<Option<Vec<f64>>>()?);
        let cg = &covariance * &g;
        let then = covariance[(worst, worst)] - cg[worst] * cg[worst] / (1.0 + g.dot(&cg));
        Some(Advice {
            what,
            unknown: seen.unknowns[worst].name.clone(),
            unit: seen.unknowns[worst].unit,
            error_now: told.then_some(now),
            error_then: then.max(0.0).sqrt(),
            observation,
        })
    };
    found.into_iter().filter_map(weigh).collect()
}

/// An observation that could be made.
struct Candidate {
    observation: Observation,
    edge: Option<EdgeOf>,
    what: String,
}

/// Things that unknowns name or observations saw; everything where that is none.
fn about(ground: &TrialGround<'_>, seen: &Observations, attempt: &Attempt) -> Vec<usize> {
    let named = seen.unknowns.iter().filter_map(|u| match &u.quantity {
        Quantity::Dimension(address) => {
            let name = address.parts().get(1)?;
            ground.venue.occluders.iter().position(|o| o.name == *name)
        }
        _ => None,
    });
    let linked = attempt.links.iter().filter_map(|l| Some(l.as_ref().ok()?.as_ref()?.occluder));
    let mut about: Vec<usize> = named.chain(linked).collect();
    about.sort_unstable();
    about.dedup();
    match about.is_empty() {
        true => (0..ground.venue.occluders.len()).collect(),
        false => about,
    }
}

/// Covariance with a very weak knowledge of everything.
fn vague_covariance(jacobian: &DMatrix<f64>, parameters: &[Parameter]) -> Option<DMatrix<f64>> {
    let mut information = jacobian.transpose() * jacobian;
    for (i, p) in parameters.iter().enumerate() {
        information[(i, i)] += (VAGUE * p.scale).powi(-2);
    }
    information.try_inverse()
}

/// Grounds a step up and down for each unknown, and the way between.
fn around<'s>(
    grounds: &TrialGrounds<'s>,
    parameters: &[Parameter],
    numbers: &[f64],
) -> Vec<(TrialGround<'s>, TrialGround<'s>, f64)> {
    let moved = |i: usize, sign: f64| {
        let p = parameters[i];
        let mut moved = numbers.to_vec();
        moved[i] = (moved[i] + sign * p.step).clamp(p.limits.0, p.limits.1);
        (grounds.with(&moved).ok(), moved[i])
    };
    let pair = |i: usize| {
        let ((high, up), (low, down)) = (moved(i, 1.0), moved(i, -1.0));
        Some((high?, low?, up - down)).filter(|(.., by)| *by > 0.0)
    };
    (0..numbers.len()).map(pair).collect::<Option<Vec<_>>>().unwrap_or_default()
}

/// Days of the observations, each once; none where nothing was timed.
fn days(seen: &Observations) -> Vec<NaiveDate> {
    let mut days: Vec<NaiveDate> =
        seen.observations.iter().filter_map(|o| Some(when(o)?.at.date_naive())).collect();
    days.sort_unstable();
    days.dedup();
    days.truncate(MAX_DAYS);
    days
}

/// When an observation was made, where that matters.
pub(super) fn when(seen: &Observation) -> Option<When> {
    match &seen.kind {
        ObservationKind::Edge { when, .. }
        | ObservationKind::Passage { when, .. }
        | ObservationKind::PoleLength { when, .. }
        | ObservationKind::PoleWay { when, .. } => Some(*when),
        _ => None,
    }
}

fn times(zone: Tz, day: NaiveDate) -> impl Iterator<Item = DateTime<Tz>> {
    let quarters = (0..24 * 60 / EVERY_MIN).map(move |i| TimeDelta::minutes(i * EVERY_MIN));
    let midnight = day.and_time(chrono::NaiveTime::MIN);
    quarters.filter_map(move |q| zone.from_local_datetime(&(midnight + q)).single())
}

fn place(seen: &Observations, name: &str) -> Option<FieldSpot> {
    seen.spots.iter().find(|(known, _)| known == name).map(|(_, at)| *at)
}

/// Quarters of hours with the sun up.
fn sunny(ground: &TrialGround<'_>, seen: &Observations) -> Vec<When> {
    let venue = &ground.venue;
    let all = days(seen).into_iter().flat_map(|day| times(venue.place.zone, day));
    all.filter(|at| {
        let sun = solar::position(&venue.place, *at);
        let up = solar::state(&sun, &venue.horizon) == SunState::Up;
        up && sun.apparent_elevation.degrees() >= MIN_SUN_DEG
    })
    .map(|at| When { at, plus_minus_s: TIME_S })
    .collect()
}

/// Shadows of poles: lengths, and directions told by a place.
fn poles(ground: &TrialGround<'_>, seen: &Observations) -> Vec<Candidate> {
    let mut found = Vec::new();
    for when in sunny(ground, seen) {
        for (pole, of) in seen.poles.iter().enumerate() {
            let time = when.at.format("%H:%M on %-d %B");
            let way = Way { degrees: 0.0, from: Reference::Field };
            let kinds = [
                (
                    ObservationKind::PoleLength { when, pole, length_m: 0.0, plus_minus_m: TIP_M },
                    "measure the length",
                ),
                (
                    ObservationKind::PoleWay { when, way, plus_minus_deg: POLE_DEG },
                    "mark the direction, against a line of the field,",
                ),
            ];
            for (kind, words) in kinds {
                let what = format!("{words} of the shadow of the pole \"{}\" at {time}", of.name);
                let key = format!("{pole}, {words}");
                let observation = Observation { label: what.clone(), key, kind };
                found.push(Candidate { observation, edge: None, what });
            }
        }
    }
    found
}

/// Edges in sight of the sun on the lines of the field.
fn edges(ground: &TrialGround<'_>, seen: &Observations, about: &[usize]) -> Vec<Candidate> {
    let venue = &ground.venue;
    let mut found = Vec::new();
    for when in sunny(ground, seen) {
        let at = when.at;
        for (from_name, toward_name) in LINES {
            let (Some(from), Some(toward)) = (place(seen, from_name), place(seen, toward_name))
            else {
                continue;
            };
            let ends = (ground.local(from, 0.0), ground.local(toward, 0.0));
            let Some(line) = LevelLine::toward(ends.0, ends.1) else { continue };
            let length = ends.0.distance(ends.1);
            let sun = ground.toward_sun(when, 0.0);
            for crossing in crossings_along(venue, at.date_naive(), line, sun) {
                let Some(edge) = crossing.thrown_by else { continue };
                if !(0.0..=length).contains(&crossing.at_m) || !about.contains(&edge.occluder) {
                    continue;
                }
                let kind = ObservationKind::Edge {
                    when,
                    from,
                    toward,
                    height_m: 0.0,
                    met_at_m: crossing.at_m,
                    plus_minus_m: EDGE_M,
                    edge: Thrower { side: None, occluder: None },
                };
                let what = format!(
                    "meet the shadow's edge of {} on the way from {from_name} to {toward_name} at \
                     {} (expect it at {:.1} m)",
                    venue.occluders[edge.occluder].name,
                    at.format("%H:%M on %-d %B"),
                    crossing.at_m
                );
                let key = format!("{from_name}, {toward_name}");
                let observation = Observation { label: what.clone(), key, kind };
                found.push(Candidate { observation, edge: Some(edge), what });
            }
        }
    }
    found
}

/// Angles to roofs and decks from named places.
fn sights(ground: &TrialGround<'_>, seen: &Observations, about: &[usize]) -> Vec<Candidate> {
    let from = seen
        .spots
        .iter()
        .filter(|(name, _)| name.starts_with("corner ") || name.starts_with("middle "));
    let mut found = Vec::new();
    for (name, spot) in from.filter(|(name, _)| !name.contains("flag")) {
        for (occluder, thing) in ground.venue.occluders.iter().enumerate() {
            if !thing.kind.is_stand() || !about.contains(&occluder) {
                continue;
            }
            let roofed = thing.bodies.iter().any(|b| b.part == Part::Roof);
            let edges: &[(EdgeName, &str)] = match roofed {
                true => &[
                    (EdgeName::RoofFront, "the roof's front edge"),
                    (EdgeName::DeckFront, "the front row"),
                    (EdgeName::DeckBack, "the back of the deck"),
                ],
                false => &[(EdgeName::DeckBack, "the back of the deck")],
            };
            for (edge, words) in edges {
                let kind = ObservationKind::Sight {
                    from: *spot,
                    eye_m: EYE_M,
                    occluder,
                    edge: *edge,
                    toward: None,
                    elevation_deg: 0.0,
                    plus_minus_deg: SIGHT_DEG,
                };
                let key = format!("{name}, {occluder}, {words}");
                let mut one = Observation { label: String::new(), key, kind };
                let Ok(Some(linked)) = link(ground, &one) else { continue };
                let Some(off) = off(ground, &one, Some(linked), 0.0) else { continue };
                let what = format!(
                    "take the angle from {name}, eye at {EYE_M} m, to {words} of {}, square on \
                     (expect {:.1} degrees)",
                    thing.name, -off
                );
                if let ObservationKind::Sight { elevation_deg, .. } = &mut one.kind {
                    *elevation_deg = -off;
                }
                one.label.clone_from(&what);
                found.push(Candidate { observation: one, edge: Some(linked), what });
            }
        }
    }
    found
}
