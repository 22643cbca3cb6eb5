//! When the place is lit: a bar for each day, on the venue's clock.
//!
//! In: the days of a place. Out: marks. A full bar is sun in the open, a hatched one
//! sun through something translucent, a thin line a sun that is up but hidden.

use chrono::{DateTime, NaiveTime, Timelike};
use chrono_tz::Tz;

use crate::jobs::look_up::{DayAtPlace, LookUp, SunlightSpan};
use crate::output::draw::clip;
use crate::output::draw::palette::{INK, MUTED, PAPER, RULE, YELLOW};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};

use super::paths::{DayPen, LightStrength, day_words, pens};

const ROW_PX: f64 = 66.0;
const BAR_PX: f64 = 26.0;
const HEAD_PX: f64 = 50.0;
const TIMES_PX: f64 = 44.0;
/// Room for the names on the left and the sums on the right, pixels.
const NAMES_PX: f64 = 250.0;
const SUMS_PX: f64 = 190.0;
const DAY_S: f64 = 86_400.0;
const HATCH_PX: f64 = 8.0;
/// Room for a time over the end of a bar, and between two of them, pixels.
const TIME_APART_PX: f64 = 10.0;

/// The time axis of all rows.
struct Clock {
    left: f64,
    right: f64,
    /// Hours of the day.
    from: f64,
    until: f64,
}

impl Clock {
    fn x(&self, seconds: f64) -> f64 {
        let share = (seconds / 3600.0 - self.from) / (self.until - self.from);
        self.left + share * (self.right - self.left)
    }

    /// From the first to the last light of any day, to whole hours.
    fn of(look: &LookUp, left: f64, right: f64) -> Self {
        let up = |day: &DayAtPlace| {
            let up = |s: &&SunlightSpan| LightStrength::of(s.sunlight).is_some();
            let ends = day.spans.iter().filter(up).map(|s| seconds(day, s));
            ends.collect::<Vec<_>>()
        };
        let ends = look.days.iter().flat_map(up);
        let (first, last) =
            ends.fold((DAY_S, 0.0_f64), |(f, l), (from, until)| (f.min(from), l.max(until)));
        let (from, until) = match first < last {
            true => ((first / 3600.0).floor(), (last / 3600.0).ceil()),
            false => (0.0, 24.0),
        };
        Self { left, right, from, until }
    }
}

/// A span in seconds of its day's clock.
fn seconds(day: &DayAtPlace, span: &SunlightSpan) -> (f64, f64) {
    let of = |at: DateTime<Tz>| match at.date_naive() > day.date {
        true => DAY_S,
        false => f64::from(at.num_seconds_from_midnight()),
    };
    (of(span.from), of(span.until))
}

/// Draws all bars under a height; gives where they end.
pub(super) fn draw(sketch: &mut Sketch, look: &LookUp, left: f64, top: f64, right: f64) -> f64 {
    let clock = Clock::of(look, left + NAMES_PX, right - SUMS_PX);
    sketch.text("Lit on", [left, top + 16.0], Lettering::of(28.0).bold());
    let zone = look.days.iter().flat_map(|d| &d.spans).next().map(|s| s.from.timezone());
    let under = zone.map_or_else(String::new, |z| format!("clock of {z}"));
    let muted = Lettering::of(24.0).colour(MUTED);
    sketch.text(under, [clock.left, top + 16.0], muted);
    let first = top + HEAD_PX;
    let bottom = first + ROW_PX * look.days.len() as f64;
    hours(sketch, &clock, first, bottom);
    for (i, (day, pen)) in look.days.iter().zip(pens(look)).enumerate() {
        row(sketch, look, day, pen, &clock, first + ROW_PX * i as f64);
    }
    bottom + TIMES_PX
}

fn hours(sketch: &mut Sketch, clock: &Clock, top: f64, bottom: f64) {
    let per_hour = (clock.right - clock.left) / (clock.until - clock.from);
    let every = [1.0, 2.0, 3.0, 6.0].into_iter().find(|e| e * per_hour >= 80.0).unwrap_or(6.0);
    let count = (clock.until - clock.from) as u32;
    for hour in (0..=count).map(|i| clock.from + f64::from(i)) {
        let x = clock.x(hour * 3600.0);
        let labelled = hour % every == 0.0;
        sketch.stroke(vec![[x, top], [x, bottom + if labelled { 8.0 } else { 0.0 }]], 1, RULE);
        if labelled {
            let text = format!("{hour:02.0}:00");
            let lettering = Lettering::of(23.0).align(Align::Middle);
            sketch.text(text, [x, bottom + 24.0], lettering);
        }
    }
}

fn row(sketch: &mut Sketch, look: &LookUp, day: &DayAtPlace, pen: DayPen, clock: &Clock, top: f64) {
    let middle = top + ROW_PX - 0.5 * BAR_PX - 8.0;
    let plate = |from: f64, until: f64, height: f64| PxBox {
        left: clock.x(from),
        right: clock.x(until).max(clock.x(from) + 2.0),
        top: middle - 0.5 * height,
        bottom: middle + 0.5 * height,
    };
    names(sketch, day, pen, clock, middle);
    if pen.asked
        && let Some((from, until)) = look.window
    {
        let of = |at: DateTime<Tz>| f64::from(at.time().num_seconds_from_midnight());
        let ends = if until.date_naive() > from.date_naive() { DAY_S } else { of(until) };
        let window = plate(of(from), ends, BAR_PX + 22.0);
        let inside = PxBox {
            left: window.left.max(clock.left),
            right: window.right.min(clock.right),
            ..window
        };
        if inside.left < inside.right {
            sketch.fill(inside.ring(), YELLOW);
        }
    }
    for span in &day.spans {
        let (from, until) = seconds(day, span);
        match LightStrength::of(span.sunlight) {
            Some(LightStrength::Lit) => sketch.fill(plate(from, until, BAR_PX).ring(), pen.colour),
            Some(LightStrength::Dimmed) => {
                let bar = plate(from, until, 0.7 * BAR_PX);
                sketch.fill(bar.ring(), PAPER);
                for stroke in clip::hatching(&[bar.ring().to_vec()], HATCH_PX) {
                    sketch.stroke(stroke, 2, pen.colour);
                }
                sketch.outline(bar.ring(), 2, pen.colour);
            }
            Some(LightStrength::Hidden) => sketch.fill(plate(from, until, 4.0).ring(), MUTED),
            None => {}
        }
    }
    times(sketch, day, clock, middle - 0.5 * BAR_PX - 13.0);
}

/// Name on the left, time in the sun on the right.
fn names(sketch: &mut Sketch, day: &DayAtPlace, pen: DayPen, clock: &Clock, middle: f64) {
    let lettering = Lettering::of(25.0);
    let lettering = if pen.asked { lettering.bold() } else { lettering };
    let name = day_words(day.date);
    let left = clock.left - NAMES_PX;
    sketch.fill(PxBox::around([left + 9.0, middle], 18.0, BAR_PX).ring(), pen.colour);
    sketch.text(name, [left + 32.0, middle], lettering);
    let minutes = (day.lit().num_seconds() as f64 / 60.0).round() as i64;
    let dimmed =
        day.spans.iter().any(|s| LightStrength::of(s.sunlight) == Some(LightStrength::Dimmed));
    let sum = match minutes {
        0 if dimmed => "dimmed only".to_owned(),
        0 => "no sun".to_owned(),
        m => format!("{} h {:02} min", m / 60, m % 60),
    };
    let sum = fitted(&sum, SUMS_PX - 14.0, 24.0, Weight::Regular);
    sketch.text(sum, [clock.right + SUMS_PX, middle], Lettering::of(24.0).align(Align::Right));
}

/// Times over the ends of the full bars, where there is room.
fn times(sketch: &mut Sketch, day: &DayAtPlace, clock: &Clock, y: f64) {
    let lettering = Lettering::of(23.0).colour(INK).align(Align::Middle);
    let lit =
        day.spans.iter().filter(|s| LightStrength::of(s.sunlight) == Some(LightStrength::Lit));
    let ends = lit.flat_map(|span| {
        let (from, until) = seconds(day, span);
        [(from, span.from), (until, span.until)]
    });
    let mut free_from = clock.left - 0.2 * NAMES_PX;
    for (at, time) in ends {
        // the end of the day is no event
        if at == DAY_S || time.time() == NaiveTime::MIN {
            continue;
        }
        let text = time.format("%H:%M").to_string();
        let half = 0.5 * lettering.width(&text);
        let x = clock.x(at);
        if x - half >= free_from && x + half <= clock.right + 0.5 * SUMS_PX {
            sketch.text(text, [x, y], lettering);
            free_from = x + half + TIME_APART_PX;
        }
    }
}
