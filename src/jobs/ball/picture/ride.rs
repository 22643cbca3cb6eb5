//! The ride of the iris: stops closed over seconds since the strike.
//!
//! A thin line is what the background asks for, the strong one the ride that does it, a
//! dashed one the ride for the ball alone. The strip under them is what is behind the ball.

use crate::base::plane::dashes;
use crate::jobs::ball::BallPlan;
use crate::jobs::ball::physics::Ride;
use crate::output::draw::palette::{BLUE, INK, MUTED, PAPER, VERMILLION};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};

use super::chart::{BallChart, UNDER, number};
use super::tints::Tints;

const HEIGHT: f64 = 520.0;
const STRIP_PX: f64 = 34.0;
const KEY_PX: f64 = 48.0;
/// Room over the lines for strike, landing and hands in a row each, and under them for the
/// strip, pixels.
const HEAD_PX: f64 = 150.0;
const FOOT_PX: f64 = 70.0;

/// Draws it; gives where it ends.
pub(super) fn draw(
    sketch: &mut Sketch,
    plan: &BallPlan,
    tints: &Tints,
    (left, top, right): (f64, f64, f64),
) -> f64 {
    let chart = chart(plan, (left, top, right));
    chart.grid(sketch);
    strip(sketch, plan, tints, &chart);
    moments(sketch, plan, &chart);
    let needs = plan.rides.level.iter().map(|n| chart.px(n.t_s, n.stops));
    sketch.stroke(needs.collect::<Vec<Px>>(), 3, VERMILLION);
    if let Some(ride) = &plan.rides.ball_only {
        for dash in dashes(&line(ride, &chart), 22.0, 14.0) {
            sketch.stroke(dash, 4, INK);
        }
    }
    if let Some(ride) = &plan.rides.background {
        sketch.stroke(line(ride, &chart), 7, BLUE);
        hands(sketch, ride, &chart);
    }
    let stops = |v: f64| match (v - 1.0).abs() < 1e-9 {
        true => "1 stop".to_owned(),
        false => format!("{} stops", number(v)),
    };
    let seconds = |v: f64| format!("{} s", number(v));
    let title = "The ride: stops closed against the setting at the strike";
    chart.axes(sketch, title, ("since the strike", &seconds), &stops);
    key(sketch, plan, left, chart.area.bottom + UNDER + 20.0) + KEY_PX
}

fn chart(plan: &BallPlan, (left, top, right): (f64, f64, f64)) -> BallChart {
    let (mut from, mut until) = (0.0_f64, plan.flight.lasts_s());
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for ride in [&plan.rides.background, &plan.rides.ball_only].into_iter().flatten() {
        from = from.min(ride.hand_starts_s.unwrap_or(0.0));
        until = until.max(ride.back_s);
        high = high.max(ride.most.stops);
    }
    for need in &plan.rides.level {
        (low, high) = (low.min(need.stops), high.max(need.stops));
    }
    let room_x = 0.04 * (until - from);
    let area = PxBox { left, top, right, bottom: top + HEIGHT };
    // words stand over the highest line, the strip under the lowest
    let px = (high - low) / (HEIGHT - HEAD_PX - FOOT_PX);
    BallChart {
        area,
        x: (from - room_x, until + room_x),
        y: (low - FOOT_PX * px, high + HEAD_PX * px),
    }
}

/// The ride from the first move to the end of opening: the points, and the slopes before
/// the strike and after the landing.
fn line(ride: &Ride, chart: &BallChart) -> Vec<Px> {
    let mut points: Vec<(f64, f64)> = ride.points.iter().map(|p| (p.t_s, p.stops)).collect();
    let rate = ride.rate_stops_per_s;
    if let (Some(&(t, stops)), Some(starts)) = (points.first(), ride.iris_starts_s)
        && starts < t
    {
        points.insert(0, (starts, stops - rate * (t - starts)));
    }
    let first = points.first().copied().unwrap_or_default();
    points.insert(0, (chart.x.0.min(first.0), first.1));
    let last = points.last().copied().unwrap_or_default();
    if ride.back_s > last.0 {
        points.push((ride.back_s, last.1 - rate * (ride.back_s - last.0)));
    }
    points.into_iter().map(|(t, s)| chart.px(t, s)).collect()
}

/// What is behind the ball, as a strip of time.
fn strip(sketch: &mut Sketch, plan: &BallPlan, tints: &Tints, chart: &BallChart) {
    let bottom = chart.area.bottom - 4.0;
    let plate = |from: f64, until: f64| PxBox {
        left: chart.px(from, 0.0)[0],
        right: chart.px(until, 0.0)[0],
        top: bottom - STRIP_PX,
        bottom,
    };
    for pair in plan.looks.windows(2) {
        let piece = plate(pair[0].t_s, pair[1].t_s);
        sketch.fill(piece.ring(), tints.colour(pair[0].behind));
        if pair[0].hidden_by.is_some() {
            let middle = piece.middle()[1];
            sketch.stroke(vec![[piece.left, middle], [piece.right, middle]], 6, INK);
        }
    }
    sketch.outline(plate(0.0, plan.flight.lasts_s()).ring(), 2, INK);
}

/// Strike and landing.
fn moments(sketch: &mut Sketch, plan: &BallPlan, chart: &BallChart) {
    for (t, word) in [(0.0, "strike"), (plan.flight.lasts_s(), "down")] {
        let [x, _] = chart.px(t, 0.0);
        sketch.stroke(vec![[x, chart.area.top], [x, chart.area.bottom]], 3, MUTED);
        let lettering = Lettering::of(24.0).bold().align(Align::Middle);
        let plate = PxBox::around([x, chart.area.top + 22.0], lettering.width(word) + 16.0, 34.0);
        sketch.fill(plate.ring(), PAPER);
        sketch.text(word, plate.middle(), lettering);
    }
}

/// When the hand begins to close and to open: a row each over the lines, with a thin line
/// down to the ride.
fn hands(sketch: &mut Sketch, ride: &Ride, chart: &BallChart) {
    let level = |t: f64| {
        let next = ride.points.partition_point(|p| p.t_s < t).min(ride.points.len() - 1);
        // before the strike the iris is open until it starts
        ride.points.get(next).filter(|_| t >= 0.0).map_or(0.0, |p| p.stops)
    };
    let closes = ride.hand_starts_s.map(|t| (t, level(t), "hand closes", 66.0));
    let opens = ride.hand_opens_s.map(|t| (t, level(t), "hand opens", 106.0));
    for (t, stops, word, row) in [closes, opens].into_iter().flatten() {
        let [x, y] = chart.px(t, stops);
        let middle = chart.area.top + row;
        sketch.stroke(vec![[x, middle], [x, y - 8.0]], 2, BLUE);
        let peak: [Px; 3] = [[x, y - 6.0], [x - 10.0, y - 28.0], [x + 10.0, y - 28.0]];
        sketch.fill(peak, BLUE);
        let text = format!("{word} {t:.1} s");
        let lettering = Lettering::of(24.0).bold();
        let width = lettering.width(&text) + 16.0;
        let left = (x - 0.5 * width).clamp(chart.area.left + 6.0, chart.area.right - width - 6.0);
        let plate = PxBox { left, right: left + width, top: middle - 18.0, bottom: middle + 18.0 };
        sketch.fill(plate.ring(), PAPER);
        sketch.text(text, plate.middle(), lettering.align(Align::Middle));
    }
}

fn key(sketch: &mut Sketch, plan: &BallPlan, left: f64, y: f64) -> f64 {
    let lettering = Lettering::of(24.0);
    let rate = plan.rides.background.as_ref().map_or(0.0, |r| r.rate_stops_per_s);
    let lines = [
        ("background on level".to_owned(), VERMILLION, 3),
        (format!("ride at {} stops a second", number(rate)), BLUE, 7),
        ("ride for the ball alone (dashed)".to_owned(), INK, 4),
    ];
    let mut x = left;
    for (i, (text, colour, width)) in lines.into_iter().enumerate() {
        let ends = vec![[x, y], [x + 60.0, y]];
        match i {
            2 => {
                dashes(&ends, 22.0, 14.0).into_iter().for_each(|d| sketch.stroke(d, width, colour))
            }
            _ => sketch.stroke(ends, width, colour),
        }
        x += 74.0 + lettering.width(&text) + 50.0;
        sketch.text(text.clone(), [x - 50.0 - lettering.width(&text), y], lettering);
    }
    y
}
