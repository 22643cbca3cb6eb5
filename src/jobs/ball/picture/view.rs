//! The flight as the camera follows it: tilt over pan, degrees, and what stands there.

use crate::base::units::Azimuth;
use crate::jobs::ball::{BallPlan, pans};
use crate::output::draw::palette::{INK, PAPER, YELLOW};
use crate::output::draw::sketch::{Px, PxBox, Sketch};
use crate::solar::SunState;

use super::chart::{BallChart, UNDER, number};
use super::side::seconds;
use super::tints::Tints;

/// Lowest and highest chart, pixels.
const HEIGHTS: (f64, f64) = (300.0, 760.0);
const SUN_PX: f64 = 16.0;

/// Draws it; gives where it ends.
pub(super) fn draw(
    sketch: &mut Sketch,
    plan: &BallPlan,
    tints: &Tints,
    (left, top, right): (f64, f64, f64),
) -> f64 {
    let view = &plan.view;
    let even =
        (right - left) * (view.tilt_deg.1 - view.tilt_deg.0) / (view.pan_deg.1 - view.pan_deg.0);
    let area = PxBox { left, top, right, bottom: top + even.clamp(HEIGHTS.0, HEIGHTS.1).round() };
    let chart = BallChart { area, x: view.pan_deg, y: view.tilt_deg };
    cells(sketch, plan, tints, &area);
    chart.grid(sketch);
    let pan = pans(&plan.looks);
    let path: Vec<Px> =
        pan.iter().zip(&plan.looks).map(|(p, l)| chart.px(*p, l.tilt.degrees())).collect();
    sketch.stroke(path.clone(), 9, PAPER);
    sketch.stroke(path, 4, INK);
    seconds(sketch, plan, |t| {
        let next = plan.looks.partition_point(|l| l.t_s < t).min(plan.looks.len() - 1);
        let (pan, look) = (pan.get(next).copied().unwrap_or(0.0), &plan.looks[next]);
        chart.px(pan, look.tilt.degrees())
    });
    sun(sketch, plan, &chart);
    let degrees = |v: f64| format!("{}°", number(v));
    let bearing = |v: f64| format!("{}°", number(Azimuth::from_degrees(v).degrees()));
    let title = format!("Through {}, and what stands there", plan.post.name);
    chart.axes(sketch, &title, ("pan, clockwise from true north", &bearing), &degrees);
    area.bottom + UNDER
}

/// Cells of one background side by side are one mark.
fn cells(sketch: &mut Sketch, plan: &BallPlan, tints: &Tints, area: &PxBox) {
    let view = &plan.view;
    let (width, height) = (area.width() / view.columns as f64, area.height() / view.rows as f64);
    for (row, cells) in view.cells.chunks(view.columns).enumerate() {
        let bottom = area.bottom - row as f64 * height;
        let mut first = 0;
        for end in 1..=cells.len() {
            if end < cells.len() && cells[end] == cells[first] {
                continue;
            }
            let strip = PxBox {
                left: area.left + first as f64 * width,
                right: area.left + end as f64 * width,
                top: bottom - height,
                bottom,
            };
            sketch.fill(strip.ring(), tints.colour(cells[first]));
            first = end;
        }
    }
}

fn sun(sketch: &mut Sketch, plan: &BallPlan, chart: &BallChart) {
    if plan.sun_state != SunState::Up {
        return;
    }
    let middle = 0.5 * (chart.x.0 + chart.x.1);
    let turn = (plan.sun.azimuth.degrees() - middle + 180.0).rem_euclid(360.0) - 180.0;
    let at = chart.px(middle + turn, plan.sun.apparent_elevation.degrees());
    if chart.area.grown(-SUN_PX).holds(at) {
        sketch.disc(at, SUN_PX, INK);
        sketch.disc(at, SUN_PX - 3.0, YELLOW);
    }
}
