//! A ball in the air: from the side, through the camera, and the ride of the iris.
//!
//! In: a venue and a [`BallPlan`]. Out: a picture 2000 pixels wide with three charts under
//! each other: height over distance, tilt over pan with what stands behind, stops over
//! time. Backgrounds have the same colours in all three.

mod chart;
mod hours;
mod ride;
mod side;
mod tints;
mod view;
mod words;

pub use hours::ball_hours;

use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::sketch::Sketch;
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::BallPlan;

/// Width of a page, pixels.
const PAGE: u32 = 2000;
/// Room on either side of the charts, pixels.
const LEFT: f64 = 170.0;
const RIGHT: f64 = 60.0;
/// Where the first chart begins, pixels from the top.
const TOP: f64 = 200.0;

/// Draws a ball's flight, what is behind it, and the ride.
///
/// # Errors
/// The drawing library's own failures.
pub fn ball(venue: &Venue, plan: &BallPlan) -> Result<Picture, RenderError> {
    let mut sketch = Sketch::default();
    let right = f64::from(PAGE) - RIGHT;
    let tints = tints::Tints::of(venue, plan);
    words::heading(&mut sketch, venue, plan, right);
    let mut bottom = side::draw(&mut sketch, (venue, plan), &tints, (LEFT, TOP, right));
    bottom = view::draw(&mut sketch, plan, &tints, (LEFT, bottom + 60.0, right));
    bottom = ride::draw(&mut sketch, plan, &tints, (LEFT, bottom + 60.0, right));
    bottom = words::legend(&mut sketch, venue, &tints, bottom + 20.0, right);
    bottom = words::caution(&mut sketch, bottom + 10.0);
    let title = words::title(venue, plan);
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &words::description(plan), &sketch)
}
