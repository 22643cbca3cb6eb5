//! The timeline of light: how bright and of what colour, and what a cloud does.
//!
//! In: a venue and its [`MatchPlan`]. Out: a [`Picture`] on the same time axis as
//! the main timeline. From the top: heading, light on the turf (lx, one line a
//! stop), its colour (K, spaced by mired), gain trims between the sides (stops), the
//! swing when a cloud covers the sun, camera by camera (stops), legend.

mod legend;
mod panels;
mod swing;

use crate::engine::{Instant, MatchPlan};
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::chart::{TimelineChart, runs};
use super::scene::{Pen, PicturePoint, Rect, TimelineScene};
use super::{MARGIN_PX, WIDTH_PX, heading};

/// From a panel's bottom to the baseline of the next header, pixels.
const HEADER_ROW_PX: f64 = 38.0;

/// Draws the timeline of light of a plan.
///
/// # Errors
/// [`RenderError::NoInstants`] for a plan without instants,
/// [`RenderError::Drawing`] when a drawing library fails.
pub fn light_timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, RenderError> {
    let chart = TimelineChart::new(venue, plan)?;
    let mut scene = TimelineScene::default();
    let mut y = heading::draw(&mut scene, &chart, MARGIN_PX);
    y = panels::illuminance(&mut scene, &chart, y);
    y = panels::colour(&mut scene, &chart, y);
    y = panels::trims(&mut scene, &chart, y);
    y = swing::draw(&mut scene, &chart, y);
    y = chart.times(&mut scene, y);
    y = legend::draw(&mut scene, venue.field.surface, y);
    let title = format!("Light at {}, {}", venue.title, heading::date(&chart));
    let size = (WIDTH_PX, (y + 6.0).ceil() as u32);
    canvas::draw(size, &title, &panels::description(&chart), &scene.sketch)
}

/// A header and the panel under it.
fn headed(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    top: f64,
    what: &str,
    height_px: f64,
) -> Rect {
    let baseline = top + HEADER_ROW_PX;
    chart.header(scene, baseline, what);
    chart.panel(baseline + 11.0, height_px)
}

/// The lines of a quantity, one for each run of instants that have it.
fn lines(
    chart: &TimelineChart,
    value: impl Fn(&Instant) -> Option<f64>,
    y: impl Fn(f64) -> f64,
) -> Vec<Vec<PicturePoint>> {
    let values: Vec<Option<f64>> =
        chart.plan.instants.iter().map(|i| value(i).filter(|v| v.is_finite())).collect();
    let known: Vec<bool> = values.iter().map(Option::is_some).collect();
    let runs = runs(&known).into_iter().filter(|(known, _)| *known);
    runs.map(|(_, range)| chart.trace(&range, |i| values.get(i).copied().flatten(), &y)).collect()
}

/// Draws lines with pens from the lowest to the topmost.
fn draw_lines(scene: &mut TimelineScene, lines: &[Vec<PicturePoint>], pens: &[Pen]) {
    for line in lines {
        for pen in pens {
            scene.line(line, *pen);
        }
    }
}
