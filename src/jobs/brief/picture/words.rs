//! What the picture through a camera says in words.

use plotters::style::RGBColor;

use crate::engine::MatchPlan;
use crate::jobs::match_plan::picture::field::{clock_text, share_text};
use crate::light::Sky;
use crate::output::draw::clip;
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::solar::SunState;

use super::fine::LeftOut;
use super::lens::HATCH;
use super::shot::Shot;
use super::{MARGIN, PAGE, SunSeen, tone};

const TEXT: f64 = 27.0;
const SMALL: f64 = 25.0;
/// Rows of the heading, pixels from the top.
const ROWS: [f64; 3] = [60.0, 116.0, 158.0];
const ROW_PX: f64 = 42.0;
const SWATCH: [f64; 2] = [46.0, 28.0];
/// Between strokes of a hatched swatch, pixels.
const SWATCH_HATCH_PX: f64 = 9.0;

/// What is approximate, for those who only see the picture.
const CAUTION: &str = "Percent of the video signal. Stands: one level in sun, one in shade, \
                       whatever their slope. Shares count the ground. Figures: 1.8 m tall.";

fn right_edge() -> f64 {
    f64::from(PAGE) - MARGIN
}

/// The name of the picture.
pub(super) fn title(shot: &Shot) -> String {
    let at = shot.instant.at.format("%Y-%m-%d %H:%M %Z");
    format!("{}, through {}, {at}", shot.venue.title, shot.post.name)
}

/// The picture in a sentence, for readers who hear it.
pub(super) fn description(shot: &Shot, sky: Sky, seen: SunSeen) -> String {
    let facts = facts(shot, sky, seen).join(", ");
    let date = shot.instant.at.format("%-d %B %Y");
    let clock = clock_text(shot.instant.at);
    format!("What {} sees at {clock} on {date}: {facts}.", shot.post.name)
}

/// Venue, camera and setting on the left, time and date on the right.
pub(super) fn heading(sketch: &mut Sketch, shot: &Shot, plan: &MatchPlan) {
    let at = shot.instant.at;
    let clock = Lettering::of(54.0).bold().align(Align::Right);
    let plain = Lettering::of(TEXT).align(Align::Right);
    let date = at.format("%A %-d %B %Y").to_string();
    let under = format!("{} · {}", at.format("UTC%:z"), plan.sky);
    let right = [(clock_text(at), clock), (date, plain), (under, plain.colour(MUTED))];
    let left = [
        (shot.venue.title.clone(), 46.0, Weight::Bold, INK),
        (shot.post.name.clone(), TEXT, Weight::Regular, INK),
        (shot.view.setting.clone(), TEXT, Weight::Regular, MUTED),
    ];
    for (((text, lettering), (name, size, weight, colour)), row) in
        right.into_iter().zip(left).zip(ROWS)
    {
        let text = fitted(&text, 0.5 * f64::from(PAGE), lettering.size, lettering.weight);
        let room = f64::from(PAGE) - 2.0 * MARGIN - lettering.width(&text) - 40.0;
        sketch.text(text, [right_edge(), row], lettering);
        let name = fitted(&name, room, size, weight);
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        sketch.text(name, [MARGIN, row], lettering);
    }
}

/// What holds for the whole picture, each in a few words.
fn facts(shot: &Shot, sky: Sky, seen: SunSeen) -> Vec<String> {
    let distance_m = shot.view.looks_at.distance(shot.post.at);
    let mut facts = vec![
        format!("field of view {:.1}° across", shot.post.horizontal_fov_deg),
        format!("looks at {distance_m:.1} m"),
        shade_words(shot, sky),
    ];
    let off = |sun| format!("sun {:.0}° off the axis", shot.eye.angle_from_axis_deg(sun));
    facts.extend(match seen {
        SunSeen::Shining => Some("sun in the lens".to_owned()),
        SunSeen::Dimmed => Some("sun in the lens, dimmed".to_owned()),
        SunSeen::Hidden => Some("sun in frame, hidden".to_owned()),
        SunSeen::OutOfFrame => shot.sun.map(off),
    });
    facts
}

/// How much of the turf in the frame is in shade.
pub(super) fn shade_words(shot: &Shot, sky: Sky) -> String {
    match (shot.instant.sun_state, shot.shade_in_frame()) {
        (SunState::Down, _) => "no direct sun: it is down".to_owned(),
        (SunState::BehindSkyline, _) => "no direct sun: behind the skyline".to_owned(),
        (SunState::Up, _) if sky.hides_sun() => "no direct sun: cloud".to_owned(),
        (SunState::Up, None) => "none of the field in frame".to_owned(),
        (SunState::Up, Some(share)) => {
            format!("{} of the turf in frame in shade", share_text(share))
        }
    }
}

/// Facts, levels and a caution under the frame; where they end, pixels from the
/// top.
pub(super) fn legend(sketch: &mut Sketch, shot: &Shot, sky: Sky, seen: SunSeen, top: f64) -> f64 {
    let mut row = top + 36.0;
    let mut line = facts(shot, sky, seen).join(" · ");
    if let Some(first) = line.get(..1).map(str::to_uppercase) {
        line.replace_range(..1, &first);
    }
    let room = f64::from(PAGE) - 2.0 * MARGIN;
    sketch.text(fitted(&line, room, TEXT, Weight::Bold), [MARGIN, row], Lettering::of(TEXT).bold());
    row = signs(sketch, shot, row + ROW_PX + 4.0);
    let small = Lettering::of(SMALL).colour(MUTED);
    let caution = fitted(CAUTION, room, SMALL, Weight::Regular);
    sketch.text(caution, [MARGIN, row + ROW_PX], small);
    row + ROW_PX + 36.0
}

/// What is left out of meshes, under everything else; where it ends, pixels from the
/// top.
pub(super) fn of_meshes(sketch: &mut Sketch, left_out: LeftOut, bottom: f64) -> f64 {
    let text = mesh_note(left_out);
    let room = f64::from(PAGE) - 2.0 * MARGIN;
    let text = fitted(&text, room, SMALL, Weight::Regular);
    sketch.text(text, [MARGIN, bottom], Lettering::of(SMALL).colour(MUTED));
    bottom + 36.0
}

/// How faces of meshes are drawn, and how many are not.
pub(super) fn mesh_note(LeftOut { drawn, left_out }: LeftOut) -> String {
    match left_out {
        0 => "Meshes: each face toned by the light at its middle, over white hatched.".to_owned(),
        _ => format!(
            "Meshes: the {drawn} largest faces, each toned by the light at its middle, over white \
             hatched; smaller ones left out: {left_out}."
        ),
    }
}

/// A swatch for each level; the height of the last row, pixels from the top.
fn signs(sketch: &mut Sketch, shot: &Shot, first: f64) -> f64 {
    let lettering = Lettering::of(SMALL);
    let (mut x, mut y) = (MARGIN, first);
    for (name, level) in named_levels(shot) {
        let text = format!("{name} {}", level_words(level));
        let width = SWATCH[0] + 12.0 + lettering.width(&text);
        if x + width > right_edge() && x > MARGIN {
            (x, y) = (MARGIN, y + ROW_PX);
        }
        let plate = PxBox::around([x + 0.5 * SWATCH[0], y], SWATCH[0], SWATCH[1]);
        swatch(sketch, plate, level);
        sketch.text(text, [x + SWATCH[0] + 12.0, y], lettering);
        x += width + 34.0;
    }
    y
}

fn swatch(sketch: &mut Sketch, plate: PxBox, level: f64) {
    sketch.plate(plate, tone::grey(level), MUTED);
    if tone::is_clipped(level) {
        hatched(sketch, &plate, SWATCH_HATCH_PX, HATCH);
    }
}

fn hatched(sketch: &mut Sketch, plate: &PxBox, apart: f64, colour: RGBColor) {
    for stroke in clip::hatching(&[plate.grown(-2.0).ring().to_vec()], apart) {
        sketch.stroke(stroke, 1, colour);
    }
}

/// The levels that this instant has.
fn named_levels(shot: &Shot) -> Vec<(&'static str, f64)> {
    let levels = shot.levels();
    let mut named = vec![
        ("Turf in shade", levels.turf_shade),
        ("Seats in shade", levels.seats_shade),
        ("Figure in shade", levels.subject_shade),
        ("Sky", levels.sky),
    ];
    if shot.sun.is_some() {
        named.splice(
            0..0,
            [
                ("Turf in sun", levels.turf_sun),
                ("Seats in sun", levels.seats_sun),
                ("Figure in sun", levels.subject_sun),
            ],
        );
    }
    named
}

/// A level as percent of the video signal, or by how much it is over white.
fn level_words(level: f64) -> String {
    if tone::is_clipped(level) {
        format!("over white by {:.1} stop", level.log2())
    } else {
        format!("{:.0} %", 100.0 * tone::signal(level))
    }
}
