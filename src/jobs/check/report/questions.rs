//! How the ground lies by its file, in questions for those who know it.
//!
//! In: a venue and its [`Questions`]. Out: a sentence for each thing that may be turned or
//! on the wrong side, the same on the terminal, in the JSON and beside the plan.

use crate::base::units::Azimuth;
use crate::jobs::check::{CameraAt, Kickoff, Questions, ThingAt};
use crate::output::text::wrapped;
use crate::output::words::{fixed, share_text};
use crate::solar::SunState;
use crate::venue::Venue;

/// Cameras that are asked about one by one.
const MAX_CAMERAS: usize = 12;
/// The sun is in front of or behind a camera within this, degrees.
const STRAIGHT_DEG: f64 = 30.0;
/// A smaller share of the field in shade is rounding.
const NOTHING: f64 = 1e-6;

/// A sentence for each question.
pub fn lines(venue: &Venue, questions: &Questions) -> Vec<String> {
    let mut lines = vec![place(venue, questions), bearing(questions)];
    lines.extend(questions.kickoff.as_ref().map(sun));
    let clock = questions.kickoff.as_ref().map(clock);
    lines.extend(questions.things.iter().map(|at| thing(venue, at, clock.as_deref())));
    if questions.more_things > 0 {
        lines.push(format!("{} more stands and models are not listed.", questions.more_things));
    }
    let cameras = questions.cameras.iter().take(MAX_CAMERAS);
    lines.extend(cameras.map(|at| camera(venue, at, clock.as_deref())));
    if let Some(more) = questions.cameras.len().checked_sub(MAX_CAMERAS).filter(|more| *more > 0) {
        lines.push(format!("{more} more cameras are not listed."));
    }
    lines
}

/// The questions under a heading, for the terminal.
pub(super) fn text(venue: &Venue, questions: &Questions) -> String {
    let mut text = "Is that so?\n".to_owned();
    for line in lines(venue, questions) {
        let wrapped = wrapped("    ", &line);
        text += &wrapped.replacen("    ", "  - ", 1);
    }
    text += &wrapped(
        "  ",
        "If a thing is on the wrong side, look at side, at the signs of along and across, and \
         whether bearing_deg points the other way.",
    );
    text
}

fn clock(kickoff: &Kickoff) -> String {
    kickoff.at.format("%H:%M").to_string()
}

fn place(venue: &Venue, questions: &Questions) -> String {
    let place = &venue.place;
    let (latitude, longitude) = (place.latitude_deg, place.longitude_deg);
    let head = format!(
        "The ground lies at {:.4}° {} and {:.4}° {}",
        latitude.abs(),
        if latitude >= 0.0 { "north" } else { "south" },
        longitude.abs(),
        if longitude >= 0.0 { "east" } else { "west" },
    );
    let zone = place.zone.name();
    let city = zone.rsplit('/').next().unwrap_or(zone).replace('_', " ");
    match questions.place {
        Some(at) if at.km < 15.0 => format!("{head}, in or near {city}, by the clock of {zone}."),
        Some(at) => {
            let way = direction(at.toward);
            format!("{head}, {:.0} km {way} of {city}, by the clock of {zone}.", at.km)
        }
        None => format!("{head}, by the clock of {zone}."),
    }
}

fn bearing(questions: &Questions) -> String {
    let bearing = questions.bearing;
    let compass = questions.declination_deg.map_or_else(String::new, |declination| {
        let magnetic = (bearing.degrees() - declination).rem_euclid(360.0);
        format!(", {magnetic:.0}° by a compass there")
    });
    format!(
        "Looking along the field, ahead, you face {} ({:.1}° true{compass}); left is {}.",
        direction(bearing),
        bearing.degrees(),
        direction(Azimuth::from_degrees(bearing.degrees() - 90.0)),
    )
}

fn sun(kickoff: &Kickoff) -> String {
    let head = format!("At the start, {} on {}", clock(kickoff), kickoff.at.format("%-d %B %Y"));
    let way = direction(kickoff.sun.azimuth);
    let azimuth = fixed(kickoff.sun.azimuth.degrees(), 0);
    let elevation = fixed(kickoff.sun.apparent_elevation.degrees(), 0);
    match kickoff.state {
        SunState::Down => format!("{head}, the sun is down."),
        SunState::BehindSkyline => {
            format!("{head}, the sun is behind the skyline in the {way} ({azimuth}°).")
        }
        SunState::Up => format!(
            "{head}, the sun is in the {way} ({azimuth}°), {elevation}° up, and {} of the field \
             is in shade.",
            share_text(kickoff.share)
        ),
    }
}

fn thing(venue: &Venue, at: &ThingAt, clock: Option<&str>) -> String {
    let name = venue.occluders.get(at.thing).map_or("", |o| o.name.as_str());
    let lies = match at.lies {
        Some((toward, half)) => {
            format!("{name} is on the {} side ({})", direction(toward), half.word())
        }
        None => format!("{name} is around the field"),
    };
    let tall = format!("{lies}, {} m tall", fixed(at.top_m, 1));
    match (at.shade, clock) {
        (Some((share, _)), Some(clock)) if share < NOTHING => {
            format!("{tall}; at {clock} its shadow does not reach the field.")
        }
        (Some((share, half)), Some(clock)) => {
            let share = share_text(share);
            let over = match half {
                Some(half) => {
                    format!("{share} of the field, most of it in the half {}", on(half.word()))
                }
                None => format!("{share} of the field"),
            };
            format!("{tall}; at {clock} its shadow lies over {over}.")
        }
        _ => format!("{tall}."),
    }
}

/// "ahead", "behind", "on the left".
fn on(word: &str) -> String {
    match word {
        "left" | "right" => format!("on the {word}"),
        other => other.to_owned(),
    }
}

fn camera(venue: &Venue, at: &CameraAt, clock: Option<&str>) -> String {
    let name = venue.cameras.get(at.camera).map_or("", |c| c.name.as_str());
    let head = format!(
        "Camera {name} is {:.0} m {} of the centre ({}), {} m up, and looks {}",
        at.distance_m,
        direction(at.toward),
        at.half.word(),
        fixed(at.up_m, 1),
        direction(at.looks),
    );
    match (at.sun_off_deg, clock) {
        (Some(off), Some(clock)) => format!("{head}; at {clock} the sun is {}.", sun_from(off)),
        _ => format!("{head}."),
    }
}

/// Where the sun is for someone at the camera.
fn sun_from(off_deg: f64) -> &'static str {
    let right = off_deg > 0.0;
    match off_deg.abs() {
        off if off < STRAIGHT_DEG => "in front",
        off if off > 180.0 - STRAIGHT_DEG => "behind the camera",
        off if off < 90.0 && right => "in front, to the right",
        off if off < 90.0 => "in front, to the left",
        _ if right => "behind, to the right",
        _ => "behind, to the left",
    }
}

/// A point of the compass in words.
pub(super) fn direction(azimuth: Azimuth) -> &'static str {
    const POINTS: [&str; 16] = [
        "north",
        "north-north-east",
        "north-east",
        "east-north-east",
        "east",
        "east-south-east",
        "south-east",
        "south-south-east",
        "south",
        "south-south-west",
        "south-west",
        "west-south-west",
        "west",
        "west-north-west",
        "north-west",
        "north-north-west",
    ];
    let point = (azimuth.degrees().rem_euclid(360.0) / 22.5).round() as usize % POINTS.len();
    POINTS[point]
}
