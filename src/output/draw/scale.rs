//! Numbers on an axis and colours of numbers.

use chrono::{DateTime, TimeDelta, Timelike};
use chrono_tz::Tz;
use plotters::style::RGBColor;

use super::palette::{INK, MUTED};
use super::sketch::{Align, Lettering, PxBox, Sketch};

/// The smallest of 1, 2 and 5 times a power of ten that is at least `least`.
pub(crate) fn round_step(least: f64) -> f64 {
    let decade = 10.0_f64.powf(least.log10().floor());
    let steps = [1.0, 2.0, 5.0].map(|n| n * decade);
    steps.into_iter().find(|step| *step >= least).unwrap_or(10.0 * decade)
}

/// Round values of an axis `px` pixels long, at least `apart_px` apart.
pub(crate) fn ticks((from, until): (f64, f64), px: f64, apart_px: f64) -> Vec<f64> {
    let step = round_step(apart_px / px * (until - from));
    let (first, last) = ((from / step).ceil() as i64, (until / step).floor() as i64);
    (first..=last).map(|i| i as f64 * step).collect()
}

/// Times at whole quarters of an hour by the clock, from one to another, and the share of the
/// way at which each lies.
pub(crate) fn quarters(from: DateTime<Tz>, until: DateTime<Tz>) -> Vec<(DateTime<Tz>, f64)> {
    let whole_s = (until - from).num_seconds().max(1) as f64;
    let past_s = i64::from(from.time().num_seconds_from_midnight() % QUARTER_S);
    let first = from + TimeDelta::seconds((i64::from(QUARTER_S) - past_s) % i64::from(QUARTER_S));
    let all = (0..).map(|i| first + TimeDelta::seconds(i * i64::from(QUARTER_S)));
    let all = all.take_while(|at| *at <= until);
    all.map(|at| (at, (at - from).num_seconds() as f64 / whole_s)).collect()
}

/// A quarter of an hour, seconds.
const QUARTER_S: u32 = 900;

/// Bright for 0, dark for 1: the map "cividis", made for colour-blind readers (Nunez,
/// Anderton and Renslow, PLOS ONE 13(7), 2018), as crate `colorous` has it; lightness
/// keeps the order in grey print.
pub(crate) fn cividis(share: f64) -> RGBColor {
    let c = colorous::CIVIDIS.eval_continuous(1.0 - share.clamp(0.0, 1.0));
    RGBColor(c.r, c.g, c.b)
}

/// Patches of a bar of colours.
const STEPS: usize = 48;

/// A bar of all colours with its ends and what it measures under it; gives the middle of
/// the words.
pub(crate) fn colour_bar(
    sketch: &mut Sketch,
    bar: &PxBox,
    [low, what, high]: [&str; 3],
    text: Lettering,
) -> f64 {
    let width = bar.width() / STEPS as f64;
    for step in 0..STEPS {
        let left = bar.left + step as f64 * width;
        let patch = PxBox { left, right: (left + width + 1.0).min(bar.right), ..*bar };
        sketch.fill(patch.ring(), cividis((step as f64 + 0.5) / STEPS as f64));
    }
    sketch.outline(bar.ring(), 2, INK);
    let under = bar.bottom + text.size;
    sketch.text(low, [bar.left, under], text);
    sketch.text(high, [bar.right, under], text.align(Align::Right));
    sketch.text(what, [bar.middle()[0], under], text.colour(MUTED).align(Align::Middle));
    under
}

#[cfg(test)]
mod tests {
    use chrono::TimeZone;

    use super::*;

    #[test]
    fn quarters_go_by_the_clock() {
        let at = |hour: u32, minute: u32| {
            chrono_tz::Europe::London.with_ymd_and_hms(2027, 10, 16, hour, minute, 0).unwrap()
        };
        assert_eq!(quarters(at(14, 58), at(15, 18)), [(at(15, 0), 0.1), (at(15, 15), 0.85)]);
        assert_eq!(quarters(at(15, 0), at(15, 14)), [(at(15, 0), 0.0)]);
        assert!(quarters(at(15, 1), at(15, 14)).is_empty());
    }

    #[test]
    fn steps_are_round_and_leave_room() {
        assert_eq!(round_step(0.3), 0.5);
        assert_eq!(round_step(1.0), 1.0);
        assert_eq!(round_step(61.0), 100.0);
        assert_eq!(ticks((-1.0, 5.2), 620.0, 110.0), [0.0, 2.0, 4.0]);
    }

    #[test]
    fn colours_run_from_bright_to_dark() {
        let light = |share| {
            let RGBColor(r, g, b) = cividis(share);
            u32::from(r) + u32::from(g) + u32::from(b)
        };
        assert!(light(0.0) > light(0.5) && light(0.5) > light(1.0));
        assert_eq!(cividis(-1.0), cividis(0.0));
    }
}
