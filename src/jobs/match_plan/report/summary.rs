//! The short printed summary for the people at the irises.
//!
//! In: a venue and its [`MatchPlan`]. Out: plain text of at most 80 columns.
//! Pure: the only choice is whether headings carry escape codes.

use std::fmt::Write;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::engine::{Hidden, Instant, MatchPlan, Milestone};
use crate::jobs::match_plan::dusk::Dusk;
use crate::jobs::match_plan::facts;
use crate::jobs::match_plan::facts::{
    Arrival, Departure, EdgeStay, SplitTarget, WholeField, Widest,
};
use crate::light::{FloodlightState, Sky, Trims, Tristimulus};
use crate::output::text::{Ink, RANGE_WORDS, WIDTH, cautions, fit, wrapped};
use crate::output::words;
use crate::output::words::signed;
use crate::solar::SunDay;
use crate::venue::{Sport, Venue};

/// The summary of a match, without the list of files; `hidden` are the cameras, by index, from
/// which most of their cover is hidden.
pub fn text(venue: &Venue, plan: &MatchPlan, hidden: &[(usize, Hidden)], ink: Ink) -> String {
    let mut parts = vec![
        heading(venue, plan, ink),
        sun(plan, ink),
        edge(venue, plan, ink),
        milestones(venue, plan, ink),
    ];
    if venue.cameras.is_empty() {
        parts.push("No cameras in the venue: no splits, no swings.\n".to_owned());
        parts.push(light(venue, plan, ink));
    } else {
        parts.push(cameras(venue, plan, ink));
        parts.extend(blocked(venue, hidden, ink));
        parts.push(light(venue, plan, ink));
        parts.push(swings(venue, plan, ink));
    }
    if let Some(dusk) = Dusk::of(plan).filter(|_| !venue.cameras.is_empty()) {
        parts.push(super::dusk::summary(venue, &dusk, ink));
    }
    parts.push(cautions(ink));
    parts.join("\n")
}

pub(crate) fn heading(venue: &Venue, plan: &MatchPlan, ink: Ink) -> String {
    let mut text = ink.heading(&fit(&venue.title, WIDTH));
    text.push('\n');
    let (Some(first), Some(last)) = (plan.instants.first(), plan.instants.last()) else {
        return text;
    };
    let when = format!(
        "{}, {} (UTC{}), {}.",
        first.at.format("%A %-d %B %Y"),
        venue.place.zone.name(),
        first.at.format("%:z"),
        sport(venue.field.sport),
    );
    let every = facts::step(plan)
        .map_or_else(String::new, |s| format!(" in steps of {} min", s.num_minutes()));
    let ground = match venue.relief {
        Some(_) => {
            "follows the heights that the file states, a subject faces the camera 1.7 m over it"
        }
        None => "is the plane at 0 m, a subject faces the camera at 1.7 m",
    };
    let window = format!(
        "{} to {}{every}. {} The {} {ground}.",
        clock(first.at),
        last_clock(first.at, last.at),
        sky(plan.sky),
        venue.field.surface.name(),
    );
    text + &wrapped("", &when) + &wrapped("", &window) + &wrapped("", &plan.air.statement())
}

fn sun(plan: &MatchPlan, ink: Ink) -> String {
    let day = match plan.day {
        SunDay::RisesAndSets { rise, noon, set } => format!(
            "rises {}, highest {}, sets {}",
            clock(rise),
            clock(noon),
            last_clock(noon, set)
        ),
        SunDay::OnlyRises { rise, noon } => {
            format!("rises {}, highest {}, does not set", clock(rise), clock(noon))
        }
        SunDay::OnlySets { noon, set } => {
            format!("up since before, highest {}, sets {}", clock(noon), last_clock(noon, set))
        }
        SunDay::PolarDay { noon } => format!("up all day, highest {}", clock(noon)),
        SunDay::PolarNight { noon } => format!("down all day, highest {}", clock(noon)),
    };
    format!("{}  {day}\n", ink.heading("Sun"))
}

fn edge(venue: &Venue, plan: &MatchPlan, ink: Ink) -> String {
    let mut text = ink.heading(&format!("Shadow edge on the {}", venue.field.surface.name()));
    text.push('\n');
    if plan.sky.hides_sun() {
        text += &wrapped(
            "  ",
            "A cloud hides the sun, so there is no edge to see. Where the shadow lies if the \
             sun comes through:",
        );
    }
    match facts::edge_stay(plan) {
        EdgeStay::OnField { arrival, departure, away_minutes } => {
            let enters = match arrival {
                Arrival::AlreadyThere(at) => format!("already there at {}", clock(at)),
                Arrival::Enters(at) => clock(at),
            };
            let leaves = match departure {
                Departure::StillThere(at) => format!("still there at {}", clock(at)),
                Departure::Leaves(at) => clock(at),
            };
            text += &format!("  enters the field   {enters}\n  leaves the field   {leaves}\n");
            if away_minutes > 0 {
                text += &format!("  away in between    {away_minutes} min\n");
            }
        }
        EdgeStay::Never(whole) => {
            let field = match whole {
                WholeField::Sunlit => "the whole field is in full sun",
                WholeField::Shaded => "the whole field is in shade",
                WholeField::OneThenOther => "the whole field changes between two steps",
                WholeField::NoSun => "the sun is down or behind the skyline",
            };
            text += &format!("  never on the field: {field}\n");
        }
    }
    text
}

fn milestones(venue: &Venue, plan: &MatchPlan, ink: Ink) -> String {
    let surface = venue.field.surface.short_name();
    let title = format!("{:<34}{surface:>12}{:>16}", "Field not in full sun", "face height");
    let mut text = ink.heading(&title);
    text.push('\n');
    for milestone in &plan.milestones {
        text += &milestone_line(plan, milestone);
    }
    text + &around(venue, plan)
}

/// A share of an instant, 0 to 1.
type ShareOf = fn(&Instant) -> f64;

/// Shares of the playing area and of all of the ground, turf only: first where they are
/// more than the field of play.
fn around(venue: &Venue, plan: &MatchPlan) -> String {
    let field = &venue.field;
    let areas: [(&str, bool, ShareOf); 2] = [
        ("Playing area", field.playing_area != field.outline, |i| i.turf.playing_area.shaded),
        ("All ground", field.surrounds != field.playing_area, |i| i.turf.surrounds.shaded),
    ];
    let areas: Vec<_> = areas.into_iter().filter(|(_, more, _)| *more).collect();
    let shares = plan.milestones.iter().filter_map(|milestone| {
        let index = facts::nearest_instant(plan, milestone.at)?;
        let instant = plan.instants.get(index)?;
        let share = |(name, _, of): &(&str, bool, ShareOf)| {
            format!("{} {}", name.to_lowercase(), per_cent(of(instant)))
        };
        let shares: Vec<String> = areas.iter().map(share).collect();
        Some(format!("{} {}", clock(milestone.at), shares.join(", ")))
    });
    if areas.is_empty() {
        return String::new();
    }
    let shares: Vec<String> = shares.collect();
    let surface = field.surface.name();
    let surface = surface[..1].to_uppercase() + &surface[1..];
    let shares = shares.join("; ");
    wrapped("  ", &format!("{surface} not in full sun, with the ground around: {shares}."))
}

fn milestone_line(plan: &MatchPlan, milestone: &Milestone) -> String {
    let start = format!("  {:<24}{:<8}", fit(&milestone.name, 23), clock(milestone.at));
    let instant = facts::nearest_instant(plan, milestone.at).and_then(|i| plan.instants.get(i));
    match instant {
        Some(instant) => {
            let turf = per_cent(instant.turf.field.shaded);
            let face = per_cent(instant.face.field.shaded);
            format!("{start}{turf:>12}{face:>16}\n")
        }
        None => format!("{start}{:>28}\n", "outside the window"),
    }
}

/// Cameras whose splits are for ground that they do not see.
fn blocked(venue: &Venue, hidden: &[(usize, Hidden)], ink: Ink) -> Option<String> {
    let line = |(camera, hidden): &(usize, Hidden)| {
        let name = venue.cameras.get(*camera).map_or("", |c| c.name.as_str());
        let words = words::hidden(venue, hidden);
        wrapped("  ", &format!("{name}: {words}: its splits count it as seen"))
    };
    let lines: String = hidden.iter().map(line).collect();
    (!hidden.is_empty()).then(|| format!("{}\n{lines}", ink.heading("Hidden from cameras")))
}

fn cameras(venue: &Venue, plan: &MatchPlan, ink: Ink) -> String {
    let surface = venue.field.surface.short_name();
    let title =
        format!("{:<20}{surface:<26}{:<26}{:>8}", "Widest split, stops", "subject", "in shot");
    let mut text = ink.heading(title.trim_end());
    text.push('\n');
    let (mut any_latent, mut any_range) = (false, false);
    for (index, camera) in venue.cameras.iter().enumerate() {
        let name = fit(&camera.name, 15);
        if plan.covers.get(index).is_none_or(|c| c.area_m2 <= 0.0) {
            text += &format!("  {name:<16}sees nothing of the field\n");
            continue;
        }
        let turf = facts::widest(plan, index, SplitTarget::Turf);
        let subject = facts::widest(plan, index, SplitTarget::Subject);
        any_latent |= [turf, subject].iter().flatten().any(|w| w.one_side.is_some());
        any_range |= [turf, subject].iter().flatten().any(|w| w.range.is_some());
        let minutes = match facts::minutes_in_shot(plan, index, SplitTarget::Turf) {
            None => "never".to_owned(),
            Some(0) => "under 1 min".to_owned(),
            Some(minutes) => format!("{minutes} min"),
        };
        let _ = writeln!(
            text,
            "  {name:<16}{:<25}{:<25}{minutes:>12}",
            fit(&split(turf), 24),
            fit(&split(subject), 24)
        );
    }
    if any_range {
        text += &wrapped("  ", RANGE_WORDS);
    }
    if any_latent {
        let around = if any_range { "In square brackets" } else { "In brackets" };
        text += &wrapped(
            "  ",
            &format!("{around}: latent, what the split would be; the edge is never in that shot."),
        );
    }
    text
}

pub(crate) fn split(widest: Option<Widest>) -> String {
    match widest {
        None => "no edge".to_owned(),
        Some(w) => {
            let (stops, at) = (w.stops.stops(), clock(w.at));
            // never "-0.0"
            let plain = |stops: f64| (10.0 * stops).round() / 10.0 + 0.0;
            let range = w.range.map(|r| (plain(r.low), plain(r.high)));
            match (range, w.one_side) {
                (None, None) => format!("{stops:.1} at {at}"),
                (None, Some(_)) => format!("({stops:.1} at {at})"),
                (Some((low, high)), None) => format!("{stops:.1} ({low:.1} to {high:.1}) {at}"),
                (Some((low, high)), Some(_)) => {
                    format!("[{stops:.1} ({low:.1} to {high:.1}) {at}]")
                }
            }
        }
    }
}

/// Light and colour of both sides at the milestones.
pub(crate) fn light(venue: &Venue, plan: &MatchPlan, ink: Ink) -> String {
    let on = format!("Light on the {}", venue.field.surface.name());
    let title =
        format!("{on:<29}{:>11}{:>18}{:>20}", "in full sun", "in shade", "R/B gain for shade");
    let mut text = ink.heading(&title);
    text.push('\n');
    let mut told: Vec<&Instant> = Vec::new();
    for milestone in &plan.milestones {
        let instant = facts::nearest_instant(plan, milestone.at).and_then(|i| plan.instants.get(i));
        told.extend(instant);
    }
    if told.is_empty() {
        told.extend(plan.instants.get(plan.instants.len() / 2));
    }
    for instant in told {
        let light = &instant.field_light;
        let sun = light.in_sun.map_or("no direct sun".to_owned(), lit);
        let trims = light.in_sun.and_then(|sun| Trims::between(sun, light.in_shade));
        let trims = trims.map_or(String::new(), |t| {
            format!("R {:>4}  B {:>4}", signed(t.red, 1), signed(t.blue, 1))
        });
        let floodlight = match instant.floodlight {
            FloodlightState::Lit => ", floodlit",
            FloodlightState::Off | FloodlightState::None => "",
        };
        let when = format!("{}{floodlight}", clock(instant.at));
        let _ = writeln!(text, "  {when:<20}{sun:>18}{:>18}{trims:>20}", lit(light.in_shade));
    }
    text + &wrapped(
        "  ",
        "lx and colour temperature. R/B gain: red and blue gain in stops against green that make \
         shade white for a camera balanced to the sun; the other way with the other sign.",
    )
}

/// Two significant digits of lx, hundreds of kelvin.
fn lit(light: Tristimulus) -> String {
    let kelvin = words::kelvin(light)
        .map_or(String::new(), |k| format!(", {:.0} K", (k / 100.0).round() * 100.0));
    words::lux(light.lux()) + &kelvin
}

/// What a cloud takes, and what floodlight would hold the splits.
fn swings(venue: &Venue, plan: &MatchPlan, ink: Ink) -> String {
    let hold = format!("floodlight needed for {} stops", plan.hold.stops());
    let drop = "Drop when cloud covers the sun";
    let surface = format!("{}, subject", venue.field.surface.short_name());
    let title = format!("{drop:<31}{surface:<16}{hold:>33}");
    let mut text = ink.heading(&title);
    text.push('\n');
    for (index, camera) in venue.cameras.iter().enumerate() {
        if plan.covers.get(index).is_none_or(|c| c.area_m2 <= 0.0) {
            continue;
        }
        let swing = |target| {
            facts::largest_swing(plan, index, target)
                .map_or("no sun".to_owned(), |s| format!("{:.1}", s.swing.stops.stops()))
        };
        let held = |target| {
            facts::floodlight_to_hold(plan, index, target).map_or(
                "no edge in shot".to_owned(),
                |h| match h.level.lux() {
                    l if l <= 0.0 => "none".to_owned(),
                    l => format!("{:.0}", (l / 100.0).ceil() * 100.0),
                },
            )
        };
        let swing = format!("{}, {}", swing(SplitTarget::Turf), swing(SplitTarget::Subject));
        let (turf, subject) = (held(SplitTarget::Turf), held(SplitTarget::Subject));
        let held = if turf == subject { turf } else { format!("{turf}, {subject}") };
        let _ = writeln!(text, "  {:<29}{swing:<16}{held:>33}", fit(&camera.name, 27));
    }
    text + &wrapped(
        "  ",
        &format!(
            "The largest over the window, in stops. Floodlight, lx: the same light on both sides, on \
             the {} and on a subject's plane, beyond what is lit, for the worst minute with the \
             edge in shot.",
            venue.field.surface.name()
        ),
    )
}

pub(crate) fn sky(sky: Sky) -> String {
    let name = sky.to_string();
    let mut letters = name.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).chain(['.']).collect()
}

fn sport(sport: Sport) -> &'static str {
    match sport {
        Sport::Football => "football",
        Sport::RugbyUnion => "rugby union",
        Sport::Tennis => "tennis",
        Sport::Hockey => "hockey",
        Sport::Cricket => "cricket",
        Sport::Golf => "golf",
        Sport::Free => "free outline",
    }
}

fn clock(at: DateTime<Tz>) -> String {
    at.format("%H:%M").to_string()
}

/// A time of day, with its date where that differs from the one before.
fn last_clock(before: DateTime<Tz>, at: DateTime<Tz>) -> String {
    if before.date_naive() == at.date_naive() {
        clock(at)
    } else {
        at.format("%H:%M on %-d %B").to_string()
    }
}

/// Whole per cent, but never 0 or 100 for a field that has an edge on it.
fn per_cent(share: f64) -> String {
    let whole = (share * 100.0).round();
    match share {
        s if !s.is_finite() => "-".to_owned(),
        s if s > 0.0 && whole < 1.0 => "< 1 %".to_owned(),
        s if s < 1.0 && whole > 99.0 => "> 99 %".to_owned(),
        _ => format!("{whole:.0} %"),
    }
}
