//! Pictures: marks are drawn once, into SVG; the PNG and the page of a PDF are that SVG.
//!
//! In: a `Sketch`, a list of marks in pixels of the picture, x to the right, y down.
//! Out: a [`Picture`]. `plotters` draws the marks on a backend of our own
//! (`svg`) that keeps hundredths of a pixel, `resvg` turns the result into pixels
//! (`raster`). Text is measured once (`text`), with the fonts that the program carries.

pub(crate) mod clip;
pub(crate) mod contours;
pub(crate) mod labels;
pub(crate) mod legend;
pub(crate) mod palette;
pub(crate) mod placer;
pub(crate) mod raster;
pub(crate) mod scale;
pub(crate) mod sketch;
mod svg;
pub(crate) mod text;

use plotters::drawing::IntoDrawingArea;

use sketch::Sketch;
use svg::{Svg, units};

use crate::output::error::RenderError;

/// A finished picture; pixels are made of it where they are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// A whole SVG document.
    pub svg: String,
}

/// Red, green and blue, 8 bits each, row by row from the top left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Pixels {
    pub size: (u32, u32),
    pub rgb: Vec<u8>,
}

impl Picture {
    /// A whole PNG file, 8 bit RGB: the SVG in pixels.
    ///
    /// # Errors
    /// [`RenderError::Drawing`] when a library fails, which is a fault of the program.
    pub fn png(&self) -> Result<Vec<u8>, RenderError> {
        raster::pixels(&self.svg)
            .and_then(|pixels| raster::encoded(&pixels))
            .map_err(RenderError::drawing)
    }

    /// The same before it is encoded.
    pub(crate) fn pixels(&self) -> Result<Pixels, RenderError> {
        raster::pixels(&self.svg).map_err(RenderError::drawing)
    }
}

/// A library that draws or encodes failed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub(crate) struct DrawError {
    /// What the library says.
    pub what: String,
}

impl DrawError {
    pub(crate) fn of(cause: impl std::fmt::Display) -> Self {
        Self { what: cause.to_string() }
    }
}

impl<E: std::error::Error + Send + Sync> From<plotters::drawing::DrawingAreaErrorKind<E>>
    for DrawError
{
    fn from(cause: plotters::drawing::DrawingAreaErrorKind<E>) -> Self {
        Self::of(cause)
    }
}

/// Draws marks on paper of `size` pixels. The SVG carries title and description for
/// those who hear a picture rather than see it.
///
/// # Errors
/// [`DrawError`] when a library fails, which is a fault of the program.
pub(crate) fn draw(
    size: (u32, u32),
    title: &str,
    description: &str,
    sketch: &Sketch,
) -> Result<Picture, DrawError> {
    let mut svg = String::new();
    {
        let area = Svg::new(&mut svg, size, title, description).into_drawing_area();
        area.draw(&plotters::element::Rectangle::new(
            [(0, 0), (units(f64::from(size.0)), units(f64::from(size.1)))],
            plotters::style::Color::filled(&palette::PAPER),
        ))?;
        sketch.paint(&area)?;
        area.present()?;
    }
    Ok(Picture { svg })
}

#[cfg(test)]
mod tests {
    use super::*;
    use plotters::style::BLACK;
    use sketch::Lettering;

    /// Grey values of a picture, row by row.
    fn greys(picture: &Picture) -> Vec<u8> {
        picture.pixels().unwrap().rgb.chunks(3).map(|p| p[1]).collect()
    }

    /// Square pixels of black that a picture holds.
    fn inked(sketch: &Sketch) -> f64 {
        let picture = draw((200, 100), "t", "d", sketch).unwrap();
        greys(&picture).iter().map(|g| 1.0 - f64::from(*g) / 255.0).sum()
    }

    #[test]
    fn pixels_hold_as_much_of_a_mark_as_covers_them() {
        // areas by plane geometry: a line has length x width, a disc pi r2
        let mut line = Sketch::default();
        line.stroke([[10.3, 20.2], [190.8, 75.9]], 3, BLACK);
        let length = 180.5_f64.hypot(55.7);
        assert!((inked(&line) - 3.0 * length).abs() < 0.01 * 3.0 * length);
        let mut disc = Sketch::default();
        disc.disc([60.25, 50.5], 20.4, BLACK);
        let area = std::f64::consts::PI * 20.4 * 20.4;
        assert!((inked(&disc) - area).abs() < 0.01 * area);
        // along a slanting line most pixels of its rim are grey: no steps
        let picture = draw((200, 100), "t", "d", &line).unwrap();
        let mixed = greys(&picture).iter().filter(|g| (10..245).contains(*g)).count();
        assert!(mixed > 200, "{mixed}");
    }

    #[test]
    fn opacity_lets_through_what_lies_under_it() {
        let mut sketch = Sketch::default();
        let ring = vec![[20.0, 20.0], [80.0, 20.0], [80.0, 80.0], [20.0, 80.0]];
        sketch.fill(ring, plotters::style::Color::mix(&BLACK, 0.25));
        assert!((inked(&sketch) - 0.25 * 3600.0).abs() < 0.01 * 3600.0);
    }

    #[test]
    fn letters_fill_the_width_they_were_measured_to_have() {
        let lettering = Lettering::of(40.0);
        for text in ["HHHH", "Affinity to 17:05", "AVAVAV"] {
            let mut sketch = Sketch::default();
            sketch.text(text, [5.0, 50.0], Lettering { size: 18.0, ..lettering });
            let picture = draw((200, 100), "t", "d", &sketch).unwrap();
            let grey = greys(&picture);
            let inked = |x: usize| (0..100).any(|y| grey[y * 200 + x] < 128);
            let right = (0..200).rev().find(|x| inked(*x)).unwrap() as f64;
            let width = Lettering { size: 18.0, ..lettering }.width(text);
            // the last letter ends a side bearing, a tenth of an em at most, before its
            // advance; its last dark pixel lies up to one and a half before that
            let bearing = 5.0 + width - right;
            assert!((-1.0..0.1 * 18.0 + 1.6).contains(&bearing), "{text}: {bearing}");
        }
    }
}
