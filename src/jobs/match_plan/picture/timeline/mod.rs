//! The timeline: how shade and splits change through a match.
//!
//! In: a venue and its [`MatchPlan`]. Out: a [`Picture`], 2000 pixels wide (A4
//! landscape with margins: 277 mm, so 25 pixels of type print at over 9 points),
//! as tall as the cameras need; five of them fill the sheet. From the top: heading, share of the field in
//! shade (%), the sun (degrees), a strip per camera (stops), legend; all on one
//! time axis in the venue's zone.

mod axis;
mod chart;
mod heading;
mod legend;
mod light;
mod moments;
mod scene;
mod shade;
mod strips;
mod sun;
mod worst;

pub use light::light_timeline;

use crate::engine::MatchPlan;
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::error::RenderError;
use crate::venue::Venue;

use chart::TimelineChart;
use scene::TimelineScene;

/// Width of the picture, pixels.
const WIDTH_PX: u32 = 2000;
/// Room around everything, pixels.
const MARGIN_PX: f64 = 44.0;
/// Type of axes and notes, pixels: 9 points at print size even in SVG, where type
/// is 6 % smaller than in PNG.
const SMALL_PX: f64 = 25.5;
/// Type of headers of panels, pixels.
const HEADER_PX: f64 = 27.0;

/// Draws the timeline of a plan.
///
/// # Errors
/// [`RenderError::NoInstants`] for a plan without instants,
/// [`RenderError::Drawing`] when a drawing library fails.
pub fn timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, RenderError> {
    let chart = TimelineChart::new(venue, plan)?;
    let (scene, height_px) = laid_out(&chart);
    canvas::draw(
        (WIDTH_PX, height_px.ceil() as u32),
        &heading::title(&chart),
        &heading::description(&chart),
        &scene.sketch,
    )
}

/// All marks, and the height they take, pixels.
fn laid_out(chart: &TimelineChart) -> (TimelineScene, f64) {
    let mut scene = TimelineScene::default();
    let mut y = MARGIN_PX;
    y = heading::draw(&mut scene, chart, y);
    y = shade::draw(&mut scene, chart, y);
    y = sun::draw(&mut scene, chart, y);
    y = strips::draw(&mut scene, chart, y);
    y = legend::draw(&mut scene, chart.venue.field.surface, y);
    (scene, y + 6.0)
}
