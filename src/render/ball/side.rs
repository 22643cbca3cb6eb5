//! The flight from the side: height over distance from the strike, metres.
//!
//! Under the path stands what is behind the ball from there, as the camera sees it.

use super::chart::{Chart, UNDER, number};
use super::tints::Tints;
use crate::plan::ball::BallPlan;
use crate::render::palette::{INK, PAPER};
use crate::render::sketch::{Align, Lettering, Px, PxBox, Sketch};

/// Lowest and highest chart, pixels.
const HEIGHTS: (f64, f64) = (260.0, 560.0);
const DOT_PX: f64 = 9.0;

/// Draws it; gives where it ends.
pub(super) fn draw(
    sketch: &mut Sketch,
    plan: &BallPlan,
    (left, top, right): (f64, f64, f64),
) -> f64 {
    let start = plan.flight.at(0.0).at;
    let far = |t: f64| {
        let way = plan.flight.at(t).at - start;
        way.x.hypot(way.y)
    };
    let longest = plan.looks.iter().map(|l| far(l.t_s)).fold(1.0, f64::max);
    let high = (plan.flight.apex().at.z * 1.12).max(1.0);
    let even = (right - left) * high / (1.04 * longest);
    let height = even.clamp(HEIGHTS.0, HEIGHTS.1).round();
    let area = PxBox { left, top, right, bottom: top + height };
    let chart = Chart { area, x: (-0.02 * longest, 1.02 * longest), y: (0.0, high) };
    chart.grid(sketch);
    for pair in plan.looks.windows(2) {
        let [a, b] = [&pair[0], &pair[1]].map(|l| (far(l.t_s), l.at.z.clamp(0.0, high)));
        let ring: [Px; 4] =
            [chart.px(a.0, 0.0), chart.px(a.0, a.1), chart.px(b.0, b.1), chart.px(b.0, 0.0)];
        sketch.fill(ring, Tints::colour(pair[0].behind));
    }
    let path: Vec<Px> =
        plan.looks.iter().map(|l| chart.px(far(l.t_s), l.at.z.clamp(0.0, high))).collect();
    sketch.stroke(path, 4, INK);
    seconds(sketch, plan, |t| {
        let at = plan.flight.at(t).at.z.clamp(0.0, high);
        chart.px(far(t), at)
    });
    let stretch = area.height() / high / (area.width() / (1.04 * longest));
    let title = match (stretch - 1.0).abs() < 0.02 {
        true => "From the side, and what is behind the ball".to_owned(),
        false => format!("From the side (height {stretch:.1} times), and what is behind the ball"),
    };
    let metres = |v: f64| format!("{} m", number(v));
    chart.axes(sketch, &title, ("over the ground from the strike", &metres), &metres);
    area.bottom + UNDER
}

/// Dots with their times along a path.
pub(super) fn seconds(sketch: &mut Sketch, plan: &BallPlan, place: impl Fn(f64) -> Px) {
    let lasts = plan.flight.lasts_s();
    let mut free: Option<Px> = None;
    for t in (0..=lasts.floor() as u32).map(f64::from) {
        let at = place(t);
        sketch.disc(at, DOT_PX, INK);
        sketch.disc(at, DOT_PX - 3.0, PAPER);
        let lettering = Lettering::of(22.0).align(Align::Middle);
        let apart = |f: Px| (f[0] - at[0]).hypot(f[1] - at[1]);
        if t > 0.0 && free.is_none_or(|f| apart(f) > 70.0) {
            let text = format!("{t:.0} s");
            let plate = PxBox::around([at[0], at[1] - 28.0], lettering.width(&text) + 12.0, 30.0);
            sketch.fill(plate.ring(), PAPER);
            sketch.text(text, plate.middle(), lettering);
            free = Some(at);
        }
    }
}
