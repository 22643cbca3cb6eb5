//! The flight from the side: height over distance from the strike, metres.
//!
//! Between the ground and the path stands what is behind the ball from there, as the camera
//! sees it.

use crate::jobs::ball::{BallLook, BallPlan};
use crate::output::draw::palette::{INK, MUTED, PAPER};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::venue::Venue;

use super::chart::{BallChart, UNDER, number};
use super::tints::Tints;

/// Lowest and highest chart, pixels.
const HEIGHTS: (f64, f64) = (260.0, 560.0);
/// Room for the times over the highest point, pixels.
const OVER_PX: f64 = 60.0;
const DOT_PX: f64 = 9.0;

/// Draws it; gives where it ends.
pub(super) fn draw(
    sketch: &mut Sketch,
    (venue, plan): (&Venue, &BallPlan),
    tints: &Tints,
    (left, top, right): (f64, f64, f64),
) -> f64 {
    let start = plan.flight.at(0.0).at;
    let far = |t: f64| {
        let way = plan.flight.at(t).at - start;
        way.x.hypot(way.y)
    };
    let longest = plan.looks.iter().map(|l| far(l.t_s)).fold(1.0, f64::max);
    let apex = plan.flight.apex().at.z.max(1.0);
    let low = plan.looks.iter().map(|l| venue.ground_m(l.at.x, l.at.y)).fold(0.0, f64::min);
    let even = (right - left) * (apex - low) / (1.04 * longest);
    let height = (even + OVER_PX).clamp(HEIGHTS.0, HEIGHTS.1).round();
    let high = low + (apex - low) * height / (height - OVER_PX);
    let area = PxBox { left, top, right, bottom: top + height };
    let chart = BallChart { area, x: (-0.02 * longest, 1.02 * longest), y: (low, high) };
    chart.grid(sketch);
    // one area for each stretch of one background: neighbours would leave seams
    let place = |l: &BallLook| {
        let ground = venue.ground_m(l.at.x, l.at.y).clamp(low, high);
        (far(l.t_s), l.at.z.clamp(low, high), ground)
    };
    let mut from = 0;
    for stretch in plan.looks.chunk_by(|a, b| a.behind == b.behind) {
        // up to the first look at the next background
        let until = (from + stretch.len()).min(plan.looks.len() - 1);
        let along = || plan.looks[from..=until].iter().map(place);
        let path = along().map(|(x, z, _)| chart.px(x, z));
        let ground = along().rev().map(|(x, _, z)| chart.px(x, z));
        sketch.fill(path.chain(ground).collect::<Vec<Px>>(), tints.colour(stretch[0].behind));
        from = until;
    }
    let ground =
        |l: &BallLook| chart.px(far(l.t_s), venue.ground_m(l.at.x, l.at.y).clamp(low, high));
    sketch.stroke(plan.looks.iter().map(ground).collect::<Vec<Px>>(), 3, MUTED);
    let path: Vec<Px> =
        plan.looks.iter().map(|l| chart.px(far(l.t_s), l.at.z.clamp(low, high))).collect();
    sketch.stroke(path, 4, INK);
    seconds(sketch, plan, |t| {
        let at = plan.flight.at(t).at.z.clamp(low, high);
        chart.px(far(t), at)
    });
    let stretch = area.height() / (high - low) / (area.width() / (1.04 * longest));
    let title = match (stretch - 1.0).abs() < 0.02 {
        true => "From the side, and what is behind the ball".to_owned(),
        false => format!("From the side (height {stretch:.1} times), and what is behind the ball"),
    };
    let metres = |v: f64| format!("{} m", number(v));
    chart.axes(sketch, &title, ("over the ground from the strike", &metres), &metres);
    area.bottom + UNDER
}

/// Dots with their times along a path; a time only where it covers no other dot or time.
pub(super) fn seconds(sketch: &mut Sketch, plan: &BallPlan, place: impl Fn(f64) -> Px) {
    let lasts = plan.flight.lasts_s();
    let dots: Vec<(f64, Px)> =
        (0..=lasts.floor() as u32).map(f64::from).map(|t| (t, place(t))).collect();
    for (_, at) in &dots {
        sketch.disc(*at, DOT_PX, INK);
        sketch.disc(*at, DOT_PX - 3.0, PAPER);
    }
    let lettering = Lettering::of(23.0).align(Align::Middle);
    let mut taken: Vec<PxBox> =
        dots.iter().map(|(_, at)| PxBox::around(*at, 2.0 * DOT_PX, 2.0 * DOT_PX)).collect();
    for (t, at) in dots.iter().skip(1) {
        let text = format!("{t:.0} s");
        let (width, up) = (lettering.width(&text) + 12.0, 28.0);
        // over the dot, else to either side
        let beside = 0.5 * width + DOT_PX + 4.0;
        let places = [[at[0], at[1] - up], [at[0] + beside, at[1]], [at[0] - beside, at[1]]];
        let plates = places.map(|middle| PxBox::around(middle, width, 30.0));
        let free = plates.into_iter().find(|plate| !taken.iter().any(|other| plate.meets(other)));
        if let Some(plate) = free {
            sketch.fill(plate.ring(), PAPER);
            sketch.text(text, plate.middle(), lettering);
            taken.push(plate);
        }
    }
}
