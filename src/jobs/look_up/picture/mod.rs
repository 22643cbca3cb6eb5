//! Looking up from a place: roofline, horizon and paths of the sun.
//!
//! In: a venue and a [`LookUp`]. Out: a picture 2000 pixels wide: azimuth to the right,
//! elevation up, what stands as filled shapes, the sun's paths over them, strong where
//! they light the place; bars under it that say when.

mod around;
mod axis;
mod bars;
mod chart;
mod pan;
mod paths;
mod words;

use crate::engine::SpotKind;
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::placer::Labels;
use crate::output::draw::sketch::Sketch;
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::LookUp;
use chart::SkyChart;

/// Width of a page, pixels.
const PAGE: u32 = 2000;
/// Room on the left and on the right, pixels.
const MARGIN: f64 = 40.0;
/// Room for the elevations on the left of the chart, pixels.
const ELEVATIONS: f64 = 70.0;
/// Where the chart begins, pixels from the top.
const TOP: f64 = 200.0;

/// Draws what stands around a place and the paths of the sun over it.
///
/// # Errors
/// The drawing library's own failures.
pub fn look_up(venue: &Venue, look: &LookUp) -> Result<Picture, RenderError> {
    let mut sketch = Sketch::default();
    let right = f64::from(PAGE) - MARGIN;
    let chart = SkyChart::of(look, venue.place.latitude_deg, MARGIN + ELEVATIONS, TOP, right);
    let columns = around::columns(look, &chart);
    words::heading(&mut sketch, venue, look);
    sketch.fill(chart.area.ring(), around::SKY);
    let rims = around::draw(&mut sketch, venue, &chart, &columns);
    axis::grid(&mut sketch, &chart);
    let post = match look.spot.kind {
        SpotKind::Camera(index) => venue.cameras.get(index),
        SpotKind::Mark | SpotKind::Point => None,
    };
    let pan_shown = post.map(|post| pan::draw(&mut sketch, post, &chart));
    let mut labels = Labels::within(chart.area.grown(-6.0));
    labels.avoid(rims.iter().flat_map(|line| paths::evenly(line)));
    paths::draw(&mut sketch, &mut labels, look, &chart);
    paths::words(&mut sketch, &mut labels, look, &chart);
    words::names(&mut sketch, &mut labels, venue, &chart, &columns);
    axis::draw(&mut sketch, &chart, venue.field.frame.bearing().degrees());
    let mut bottom = chart.area.bottom + axis::HEIGHT;
    bottom = words::legend(&mut sketch, venue, look, &chart, &columns, pan_shown, bottom);
    bottom = bars::draw(&mut sketch, look, MARGIN, bottom + 24.0, right);
    let title = words::title(venue, look);
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &words::description(look), &sketch)
}
