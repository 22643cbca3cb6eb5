//! A sketch becomes a picture, with the cautions at its foot.

use crate::output::draw::Picture;
use crate::output::draw::labels::wrapped;
use crate::output::draw::palette::{MUTED, RULE};
use crate::output::draw::sketch::{Lettering, Sketch};
use crate::output::error::RenderError;
use crate::output::{cautions, draw};

/// Room on the left and on the right of the cautions, pixels.
const MARGIN_PX: f64 = 40.0;
const TEXT_PX: f64 = 25.5;
const ROW_PX: f64 = 32.0;
/// Over the rule, and from the last line to the end of the picture, pixels.
const OVER_PX: f64 = 2.0;
const UNDER_PX: f64 = 16.0;

/// Draws a sketch of `size` pixels and the cautions under it, for which the picture
/// grows downward. The SVG carries title and description for those who hear a picture
/// rather than see it.
///
/// # Errors
/// [`RenderError`] when a library fails.
pub(crate) fn draw(
    (width, height): (u32, u32),
    title: &str,
    description: &str,
    sketch: &Sketch,
) -> Result<Picture, RenderError> {
    let mut whole = sketch.clone();
    let right = f64::from(width) - MARGIN_PX;
    let rule = f64::from(height) + OVER_PX;
    whole.stroke([[MARGIN_PX, rule], [right, rule]], 2, RULE);
    let lettering = Lettering::of(TEXT_PX).colour(MUTED);
    let lines = cautions::SHORT.iter().flat_map(|c| wrapped(c, right - MARGIN_PX, TEXT_PX));
    let mut bottom = rule;
    for line in lines {
        whole.text(line, [MARGIN_PX, bottom + 0.75 * ROW_PX], lettering);
        bottom += ROW_PX;
    }
    let size = (width, (bottom + UNDER_PX).ceil() as u32);
    draw::draw(size, title, description, &whole).map_err(RenderError::drawing)
}
