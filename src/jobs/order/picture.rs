//! The day as lanes: one a field, with what is in shade and how far apart sun and shade are.
//!
//! In: [`DayOrder`]. Out: a picture 2000 pixels wide. In each lane the matches, the share of
//! the field in shade as an area, a row a camera with its split; what is off air is paler, what
//! is on air has a frame. Splits are steps of the map "cividis" (Nunez, Anderton and Renslow,
//! PLOS ONE 13(7), 2018) of crate `colorous`, the widest of each row stands beside it.

use chrono::{DateTime, TimeDelta, Timelike};
use chrono_tz::Tz;
use plotters::style::{Color, RGBColor};

use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::labels::wrapped;
use crate::output::draw::palette::{INK, MUTED, PAPER, RULE};
use crate::output::draw::scale::cividis;
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted, width_px};
use crate::output::error::RenderError;

use super::report::day_words;
use super::{DayOrder, FieldDay};

const PAGE: u32 = 2000;
const MARGIN: f64 = 40.0;
/// Where time begins and ends.
const LEFT: f64 = 330.0;
const RIGHT: f64 = 1760.0;
const TOP: f64 = 190.0;
const TITLE_PX: f64 = 44.0;
const PLAY_PX: f64 = 44.0;
/// Letters of a name that takes two lines.
const SMALL_PX: f64 = 19.0;
const SHADE_PX: f64 = 120.0;
const CAMERA_PX: f64 = 36.0;
const BETWEEN_PX: f64 = 46.0;
/// Room for the name of a time, pixels.
const TIME_PX: f64 = 110.0;
/// How much of the paper lies over what is off air.
const VEIL: f64 = 0.62;
const SHADE: RGBColor = RGBColor(110, 118, 130);
const PLAY: RGBColor = RGBColor(222, 226, 232);
/// One side only in the cover, or nothing.
const NOTHING: RGBColor = RGBColor(238, 238, 238);

/// Upper limits of the steps of the split, stops, and what they are called.
const STEPS: [(f64, f64, &str); 4] = [
    (1.0, 0.1, "split up to 1 stop"),
    (2.0, 0.4, "up to 2"),
    (3.0, 0.7, "up to 3"),
    (f64::INFINITY, 1.0, "over 3 stops"),
];

/// Time across the picture.
struct Across {
    from: DateTime<Tz>,
    seconds: f64,
}

impl Across {
    fn of(day: &DayOrder<'_>) -> Option<Self> {
        let instants = || day.fields.iter().flatten().flat_map(|field| &field.plan.instants);
        let from = instants().map(|instant| instant.at).min()?;
        let until = instants().map(|instant| instant.at).max()?;
        Some(Self { from, seconds: ((until - from).num_seconds() as f64).max(60.0) })
    }

    fn x(&self, at: DateTime<Tz>) -> f64 {
        let share = (at - self.from).num_seconds() as f64 / self.seconds;
        LEFT + share.clamp(0.0, 1.0) * (RIGHT - LEFT)
    }
}

/// Draws the day.
///
/// # Errors
/// The drawing library's own failures.
pub fn lanes(day: &DayOrder<'_>) -> Result<Picture, RenderError> {
    let mut sketch = Sketch::default();
    let title = format!("Order of play at {}", day.site.title);
    let line = fitted(&title, PAGE as f64 - 2.0 * MARGIN, 46.0, Weight::Bold);
    sketch.text(line, [MARGIN, 50.0], Lettering::of(46.0).bold());
    let under = fitted(&day_words(day), PAGE as f64 - 2.0 * MARGIN, 26.0, Weight::Regular);
    sketch.text(under, [MARGIN, 102.0], Lettering::of(26.0).colour(MUTED));
    let mut y = TOP;
    if let Some(across) = Across::of(day) {
        hours(&mut sketch, &across, TOP - 34.0);
        for (index, field) in day.fields.iter().enumerate() {
            if let Some(field) = field {
                y = lane(&mut sketch, day, (index, field), &across, y) + BETWEEN_PX;
            }
        }
    }
    let bottom = key(&mut sketch, y);
    let about = "for each field over the day: matches, share of the field in shade, and the split \
                 of each camera in stops; what is on air is framed";
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &format!("{title}: {about}."), &sketch)
}

/// Whole hours that lie in the day.
fn whole_hours(across: &Across) -> Vec<DateTime<Tz>> {
    let first = across.from.with_minute(0).and_then(|at| at.with_second(0));
    let until = across.from + TimeDelta::seconds(across.seconds as i64);
    let hours =
        first.into_iter().flat_map(|first| (0..27).map(move |h| first + TimeDelta::hours(h)));
    hours.filter(|at| across.from <= *at && *at <= until).collect()
}

fn hours(sketch: &mut Sketch, across: &Across, y: f64) {
    let mut free = f64::NEG_INFINITY;
    for at in whole_hours(across) {
        let x = across.x(at);
        if x - free >= TIME_PX {
            let lettering = Lettering::of(26.0).align(Align::Middle);
            sketch.text(at.format("%H:%M").to_string(), [x, y], lettering);
            free = x;
        }
    }
    sketch.text("local time", [MARGIN, y], Lettering::of(24.0).colour(MUTED));
    sketch.text("widest", [PAGE as f64 - MARGIN, y], Lettering::of(24.0).align(Align::Right));
}

/// One field; gives where it ends.
fn lane(
    sketch: &mut Sketch,
    day: &DayOrder<'_>,
    (index, field): (usize, &FieldDay),
    across: &Across,
    top: f64,
) -> f64 {
    let name = fitted(day.field_name(index), LEFT - MARGIN - 20.0, 30.0, Weight::Bold);
    let plays = top + TITLE_PX - 38.0;
    sketch.text(name, [MARGIN, plays + 0.5 * PLAY_PX], Lettering::of(30.0).bold());
    let shade = plays + PLAY_PX + 8.0;
    let cameras = shade + SHADE_PX + 10.0;
    let bottom = cameras + CAMERA_PX * field.venue.cameras.len() as f64;
    shaded(sketch, field, across, shade);
    for camera in 0..field.venue.cameras.len() {
        splits(sketch, field, camera, across, cameras + CAMERA_PX * camera as f64);
    }
    for at in whole_hours(across) {
        let x = across.x(at);
        sketch.stroke([[x, shade], [x, bottom]], 1, RULE);
    }
    frames(sketch, (day, index), across, (plays - 5.0, bottom + 5.0));
    for play in day.order.plays.iter().filter(|play| play.field == index) {
        let (left, right) = (across.x(play.from), across.x(play.until));
        let bar = PxBox { left, top: plays, right, bottom: plays + PLAY_PX };
        sketch.plate(bar, PLAY, INK);
        named(sketch, &play.name, &bar);
    }
    bottom
}

/// The name of a match in its bar: on one line, on two smaller ones, or cut.
fn named(sketch: &mut Sketch, name: &str, bar: &PxBox) {
    let (at, room) = (bar.left + 8.0, bar.width() - 16.0);
    let middle = bar.middle()[1];
    let fits = |line: &String, size| width_px(line, size, Weight::Regular) <= room;
    let lines = wrapped(name, room, SMALL_PX);
    if fits(&name.to_owned(), 24.0) || lines.len() > 2 || !lines.iter().all(|l| fits(l, SMALL_PX)) {
        let text = fitted(name, room, 24.0, Weight::Regular);
        sketch.text(text, [at, middle], Lettering::of(24.0));
        return;
    }
    let top = middle - 0.5 * SMALL_PX * (lines.len() - 1) as f64;
    for (i, line) in lines.into_iter().enumerate() {
        sketch.text(line, [at, top + SMALL_PX * i as f64], Lettering::of(SMALL_PX));
    }
}

/// The share of the field that is not in full sun, from 0 at the foot to all of it.
fn shaded(sketch: &mut Sketch, field: &FieldDay, across: &Across, top: f64) {
    let bottom = top + SHADE_PX;
    let instants = &field.plan.instants;
    let (Some(first), Some(last)) = (instants.first(), instants.last()) else { return };
    let mut ring = vec![[across.x(first.at), bottom]];
    for instant in instants {
        let share = instant.turf.field.shaded.clamp(0.0, 1.0);
        ring.push([across.x(instant.at), bottom - share * SHADE_PX]);
    }
    ring.push([across.x(last.at), bottom]);
    sketch.fill(ring, SHADE);
    let frame = PxBox { left: across.x(first.at), top, right: across.x(last.at), bottom };
    sketch.outline(frame.ring().to_vec(), 1, RULE);
    let lettering = Lettering::of(22.0).colour(MUTED);
    sketch.text("in shade, %", [MARGIN, top + 0.5 * SHADE_PX], lettering);
    for (text, y) in [("100", top + 10.0), ("0", bottom - 10.0)] {
        sketch.text(text, [LEFT - 14.0, y], lettering.align(Align::Right));
    }
}

/// A row of splits: neighbours of one step are one mark.
fn splits(sketch: &mut Sketch, field: &FieldDay, camera: usize, across: &Across, top: f64) {
    let name = field.venue.cameras.get(camera).map_or("", |camera| &camera.name);
    let name = fitted(name, LEFT - MARGIN - 20.0, 24.0, Weight::Regular);
    sketch.text(name, [MARGIN, top + 0.5 * CAMERA_PX], Lettering::of(24.0));
    let instants = &field.plan.instants;
    let split = |i: usize| instants.get(i)?.cameras.get(camera)?.turf.state.in_shot();
    let step = |i: usize| {
        let stops = split(i)?.stops().abs();
        STEPS.iter().position(|(limit, ..)| stops <= *limit)
    };
    let mut from = 0;
    for i in 1..=instants.len() {
        if i < instants.len() && step(i) == step(from) {
            continue;
        }
        let colour = step(from).map_or(NOTHING, |step| cividis(STEPS[step].1));
        let end = instants.get(i).or(instants.last()).map(|instant| across.x(instant.at));
        let left = instants.get(from).map(|instant| across.x(instant.at));
        if let (Some(left), Some(right)) = (left, end) {
            let cell = PxBox { left, top: top + 4.0, right, bottom: top + CAMERA_PX - 4.0 };
            sketch.fill_box(cell, colour);
        }
        from = i;
    }
    let widest = (0..instants.len()).filter_map(|i| Some((split(i)?.stops(), i)));
    let widest = widest.max_by(|a, b| a.0.total_cmp(&b.0));
    let text = widest.and_then(|(stops, i)| {
        Some(format!("{stops:.1} stops {}", instants.get(i)?.at.format("%H:%M")))
    });
    let lettering = Lettering::of(24.0).align(Align::Right);
    let text = text.unwrap_or_else(|| "one side".to_owned());
    sketch.text(text, [PAGE as f64 - MARGIN, top + 0.5 * CAMERA_PX], lettering);
}

/// A veil over what is off air, and a frame around what is on air.
fn frames(
    sketch: &mut Sketch,
    (day, index): (&DayOrder<'_>, usize),
    across: &Across,
    (top, bottom): (f64, f64),
) {
    let on_air = day.order.on_air.iter().filter(|on_air| on_air.field == index);
    let mut on_air: Vec<(f64, f64)> =
        on_air.map(|on_air| (across.x(on_air.from), across.x(on_air.until))).collect();
    // what follows itself is one frame
    on_air.dedup_by(|next, before| {
        let joins = next.0 - before.1 < 1.0;
        before.1 = if joins { next.1 } else { before.1 };
        joins
    });
    let mut left = LEFT;
    let ends = on_air.iter().copied().chain([(RIGHT, RIGHT)]);
    for (from, until) in ends {
        let veil = PxBox { left, top, right: from, bottom };
        if veil.width() > 0.0 {
            sketch.fill_box(veil, PAPER.mix(VEIL));
        }
        left = until;
    }
    for (left, right) in on_air {
        sketch.outline(PxBox { left, top, right, bottom }.ring().to_vec(), 5, INK);
    }
}

/// What colours and frames mean; gives where it ends.
fn key(sketch: &mut Sketch, top: f64) -> f64 {
    let text = Lettering::of(24.0);
    let mut x = MARGIN;
    let frame = PxBox { left: x, top, right: x + 44.0, bottom: top + 30.0 };
    sketch.outline(frame.ring().to_vec(), 5, INK);
    sketch.text("on air", [x + 56.0, top + 15.0], text);
    x += 56.0 + text.width("on air") + 40.0;
    let steps = STEPS.iter().map(|(_, share, words)| (cividis(*share), *words));
    let all = [(SHADE, "field in shade")].into_iter().chain(steps);
    for (colour, words) in all.chain([(NOTHING, "one side only")]) {
        let patch = PxBox { left: x, top, right: x + 44.0, bottom: top + 30.0 };
        sketch.plate(patch, colour, RULE);
        sketch.text(words, [x + 56.0, top + 15.0], text);
        x += 56.0 + text.width(words) + 40.0;
    }
    let note = "Bars are matches, by their expected lengths. Split: sun over shade of the surface in \
                the cover of a camera, both sides in it.";
    sketch.text(note, [MARGIN, top + 62.0], text.colour(MUTED));
    top + 92.0
}
