//! What the picture says in words: place, time, sun and shares.

use chrono::{DateTime, Timelike};
use chrono_tz::Tz;
use glam::DVec3;
use plotters::style::RGBColor;

use crate::base::frame::direction;
use crate::base::units::Elevation;
use crate::engine::{Instant, MatchPlan};
use crate::geometry::ShadeShare;
use crate::light::Sky;
use crate::output::draw::palette::{BLACK, INK, MUTED, PAPER, RULE, YELLOW, lit_colour};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted, fitting_px};
use crate::output::words::{capital, share_text};
use crate::solar::{Sun, SunState};
use crate::venue::{PlayingSurface, Venue};

use super::layout::{COMPASS, HEADER, PlanView};

/// The playing area's share is told beside the field's when they differ by more.
const TOLD_FROM: f64 = 0.005;

/// Title on the left, time on the right, shares under them.
pub(crate) fn header(sketch: &mut Sketch, venue: &Venue, plan: &MatchPlan, instant: &Instant) {
    let clock = Lettering::of(54.0).bold().align(Align::Right);
    let time = clock_text(instant.at);
    sketch.text(&time, [HEADER.right, HEADER.top + 30.0], clock);
    let side = Lettering::of(27.0).align(Align::Right);
    let date = instant.at.format("%A %-d %B %Y").to_string();
    sketch.text(&date, [HEADER.right, HEADER.top + 86.0], side);
    let zone = zone_text(plan, instant);
    let muted = side.colour(MUTED);
    sketch.text(&zone, [HEADER.right, HEADER.top + 128.0], muted);

    let room = |beside: f64| HEADER.width() - beside - 40.0;
    let rows = [
        (venue.title.clone(), 46.0, Weight::Bold, INK, clock.width(&time), 30.0),
        (
            shares_text(venue, plan.sky, instant),
            27.0,
            Weight::Regular,
            INK,
            side.width(&date),
            86.0,
        ),
        (sky_text(plan.sky, instant), 27.0, Weight::Regular, MUTED, side.width(&zone), 128.0),
    ];
    for (text, size, weight, colour, beside, down) in rows {
        let size = fitting_px(&text, room(beside), size, 0.85 * size, weight);
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        let text = fitted(&text, room(beside), size, weight);
        sketch.text(text, [HEADER.left, HEADER.top + down], lettering);
    }
}

/// The picture in a sentence, for readers who hear it.
pub(crate) fn description(venue: &Venue, plan: &MatchPlan, instant: &Instant) -> String {
    format!(
        "Plan of the field of play with its shade at {} on {}. {}. {}. {}.",
        clock_text(instant.at),
        instant.at.format("%-d %B %Y"),
        shares_text(venue, plan.sky, instant),
        sky_text(plan.sky, instant),
        sun_words(&instant.sun, instant.sun_state).join(", "),
    )
}

pub(crate) fn clock_text(at: DateTime<Tz>) -> String {
    let pattern = if at.second() == 0 { "%H:%M %Z" } else { "%H:%M:%S %Z" };
    at.format(pattern).to_string()
}

fn zone_text(plan: &MatchPlan, instant: &Instant) -> String {
    let offset = instant.at.format("UTC%:z");
    let before = plan.milestones.iter().rfind(|m| m.at <= instant.at);
    let after = plan.milestones.iter().find(|m| m.at > instant.at);
    let minutes = |from: DateTime<Tz>, to: DateTime<Tz>| (to - from).num_minutes();
    match (before, after) {
        (Some(m), _) if m.at == instant.at => format!("{offset} · {}", m.name),
        (Some(m), _) => format!("{offset} · {} + {} min", m.name, minutes(m.at, instant.at)),
        (None, Some(m)) => format!("{offset} · {} − {} min", m.name, minutes(instant.at, m.at)),
        (None, None) => offset.to_string(),
    }
}

fn shares_text(venue: &Venue, sky: Sky, instant: &Instant) -> String {
    let on = format!("{} (0 m)", capital(venue.field.surface.short_name()));
    match (instant.sun_state, sky) {
        (SunState::Down, _) => return format!("{on}: no direct sun, the sun is down"),
        (SunState::BehindSkyline, _) => {
            return format!("{on}: no direct sun, the sun is behind the skyline");
        }
        (SunState::Up, sky) if sky.hides_sun() => {
            let share = share_text(instant.turf.field.shaded);
            return format!("{on}: no direct sun; {share} would be in shade without cloud");
        }
        (SunState::Up, _) => {}
    }
    let ShadeShare { opaque, shaded, .. } = instant.turf.field;
    let playing = instant.turf.playing_area.shaded;
    let differs = (playing - shaded).abs() > TOLD_FROM;
    let beside = format!(", {} of the playing area", share_text(playing));
    let beside = if differs { beside.as_str() } else { "" };
    let head = format!("{on}: {} of the field in shade{beside}", share_text(shaded));
    if instant.turf.shadow.dimmed.is_empty() {
        return head + ", none of it dimmed";
    }
    // from the rounded numbers, so that the parts add up to the whole
    let rounded = (0.01 * ((100.0 * shaded).round() - (100.0 * opaque).round())).max(0.0);
    let dimmed = if rounded > 0.0 { rounded } else { shaded - opaque };
    format!(
        "{head}: {} opaque, {} dimmed; {} of the direct light arrives",
        share_text(opaque),
        share_text(dimmed),
        share_text(instant.turf.field.mean_transmission),
    )
}

fn sky_text(sky: Sky, instant: &Instant) -> String {
    let state = sky_name(sky);
    if instant.sun_state != SunState::Up {
        return format!("{state} · face height (1.7 m): no direct sun either");
    }
    if sky.hides_sun() {
        let share = share_text(instant.face.field.shaded);
        return format!("{state} · drawn as without cloud · face height (1.7 m): {share} in shade");
    }
    let face = share_text(instant.face.field.shaded);
    format!("{state} · face height (1.7 m): {face} in shade{}", softness_text(instant))
}

/// The sky's name with a capital, without what it adds in brackets.
pub(crate) fn sky_name(sky: Sky) -> String {
    let name = sky.to_string();
    let short = name.split(" (").next().unwrap_or_default();
    let mut letters = short.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// How soft the edge on the turf is.
fn softness_text(instant: &Instant) -> String {
    let Some((narrow, wide)) = instant.turf.penumbra_range_m() else { return String::new() };
    let (narrow, wide) = (format!("{narrow:.1}"), format!("{wide:.1}"));
    if narrow == wide {
        format!(" · edge soft over {wide} m")
    } else {
        format!(" · edge soft over {narrow} to {wide} m")
    }
}

fn sun_words(sun: &Sun, state: SunState) -> Vec<String> {
    let mut words = vec![
        format!("azimuth {:.1}°", sun.azimuth.degrees()),
        format!("elevation {:.1}°", sun.apparent_elevation.degrees()).replace('-', "−"),
    ];
    match state {
        SunState::Up => words.insert(0, "Sun up".to_owned()),
        SunState::BehindSkyline => words.insert(0, "Sun behind skyline".to_owned()),
        SunState::Down => words.insert(0, "Sun down".to_owned()),
    }
    words
}

/// North, the sun and the way the field lies.
pub(crate) fn compass(
    sketch: &mut Sketch,
    view: &PlanView,
    (sky, surface): (Sky, PlayingSurface),
    (sun_place, state): (&Sun, SunState),
) {
    let middle = [COMPASS.left + 126.0, COMPASS.top + 112.0];
    let radius = 74.0;
    let at = |step: Px, r: f64| [middle[0] + r * step[0], middle[1] + r * step[1]];
    sketch.disc(middle, radius, MUTED);
    sketch.disc(middle, radius - 2.0, PAPER);
    let (w, h) = (view.field.width(), view.field.height());
    let fit = 84.0 / w.hypot(h);
    let field = PxBox::around(middle, w * fit, h * fit);
    sketch.fill(field.ring(), lit_colour(surface));
    sketch.outline(field.ring(), 2, MUTED);

    let level = Elevation::from_degrees(0.0);
    let sun = view.step(direction(sun_place.azimuth, level)).unwrap_or([0.0, -1.0]);
    let north = view.step(DVec3::Y).unwrap_or([0.0, -1.0]);
    arrow(sketch, at(north, -0.6 * radius), at(north, radius - 4.0), 12.0, INK);
    // the letter steps aside where the sun stands in the north
    let near = north[0] * sun[0] + north[1] * sun[1] > 0.85;
    let clockwise = sun[0] * north[1] - sun[1] * north[0] >= 0.0;
    let letter = match (near, clockwise) {
        (false, _) => north,
        (true, true) => turned(north, 32.0),
        (true, false) => turned(north, -32.0),
    };
    let bold = Lettering::of(28.0).bold().align(Align::Middle);
    sketch.text("N", at(letter, radius + 20.0), bold);

    let place = at(sun, radius + 18.0);
    sketch.disc(place, 17.0, BLACK);
    if state == SunState::Up {
        arrow(sketch, at(sun, radius + 10.0), at(sun, 14.0), 20.0, BLACK);
        sketch.disc(place, 14.0, YELLOW);
    } else {
        sketch.disc(place, 14.0, RULE);
    }

    let left = COMPASS.left + 262.0;
    let lines = sun_words(sun_place, state);
    for (i, line) in lines.iter().enumerate() {
        let size = if i == 0 { 30.0 } else { 27.0 };
        let mut lettering = Lettering::of(size);
        if i == 0 {
            lettering = lettering.bold();
        }
        sketch.text(line, [left, COMPASS.top + 40.0 + 42.0 * i as f64], lettering);
    }
    let note = match (state, sky) {
        (SunState::Up, sky) if sky.hides_sun() => "behind cloud",
        (SunState::Up, _) => "arrow: way of the light",
        _ => "no direct light",
    };
    let small = Lettering::of(25.0).colour(MUTED);
    sketch.text(note, [left, COMPASS.top + 40.0 + 42.0 * 3.0], small);
    sketch.text("N: true north", [left, COMPASS.top + 40.0 + 42.0 * 4.0], small);
}

fn turned(step: Px, degrees: f64) -> Px {
    let (sin, cos) = degrees.to_radians().sin_cos();
    [step[0] * cos - step[1] * sin, step[0] * sin + step[1] * cos]
}

pub(crate) fn arrow(sketch: &mut Sketch, from: Px, to: Px, head: f64, colour: RGBColor) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx.hypot(dy).max(1e-9);
    let (ux, uy) = (dx / length, dy / length);
    let neck = [to[0] - 1.4 * head * ux, to[1] - 1.4 * head * uy];
    let side = |sign: f64| [neck[0] - sign * 0.6 * head * uy, neck[1] + sign * 0.6 * head * ux];
    sketch.stroke([from, neck], 4, colour);
    sketch.fill([side(1.0), to, side(-1.0)], colour);
}
