//! Hours and places compared: columns of penalty over the day for one camera, a table of
//! colours for several places.
//!
//! In: a venue and a [`Comparison`]. Out: a picture 2000 pixels wide.

mod columns;
mod grid;

use plotters::style::RGBColor;

use crate::jobs::ball::{BallPenaltyPart, Comparison};
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{
    BLUE, BLUISH_GREEN, INK, MUTED, ORANGE, PAPER, REDDISH_PURPLE, SKY_BLUE, VERMILLION, YELLOW,
};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::words;

const PAGE: u32 = 2000;
const MARGIN: f64 = 40.0;
const RIGHT: f64 = 1940.0;
const TOP: f64 = 200.0;

/// Draws hours of one camera, or places where there are several.
///
/// # Errors
/// The drawing library's own failures.
pub fn ball_hours(venue: &Venue, found: &Comparison) -> Result<Picture, RenderError> {
    let mut sketch = Sketch::default();
    let (title, told) = match found.sites.as_slice() {
        [one] => (
            format!("Hours for {} at {}", one.site.post.name, venue.title),
            "penalty by the hour, the parts it is made of, stops and rate of the ride",
        ),
        _ => (format!("Places compared at {}", venue.title), "penalty by place and hour"),
    };
    heading(&mut sketch, found, &title);
    let mut bottom = match found.sites.as_slice() {
        [one] => columns::draw(&mut sketch, found, one, TOP),
        _ => grid::draw(&mut sketch, venue, found, TOP),
    };
    bottom = words::caution(&mut sketch, bottom + 10.0);
    let size = (PAGE, bottom.ceil() as u32);
    canvas::draw(size, &title, &format!("{title}: {told}."), &sketch)
}

fn heading(sketch: &mut Sketch, found: &Comparison, title: &str) {
    let line = fitted(title, RIGHT - MARGIN, 46.0, Weight::Bold);
    sketch.text(line, [MARGIN, 50.0], Lettering::of(46.0).bold());
    let under = format!(
        "{}, {} ball; mean over: {}",
        found.date.format("%A %-d %B %Y"),
        found.settings.ball.kind.word(),
        found.shots.join(", ")
    );
    let under = fitted(&under, RIGHT - MARGIN, 28.0, Weight::Regular);
    sketch.text(under, [MARGIN, 104.0], Lettering::of(28.0).colour(MUTED));
}

/// Colour, letter and name of a part; letters tell parts apart in grey.
fn sign(part: BallPenaltyPart) -> (RGBColor, &'static str, &'static str) {
    match part {
        BallPenaltyPart::Close => (SKY_BLUE, "C", "Stops to close"),
        BallPenaltyPart::Rate => (VERMILLION, "R", "Iris too slow"),
        BallPenaltyPart::Landing => (BLUE, "L", "Blacks crushed at landing"),
        BallPenaltyPart::Unseen => (ORANGE, "U", "Ball without contrast"),
        BallPenaltyPart::Hidden => (BLUISH_GREEN, "H", "Ball hidden"),
        BallPenaltyPart::SunInFrame => (YELLOW, "F", "Sun in frame"),
        BallPenaltyPart::SunNear => (REDDISH_PURPLE, "N", "Sun near, on the lens"),
    }
}

/// Letters that are read on their colour.
fn ink_on(part: BallPenaltyPart) -> RGBColor {
    match part {
        BallPenaltyPart::Rate | BallPenaltyPart::Landing | BallPenaltyPart::Hidden => PAPER,
        _ => INK,
    }
}

/// The names of the parts, in rows; gives where they end.
fn legend(sketch: &mut Sketch, top: f64) -> f64 {
    let column = (RIGHT - MARGIN) / 4.0;
    for (i, part) in BallPenaltyPart::ALL.into_iter().enumerate() {
        let (colour, letter, name) = sign(part);
        let at = [MARGIN + column * (i % 4) as f64, top + 46.0 * (i / 4) as f64 + 20.0];
        let patch = PxBox::around([at[0] + 18.0, at[1]], 36.0, 32.0);
        sketch.plate(patch, colour, INK);
        let inside = Lettering::of(23.0).bold().align(Align::Middle).colour(ink_on(part));
        sketch.text(letter, patch.middle(), inside);
        sketch.text(name, [at[0] + 50.0, at[1]], Lettering::of(24.0));
    }
    top + 2.0 * 46.0 + 10.0
}
